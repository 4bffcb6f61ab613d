package actinic

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"example.org/actinic/devtime/roll"
	"example.org/actinic/internal/figures"
	"example.org/actinic/reciprocity"
	"example.org/actinic/sensito"
)

// The invented films of the data package: each is made from the laws stated here
// and the noise of the instruments, evaluated as a tester would, and published. So
// the data look like measurements and the truth is known.

const (
	madeSeed   = 1862
	madeSource = "Invented for this package: made from stated laws with the noise of a densitometer, seed 1862, by madefilms_test.go"
	stripSD    = 0.010 // density, of a reading
	timeSD     = 0.06  // stops, of a test of reciprocity
	logSD      = 0.015 // log10, of a point of the sensitivity
)

// madeProcess is the truth of a film in a process. The slope of the straight part
// grows as limit (1 - e^(-rate (t - induction))), t in minutes; the toe lies at
// toe + slower e^(-t/tau).
type madeProcess struct {
	name, developer, dilution, agitation string
	limit, rate, induction               float64
	toe, slower, tau                     float64 // log10 H, log10 H, minutes
	toeWidth, shoulder, sharpness        float64
	fog0, fogPerMinute                   float64
	q10                                  float64
	minutes                              []float64
	target                               float64
}

type madeFilm struct {
	name, about string
	processes   []madeProcess
	nm, logS    []float64 // straight in the logarithm between these
	truth       reciprocity.Law
	kind        reciprocity.Kind // fitted to the tests; empty: the table of the common practice below
}

func must[T any](v T, err error) T {
	if err != nil {
		panic(err)
	}
	return v
}

var madeFilms = []madeFilm{{
	name: "Ceunant Fine", about: "slow panchromatic film of fine grain",
	processes: []madeProcess{{
		name: "Tarren 1+31 at 20 °C", developer: "Tarren", dilution: "1+31", agitation: "inverted once a minute",
		limit: 1.15, rate: .145, induction: .6, toe: -1.86, slower: .40, tau: 3.5, toeWidth: .14, shoulder: 2.6, sharpness: 6,
		fog0: .06, fogPerMinute: .002, q10: 2.3, minutes: []float64{4.5, 6, 8, 10.5, 14}, target: .58,
	}},
	nm:    []float64{380, 400, 430, 460, 490, 520, 550, 580, 610, 630, 645, 660, 680},
	logS:  []float64{-.50, -.20, 0, -.15, -.45, -.35, -.15, -.20, -.22, -.35, -.70, -1.30, -2.40},
	truth: must(reciprocity.NewPower(1.5, .90)), kind: reciprocity.KindPower,
}, {
	name: "Rhiwlas Medium", about: "panchromatic film of medium speed",
	processes: []madeProcess{{
		name: "Tarren 1+31 at 20 °C", developer: "Tarren", dilution: "1+31", agitation: "inverted once a minute",
		limit: 1.08, rate: .120, induction: .7, toe: -2.35, slower: .45, tau: 3.5, toeWidth: .17, shoulder: 2.5, sharpness: 6,
		fog0: .13, fogPerMinute: .003, q10: 2.4, minutes: []float64{5, 6.5, 8.5, 11, 15}, target: .58,
	}, {
		name: "Merllyn stock at 20 °C", developer: "Merllyn", dilution: "stock", agitation: "inverted 10 s in the minute",
		limit: .92, rate: .165, induction: .4, toe: -2.20, slower: .42, tau: 3, toeWidth: .18, shoulder: 2.4, sharpness: 5,
		fog0: .12, fogPerMinute: .003, q10: 2.0, minutes: []float64{4.5, 6, 8, 11, 15}, target: .58,
	}},
	nm:    []float64{380, 400, 430, 460, 490, 520, 550, 580, 610, 640, 655, 670, 690},
	logS:  []float64{-.55, -.22, 0, -.18, -.50, -.32, -.18, -.25, -.24, -.40, -.80, -1.40, -2.40},
	truth: must(reciprocity.NewAdditive(.11, reciprocity.BondExponent)), kind: reciprocity.KindAdditive162,
}, {
	name: "Tomen Fast", about: "fast panchromatic film",
	processes: []madeProcess{{
		name: "Tarren 1+31 at 20 °C", developer: "Tarren", dilution: "1+31", agitation: "inverted once a minute",
		limit: 1.03, rate: .102, induction: .8, toe: -2.78, slower: .50, tau: 4, toeWidth: .21, shoulder: 2.3, sharpness: 5,
		fog0: .18, fogPerMinute: .004, q10: 2.4, minutes: []float64{5.5, 7.5, 10, 13, 17}, target: .58,
	}},
	nm:    []float64{380, 400, 430, 460, 490, 520, 550, 580, 610, 640, 660, 675, 695},
	logS:  []float64{-.60, -.26, -.02, -.12, -.38, -.26, -.12, -.10, 0, -.14, -.60, -1.30, -2.40},
	truth: must(reciprocity.NewSmooth(.84)), kind: reciprocity.KindSmooth,
}, {
	name: "Garnedd Swift", about: "very fast panchromatic film with a long toe and an even sensitivity from 400 to 650 nm",
	processes: []madeProcess{{
		// The film of the test roll in examples/testroll/quarry, read anew.
		name: "Tarren 1+31 at 20 °C", developer: "Tarren", dilution: "1+31", agitation: "inverted once a minute",
		limit: 1.02, rate: .088, induction: .8, toe: -3.02, slower: .55, tau: 4, toeWidth: .27, shoulder: 2.15, sharpness: 5,
		fog0: .21, fogPerMinute: .006, q10: 2.5, minutes: []float64{6, 8, 10.5, 14, 19}, target: .58,
	}, {
		name: "Merllyn stock at 20 °C", developer: "Merllyn", dilution: "stock", agitation: "inverted 10 s in the minute",
		limit: .88, rate: .130, induction: .5, toe: -2.92, slower: .50, tau: 3.5, toeWidth: .27, shoulder: 2.1, sharpness: 5,
		fog0: .20, fogPerMinute: .006, q10: 2.1, minutes: []float64{5.5, 7.5, 10, 14, 19}, target: .55,
	}},
	nm:   []float64{380, 390, 400, 650, 660, 670, 690},
	logS: []float64{-.40, -.15, 0, 0, -.30, -.80, -2.20},
}, {
	name: "Clogwyn Ortho", about: "orthochromatic film, blind to red",
	processes: []madeProcess{{
		name: "Tarren 1+31 at 20 °C", developer: "Tarren", dilution: "1+31", agitation: "inverted once a minute",
		limit: 1.30, rate: .150, induction: .5, toe: -2.10, slower: .40, tau: 3, toeWidth: .15, shoulder: 2.7, sharpness: 6,
		fog0: .08, fogPerMinute: .003, q10: 2.3, minutes: []float64{3.5, 4.5, 6, 8, 11}, target: .58,
	}},
	nm:    []float64{380, 400, 430, 460, 490, 510, 530, 550, 565, 580, 590, 600},
	logS:  []float64{-.40, -.15, 0, -.06, -.33, -.40, -.18, -.06, -.18, -.70, -1.40, -2.40},
	truth: must(reciprocity.NewPower(.8, .86)), kind: reciprocity.KindPower,
}, {
	name: "Machlud Red", about: "panchromatic film sensitized beyond 700 nm",
	processes: []madeProcess{{
		name: "Tarren 1+31 at 20 °C", developer: "Tarren", dilution: "1+31", agitation: "inverted once a minute",
		limit: 1.12, rate: .115, induction: .6, toe: -2.48, slower: .45, tau: 3.5, toeWidth: .19, shoulder: 2.4, sharpness: 5,
		fog0: .15, fogPerMinute: .005, q10: 2.4, minutes: []float64{5, 6.5, 8.5, 11, 15}, target: .58,
	}},
	nm:    []float64{380, 400, 430, 460, 490, 520, 550, 580, 620, 660, 690, 710, 725, 740, 760},
	logS:  []float64{-.60, -.28, -.04, -.22, -.52, -.38, -.22, -.20, -.14, -.08, 0, -.20, -.60, -1.25, -2.40},
	truth: must(reciprocity.NewCatenary(.14, .02, .02)), kind: reciprocity.KindCatenary,
}}

// What a film of this kind is said to need. Common practice, no source: nothing from
// 1/10000 s to 1 s, a third of a stop wider at 1/12000 s, 20 s for a metered 10 s and
// 137 s for a metered 40 s.
var swiftReciprocity = []reciprocity.Reading{
	reciprocity.ByAperture(time.Second/12000, 1./3),
	{Metered: time.Second / 10000, Adjusted: time.Second / 10000},
	{Metered: time.Second, Adjusted: time.Second},
	{Metered: 10 * time.Second, Adjusted: 20 * time.Second},
	{Metered: 40 * time.Second, Adjusted: 137 * time.Second},
}

const swiftSource = "Common practice with very fast films, no source: nothing to correct from 1/10000 s to 1 s, a third of a stop wider at 1/12000 s, 20 s for 10 s, 137 s for 40 s"

func (p madeProcess) form(minutes float64) *sensito.ClosedForm {
	return must(sensito.NewClosedForm(sensito.Constants{
		BaseFog: sensito.Density(p.fog0 + p.fogPerMinute*minutes),
		Gamma:   p.limit * -math.Expm1(-p.rate*(minutes-p.induction)),
		Toe:     sensito.LogH(p.toe + p.slower*math.Exp(-minutes/p.tau)), ToeWidth: p.toeWidth,
		Shoulder: sensito.Density(p.shoulder), Sharpness: p.sharpness,
	}))
}

func minutesOf(m float64) time.Duration { return time.Duration(math.Round(m * float64(time.Minute))) }

func (p madeProcess) roll(rng *rand.Rand, film string) *roll.Roll {
	out := &roll.Roll{Film: film, Process: p.name, Light: "sensitometric daylight, 1/50 s", TargetAverageGradient: p.target}
	top := figures.Round(p.toe+2.35, 2)
	for i, m := range p.minutes {
		f := p.form(m)
		s := roll.Strip{Name: string(rune('A' + i)), Development: minutesOf(m)}
		for range 3 {
			s.Unexposed = append(s.Unexposed, sensito.Density(figures.Round(float64(f.BaseFog())+stripSD*rng.NormFloat64(), 3)))
		}
		for step := range 21 {
			x := sensito.LogH(figures.Round(top-3+.15*float64(step), 2))
			d := float64(must(f.Density(x))) + stripSD*rng.NormFloat64()
			s.Readings = append(s.Readings, sensito.Reading{LogH: x, Density: sensito.Density(figures.Round(d, 3)), SD: stripSD})
		}
		out.Strips = append(out.Strips, s)
	}
	return out
}

func (m madeFilm) make(rng *rand.Rand) (*Film, error) {
	p := Provenance{Basis: Invented, Source: madeSource}
	d := FilmData{Name: m.name, Description: m.about, Provenance: p}
	for _, mp := range m.processes {
		record, err := mp.roll(rng, m.name).Characterise(roll.Settings{})
		if err != nil {
			return nil, err
		}
		film, err := FilmOf(record, p)
		if err != nil {
			return nil, err
		}
		pd := film.Data().Processes[0]
		pd.Developer, pd.Dilution, pd.Agitation, pd.Temperature = mp.developer, mp.dilution, mp.agitation, 20
		if pd.Growth != nil {
			pd.Growth.Q10, pd.Growth.Coldest, pd.Growth.Warmest = mp.q10, 18, 26
		}
		d.Processes = append(d.Processes, pd)
	}
	s := &SensitivityData{AboveFog: .3, Provenance: p}
	for nm := m.nm[0]; nm <= m.nm[len(m.nm)-1]; nm += 10 {
		i := 1
		for m.nm[i] < nm {
			i++
		}
		v := m.logS[i-1] + (m.logS[i]-m.logS[i-1])*(nm-m.nm[i-1])/(m.nm[i]-m.nm[i-1])
		s.Wavelengths = append(s.Wavelengths, nm)
		s.Log10 = append(s.Log10, figures.Round(v+logSD*rng.NormFloat64(), 2))
	}
	d.Sensitivity = s
	if m.truth == nil {
		d.Reciprocity = &ReciprocityData{Form: reciprocity.Form{Law: "table", Readings: swiftReciprocity, Shortest: swiftReciprocity[0].Metered, Longest: 40 * time.Second},
			Provenance: Provenance{Basis: Invented, Source: swiftSource, Conditions: "given to an invented film"}}
		return NewFilm(d)
	}
	var tests []reciprocity.Reading
	for _, metered := range []time.Duration{time.Millisecond, 15625 * time.Microsecond, 250 * time.Millisecond, time.Second, 2 * time.Second, 4 * time.Second, 8 * time.Second, 15 * time.Second, 30 * time.Second, 60 * time.Second, 120 * time.Second} {
		a := must(m.truth.Adjusted(metered.Seconds())) * math.Exp2(timeSD*rng.NormFloat64())
		tests = append(tests, reciprocity.Reading{Metered: metered, Adjusted: figures.Seconds(figures.Digits(a, 3)), SD: timeSD})
	}
	fit, err := reciprocity.Fit(m.kind, tests)
	if err != nil {
		return nil, err
	}
	f, err := NewFilm(d)
	if err != nil {
		return nil, err
	}
	return f.WithReciprocity(fit, tests, p)
}

func makeFilms() ([]*Film, error) {
	var films []*Film
	for i, m := range madeFilms {
		f, err := m.make(rand.New(rand.NewPCG(madeSeed, uint64(i))))
		if err != nil {
			return nil, fmt.Errorf("%s: %w", m.name, err)
		}
		films = append(films, f)
	}
	return films, nil
}

// The truth behind the films lies within the intervals of what was published of
// them: 95 % of the time, so of the numbers here nearly all.
func TestMadeFilmsHoldTheTruth(t *testing.T) {
	films, err := makeFilms()
	if err != nil {
		t.Fatal(err)
	}
	hit, of := 0, 0
	within := func(e *sensito.Estimate, truth float64) bool {
		of++
		if e != nil && e.Low <= truth && truth <= e.High {
			hit++
			return true
		}
		return false
	}
	for i, m := range madeFilms {
		for j, mp := range m.processes {
			p := films[i].processes[j]
			for k, c := range p.data.Curves {
				form := mp.form(mp.minutes[k])
				g := must(sensito.AverageGradient(form))
				if !within(c.Gradient, g) {
					t.Logf("%s, %s, strip %s: average gradient %v, truth %.3f", m.name, mp.name, c.Name, c.Gradient, g)
				}
				s := must(sensito.Index(form, sensito.FixedDensity)).Value
				if !within(&sensito.Estimate{Value: c.Speed.Value, Low: c.SpeedLow, High: c.SpeedHigh}, s) {
					t.Logf("%s, %s, strip %s: speed %v to %v, truth %.1f", m.name, mp.name, c.Name, c.SpeedLow, c.SpeedHigh, s)
				}
			}
			lo, hi := mp.minutes[0], mp.minutes[len(mp.minutes)-1]
			for range 60 {
				if mid := (lo + hi) / 2; must(sensito.AverageGradient(mp.form(mid))) < mp.target {
					lo = mid
				} else {
					hi = mid
				}
			}
			x, err := p.Index()
			if err != nil {
				t.Errorf("%s: %v", m.name, err)
				continue
			}
			if !within(x.Development, 60*lo) {
				t.Logf("%s, %s: development %v, truth %.0f s", m.name, mp.name, x.Development, 60*lo)
			}
		}
		if m.truth == nil {
			continue
		}
		law := must(films[i].Reciprocity())
		for _, metered := range []float64{.01, 1, 10, 60} {
			got, want := must(law.Adjusted(metered)), must(m.truth.Adjusted(metered))
			if off := math.Abs(math.Log2(got / want)); off > 3*timeSD {
				t.Errorf("%s: %v s becomes %.3g s, truth %.3g s, %.2f stops off", m.name, metered, got, want, off)
			}
		}
	}
	if share := float64(hit) / float64(of); share < .90 || of < 80 {
		t.Errorf("%d of %d intervals hold the truth", hit, of)
	}
	t.Logf("%d of %d intervals hold the truth", hit, of)
}

// The very fast film does what is said of such films.
func TestSwiftReciprocity(t *testing.T) {
	film, err := LoadFilm("Swift")
	if err != nil {
		t.Fatal(err)
	}
	law := must(film.Reciprocity())
	for _, c := range []struct{ metered, want float64 }{ // common practice, no source
		{1. / 10000, 1. / 10000}, {1. / 125, 1. / 125}, {1, 1}, {10, 20}, {40, 137},
	} {
		if got := must(law.Adjusted(c.metered)); math.Abs(got-c.want) > 1e-6*c.want {
			t.Errorf("%v s becomes %v s, want %v s", c.metered, got, c.want)
		}
	}
	if s := must(reciprocity.Aperture(law, 1./12000)); math.Abs(float64(s)-1./3) > 1e-3 {
		t.Errorf("at 1/12000 s open by %v, want a third of a stop", s)
	}
	// Flat from 400 to 650 nm: points within the noise of 0.015 in log10, rounded
	// to 0.01, of the same value.
	for i, nm := range film.data.Sensitivity.Wavelengths {
		if v := film.data.Sensitivity.Log10[i]; nm >= 400 && nm <= 650 && math.Abs(v) > .06 {
			t.Errorf("log10 sensitivity of %v at %v nm", v, nm)
		}
	}
}
