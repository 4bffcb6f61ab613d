package filters

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"example.org/actinic/internal/lsq"
	"example.org/actinic/sensito"
	"example.org/actinic/spectral"
)

// half returns the half width of an interval in ln F, as a standard deviation.
func half(e sensito.Estimate) float64 { return math.Log(e.High/e.Low) / 2 / lsq.Normal95 }

func flat(v float64) spectral.Spectrum { return must(spectral.Flat(v)) }

// on returns a film, a light and a filter on one grid.
func on(step float64) (spectral.Sensitivity, spectral.Light, Filter) {
	nm := must(spectral.Grid(380, 700, step))
	tv, fv, lv := make([]float64, len(nm)), make([]float64, len(nm)), make([]float64, len(nm))
	for i, l := range nm {
		tv[i] = 0.85 * rise(l, 590, 25)
		fv[i] = must(panB().At(l))
		lv[i] = must(spectral.D55.Light().At(l))
	}
	return must(spectral.SensitivityFromLinear(must(spectral.New(nm, fv, spectral.Zero)))),
		must(spectral.NewLight(must(spectral.New(nm, lv, spectral.Refuse)))), must(New("t", must(spectral.New(nm, tv, spectral.Hold))))
}

// First order against draws, for each kind of error alone and for all together. Four
// thousand draws know the ends of an interval to about 3 %; three of those.
func TestFactorWithin(t *testing.T) {
	if testing.Short() {
		t.Skip("fifty thousand factors")
	}
	film, light, filter := on(10)
	cov := make([][]float64, 33)
	nodes := must(spectral.Grid(380, 700, 10))
	for i := range cov {
		cov[i] = make([]float64, 33)
		for j := range cov {
			cov[i][j] = 0.03 * 0.03 * math.Exp(-math.Abs(float64(i-j))/2)
		}
	}
	shrink := func(s spectral.Spectrum, k float64) spectral.Spectrum {
		return must(s.Scale(k)).WithOutside(spectral.Hold)
	}
	f, l, tr := film.Spectra()[0], light.Spectra()[0], filter.Spectra()[0]
	for _, r := range []struct {
		name string
		sd   Deviations
	}{
		{"noise of the filter", Deviations{Filter: Deviation{Noise: shrink(tr, .04)}}},
		{"noise of the film", Deviations{Film: Deviation{Noise: shrink(f, .06), Correlation: 30}}},
		{"noise of the light", Deviations{Light: Deviation{Noise: shrink(l, .05), Correlation: 5}}},
		{"zero line of the filter", Deviations{Filter: Deviation{Zero: .003}}},
		{"zero line of the film", Deviations{Film: Deviation{Zero: .02}}},
		{"zero line of the light", Deviations{Light: Deviation{Zero: 2}}},
		{"100 % line", Deviations{Filter: Deviation{Scale: .01}}},
		{"wavelengths of the filter", Deviations{Filter: Deviation{Wavelength: .5}}},
		{"wavelengths of the film", Deviations{Film: Deviation{Wavelength: .7}}},
		{"wavelengths of the light", Deviations{Light: Deviation{Wavelength: 1}}},
		{"covariance of the film", Deviations{Film: Deviation{Nodes: nodes, Covariance: cov}}},
		{"all", Deviations{
			Film:   Deviation{Noise: shrink(f, .03), Zero: .004, Wavelength: .3, Scale: .2, Nodes: nodes, Covariance: cov},
			Light:  Deviation{Noise: shrink(l, .03), Zero: .5, Wavelength: .3},
			Filter: Deviation{Noise: flat(.003), Zero: .002, Wavelength: .5, Scale: .005},
		}},
	} {
		first := must(FactorWithin(film, light, filter, r.sd))
		near(t, r.name+": value", first.Value, must(Factor(film, light, filter)), 1e-12)
		draws := must(FactorMonteCarlo(film, light, filter, r.sd, 4000, 7))
		t.Logf("%-26s %.4f stop, by draws %.4f", r.name, half(first)/math.Ln2, half(draws)/math.Ln2)
		near(t, r.name+": first order over draws", half(first)/half(draws), 1, 0.09)
		if again := must(FactorMonteCarlo(film, light, filter, r.sd, 4000, 7)); again != draws {
			t.Errorf("%s: the same seed gives %v and %v", r.name, draws, again)
		}
	}
	exact := must(FactorWithin(film, light, filter, Deviations{Film: Deviation{Scale: .3}, Light: Deviation{Scale: .3}}))
	if exact.Low != exact.Value || exact.High != exact.Value {
		t.Errorf("exact spectra give %v", exact)
	}
	near(t, "100 % line", half(must(FactorWithin(film, light, filter, Deviations{Filter: Deviation{Scale: .01}}))), .01, 1e-12)
	// Against the factor itself: the zero line up by 0.003, the wavelengths by 1 nm.
	up := must(New("up", must(tr.Map(func(_, v float64) float64 { return v + .003 }))))
	near(t, "zero line", half(must(FactorWithin(film, light, filter, Deviations{Filter: Deviation{Zero: .003}}))),
		math.Abs(math.Log(must(Factor(film, light, up))/exact.Value)), 2e-4)
	moved := must(New("moved", must(spectral.New(must(spectral.Grid(381, 701, 10)), tr.Values(), spectral.Hold))))
	near(t, "wavelengths", half(must(FactorWithin(film, light, filter, Deviations{Filter: Deviation{Wavelength: 1}}))),
		math.Abs(math.Log(must(Factor(film, light, moved))/exact.Value)), 6e-4)
}

// The same measurement on finer grids is not better known.
func TestFactorWithinGrid(t *testing.T) {
	sd := Deviations{
		Film:   Deviation{Noise: flat(.02), Zero: .002, Wavelength: .5},
		Light:  Deviation{Noise: flat(2), Wavelength: .5},
		Filter: Deviation{Noise: flat(.003), Correlation: 5, Zero: .001, Scale: .005, Wavelength: .5},
	}
	within := func(film spectral.Sensitivity, light spectral.Light, f Filter) sensito.Estimate {
		return must(FactorWithin(film, light, f, sd))
	}
	want := half(within(on(1)))
	for _, step := range []float64{2, 5, 10} {
		got := half(within(on(step)))
		near(t, fmt.Sprintf("%g nm", step), got/want, 1, 0.02)
	}
	// With noise that is independent from knot to knot, as a diagonal covariance,
	// the interval shrinks with the grid: that is why it is not asked for.
	var per [2]float64
	for i, step := range []float64{10, 2} {
		film, light, filter := on(step)
		nm := filter.Spectra()[0].Wavelengths()
		c := make([][]float64, len(nm))
		for j := range c {
			c[j] = make([]float64, len(nm))
			c[j][j] = .003 * .003
		}
		per[i] = half(must(FactorWithin(film, light, filter, Deviations{Filter: Deviation{Nodes: nm, Covariance: c}})))
	}
	near(t, "independent noise, 10 nm over 2 nm", per[0]/per[1], math.Sqrt(5), 0.05)
}

// The gradient against small bumps of the spectra.
func TestFactorInfluence(t *testing.T) {
	film, light, filter := on(5)
	g := must(FactorInfluence(film, light, filter))
	f0 := must(Factor(film, light, filter))
	bump := func(s spectral.Spectrum, i int, by float64) spectral.Spectrum {
		v := s.Values()
		v[i] += by
		return must(spectral.New(s.Wavelengths(), v, s.Outside()))
	}
	for i := 4; i < 60; i += 7 {
		for k, r := range []struct {
			own  spectral.Spectrum
			by   float64
			g    spectral.Spectrum
			with func(s spectral.Spectrum) float64
		}{
			{film.Spectra()[0], 1e-4, g.Film, func(s spectral.Spectrum) float64 {
				return must(Factor(must(spectral.SensitivityFromLinear(s)), light, filter))
			}},
			{light.Spectra()[0], 1e-2, g.Light, func(s spectral.Spectrum) float64 { return must(Factor(film, must(spectral.NewLight(s)), filter)) }},
			{filter.Spectra()[0], 1e-5, g.Filter, func(s spectral.Spectrum) float64 { return must(Factor(film, light, must(New("", s)))) }},
		} {
			got := math.Log(r.with(bump(r.own, i, r.by))/f0) / r.by
			// The bump is a triangle 10 nm wide at its foot.
			hat := must(spectral.New([]float64{380 + 5*float64(i) - 5, 380 + 5*float64(i), 380 + 5*float64(i) + 5}, []float64{0, 1, 0}, spectral.Zero))
			near(t, fmt.Sprintf("spectrum %d at %d nm", k, 380+5*i), got, must(spectral.Integral(r.g, hat)), 0.02*math.Abs(got)+1e-6)
		}
	}
}

func TestDeviationsRefuse(t *testing.T) {
	film, light, filter := on(10)
	nan := math.NaN()
	one := [][]float64{{1}}
	for i, d := range []Deviation{
		{Noise: flat(-1)}, {Scale: nan}, {Scale: -.1}, {Scale: 2}, {Zero: -1}, {Zero: math.Inf(1)}, {Wavelength: nan}, {Wavelength: 100},
		{Correlation: -1}, {Correlation: .01}, {Noise: must(spectral.New([]float64{400, 500}, []float64{1, 1}, spectral.Refuse))},
		{Nodes: []float64{400, 500}, Covariance: one}, {Nodes: []float64{400}, Covariance: one}, {Covariance: one},
		{Nodes: []float64{400, 500}, Covariance: [][]float64{{1, 2}, {2, 1}}}, {Nodes: []float64{400, 500}, Covariance: [][]float64{{1, .5}, {.4, 1}}},
		{Nodes: []float64{400, 500}, Covariance: [][]float64{{1, nan}, {nan, 1}}}, {Nodes: []float64{400, 500}, Covariance: [][]float64{{-1, 0}, {0, 1}}},
	} {
		for k := range 3 {
			sd := [3]Deviations{{Film: d}, {Light: d}, {Filter: d}}[k]
			if e, err := FactorWithin(film, light, filter, sd); err == nil {
				t.Errorf("deviation %d of spectrum %d gives %v", i, k, e)
			}
		}
	}
	for _, n := range []int{0, -1, 10, 1 << 30} {
		if _, err := FactorMonteCarlo(film, light, filter, Deviations{}, n, 1); !errors.Is(err, ErrInvalid) {
			t.Errorf("%d draws: %v", n, err)
		}
	}
	if _, err := FactorWithin(spectral.Sensitivity{}, light, filter, Deviations{}); !errors.Is(err, ErrInvalid) {
		t.Errorf("no film: %v", err)
	}
	if _, err := FactorInfluence(film, spectral.Light{}, filter); !errors.Is(err, ErrInvalid) {
		t.Errorf("no light: %v", err)
	}
	if testing.Short() {
		return
	}
	// Films and filters that are products have deviations too.
	photons := must(spectral.SensitivityFromPhotons(panBSpectrum()))
	two := must(Stack(filter, must(Neutral(.3))))
	sd := Deviations{Film: Deviation{Noise: flat(.01)}, Filter: Deviation{Noise: flat(.003), Wavelength: .5}}
	near(t, "products", half(must(FactorWithin(photons, light, two, sd)))/half(must(FactorMonteCarlo(photons, light, two, sd, 4000, 3))), 1, 0.09)
}

// The error of a recovered film in the factor of a filter that was not among the
// readings: the interval holds the truth.
func TestRecoveredFactorWithin(t *testing.T) {
	if testing.Short() {
		t.Skip("36 films")
	}
	light := spectral.D55.Light()
	rng := rand.New(rand.NewPCG(9, 1))
	in, all := 0, 0
	for _, film := range []spectral.Sensitivity{spectral.Generic(spectral.Panchromatic), panB(), spectral.Generic(spectral.ExtendedRed)} {
		exact := simulate(film, light, filterSet(), 0, rng)
		for range 12 {
			r := must(Recover(noisy(exact, .02, rng), light, Recovery{}))
			s := must(r.Sensitivity())
			for _, f := range []Filter{logistic(480, 6), logistic(545, 6), logistic(585, 6), must(BandPass(500, 25, 560, 25, .8))} {
				e := must(FactorWithin(s, light, f, Deviations{Film: r.Deviation()}))
				if want := must(Factor(film, light, f)); want >= e.Low && want <= e.High {
					in++
				}
				all++
			}
		}
	}
	share := float64(in) / float64(all)
	t.Logf("%.3f of %d intervals hold the factor", share, all)
	if !(share >= 0.93) {
		t.Errorf("%.3f of the intervals hold the factor", share)
	}
}

func ExampleFactorWithin() {
	film, light := spectral.Generic(spectral.Panchromatic), spectral.D55.Light()
	red, err := Find("25")
	if err != nil {
		fmt.Println(err)
		return
	}
	noise, _ := spectral.Flat(0.003)
	f, err := FactorWithin(film, light, red.Filter, Deviations{Filter: Deviation{Noise: noise, Zero: 0.001, Scale: 0.005, Wavelength: 0.5}})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println("factor", f)
	fmt.Println("stops", f.Map(math.Log2))
	// Output:
	// factor 8.367 (8.052 to 8.694)
	// stops 3.065 (3.009 to 3.12)
}
