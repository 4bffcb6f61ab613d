package filters

import (
	"math"
	"math/rand/v2"
	"testing"

	"example.org/actinic/spectral"
)

// wrong is a light like another but for an error of so much of its values that goes
// together over a length: a lamp that was measured with a doubtful standard.
func wrong(light spectral.Light, part, length float64, r *rand.Rand) (spectral.Light, Deviation) {
	nm := must(spectral.Grid(350, 780, 5))
	v, sd, z := make([]float64, len(nm)), make([]float64, len(nm)), r.NormFloat64()
	keep := math.Exp(-5 / length)
	for i, l := range nm {
		if i > 0 {
			z = keep*z + math.Sqrt(1-keep*keep)*r.NormFloat64()
		}
		e := must(light.At(l))
		v[i], sd[i] = max(e*(1+part*z), 0), part*e
	}
	return must(spectral.NewLight(must(spectral.New(nm, v, spectral.Zero)))), Deviation{Noise: must(spectral.New(nm, sd, spectral.Hold)), Correlation: length}
}

// shifted are filters read with wavelengths that are off by so many nm.
func shifted(set []Filter, by float64) []Filter {
	nm := must(spectral.Grid(350, 780, 1))
	out := make([]Filter, len(set))
	for i, f := range set {
		v := make([]float64, len(nm))
		for k, l := range nm {
			v[k] = must(f.Transmittance(l + by))
		}
		out[i] = must(New(f.Name(), must(spectral.New(nm, v, spectral.Hold))))
	}
	return out
}

// Lights that are not what was said, and filters read with wavelengths that are off: what
// the intervals hold when that is known of the readings, and when it is not. The figures
// are in the doc of Recover.
func TestRecoverSharedErrors(t *testing.T) {
	if testing.Short() {
		t.Skip("hundreds of rolls")
	}
	said := spectral.D55.Light()
	r := rand.New(rand.NewPCG(14, 2))
	runs := *recoverRuns
	type tally struct{ in, of float64 }
	share := func(c tally) float64 { return 100 * c.in / c.of }
	var light, filters [2]tally
	count := func(to *tally, film spectral.Sensitivity, q []SpeedReading, how Recovery) {
		got := must(Recover(q, said, how))
		truth := must(got.Scaled(film))
		for j, v := range truth {
			if got.Known[j] >= .5 {
				to.of++
				if v >= got.Low[j] && v <= got.High[j] {
					to.in++
				}
			}
		}
	}
	for _, film := range studyFilms() {
		if film.fine {
			continue
		}
		var set []Filter
		for _, f := range filterSet() {
			if F, err := Factor(film.s, said, f); err == nil && F < 300 { // what can be read at all
				set = append(set, f)
			}
		}
		for range runs {
			is, sd := wrong(said, 0.3, 60, r)
			q := simulate(film.s, is, set, .01, r)
			count(&light[0], film.s, q, Recovery{})
			count(&light[1], film.s, q, Recovery{Light: sd})

			const off = 5.0 // nm
			q = simulate(film.s, said, set, .01, r)
			for i, f := range shifted(set, off*r.NormFloat64()) {
				q[i].Filter = f
			}
			count(&filters[0], film.s, q, Recovery{})
			count(&filters[1], film.s, q, Recovery{Filters: Deviation{Wavelength: off}})
		}
	}
	t.Logf("light off by 30 %% over 60 nm: %.1f %% of %.0f nodes within, %.1f %% when it is not said", share(light[1]), light[1].of, share(light[0]))
	t.Logf("wavelengths of the filters off by 5 nm: %.1f %% of %.0f nodes within, %.1f %% when it is not said", share(filters[1]), filters[1].of, share(filters[0]))
	if share(light[1]) < 93 || share(filters[1]) < 93 {
		t.Error("the intervals do not hold what they say")
	}
}

// The covariance of two filters by one error is the product of their slopes, its variance
// that of FactorWithin, and a common change of the light changes no factor.
func TestSharedCovariance(t *testing.T) {
	film, light := spectral.Generic(spectral.Panchromatic), spectral.D55.Light()
	set := []Filter{Clear(), must(Find("8")).Filter, must(Find("25")).Filter, must(Find("47")).Filter}
	_, noise := wrong(light, 0.05, 30, rand.New(rand.NewPCG(1, 1)))
	for name, d := range map[string]struct{ light, filters Deviation }{
		"noise":       {light: noise},
		"zero":        {light: Deviation{Zero: 2}},
		"wavelengths": {light: Deviation{Wavelength: 2}, filters: Deviation{Wavelength: 1}},
		"scale":       {filters: Deviation{Scale: 0.02}},
	} {
		c := must(sharedCovariance(film, light, set, d.light, d.filters))
		for i, f := range set {
			e := must(FactorWithin(film, light, f, Deviations{Light: d.light, Filter: d.filters}))
			near(t, name+": variance", c.At(i, i), math.Pow(math.Log(e.High/e.Value)/1.959963984540054, 2), 1e-12)
			for j := range set {
				if v := c.At(i, j); v*v > c.At(i, i)*c.At(j, j)*(1+1e-9)+1e-30 {
					t.Errorf("%s: covariance %v of variances %v and %v", name, v, c.At(i, i), c.At(j, j))
				}
			}
		}
	}
	// A slow pass over all pairs.
	a, b := term{slopes: []float64{1, -2, 3, 0.5}, keep: 0.7}, term{slopes: []float64{0.2, 1, -1, 2}, keep: 0.7}
	sum := 0.0
	for i, x := range a.slopes {
		for j, y := range b.slopes {
			sum += x * y * math.Pow(0.7, math.Abs(float64(i-j)))
		}
	}
	near(t, "in one pass", a.with(b), sum, 1e-12)
}

func TestRecoverRefusesDeviations(t *testing.T) {
	light := spectral.D55.Light()
	q := simulate(spectral.Generic(spectral.Panchromatic), light, filterSet(), .01, rand.New(rand.NewPCG(1, 1)))
	for _, d := range []Deviation{{Zero: math.NaN()}, {Zero: -1}, {Wavelength: 100}, {Scale: 2}} {
		if _, err := Recover(q, light, Recovery{Light: d}); err == nil {
			t.Errorf("light %+v was taken", d)
		}
		if _, err := Recover(q, light, Recovery{Filters: d}); err == nil {
			t.Errorf("filters %+v were taken", d)
		}
	}
}
