package sensito

import (
	"errors"
	"math"
	"math/rand/v2"
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

// films of the study. Those of the fitted form must be met closely; the others
// have toes and shoulders that the form does not contain.
var films = []struct {
	name      string
	same      bool // of the form that is fitted
	meanHm    float64
	least     float64 // coverage, %
	most      float64
	netMeasur trueCurve
}{
	{"the form, no shoulder", true, 0.003, 92, 98, func(x float64) float64 { return 0.65 * 0.2 * softplus(x/0.2) }},
	{"the form, soft toe", true, 0.003, 92, 98, func(x float64) float64 { return 0.55 * 0.3 * softplus(x/0.3) }},
	{"the form, sharp toe", true, 0.003, 92, 98, func(x float64) float64 { return 0.8 * 0.1 * softplus(x/0.1) }},
	{"the form, sharp shoulder", true, 0.003, 92, 98, shouldered(0.65, 0.2, 1.3, 6)},
	{"the form, soft shoulder", true, 0.003, 92, 98, shouldered(0.7, 0.2, 1.6, 3)},

	// A long straight part without shoulder: the toe of normally distributed
	// sensitivities, and Renwick's toe, linear in exposure up to where it meets
	// the straight line.
	{"long straight part, normal toe", false, 0.010, 90, 100, func(x float64) float64 {
		const s = 0.3
		z := x / s
		return 0.65 * (x*0.5*math.Erfc(-z/math.Sqrt2) + s*math.Exp(-z*z/2)/math.Sqrt(2*math.Pi))
	}},
	{"long straight part, linear toe", false, 0.010, 90, 100, func(x float64) float64 {
		const g, c = 0.65, 0.03
		join := math.Log10(log10e * g / c)
		switch {
		case x < 0:
			return 0
		case x < join:
			return c*math.Pow(10, x) - c
		}
		return log10e*g - c + g*(x-join)
	}},
	// A toe and a shoulder of different sharpness, by formulas of other families.
	{"softplus shoulder", false, 0.010, 90, 100, func(x float64) float64 {
		u := 0.65 * 0.2 * softplus(x/0.2)
		return u - 0.15*softplus((u-1.1)/0.15) + 0.15*softplus(-1.1/0.15)
	}},
	{"exponential shoulder", false, 0.010, 90, 100, func(x float64) float64 {
		return 2 * -math.Expm1(-0.75*0.2*softplus(x/0.2)/2)
	}},
	{"tanh shoulder", false, 0.010, 90, 100, func(x float64) float64 {
		return 1.6 * math.Tanh(0.65*0.2*softplus(x/0.2)/1.6)
	}},
}

func shouldered(gamma, w float64, m Density, k float64) trueCurve {
	f := Form{Shape{Gamma: gamma, ToeWidth: w, Shoulder: m, Sharpness: k}}
	return func(x float64) float64 { return float64(f.density(LogH(x))) }
}

// Simulated strips: steps of 0.10 or 0.15 over 3.0 at any phase, from 0.75 below
// the speed point, standard deviation 0.01, one unexposed patch. The noise of
// every second roll is that of the one before with the sign turned, so that the
// mean error shows the bias of the method and not the luck of the draw; a mean of
// 200 independent rolls is itself uncertain by 0.002 in log Hm. The coverage of as
// many pairs is uncertain by 1.3 % (standard deviation).
func TestIntervalsHoldTheTruth(t *testing.T) {
	if testing.Short() {
		t.Skip("needs many rolls to mean anything")
	}
	const rolls = 600
	measures := []struct {
		name string
		m    Measure
	}{{"log Hm", SpeedPoint}, {"average gradient", AverageGradient}, {"contrast index", ContrastIndex}}
	for i, film := range films {
		want := make([]float64, len(measures))
		for j, m := range measures {
			want[j] = must(m.m(film.netMeasur))
		}
		for _, step := range []float64{0.10, 0.15} {
			for _, stated := range []bool{true, false} { // whether readings come with their deviation
				n := int(3.0/step) + 1
				rng := rand.New(rand.NewPCG(uint64(i), uint64(1000*step)))
				noise := make([]float64, n+1)
				var phase float64
				mean, held := make([]float64, len(measures)), make([]float64, len(measures))
				for roll := range rolls {
					if roll%2 == 0 {
						phase = step * rng.Float64()
						for k := range noise {
							noise[k] = 0.01 * rng.NormFloat64()
						}
					} else {
						for k := range noise {
							noise[k] = -noise[k]
						}
					}
					rs := make([]Reading, n)
					for k := range rs {
						x := want[0] - 0.75 + phase + step*float64(k)
						rs[k] = Reading{LogH: LogH(x), Density: Density(0.15 + film.netMeasur(x) + noise[k])}
						if stated {
							rs[k].SD = 0.01
						}
					}
					fit, err := Fit(rs, UnexposedBase(Density(0.15+noise[n])))
					if err != nil {
						t.Errorf("%s, steps of %v: %v", film.name, step, err)
						continue
					}
					es, err := fit.Estimate(SpeedPoint, AverageGradient, ContrastIndex)
					if err != nil {
						t.Errorf("%s, steps of %v: %v", film.name, step, err)
						continue
					}
					for j, e := range es {
						mean[j] += (e.Value - want[j]) / float64(rolls)
						if e.Low <= want[j] && want[j] <= e.High {
							held[j] += 100 / float64(rolls)
						}
					}
				}
				t.Logf("%-32s steps %.2f SD stated %-5v: mean error %+.4f %+.4f %+.4f, coverage %.1f %.1f %.1f %%",
					film.name, step, stated, mean[0], mean[1], mean[2], held[0], held[1], held[2])
				for j, m := range measures {
					limit := 0.005
					if j == 0 {
						limit = film.meanHm
					}
					if !(math.Abs(mean[j]) < limit) {
						t.Errorf("%s, steps of %v: mean error of %s is %+.4f, want below %v", film.name, step, m.name, mean[j], limit)
					}
					if !(held[j] >= film.least && held[j] <= film.most) {
						t.Errorf("%s, steps of %v: %.1f %% of the intervals of %s hold the truth, want %v to %v", film.name, step, held[j], m.name, film.least, film.most)
					}
				}
			}
		}
	}
}

// First-order intervals against refitting: the widths agree within a fifth.
func TestResampleAgrees(t *testing.T) {
	for _, film := range films[:5] {
		rng := rand.New(rand.NewPCG(11, 4))
		xm := must(SpeedPoint(film.netMeasur))
		var rs []Reading
		for k := range 31 {
			x := xm - 0.75 + 0.1*float64(k)
			rs = append(rs, Reading{LogH(x), Density(0.15 + film.netMeasur(x) + 0.01*rng.NormFloat64()), 0.01})
		}
		fit, err := Fit(rs, UnexposedBase(0.15, 0.152))
		if err != nil {
			t.Fatal(err)
		}
		measures := []Measure{SpeedPoint, AverageGradient, ContrastIndex, ISOContrast}
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

func TestInterpolatedEstimate(t *testing.T) {
	film := films[0].netMeasur
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
		c, err := Interpolate(rs, UnexposedBase(Density(0.15+0.01*rng.NormFloat64())), Pool)
		if err != nil {
			t.Fatal(err)
		}
		es, err := c.Estimate(Sampling{Draws: 400, Seed: 1}, SpeedPoint)
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
	plain, err := Interpolate([]Reading{{0, 0.1, 0}, {1, 1, 0}}, StatedBase(0), Refuse)
	if err != nil {
		t.Fatal(err)
	}
	if es, err := plain.Estimate(Sampling{}, SpeedPoint); err != nil || !math.IsNaN(es[0].Low) {
		t.Errorf("no deviations: %v, %v; want no interval", es, err)
	}
	if _, err := plain.Estimate(Sampling{}, AverageGradient); !errors.Is(err, ErrNotReached) {
		t.Errorf("a measure that fails: %v", err)
	}
}
