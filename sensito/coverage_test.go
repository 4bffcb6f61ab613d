package sensito

import (
	"errors"
	"math"
	"math/rand/v2"
	"slices"
	"testing"
)

// trueCurve is a film of known shape: net density against log10 H, by any formula.
type trueCurve func(float64) float64

func (f trueCurve) Density(x LogH) (Density, error) { return Density(f(float64(x))), nil }
func (f trueCurve) Slope(x LogH) (float64, error) {
	return (f(float64(x)+1e-5) - f(float64(x)-1e-5)) / 2e-5, nil
}
func (f trueCurve) Domain() (lo, hi LogH) { return -6, 6 }
func (f trueCurve) BaseFog() Density      { return 0 }
func (f trueCurve) LogH(d Density) (LogH, error) {
	a, b := -6.0, 6.0
	for range 100 {
		if m := (a + b) / 2; f(m) < float64(d) {
			a = m
		} else {
			b = m
		}
	}
	return LogH(a), nil
}

// formFilms are of the closed form: net density against log10 H.
var formFilms = []struct {
	name string
	net  trueCurve
}{
	{"no shoulder", func(x float64) float64 { return 0.65 * 0.2 * softplus(x/0.2) }},
	{"soft toe", func(x float64) float64 { return 0.55 * 0.3 * softplus(x/0.3) }},
	{"sharp toe", func(x float64) float64 { return 0.8 * 0.1 * softplus(x/0.1) }},
	{"sharp shoulder", shouldered(0.65, 0.2, 1.3, 6)},
	{"soft shoulder", shouldered(0.7, 0.2, 1.6, 3)},
}

func shouldered(gamma, w float64, m Density, k float64) trueCurve {
	f := ClosedForm{Constants{Gamma: gamma, ToeWidth: w, Shoulder: m, Sharpness: k}}
	return func(x float64) float64 { return float64(f.density(LogH(x))) }
}

// First-order intervals against refitting: the widths agree within a fifth.
func TestResampleAgrees(t *testing.T) {
	for _, film := range formFilms {
		rng := rand.New(rand.NewPCG(11, 4))
		xm := must(SpeedPoint(film.net))
		var rs []Reading
		for k := range 31 {
			x := xm - 0.75 + 0.1*float64(k)
			rs = append(rs, Reading{LogH(x), Density(0.15 + film.net(x) + 0.01*rng.NormFloat64()), 0.01})
		}
		fit, err := Fit(rs, UnexposedBase(0.15, 0.152))
		if err != nil {
			t.Fatal(err)
		}
		measures := []Measure{MeasureOf(SpeedPoint), AverageGradient, ContrastIndex, ISOContrast}
		first, err := fit.Estimate(measures...)
		if err != nil {
			t.Fatal(err)
		}
		slow, err := fit.Resample(Sampling{Draws: 1500, Seed: 5}, measures...)
		if err != nil {
			t.Fatal(err)
		}
		for i := range measures {
			if r := (slow[i].High - slow[i].Low) / (first[i].High - first[i].Low); !(r > 0.8 && r < 1.25) {
				t.Errorf("%s, measure %d: first order %v, refitted %v", film.name, i, first[i], slow[i])
			}
		}
		again, err := fit.Resample(Sampling{Draws: 1500, Seed: 5}, measures...)
		if err != nil || again[0] != slow[0] {
			t.Errorf("the same seed gives %v, then %v, %v", slow[0], again[0], err)
		}
	}
}

// Intervals from drawn curves hold the truth as those of first order do, of the same strips: also where a
// reading is wild, which the curves have to know, and on a film that is not of the closed form.
func TestResampledHold(t *testing.T) {
	strips, draws := 40, 400
	if testing.Short() {
		strips = 8
	}
	all, first, n := 0, 0, 0
	for _, name := range []string{"21 known", "11 wild 0.10", "21 growing unknown"} {
		c := &studyConditions[slices.IndexFunc(studyConditions, func(s condition) bool { return s.name == name })]
		for _, film := range []string{"closed form, M 2 k 3", "1/x toe, w 0.15", "Gaussian toe"} {
			f := &studyFilms[slices.IndexFunc(studyFilms, func(s studyFilm) bool { return s.name == film })]
			rng := rand.New(rand.NewPCG(77, uint64(len(film))))
			held, by := 0, 0
			for range strips {
				rs, base, _ := c.strip(f, rng)
				fit, err := Fit(rs, UnexposedBase(base))
				if err != nil {
					t.Fatal(err)
				}
				want := float64(must(SpeedPoint(bounded{f.curve(f.p), rs[0].LogH, rs[len(rs)-1].LogH})))
				drawn, err := fit.Resample(Sampling{Draws: draws, Seed: 3}, MeasureOf(SpeedPoint))
				if err != nil {
					t.Fatal(err)
				}
				es, err := fit.Estimate(MeasureOf(SpeedPoint))
				if err != nil {
					t.Fatal(err)
				}
				if drawn[0].Low <= want && want <= drawn[0].High {
					held++
				}
				if es[0].Low <= want && want <= es[0].High {
					by++
				}
			}
			t.Logf("%s, %s: %d of %d drawn intervals hold the truth, %d of first order", name, film, held, strips, by)
			all, first, n = all+held, first+by, n+strips
		}
	}
	p, q := 100*float64(all)/float64(n), 100*float64(first)/float64(n)
	t.Logf("%.1f %% of %d drawn intervals hold the truth, %.1f %% of first order", p, n, q)
	if !(p >= 91 && p > q-4) && !testing.Short() {
		t.Errorf("%.1f %% of the drawn intervals hold the truth, %.1f %% of first order", p, q)
	}
}

func TestInterpolatedEstimate(t *testing.T) {
	film := formFilms[0].net
	xm := must(SpeedPoint(film))
	rng := rand.New(rand.NewPCG(6, 1))
	held, n := 0, 150
	if testing.Short() {
		n = 20
	}
	for range n {
		var rs []Reading
		for k := range 21 {
			x := xm - 0.75 + 0.15*float64(k)
			rs = append(rs, Reading{LogH(x), Density(0.15 + film(x) + 0.01*rng.NormFloat64()), 0.01})
		}
		c, err := Interpolate(rs, UnexposedBase(Density(0.15+0.01*rng.NormFloat64())), PoolFalling)
		if err != nil {
			t.Fatal(err)
		}
		es, err := c.Estimate(Sampling{Draws: 400, Seed: 1}, MeasureOf(SpeedPoint))
		if err != nil {
			t.Fatal(err)
		}
		if es[0].Low <= xm && xm <= es[0].High {
			held++
		}
	}
	if c := 100 * float64(held) / float64(n); c < 88 && !testing.Short() {
		t.Errorf("%.0f %% of the intervals hold the truth", c)
	}
	plain, err := Interpolate([]Reading{{0, 0.1, 0}, {1, 1, 0}}, StatedBase(0), RefuseFalling)
	if err != nil {
		t.Fatal(err)
	}
	if es, err := plain.Estimate(Sampling{}, MeasureOf(SpeedPoint)); err != nil || !math.IsNaN(es[0].Low) {
		t.Errorf("no deviations: %v, %v; want no interval", es, err)
	}
	if _, err := plain.Estimate(Sampling{}, AverageGradient); !errors.Is(err, ErrNotReached) {
		t.Errorf("a measure that fails: %v", err)
	}
}
