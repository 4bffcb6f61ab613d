package lsq

import (
	"math"
	"testing"
)

// In units of powers of two of readings, places and weights the fit goes the same way to the last bit, whatever ends it:
// nothing in it has a unit.
func TestUnits(t *testing.T) {
	x := []float64{0.5, 1, 1.5, 2, 3, 4, 6, 8, 11, 15}
	y := []float64{0.9, 1.6, 2.3, 2.7, 3.6, 4.1, 4.6, 4.9, 5.05, 4.96}
	for name, start := range map[string][]float64{"near": {4, 0.3}, "far": {40, 0.01}, "bent": {0.5, 6}} {
		for _, set := range []Settings{{}, {Step: 1e-3, Offset: 1e-300}, {Step: 1e-2, Offset: 1e-300}, {Offset: 1e-2}, {Offset: 1e-4}, {MaxIter: 3}, {Damping: 10}} {
			for _, weighted := range []bool{false, true} {
				fit := func(uy, ux, uw float64) *Result {
					var weight []float64
					ys := make([]float64, len(y))
					for i, v := range y {
						ys[i] = v * uy
						if weighted {
							weight = append(weight, uw*float64(1+i%3))
						}
					}
					var w Workspace
					r, err := w.Fit(func(p, f, jac []float64) bool {
						for i, v := range x {
							e := math.Exp(-p[1] * v * ux)
							f[i] = p[0] * (1 - e)
							jac[2*i], jac[2*i+1] = 1-e, p[0]*v*ux*e
						}
						return true
					}, ys, weight, []float64{start[0] * uy, start[1] / ux}, set)
					if err != nil {
						t.Fatal(name, err)
					}
					return r
				}
				want := fit(1, 1, 1)
				for _, u := range [][3]float64{{0x1p40, 1, 1}, {0x1p-40, 1, 1}, {1, 0x1p30, 1}, {1, 0x1p-30, 1}, {1, 1, 0x1p20}, {0x1p-20, 0x1p20, 0x1p-30}} {
					got := fit(u[0], u[1], u[2])
					uw := u[2]
					if !weighted {
						uw = 1
					}
					if got.Iter != want.Iter || got.Status != want.Status || got.Params[0] != want.Params[0]*u[0] || got.Params[1] != want.Params[1]/u[1] || got.RSS != want.RSS*u[0]*u[0]*uw {
						t.Errorf("%s, %+v, weighted %t, units %v: %v after %d, %v, want %v after %d", name, set, weighted, u, got.Params, got.Iter, got.Status, want.Params, want.Iter)
					}
					for k, scale := range []float64{1 / uw, 1 / uw / u[0] / u[1], 1 / uw / u[0] / u[1], 1 / uw / (u[0] * u[1]) / (u[0] * u[1])} {
						if c := want.Cov[k] * scale; math.Abs(got.Cov[k]/c-1) > 1e-12 {
							t.Errorf("%s, units %v: covariance %d is %v, want %v", name, u, k, got.Cov[k], c)
						}
					}
				}
			}
		}
	}
}
