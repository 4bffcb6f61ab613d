package filters

import (
	"errors"
	"flag"
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"example.org/actinic/spectral"
)

// bands is no filter at all and band-passes 10 nm wide at half their height.
func bands() []Filter {
	out := []Filter{Clear()}
	for l := 390.; l <= 710; l += 10 {
		out = append(out, must(BandPass(l-5, 4, l+5, 4, .9)))
	}
	return out
}

// peaks returns an invented film of Gaussian bands on a low floor.
func peaks(to float64, at ...[3]float64) spectral.Sensitivity {
	nm := must(spectral.Grid(380, to, 1))
	v := make([]float64, len(nm))
	for i, l := range nm {
		for _, p := range at { // height, place and standard deviation in nm
			v[i] += p[0] * math.Exp(-(l-p[1])*(l-p[1])/2/p[2]/p[2])
		}
	}
	return must(spectral.SensitivityFromLinear(must(spectral.New(nm, v, spectral.Zero))))
}

// A studyFilm is finer than contrast filters can tell, or not.
type studyFilm struct {
	name string
	s    spectral.Sensitivity
	fine bool
}

func studyFilms() []studyFilm {
	nm := must(spectral.Grid(390, 670, 1))
	comb := make([]float64, len(nm))
	for i, l := range nm {
		comb[i] = .5 + .4*math.Sin(2*math.Pi*l/20)
	}
	flat := must(spectral.New([]float64{380, 390, 655, 665}, []float64{0, 1, 1, 0}, spectral.Zero))
	return []studyFilm{
		{"panchromatic", spectral.Generic(spectral.Panchromatic), false},
		{"corners", panB(), false},
		{"extended red", spectral.Generic(spectral.ExtendedRed), false},
		{"orthochromatic", spectral.Generic(spectral.Orthochromatic), false},
		{"blue", spectral.Generic(spectral.BlueSensitive), false},
		{"flat to 660 nm", must(spectral.SensitivityFromLinear(flat)), false},
		{"two bands", peaks(720, [3]float64{1, 430, 30}, [3]float64{.8, 640, 20}), false},
		{"sharp band", peaks(720, [3]float64{.6, 430, 35}, [3]float64{1, 590, 6.4}, [3]float64{.4, 540, 30}), false},
		{"five dyes", peaks(720, [3]float64{.7, 420, 30}, [3]float64{.8, 500, 5}, [3]float64{1, 550, 4}, [3]float64{.7, 590, 4}, [3]float64{.9, 625, 5}, [3]float64{.6, 655, 4}), true},
		{"comb of 20 nm", must(spectral.SensitivityFromLinear(must(spectral.New(nm, comb, spectral.Zero)))), true},
	}
}

// A study of a kind of film and set of filters.
type studied struct {
	all       float64 // share of nodes within, of those known by half or more
	seen      float64 // the same for the truth averaged over Width
	worst     float64 // and at the worst of them
	worstNM   float64
	contrary  float64 // share of runs whose deviations were raised
	width     float64 // mean half width over the sensitivity's mean
	condition int     // nodes counted
}

func studyOf(film spectral.Sensitivity, light spectral.Light, set []Filter, stated, real float64, runs int, how Recovery, seed uint64) studied {
	rng := rand.New(rand.NewPCG(seed, 4))
	var q []SpeedReading
	for _, f := range set {
		if F, err := Factor(film, light, f); err == nil && F < 300 { // what can be read at all
			q = append(q, SpeedReading{f, 1.7 - math.Log10(F), stated})
		}
	}
	var in, known []float64
	var out studied
	var nm []float64
	for range runs {
		n := append([]SpeedReading(nil), q...)
		for i := range n {
			n[i].LogSpeed += real * rng.NormFloat64()
		}
		r := must(Recover(n, light, how))
		truth := must(r.Scaled(film))
		if nm = r.NM; in == nil {
			in, known = make([]float64, len(nm)), make([]float64, len(nm))
		}
		if r.Raised > 1 || len(r.Odd) > 0 {
			out.contrary += 1 / float64(runs)
		}
		for j := range nm {
			if r.Known[j] < .5 {
				continue
			}
			known[j]++
			if truth[j] >= r.Low[j] && truth[j] <= r.High[j] {
				in[j]++
			}
			if v := averaged(film, r, truth, j); v >= r.Low[j] && v <= r.High[j] {
				out.seen++
			}
			out.width += (r.High[j] - r.Low[j]) / 2
		}
	}
	out.worst = 1
	var a, b float64
	for j := range nm {
		a, b = a+in[j], b+known[j]
		if known[j] > float64(runs)/2 && in[j]/known[j] < out.worst {
			out.worst, out.worstNM = in[j]/known[j], nm[j]
		}
	}
	out.seen /= b
	out.all, out.width, out.condition = a/b, out.width/b, int(b)
	return out
}

// averaged returns the truth averaged over what the readings mix into a node.
func averaged(film spectral.Sensitivity, r Recovered, truth []float64, j int) float64 {
	scale := 0.0 // of the film to the estimate, from any node that is not zero
	for i, v := range truth {
		if s := must(film.At(r.NM[i])); s > 0 {
			scale = v / s
			break
		}
	}
	lo, hi := r.NM[j]-r.Width[j]/2, r.NM[j]+r.Width[j]/2
	sum := 0.0
	const n = 40
	for k := range n {
		sum += must(film.At(lo+(hi-lo)*(float64(k)+.5)/n)) / n
	}
	return sum * scale
}

var recoverRuns = flag.Int("recover", 12, "rolls of each kind in the study of recovered sensitivities; its figures are from 40")

// The intervals of recovered sensitivities, node by node: the figures are in the
// doc of Recover.
func TestRecoverStudy(t *testing.T) {
	if testing.Short() {
		t.Skip("480 rolls")
	}
	runs := *recoverRuns
	light := spectral.D55.Light()
	for _, film := range studyFilms() {
		for _, c := range []struct {
			name         string
			set          []Filter
			stated, real float64
		}{
			{"contrast filters, 0.01", filterSet(), .01, .01}, {"contrast filters, 0.03", filterSet(), .03, .03},
			{"10 nm bands, 0.01", bands(), .01, .01}, {"contrast filters, 0.01 said, 0.03 true", filterSet(), .01, .03},
		} {
			s := studyOf(film.s, light, c.set, c.stated, c.real, runs, Recovery{}, 11)
			name := film.name + ", " + c.name
			t.Logf("%-55s %.3f within, %.3f averaged, worst %.2f at %g nm, raised %.2f, half width %.2f", name, s.all, s.seen, s.worst, s.worstNM, s.contrary, s.width)
			contrast, honest := c.set[1].Name() == "6 light yellow", c.stated == c.real
			switch {
			case contrast && !film.fine && !(s.all >= 0.94):
				t.Errorf("%s: the truth is inside at %.1f %% of the nodes", name, 100*s.all)
			case contrast && film.fine && !(s.seen >= 0.93):
				t.Errorf("%s: the averaged truth is inside at %.1f %% of the nodes", name, 100*s.seen)
			case !contrast && !film.fine && !(s.all >= 0.87):
				t.Errorf("%s: the truth is inside at %.1f %% of the nodes", name, 100*s.all)
			case honest && !film.fine && !(s.contrary <= 0.35):
				t.Errorf("%s: right deviations were raised in %.0f %% of the rolls", name, 100*s.contrary)
			case !honest && !(s.contrary >= 0.6):
				t.Errorf("%s: wrong deviations were raised in %.0f %% of the rolls", name, 100*s.contrary)
			}
		}
	}
}

// A film whose structure falls between the nodes, and readings worse than they say:
// the sentence tells which.
func TestRecoverContradiction(t *testing.T) {
	light := spectral.D55.Light()
	rng := rand.New(rand.NewPCG(3, 5))
	nodes := must(spectral.Grid(380, 720, 20))
	sharp := peaks(720, [3]float64{.6, 430, 35}, [3]float64{1, 590, 6.4}, [3]float64{.4, 540, 30})
	r := must(Recover(simulate(sharp, light, bands()[:29], .003, rng), light, Recovery{Nodes: nodes}))
	if !(r.Raised > 1.5 && r.Coarse) || !strings.Contains(r.Statement(), "give finer Nodes") {
		t.Errorf("raised %v: %s", r.Raised, r.Statement())
	}
	q := noisy(simulate(panB(), light, filterSet(), 0, rng), .05, rng)
	for i := range q {
		q[i].SD = .005
	}
	r = must(Recover(q, light, Recovery{}))
	if !(r.Raised > 3) || r.Coarse || !strings.Contains(r.Statement(), "contradict their deviations") {
		t.Errorf("raised %v: %s", r.Raised, r.Statement())
	}
	// The intervals are as wide as if the deviations had been right.
	for i := range q {
		q[i].SD = .05
	}
	right := must(Recover(q, light, Recovery{}))
	var a, b float64
	for i := range right.NM {
		a, b = a+r.High[i]-r.Low[i], b+right.High[i]-right.Low[i]
	}
	if !(a/b > .6 && a/b < 1.7) {
		t.Errorf("intervals %.2f times as wide as they should be", a/b)
	}
	// A film that goes on beyond the nodes.
	r = must(Recover(simulate(spectral.Generic(spectral.ExtendedRed), light, filterSet(), .01, rng), light, Recovery{Nodes: must(spectral.Grid(380, 680, 10))}))
	if s := r.Statement(); !strings.Contains(s, "does not end at 680 nm") {
		t.Error(s)
	}
}

// The scale of the intervals is that of the exposure without a filter.
func TestRecoveredScale(t *testing.T) {
	light, film := spectral.D55.Light(), spectral.Generic(spectral.Panchromatic)
	r := must(Recover(simulate(film, light, filterSet(), .01, rand.New(rand.NewPCG(1, 1))), light, Recovery{}))
	bare, sum := must(spectral.Integral(append(light.Spectra(), must(r.Sensitivity()).Spectra()...)...)), 0.0
	for i, w := range r.Weight {
		sum += w * r.Value[i]
		if !(r.Low[i] <= r.Value[i] && r.Value[i] <= r.High[i] && r.Low[i] >= 0) {
			t.Errorf("%g nm: %v, %v to %v", r.NM[i], r.Value[i], r.Low[i], r.High[i])
		}
	}
	near(t, "sum of the weights", sum, 1, 1e-9)
	twice := must(r.Scaled(film))
	back, again := 0.0, 0.0
	for i, w := range r.Weight {
		back += w * twice[i]
		for j, v := range r.Weight {
			again += w * v * r.Covariance[i][j]
		}
	}
	near(t, "the truth's", back, 1, 1e-9)
	near(t, "variance of the exposure", again, 0, 1e-9) // it is what the scale is taken from
	if !(bare > 0) {
		t.Error(bare)
	}
	for _, s := range []spectral.Sensitivity{{}, peaks(990, [3]float64{1, 900, 2})} {
		if _, err := r.Scaled(s); err == nil {
			t.Error("nothing can be scaled")
		}
	}
}

// A recovered film is stored as logarithms, zeros and all, and read back.
func TestRecoveredLog(t *testing.T) {
	light, film := spectral.D55.Light(), spectral.Generic(spectral.Orthochromatic)
	r := must(Recover(simulate(film, light, withoutReds(), .01, rand.New(rand.NewPCG(1, 1))), light, Recovery{}))
	nm, logs, note, err := r.Log(-3)
	if err != nil || len(nm) != len(r.NM) || !strings.Contains(note, "floor of log10 -3") || !strings.Contains(note, "760 nm") {
		t.Fatalf("%v %q %v", nm, note, err)
	}
	for i, v := range r.Value {
		near(t, fmt.Sprint(nm[i]), logs[i], math.Log10(max(v, 1e-3)), 1e-12)
	}
	s := must(spectral.SensitivityFromLog(nm, logs, spectral.LogLinear))
	f := must(Find("15")).Filter
	near(t, "factor in stops", math.Log2(must(Factor(s, light, f))/must(Factor(must(r.Sensitivity()), light, f))), 0, 0.02)
	for _, floor := range []float64{0, -11, math.NaN(), -.5} {
		if _, _, _, err := r.Log(floor); !errors.Is(err, ErrInvalid) {
			t.Errorf("floor %v: %v", floor, err)
		}
	}
	for _, bad := range []Recovered{{}, {NM: []float64{400, 500}, Value: []float64{0, 0}}, {NM: []float64{400, 500}, Value: []float64{1}}, {NM: []float64{400, 500}, Value: []float64{1, math.NaN()}}} {
		if _, _, _, err := bad.Log(-3); !errors.Is(err, ErrInvalid) {
			t.Errorf("%v: %v", bad, err)
		}
	}
}

// From speeds through the contrast filters to a film.
func ExampleRecover() {
	film, light := spectral.Generic(spectral.Panchromatic), spectral.D55.Light()
	var readings []SpeedReading
	for _, number := range []string{"", "8", "12", "15", "21", "23A", "25", "29", "58", "47"} {
		f := Clear()
		if number != "" {
			e, err := Find(number)
			if err != nil {
				fmt.Println(err)
				return
			}
			f = e.Filter
		}
		factor, err := Factor(film, light, f) // in place of a test
		if err != nil {
			fmt.Println(err)
			return
		}
		readings = append(readings, SpeedReading{Filter: f, LogSpeed: -math.Log10(factor), SD: 0.02})
	}
	r, err := Recover(readings, light, Recovery{})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(r.Statement())
	found, err := r.Sensitivity()
	if err != nil {
		fmt.Println(err)
		return
	}
	orange, err := Find("22") // not among the readings
	if err != nil {
		fmt.Println(err)
		return
	}
	f, err := FactorWithin(found, light, orange.Filter, Deviations{Film: r.Deviation()})
	fmt.Println("22 deep orange:", f, err)
	// Output:
	// the readings fix 5.6 independent numbers; detail finer than 50 to 206 nm is not in them; little is known at 360 to 365 nm, 760 nm
	// 22 deep orange: 4.435 (4.067 to 4.837) <nil>
}
