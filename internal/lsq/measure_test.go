package lsq

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/mat"
)

// A damped step solves (a + mu I) step = g, and the fall of the residual sum that it predicts is what the straight model
// loses by it; lengths are those of step and parameters in units of the columns.
func TestDampedStep(t *testing.T) {
	r := rand.New(rand.NewPCG(6, 6))
	const n, p = 9, 3
	y, weight := make([]float64, n), make([]float64, n)
	var w Workspace
	w.resize(n, p)
	for i := range n {
		y[i], w.f[i], weight[i] = r.NormFloat64(), r.NormFloat64(), 0.5+r.Float64()
		for j := range p {
			w.jac[i*p+j] = r.NormFloat64() * math.Pow(10, float64(j))
		}
	}
	for j := range p {
		w.par[j] = r.NormFloat64()
	}
	for _, wt := range [][]float64{nil, weight} {
		clear(w.d)
		w.normal(y, wt)
		at := func(i int) float64 {
			if wt == nil {
				return 1
			}
			return wt[i]
		}
		a, g := mat.NewDense(p, p, nil), make([]float64, p)
		for j := range p {
			norm := 0.0
			for i := range n {
				norm += at(i) * w.jac[i*p+j] * w.jac[i*p+j]
			}
			if norm = math.Sqrt(norm); math.Abs(w.d[j]-norm) > 1e-12*norm {
				t.Errorf("scale %d: %v, want %v", j, w.d[j], norm)
			}
		}
		for j := range p {
			for i := range n {
				g[j] += at(i) * w.jac[i*p+j] / w.d[j] * (y[i] - w.f[i])
				for k := range p {
					a.Set(j, k, a.At(j, k)+at(i)*w.jac[i*p+j]/w.d[j]*w.jac[i*p+k]/w.d[k])
				}
			}
		}
		for _, mu := range []float64{0, 0.01, 3} {
			if !w.solveDamped(mu) {
				t.Fatal("singular")
			}
			fall, length, size := w.measure(mu)
			var lost, long, of float64 // |y - f|² - |y - f - J step|²
			for i := range n {
				along := 0.0
				for j := range p {
					along += w.jac[i*p+j] / w.d[j] * w.step[j]
				}
				e := y[i] - w.f[i]
				lost += at(i) * (e*e - (e-along)*(e-along))
			}
			for j := range p {
				left := g[j] - mu*w.step[j]
				for k := range p {
					left -= a.At(j, k) * w.step[k]
				}
				if math.Abs(left) > 1e-9 {
					t.Errorf("mu %v, equation %d is off by %v", mu, j, left)
				}
				long += w.step[j] * w.step[j]
				of += math.Pow(w.par[j]*w.d[j], 2)
			}
			if math.Abs(fall-lost) > 1e-9*(1+lost) || math.Abs(length-long) > 1e-12*long || math.Abs(size-of) > 1e-9*of {
				t.Errorf("mu %v: fall %v, length %v, size %v, want %v, %v, %v", mu, fall, length, size, lost, long, of)
			}
		}
	}
}
