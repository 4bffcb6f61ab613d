package filmfit

import (
	"math"
	"math/rand/v2"
	"testing"
)

func softplus(z float64) float64 { return max(z, 0) + math.Log1p(math.Exp(-math.Abs(z))) }

func strip(f func(float64) float64, x1, step float64, n int, sd float64, rng *rand.Rand) *Data {
	d := &Data{BaseW: 1, UnitSD: 0.01}
	for i := range n {
		x := x1 + step*float64(i)
		d.X = append(d.X, x)
		d.Y = append(d.Y, f(x)+sd*rng.NormFloat64())
		d.W = append(d.W, 1)
	}
	d.Base = []float64{f(-30) + sd*rng.NormFloat64()}
	return d
}

func stated(d *Data, sd float64) *Data {
	d.Known = true
	for i := range d.W {
		d.W[i] = 1 / (sd * sd)
	}
	d.BaseW = 1 / (sd * sd)
	return d
}

func plain(x float64) float64 { return 0.22 + 0.65*0.2*softplus((x+2.55)/0.2) }

// The derivatives are those of the values, at the readings and on the grid.
func TestDerivatives(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 1))
	d := strip(plain, -3.4, 0.237, 12, 0.01, rng)
	var w worker
	w.begin(d, Doubt{})
	for _, law := range []Toe{Exponential, Hyperbolic} {
		w.law, w.tau = law, 0.7
		th := append([]float64(nil), w.prior.mean[:w.n]...)
		for j := range th {
			th[j] += 0.3 * rng.NormFloat64()
		}
		n, r := w.n, len(d.X)
		f, jac := make([]float64, r), make([]float64, r*n)
		if !w.eval(th, f, jac, n) {
			t.Fatal("refused")
		}
		m := w.basis.m
		c := Component{Toe: law, Departure: 0.7, Constants: th}
		var mid, up, down Curve
		jd, js := make([]float64, m*n), make([]float64, m*n)
		w.trace(&c, &mid, jd, js)
		fu, fd, scrap := make([]float64, r), make([]float64, r), make([]float64, r*n)
		const h = 1e-5
		for j := range th {
			was := th[j]
			th[j] = was + h
			w.eval(th, fu, scrap, n)
			w.trace(&c, &up, nil, nil)
			th[j] = was - h
			w.eval(th, fd, scrap, n)
			w.trace(&c, &down, nil, nil)
			th[j] = was
			for i := range f {
				if num := (fu[i] - fd[i]) / (2 * h); !(math.Abs(num-jac[i*n+j]) < 1e-7) {
					t.Errorf("toe %d reading %d constant %d: %v, by differences %v", law, i, j, jac[i*n+j], num)
				}
			}
			for i := range m {
				a, b := (up.Density[i]-down.Density[i])/(2*h), (up.Rate[i]-down.Rate[i])/(2*h)
				if !(math.Abs(a-jd[i*n+j]) < 1e-7 && math.Abs(b-js[i*n+j]) < 1e-6) {
					t.Errorf("toe %d grid %d constant %d: %v %v, by differences %v %v", law, i, j, jd[i*n+j], js[i*n+j], a, b)
				}
			}
		}
	}
}

func BenchmarkAll(b *testing.B) {
	rng := rand.New(rand.NewPCG(1, 2))
	d := stated(strip(plain, -3.3, 0.15, 21, 0.01, rng), 0.01)
	var w worker
	b.ReportAllocs()
	for b.Loop() {
		w.all(d, Doubt{})
	}
}
