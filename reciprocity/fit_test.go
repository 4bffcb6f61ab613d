package reciprocity

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"example.org/actinic/internal/benchunit"
	"example.org/actinic/internal/held"
	"example.org/actinic/internal/lsq"
	"example.org/actinic/internal/uncert"
	"example.org/actinic/sensito"
)

func pairs(sd sensito.Stops, v ...float64) []Reading {
	var r []Reading
	for i := 0; i < len(v); i += 2 {
		r = append(r, Reading{dur(v[i]), dur(v[i+1]), sd})
	}
	return r
}

func param(t *testing.T, f *Fitted, name string) sensito.Estimate {
	t.Helper()
	for _, p := range f.Parameters() {
		if p.Name == name {
			return p.Estimate
		}
	}
	t.Fatalf("no parameter %q in %v", name, f.Parameters())
	return sensito.Estimate{}
}

// Relative intensities 1, 1/4, 1/16, 1/25, 1/36 need the times 1, 4.8, 20, 32,
// 48: J. Scheiner, Die Photographie der Gestirne (1897) p. 246, after Michalke.
// Slopes computed independently.
func TestFitMichalke(t *testing.T) {
	r := pairs(0, 1, 1, 4, 4.8, 16, 20, 25, 32, 36, 48)
	f := must(Fit(KindPower, r))
	near(t, "p, free onset", param(t, f, "p").Value, .9324466, 5e-8)
	f = must(Fit(KindPower1s, r))
	near(t, "p, through the origin", param(t, f, "p").Value, .9240480, 5e-8)
	f = must(Fit(KindPower, pairs(0, 1, 1, 36, 48)))
	near(t, "p, ends only", param(t, f, "p").Value, math.Log(36)/math.Log(48), 1e-12)
	near(t, "onset, ends only", param(t, f, "onset_s").Value, 1, 1e-9)
}

// The general handbook table, 1, 10, 100 s to 2, 50, 1200 s: line on
// logarithmic scales, computed independently.
func TestFitHandbook(t *testing.T) {
	f := must(Fit(KindPower, pairs(0, 1, 2, 10, 50, 100, 1200)))
	near(t, "p", param(t, f, "p").Value, .719903, 5e-7)
	near(t, "onset", param(t, f, "onset_s").Value, .1654627, 5e-8)
	for _, c := range [][2]float64{{1, 2.01365}, {10, 49.32424}, {100, 1208.19224}} {
		near(t, fmt.Sprintf("%v s", c[0]), must(f.Law().Adjusted(c[0])), c[1], 5.1e-6)
	}
	// A line through the logarithms of what is added, computed independently:
	// 1.0644401 t^1.5206963. It weights the rows otherwise than Fit does.
	var design, y []float64
	for _, c := range [][2]float64{{1, 2}, {10, 50}, {100, 1200}} {
		design = append(design, 1, math.Log(c[0]))
		y = append(y, math.Log(c[1]-c[0]))
	}
	line := must(lsq.Linear(design, 2, y, nil))
	near(t, "a of the added time", math.Exp(line.Params[0]), 1.0644401, 5e-8)
	near(t, "b of the added time", line.Params[1], 1.5206963, 5e-8)
	// The columns of the table are two routes: 1, 2, 3 stops by aperture,
	// 1, 2.3219, 3.5850 by time (computed).
	var open, long []float64
	for _, h := range Handbook() {
		if h.Adjusted > 0 {
			open = append(open, float64(h.Aperture))
			long = append(long, math.Log2(h.Adjusted.Seconds()/h.Indicated.Seconds()))
		}
	}
	for i, want := range []float64{1, 2.3219, 3.5850} {
		near(t, "stops by time", long[i], want, 5e-5)
		near(t, "stops by aperture", open[i], float64(i+1), 0)
	}
}

// Each law is found again from its own exact readings.
func TestFitRecovers(t *testing.T) {
	times := []float64{1e-4, 2e-4, 1e-3, .01, .1, .5, 1, 2, 5, 10, 30, 100, 300}
	for _, c := range []struct {
		kind Kind
		law  Law
	}{
		{KindNoFailure, NoFailure{}},
		{KindPower1s, must(NewPower(1, .8))},
		{KindSmooth, must(NewSmooth(.75))},
		{KindAdditive162, must(NewAdditive(.1, BondExponent))},
		{KindPower, must(NewPower(1.5, .8))},
		{KindAdditive, must(NewAdditive(.05, 1.4))},
		{KindCatenary, must(NewCatenary(.2, .03, .03))},
		{KindTwoBranch, must(NewTwoBranch(Branch{7e-4, 1.4}, Branch{1.5, .8}))},
	} {
		var r []Reading
		for _, m := range times {
			r = append(r, Reading{dur(m), dur(must(c.law.Adjusted(m))), .05})
		}
		f, err := Fit(c.kind, r)
		if err != nil {
			t.Errorf("%v: %v", c.kind, err)
			continue
		}
		for _, m := range []float64{1.3e-4, 3e-3, 1, 1.7, 50} {
			got, want := must(f.Law().Adjusted(m)), must(c.law.Adjusted(m))
			near(t, fmt.Sprintf("%v at %v s", c.kind, m), got/want, 1, 1e-5) // readings are whole nanoseconds
			p := must(f.Predict(dur(m)))
			near(t, fmt.Sprintf("%v predicts %v s", c.kind, m), p.Adjusted.Value/got, 1, 1e-5)
			if !(p.Adjusted.Low < p.Adjusted.Value && p.Adjusted.Value < p.Adjusted.High) || p.Extrapolated {
				t.Errorf("%v at %v s: prediction %v", c.kind, m, p)
			}
		}
		if p := must(f.Predict(dur(1000))); !p.Extrapolated {
			t.Errorf("%v at 1000 s: not marked as extrapolated", c.kind)
		}
		if lo, hi := f.Law().Domain(); lo != 1e-4 || hi != 300 {
			t.Errorf("%v: domain %v to %v", c.kind, lo, hi)
		}
		if f.Kind() != c.kind {
			t.Errorf("kind %v, want %v", f.Kind(), c.kind)
		}
	}
}

// Common practice, no source: a film that in third-stop marks needs a third at
// 1/12000 s and nothing from 1/10000 s to 1 s, and that needs 20 s when metered
// for 10 s and 137 s when metered for 40 s. One law of one type, fitted.
func TestFitBothEnds(t *testing.T) {
	third := sensito.Stops(1. / 3)
	flat := []float64{1. / 10000, 1. / 8000, 1. / 4000, 1. / 1000, 1. / 250, 1. / 60, 1. / 15, .25, 1}
	for _, c := range []struct {
		name   string
		short  []Reading
		byTime bool // the third is meant by time as well
	}{
		{"a third by aperture", []Reading{ByAperture(dur(1./12000), third)}, false},
		{"a third by either route", []Reading{ByAperture(dur(1./12000), third), {dur(1. / 12000), dur(third.Factor() / 12000), 0}}, true},
	} {
		r := c.short
		for _, m := range flat {
			r = append(r, Reading{dur(m), dur(m), 0})
		}
		r = append(r, pairs(0, 10, 20, 40, 137)...)
		f := must(Fit(KindTwoBranch, r))
		l := f.Law()
		marks := func(m float64) (aperture, long float64) {
			return math.Round(float64(must(Aperture(l, m))) / float64(third)),
				math.Round(math.Log2(must(l.Adjusted(m))/m) / float64(third))
		}
		if a, b := marks(1. / 12000); a != 1 || c.byTime && b != 1 {
			t.Errorf("%s: 1/12000 s: %v thirds by aperture, %v by time, want 1", c.name, a, b)
		}
		for _, m := range flat {
			if a, b := marks(m); a != 0 || b != 0 {
				t.Errorf("%s: %v s: %v thirds by aperture, %v by time, want none", c.name, m, a, b)
			}
		}
		near(t, "10 s", must(l.Adjusted(10)), 20, 2)
		near(t, "40 s", must(l.Adjusted(40)), 137, 13.7)
		t.Logf("%s: %v; 10 s to %.2f s, 40 s to %.2f s", c.name, l, must(l.Adjusted(10)), must(l.Adjusted(40)))
		// A catenary through the same readings leaves the flat part.
		cat := must(Fit(KindCatenary, r))
		worst := 0.0
		for _, m := range flat {
			worst = math.Max(worst, math.Abs(math.Log2(must(cat.Law().Adjusted(m))/m)))
		}
		if worst < 1./6 {
			t.Errorf("%s: the catenary follows the flat part to %v stop, against its doc", c.name, worst)
		}
	}
	r := append([]Reading{ByAperture(dur(1./12000), third)}, pairs(0, .001, .001, 1, 1, 10, 20, 40, 137)...)
	f := must(Fit(KindTwoBranch, r))
	// One reading beyond the onset cannot tell onset from exponent.
	if e := param(t, f, "short_p"); !math.IsNaN(e.Low) {
		t.Errorf("short p %v: want no interval", e)
	}
	if e := param(t, f, "p"); math.IsNaN(e.Low) {
		t.Errorf("long p %v: want an interval", e)
	}
}

// The exact hinge search agrees with a search over a fine grid of onsets.
func TestHingeAgainstGrid(t *testing.T) {
	rng := rand.New(rand.NewPCG(8, 8))
	for round := range 300 {
		n := 2 + rng.IntN(8)
		x, y, w := make([]float64, n), make([]float64, n), make([]float64, n)
		v := -3.
		for i := range x {
			v += rng.Float64() * 2
			if rng.IntN(5) == 0 && i > 0 {
				v = x[i-1]
			}
			x[i] = v
			y[i] = math.Max(0, v-.5)*.3 + .1*rng.NormFloat64()
			w[i] = .5 + rng.Float64()
		}
		most := math.Inf(1)
		if round%2 == 0 {
			most = .25
		}
		h := fitHinge(x, y, w, -10, most)
		best := math.Inf(1)
		for u := -10.; u < v+.1; u += .002 {
			var q, s, rss float64
			for i := range x {
				if d := x[i] - u; d > 0 {
					q += w[i] * d * d
					s += w[i] * d * y[i]
				}
			}
			a := 0.
			if q > 0 {
				a = math.Min(math.Max(s/q, 0), most)
			}
			for i := range x {
				r := y[i] - a*math.Max(0, x[i]-u)
				rss += w[i] * r * r
			}
			best = math.Min(best, rss)
		}
		if h.rss > best+1e-9 || h.rss < best-1e-2 {
			t.Fatalf("round %d: hinge %+v, grid %v\nx %v\ny %v", round, h, best, x, y)
		}
		if h.a < 0 || h.a > most {
			t.Fatalf("slope %v", h.a)
		}
	}
}

// The 95 % interval of a prediction holds a new reading, and those of the
// constants the truth, 95 % of the time; 1000 seeded films a row, two standard
// errors of the coverage are 0.014.
func TestFitCoverage(t *testing.T) {
	times := []float64{1, 2, 4, 8, 15, 30, 60, 120, 240}
	for _, c := range []struct {
		kind  Kind
		law   Law
		param string
		truth float64
		sd    sensito.Stops
	}{
		{KindPower1s, must(NewPower(1, .8)), "p", .8, 0},
		{KindPower, must(NewPower(.6, .8)), "p", .8, .1},
		{KindAdditive, must(NewAdditive(.1, 1.5)), "b", 1.5, .1},
		{KindAdditive162, must(NewAdditive(.1, BondExponent)), "a", .1, 0},
		{KindSmooth, must(NewSmooth(.8)), "p", .8, .1},
		{KindCatenary, must(NewCatenary(.25, .1, .1)), "a", .25, .1},
	} {
		rng := rand.New(rand.NewPCG(5, uint64(len(c.kind))))
		var inP, inNew, n float64
		const at = 50.
		runs, least, most := 1000, .92, .985
		if testing.Short() {
			runs, least, most = 200, .89, 1
		}
		for range runs {
			var r []Reading
			noise := func() float64 { return math.Exp2(.1 * rng.NormFloat64()) }
			for _, m := range times {
				r = append(r, Reading{dur(m), dur(must(c.law.Adjusted(m)) * noise()), c.sd})
			}
			f, err := Fit(c.kind, r)
			if err != nil {
				continue
			}
			n++
			if e := param(t, f, c.param); e.Low <= c.truth && c.truth <= e.High {
				inP++
			}
			p := must(f.Predict(dur(at)))
			if x := must(c.law.Adjusted(at)) * noise(); p.Adjusted.Low <= x && x <= p.Adjusted.High {
				inNew++
			}
		}
		t.Logf("%v: %s %.3f, prediction %.3f, %v fits", c.kind, c.param, inP/n, inNew/n, n)
		if n < .99*float64(runs) || inP/n < least || inP/n > most || inNew/n < least || inNew/n > most {
			t.Errorf("%v: coverage of %s %.3f, of the prediction %.3f over %v fits; want 0.92 to 0.985", c.kind, c.param, inP/n, inNew/n, n)
		}
	}
}

// The simpler law wins unless the readings insist.
func TestChoose(t *testing.T) {
	times := []float64{1e-4, 3e-4, 1e-3, .01, .1, 1, 3, 10, 30, 100, 300}
	for _, c := range []struct {
		name  string
		law   Law
		from  float64
		kind  Kind
		share float64
	}{
		{"nothing fails", NoFailure{}, 0, KindNoFailure, .9},
		{"power from 1 s", must(NewPower(1, .8)), .5, KindPower1s, .8}, // from (t+1)^p it differs by little
		{"late onset", must(NewPower(8, .6)), .5, KindPower, .8},
		{"both ends", must(NewTwoBranch(Branch{1e-3, 1.6}, Branch{2, .7})), 0, KindTwoBranch, .9},
		{"Bond's exponent", must(NewAdditive(.1, BondExponent)), .5, KindAdditive162, .8},
	} {
		rng := rand.New(rand.NewPCG(2, 3))
		hits := 0
		counts := map[Kind]int{}
		for range 100 {
			var r []Reading
			for _, m := range times {
				if m < c.from {
					continue
				}
				r = append(r, Reading{dur(m), dur(must(c.law.Adjusted(m)) * math.Exp2(.1*rng.NormFloat64())), 0})
			}
			f, tried, err := Choose(r, .1)
			if err != nil {
				t.Fatal(err)
			}
			if len(tried) != 8 {
				t.Fatalf("%d laws tried", len(tried))
			}
			counts[f.Kind()]++
			if f.Kind() == c.kind {
				hits++
			}
		}
		t.Logf("%s: %v", c.name, counts)
		if float64(hits) < 100*c.share {
			t.Errorf("%s: chosen %d times of 100, want %v", c.name, hits, 100*c.share)
		}
	}
	if _, _, err := Choose(pairs(0, 1, 2, 3, 4), 0); !errors.Is(err, ErrInput) {
		t.Errorf("no standard deviation: error %v", err)
	}
	if _, _, err := Choose(nil, .1); !errors.Is(err, ErrInput) {
		t.Errorf("no readings: error %v", err)
	}
	if _, _, err := Choose(pairs(0, 1, 1, 3, 2), .1, KindPower); !errors.Is(err, ErrNoLaw) {
		t.Errorf("no law fits: error %v", err)
	}
}

// The covariance is that of the constants themselves: against the scatter of
// 2000 seeded refits.
func TestFitCovariance(t *testing.T) {
	for _, c := range []struct {
		kind Kind
		law  Law
	}{
		{KindPower1s, must(NewPower(1, .8))},
		{KindPower, must(NewPower(1.5, .8))},
		{KindAdditive, must(NewAdditive(.1, 1.5))},
		{KindSmooth, must(NewSmooth(.8))},
		{KindTwoBranch, must(NewTwoBranch(Branch{1e-3, 1.6}, Branch{2, .7}))},
	} {
		var times []float64
		for m := 1e-5; m < 400; m *= 2.3 {
			if c.kind == KindTwoBranch || m > .5 {
				times = append(times, m)
			}
		}
		rng := rand.New(rand.NewPCG(6, uint64(len(c.kind))))
		fit := func(sd float64) *Fitted {
			var r []Reading
			for _, m := range times {
				r = append(r, Reading{dur(m), dur(must(c.law.Adjusted(m)) * math.Exp2(sd*rng.NormFloat64())), .03})
			}
			return must(Fit(c.kind, r))
		}
		want := fit(0).Covariance()
		k := len(want)
		const runs = 2000
		sum, sq := make([]float64, k), make([]float64, k*k)
		constants := func(f *Fitted) []float64 {
			v, _ := f.fit.public(f.theta)
			return v
		}
		centre := constants(fit(0))
		for range runs {
			p := constants(fit(.03))
			for i := range p {
				sum[i] += (p[i] - centre[i]) / runs
				for j := range p {
					sq[i*k+j] += (p[i] - centre[i]) * (p[j] - centre[j]) / runs
				}
			}
		}
		for i := range k {
			for j := range k {
				got := sq[i*k+j] - sum[i]*sum[j]
				// a variance from 2000 runs is good to 10 % at three standard errors
				near(t, fmt.Sprintf("%v: covariance %d %d", c.kind, i, j), want[i][j], got, .15*math.Sqrt(want[i][i]*want[j][j]))
			}
		}
	}
}

// For a known onset the relative uncertainty of Schwarzschild's adjusted time
// is, to first order,
//
//	hypot(u(t_m)/t_m / p, ln(t_m/t0) u(p)/p²)
func TestPowerUncertainty(t *testing.T) {
	const p, up, tm, um = .8, .02, 30., .5
	f := func(x []float64) float64 { return math.Log(must(must(NewPower(1, x[0])).Adjusted(x[1]))) }
	sd := []float64{up, um}
	u := math.Sqrt(uncert.Variance(uncert.Sensitivities(f, []float64{p, tm}, sd), uncert.Diagonal(sd...)))
	near(t, "u", u, math.Hypot(um/tm/p, math.Log(tm)*up/p/p), 1e-6)
	// and a fit's interval is that of its p
	fit := must(Fit(KindPower1s, pairs(.1, 30, 30*math.Pow(30, .25))))
	e := param(t, fit, "p")
	q := must(fit.Predict(30 * time.Second))
	law := math.Log(30) * math.Sqrt(fit.Covariance()[0][0]) / (e.Value * e.Value)
	near(t, "prediction", math.Log(q.Adjusted.High/q.Adjusted.Value)/1.959964, math.Hypot(law, .1*math.Ln2), 1e-6)
}

func TestFitRefuses(t *testing.T) {
	said := held.New(t)
	good := pairs(0, 1, 2, 10, 50, 100, 1200, 200, 3000)
	for _, c := range []struct {
		name string
		kind Kind
		r    []Reading
		want error
	}{
		{"nothing", KindPower, nil, ErrInput},
		{"too few", KindPower, good[:1], ErrInput},
		{"too few for four", KindTwoBranch, good[:3], ErrInput},
		{"zero time", KindPower, pairs(0, 0, 2, 10, 50), ErrInput},
		{"negative time", KindPower, pairs(0, 1, -2, 10, 50), ErrInput},
		{"negative deviation", KindPower, pairs(-1, 1, 2, 10, 50), ErrInput},
		{"NaN deviation", KindPower, pairs(sensito.Stops(math.NaN()), 1, 2, 10, 50), ErrInput},
		{"one deviation missing", KindPower, append(pairs(.1, 1, 2), pairs(0, 10, 50)...), ErrInput},
		{"no such law", Kind(""), good, ErrInput},
		{"no such law", Kind("toy"), good, ErrInput},
		{"no failure, power", KindPower, pairs(0, 1, 1, 10, 10), ErrNoLaw},
		{"no failure, power from 1 s", KindPower1s, pairs(0, 1, 1, 10, 10), ErrNoLaw},
		{"nothing beyond 1 s", KindPower1s, pairs(0, .1, .2, .5, .6), ErrNoLaw},
		{"faster, smooth", KindSmooth, pairs(0, 1, 1, 10, 9), ErrNoLaw},
		{"faster, additive", KindAdditive, pairs(0, 1, 1, 10, 9), ErrNoLaw},
		{"faster, additive 1.62", KindAdditive162, pairs(0, 1, 1, 10, 9), ErrNoLaw},
		{"faster, catenary", KindCatenary, pairs(0, 1, 1, 10, 9), ErrNoLaw},
		{"faster, branches", KindTwoBranch, pairs(0, 1, .9, 10, 9, 20, 18, 30, 27), ErrNoLaw},
	} {
		if _, err := Fit(c.kind, c.r); !said.Is("", err, c.want) {
			t.Errorf("%s: error %v, want %v", c.name, err, c.want)
		}
	}
	f := must(Fit(KindPower, good))
	if _, err := f.Predict(0); !said.Is("", err, ErrInput) {
		t.Errorf("predict 0: %v", err)
	}
	// As many readings as constants: no scatter, no interval.
	f = must(Fit(KindPower, good[:2]))
	if sd, dof := f.Scatter(); !math.IsNaN(sd) || dof != 0 {
		t.Errorf("scatter %v, %d", sd, dof)
	}
	if p := must(f.Predict(5 * time.Second)); !math.IsNaN(p.Adjusted.Low) {
		t.Errorf("prediction %v from two readings and two constants", p)
	}
	if KindPower.String() != "power" {
		t.Error("kinds do not print")
	}
}

func TestFitMany(t *testing.T) {
	if testing.Short() {
		t.Skip("a million readings")
	}
	rng := rand.New(rand.NewPCG(4, 4))
	l := must(NewTwoBranch(Branch{1e-3, 1.5}, Branch{2, .8}))
	r := make([]Reading, 1_000_000)
	for i := range r {
		m := math.Exp(math.Log(1e-5) + math.Log(1e8)*rng.Float64())
		r[i] = Reading{dur(m), dur(must(l.Adjusted(m)) * math.Exp2(.1*rng.NormFloat64())), 0}
	}
	f := must(Fit(KindTwoBranch, r[:50_000]))
	near(t, "long p", param(t, f, "p").Value, .8, 4e-3)
	near(t, "long onset", param(t, f, "onset_s").Value, 2, .08)
	near(t, "short p", param(t, f, "short_p").Value, 1.5, .015)
	near(t, "short onset", param(t, f, "short_onset_s").Value, 1e-3, 4e-5)
	for i := range r {
		r[i].Metered, r[i].Adjusted = r[i].Metered*100, r[i].Adjusted*100
	}
	var long []Reading
	for _, q := range r {
		if q.Metered > time.Second {
			long = append(long, q)
		}
	}
	f = must(Fit(KindPower, long))
	near(t, "p", param(t, f, "p").Value, .8, 2e-3)
	near(t, "onset", param(t, f, "onset_s").Value, 200, 2)
}

func BenchmarkFit(b *testing.B) {
	r := pairs(0, 1e-4, 1.3e-4, 1e-3, 1e-3, .01, .01, 1, 1, 4, 5, 10, 20, 40, 137, 100, 500)
	for _, k := range Kinds() {
		b.Run(k.String(), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if _, err := Fit(k, r); err != nil {
					b.Fatal(err)
				}
			}
			benchunit.Per(b, 1, "fit")
		})
	}
}

// The readings' account of a fit, made when an interval is first asked for.
func BenchmarkParameters(b *testing.B) {
	r := pairs(.1, 1e-4, 1.3e-4, 1e-3, 1e-3, .01, .01, 1, 1, 4, 5, 10, 20, 40, 137, 100, 500)
	for _, k := range Kinds() {
		b.Run(k.String(), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				f, err := Fit(k, r)
				if err != nil {
					b.Fatal(err)
				}
				f.Parameters()
			}
			benchunit.Per(b, 1, "fit")
		})
	}
}

func BenchmarkPredict(b *testing.B) {
	f, _, err := Choose(pairs(.1, 1e-4, 1.3e-4, 1e-3, 1e-3, .01, .01, 1, 1, 4, 5, 10, 20, 40, 137, 100, 500), 0)
	if err != nil {
		b.Fatal(err)
	}
	b.ReportAllocs()
	for b.Loop() {
		if _, err := f.Predict(20 * time.Second); err != nil {
			b.Fatal(err)
		}
	}
	benchunit.Per(b, 1, "prediction")
}

func BenchmarkFitMany(b *testing.B) {
	for _, n := range []int{10, 100, 1000, 10_000} {
		b.Run(fmt.Sprintf("readings=%d", n), func(b *testing.B) {
			r := make([]Reading, n)
			for i := range r {
				m := math.Exp2(10 * float64(i) / float64(n))
				r[i] = Reading{Metered: time.Duration(m * 1e9), Adjusted: time.Duration(max(m, math.Pow(m/2, 1.3)*2) * math.Exp2(0.05*float64(i*7%5-2)) * 1e9)}
			}
			b.ReportAllocs()
			for b.Loop() {
				if _, err := Fit(KindPower, r); err != nil {
					b.Fatal(err)
				}
			}
			benchunit.Per(b, 1, "fit")
		})
	}
}

// Two tests of a film, and what it needs at 20 s. The film is invented.
func ExampleFit() {
	f, err := Fit(KindPower, []Reading{
		{Metered: time.Second, Adjusted: time.Second, SD: 0.1},
		{Metered: 10 * time.Second, Adjusted: 20 * time.Second, SD: 0.1},
		{Metered: 40 * time.Second, Adjusted: 137 * time.Second, SD: 0.1},
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(f.Law())
	p, err := f.Predict(20 * time.Second)
	fmt.Printf("20 s: %.0f s (%.0f to %.0f s) %v\n", p.Adjusted.Value, p.Adjusted.Low, p.Adjusted.High, err)
	p, _ = f.Predict(5 * time.Minute)
	fmt.Printf("300 s: extrapolated %v\n", p.Extrapolated)
	// Output:
	// power law, p = 0.7204 from 1.676 s, from 1 s to 40 s
	// 20 s: 52 s (44 to 62 s) <nil>
	// 300 s: extrapolated true
}
