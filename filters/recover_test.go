package filters

import (
	"errors"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"gonum.org/v1/gonum/mat"

	"example.org/actinic/internal/held"
	"example.org/actinic/sensito"
	"example.org/actinic/spectral"
)

// filterSet is the catalogue's contrast filters and no filter at all.
func filterSet() []Filter {
	out := []Filter{Clear()}
	for _, e := range Catalogue() {
		if e.Number != "" {
			out = append(out, e.Filter)
		}
	}
	return out
}

// simulate returns readings of a film through filters, with noise.
func simulate(film spectral.Sensitivity, light spectral.Light, set []Filter, sd float64, rng *rand.Rand) []SpeedReading {
	out := make([]SpeedReading, len(set))
	for i, f := range set {
		out[i] = SpeedReading{f, 1.7 - math.Log10(must(Factor(film, light, f))), sd}
	}
	return noisy(out, sd, rng)
}

// noisy returns the readings with noise added.
func noisy(q []SpeedReading, sd float64, rng *rand.Rand) []SpeedReading {
	out := slices.Clone(q)
	for i := range out {
		out[i].LogSpeed += sd * rng.NormFloat64()
		out[i].SD = sd
	}
	return out
}

func withoutReds() []Filter {
	var out []Filter
	for _, f := range filterSet() {
		switch f.Name()[:2] {
		case "22", "23", "25", "29":
		default:
			out = append(out, f)
		}
	}
	return out
}

// What the estimate is for: the factor of a filter that was not among the
// readings, in another light.
func TestRecoverPredicts(t *testing.T) {
	light, lamp := spectral.D55.Light(), spectral.A.Light()
	rng := rand.New(rand.NewPCG(2, 3))
	for _, film := range []spectral.Sensitivity{spectral.Generic(spectral.Panchromatic), panB()} {
		r := must(Recover(simulate(film, light, filterSet(), 0.01, rng), light, Recovery{}))
		s := must(r.Sensitivity())
		for _, cut := range []float64{480, 545, 585, 610} {
			f := logistic(cut, 6)
			got := math.Log2(must(Factor(s, lamp, f)) / must(Factor(film, lamp, f)))
			near(t, f.Name(), got, 0, 1./6)
		}
	}
}

// Without noise and with many sharp filters the film comes back.
func TestRecoverConverges(t *testing.T) {
	light := spectral.E.Light()
	var set []Filter
	for cut := 385.; cut < 700; cut += 5 {
		set = append(set, logistic(cut, 1.5), must(ShortPass(cut, 6, .9)))
	}
	film := spectral.Generic(spectral.Panchromatic)
	var q []SpeedReading
	for _, f := range set {
		F, err := Factor(film, light, f)
		if err != nil {
			continue
		}
		q = append(q, SpeedReading{f, -math.Log10(F), 1e-3})
	}
	r := must(Recover(q, light, Recovery{Nodes: must(spectral.Grid(380, 700, 10))}))
	truth := must(r.Scaled(film))
	for j, nm := range r.NM {
		if nm >= 400 && nm <= 680 {
			near(t, "sensitivity", r.Value[j], truth[j], 0.06)
		}
	}
	few := must(Recover(simulate(film, light, filterSet()[:4], 0.02, rand.New(rand.NewPCG(1, 1))), light, Recovery{Nodes: r.NM}))
	if !(r.Degrees > 2*few.Degrees && few.Degrees < 4) {
		t.Errorf("%.1f numbers from many filters, %.1f from four", r.Degrees, few.Degrees)
	}
	if s := few.Statement(); !strings.Contains(s, "independent numbers") || !strings.Contains(s, "little is known") {
		t.Error(s)
	}
	// Four yellow filters say nothing about where in the red a film ends.
	if i := len(few.NM) - 2; !(few.Known[i] < r.Known[i]) {
		t.Errorf("known at %v nm: %v from four, %v from many", few.NM[i], few.Known[i], r.Known[i])
	}
}

// Three very different filters fix three numbers if they are read well, and hardly
// one if they are not.
func TestRecoverDegrees(t *testing.T) {
	light, film := spectral.E.Light(), spectral.Generic(spectral.Panchromatic)
	set := []Filter{must(ShortPass(480, 20, .9)), must(BandPass(500, 20, 570, 20, .9)), must(LongPass(600, 20, .9))}
	rng := rand.New(rand.NewPCG(1, 1))
	near(t, "well read", must(Recover(simulate(film, light, set, 1e-4, rng), light, Recovery{})).Degrees, 3, 1e-3)
	if d := must(Recover(noisy(simulate(film, light, set, 0, rng), 0.5, rand.New(rand.NewPCG(1, 2))), light, Recovery{})).Degrees; !(d > 0.3 && d < 2) {
		t.Errorf("badly read: %v", d)
	}
}

func TestReadingFromDensity(t *testing.T) {
	said := held.New(t)
	curve := must(sensito.NewClosedForm(sensito.Constants{BaseFog: .2, Gamma: .6, Toe: -2, ToeWidth: .001}))
	r := must(SpeedReadingFromDensity(Clear(), 0.8, 0.012, curve))
	near(t, "log speed", r.LogSpeed, -1, 1e-9) // (0.8 - 0.2)/0.6 above the toe
	near(t, "deviation", r.SD, 0.02, 1e-9)
	if _, err := SpeedReadingFromDensity(Clear(), 0.1, 0.012, curve); !said.Is("", err, sensito.ErrNotReached) {
		t.Errorf("below base: %v", err)
	}
	for _, sd := range []float64{0, -1, math.NaN(), math.Inf(1)} {
		if _, err := SpeedReadingFromDensity(Clear(), 0.8, sd, curve); !said.Is("", err, ErrInvalid) {
			t.Errorf("deviation %v: %v", sd, err)
		}
	}
	// Densities through filters, at one exposure, are as good as speeds.
	film, light := spectral.Generic(spectral.Panchromatic), spectral.D55.Light()
	var a, b []SpeedReading
	for _, f := range filterSet() {
		log := -math.Log10(must(Factor(film, light, f)))
		a = append(a, SpeedReading{f, log, 0.02})
		d := must(curve.Density(sensito.LogH(log)))
		b = append(b, must(SpeedReadingFromDensity(f, d, 0.012, curve)))
	}
	x, y := must(Recover(a, light, Recovery{})), must(Recover(b, light, Recovery{}))
	for j := range x.Value {
		near(t, "the same", y.Value[j], x.Value[j], 1e-6)
	}
}

func TestRecoverRefuses(t *testing.T) {
	light := spectral.D55.Light()
	good := simulate(spectral.Generic(spectral.Panchromatic), light, filterSet(), 0.01, rand.New(rand.NewPCG(1, 1)))
	with := func(r SpeedReading) []SpeedReading { return append([]SpeedReading{r}, good...) }
	opaque := must(New("opaque", must(spectral.Flat(0))))
	for _, r := range []struct {
		name string
		q    []SpeedReading
		l    spectral.Light
		o    Recovery
		want error
	}{
		{"none", nil, light, Recovery{}, ErrInvalid},
		{"two", good[:2], light, Recovery{}, ErrInvalid},
		{"no deviation", with(SpeedReading{Clear(), 0, 0}), light, Recovery{}, ErrInvalid},
		{"NaN deviation", with(SpeedReading{Clear(), 0, math.NaN()}), light, Recovery{}, ErrInvalid},
		{"NaN", with(SpeedReading{Clear(), math.NaN(), .1}), light, Recovery{}, ErrInvalid},
		{"infinite", with(SpeedReading{Clear(), math.Inf(1), .1}), light, Recovery{}, ErrInvalid},
		{"no filter", with(SpeedReading{Filter{}, 0, .1}), light, Recovery{}, ErrInvalid},
		{"opaque", with(SpeedReading{opaque, 0, .1}), light, Recovery{}, ErrOpaque},
		{"no light", good, spectral.Light{}, Recovery{}, spectral.ErrInvalid},
		{"two nodes", good, light, Recovery{Nodes: []float64{400, 500}}, ErrInvalid},
		{"unsorted nodes", good, light, Recovery{Nodes: []float64{400, 600, 500}}, spectral.ErrInvalid},
		{"nodes elsewhere", good, light, Recovery{Nodes: []float64{900, 910, 920}}, spectral.ErrDisjoint},
		{"smooth", good, light, Recovery{Smooth: math.NaN()}, ErrInvalid},
	} {
		if _, err := Recover(r.q, r.l, r.o); !errors.Is(err, r.want) {
			t.Errorf("%s: %v", r.name, err)
		}
	}
	if s := (Recovered{}).Statement(); s != "nothing was recovered" {
		t.Error(s)
	}
}

// What several priors leave together has the mean and the covariance of their mixture.
func TestAveragePosterior(t *testing.T) {
	light := spectral.D55.Light()
	q := simulate(panB(), light, filterSet(), .03, rand.New(rand.NewPCG(1, 1)))
	s := must(newSystem(q, light, must(spectral.Grid(380, 700, 20))))
	smoothers, priors := s.priors([]float64{15, 60})
	if len(priors) < 4 {
		t.Fatalf("%d priors", len(priors))
	}
	all := must(s.average(smoothers, priors))
	for i := range s.nm {
		var mean, second, sum float64
		for _, p := range priors {
			one := must(smoothers[p.length].posterior(p))
			m := one.mean.AtVec(i)
			sum, mean, second = sum+p.weight, mean+p.weight*m, second+p.weight*(one.cov.At(i, i)+m*m)
		}
		near(t, "weights", sum, 1, 1e-9)
		near(t, "mean", all.mean.AtVec(i), mean, 1e-9)
		near(t, "variance", all.cov.At(i, i), second-mean*mean, 1e-9)
	}
}

// The optimum of non-negative least squares is known by its conditions: x >= 0,
// the gradient <= 0, and their product zero.
func TestNNLS(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 6))
	for range 200 {
		n := 1 + rng.IntN(12)
		m := n + rng.IntN(20)
		a, b := mat.NewDense(m, n, nil), make([]float64, m)
		for i := range m {
			b[i] = rng.NormFloat64()
			for j := range n {
				a.Set(i, j, rng.NormFloat64())
			}
		}
		x := must(nnls(a, b))
		for j := range n {
			g := 0.0
			for i := range m {
				r := b[i]
				for k := range n {
					r -= a.At(i, k) * x[k]
				}
				g += a.At(i, j) * r
			}
			if !(x[j] >= 0 && g <= 1e-9 && math.Abs(g*x[j]) < 1e-9) {
				t.Fatalf("x %v, gradient %v", x[j], g)
			}
		}
	}
}

func BenchmarkRecover(b *testing.B) {
	light := spectral.D55.Light()
	q := simulate(spectral.Generic(spectral.Panchromatic), light, filterSet(), 0.02, rand.New(rand.NewPCG(1, 1)))
	b.ReportAllocs()
	for b.Loop() {
		must(Recover(q, light, Recovery{}))
	}
}
