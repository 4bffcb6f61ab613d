package uncert

import (
	"math"
	"math/rand/v2"
	"testing"
)

func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s: got %.8g, want %.8g within %.2g", what, got, want, tol)
	}
}

// JCGM 100:2008, H.1: end-gauge calibration, in nm. First order 32 nm, with the
// second-order terms 34 nm (H.1.7); U99 = 2.92 u = 93 nm.
func TestEndGauge(t *testing.T) {
	// length of the standard, difference, difference of expansion, deviation
	// of temperature, expansion, difference of temperature
	x := []float64{50000623, 215, 0, -.1, 11.5e-6, 0}
	sd := []float64{25, 9.7, .58e-6, .41, 1.2e-6, .029}
	f := func(x []float64) float64 {
		return x[0] + x[1] - x[0]*(x[2]*x[3]+x[4]*x[5])
	}
	u := math.Sqrt(Variance(Sensitivities(f, x, sd), Diagonal(sd...)))
	near(t, "first order, printed", u, 32, .5)
	near(t, "first order, computed", u, 31.7106, 5e-5)
	const t99 = 2.920782 // Student's t for 99 % and 16 degrees of freedom
	near(t, "U99, printed", t99*u, 93, .5)
	near(t, "U99, computed", t99*u, 92.6198, 5e-4)

	fac, ok := NewFactor(Diagonal(sd...), 6)
	if !ok {
		t.Fatal("no factor")
	}
	out, tmp := make([]float64, 6), make([]float64, 6)
	s := MonteCarlo(1, 200000, func(r *rand.Rand) float64 {
		fac.Draw(r, x, out, tmp)
		return f(out)
	})
	near(t, "all orders, printed", s.SD(), 34, .5)
	near(t, "all orders, computed", s.SD(), 33.9111, .16) // three standard errors of the sample
	if x[0] != 50000623 || x[5] != 0 {
		t.Error("the inputs were changed")
	}
}

// JCGM 100:2008, H.2, Table H.2: resistance, reactance and impedance from five
// simultaneous readings of voltage, current and phase. Results computed from
// the table; ignoring the correlation is the classic trap.
func TestImpedance(t *testing.T) {
	v := []float64{5.007, 4.994, 5.005, 4.990, 4.999}
	i := []float64{.019663, .019639, .019640, .019685, .019678}
	p := []float64{1.0456, 1.0438, 1.0468, 1.0428, 1.0433}
	in := [][]float64{v, i, p}
	mean, cov := make([]float64, 3), make([]float64, 9)
	for k, c := range in {
		for _, x := range c {
			mean[k] += x / 5
		}
	}
	for a := range in {
		for b := range in {
			for k := range 5 {
				cov[a*3+b] += (in[a][k] - mean[a]) * (in[b][k] - mean[b]) / 20
			}
		}
	}
	sd := []float64{math.Sqrt(cov[0]), math.Sqrt(cov[4]), math.Sqrt(cov[8])}
	near(t, "V", mean[0], 4.999, 5e-13)
	near(t, "u(V)", sd[0], .0032093613, 5e-11)
	near(t, "u(I)", sd[1], 9.47100839e-6, 5e-15)
	near(t, "u(phi)", sd[2], 7.52063827e-4, 5e-13)
	near(t, "r(V,I)", cov[1]/sd[0]/sd[1], -.3553, 5e-5)
	near(t, "r(V,phi)", cov[2]/sd[0]/sd[2], .8576, 5e-5)
	near(t, "r(I,phi)", cov[5]/sd[1]/sd[2], -.6451, 5e-5)

	fs := []func(x []float64) float64{
		func(x []float64) float64 { return x[0] / x[1] * math.Cos(x[2]) },
		func(x []float64) float64 { return x[0] / x[1] * math.Sin(x[2]) },
		func(x []float64) float64 { return x[0] / x[1] },
	}
	g := make([][]float64, 3)
	u := make([]float64, 3)
	for k, c := range []struct{ y, u, apart float64 }{
		{127.73217, .0710714, .19454}, {219.84651, .2955817, .20091}, {254.25970, .2363361, .20408},
	} {
		near(t, "value", fs[k](mean), c.y, 5e-6)
		g[k] = Sensitivities(fs[k], mean, sd)
		u[k] = math.Sqrt(Variance(g[k], cov))
		near(t, "u", u[k], c.u, 5e-7)
		near(t, "u without correlation", math.Sqrt(Variance(g[k], Diagonal(sd...))), c.apart, 5e-6)
	}
	for _, c := range []struct {
		a, b int
		r    float64
	}{{0, 1, -.58843}, {0, 2, -.48526}, {1, 2, .99251}} {
		var s float64
		for i := range 3 {
			for j := range 3 {
				s += g[c.a][i] * g[c.b][j] * cov[i*3+j]
			}
		}
		near(t, "r of the results", s/u[c.a]/u[c.b], c.r, 5e-6)
	}
	// Correlated draws have the covariance they were made for.
	fac, ok := NewFactor(cov, 3)
	if !ok {
		t.Fatal("no factor")
	}
	out, tmp := make([]float64, 3), make([]float64, 3)
	s := MonteCarlo(2, 100000, func(r *rand.Rand) float64 {
		fac.Draw(r, mean, out, tmp)
		return fs[0](out)
	})
	near(t, "u(R) by Monte Carlo", s.SD(), .0710714, .0005)
}

// JCGM 101:2008, 9.2: the sum of four inputs of unit variance. Normal: 95 %
// within 3.92; rectangular: within 3.88; one rectangular input ten times as
// wide: u 10.1, 17.0 by Monte Carlo where the normal formula has 19.9.
func TestAdditiveModel(t *testing.T) {
	const n = 200000
	rect := func(r *rand.Rand, sd float64) float64 { return sd * math.Sqrt(12) * (r.Float64() - .5) }
	for _, c := range []struct {
		name         string
		draw         func(r *rand.Rand) float64
		u, half, tol float64
	}{
		{"normal", func(r *rand.Rand) float64 {
			return r.NormFloat64() + r.NormFloat64() + r.NormFloat64() + r.NormFloat64()
		}, 2, 3.919928, .03},
		{"rectangular", func(r *rand.Rand) float64 { return rect(r, 1) + rect(r, 1) + rect(r, 1) + rect(r, 1) }, 2, 3.879407, .03},
		{"one wide", func(r *rand.Rand) float64 { return rect(r, 1) + rect(r, 1) + rect(r, 1) + rect(r, 10) }, 10.149, 17.0, .1},
	} {
		s := MonteCarlo(3, n, c.draw)
		near(t, c.name+": mean", s.Mean(), 0, 4*c.u/math.Sqrt(n))
		near(t, c.name+": u", s.SD(), c.u, 3*c.u/math.Sqrt(2*n))
		lo, hi := s.Interval(.95)
		near(t, c.name+": high", hi, c.half, c.tol)
		near(t, c.name+": low", lo, -c.half, c.tol)
	}
	near(t, "first order", math.Sqrt(Variance([]float64{1, 1, 1, 1}, Diagonal(1, 1, 1, 1))), 2, 1e-15)
	near(t, "first order, one wide", 1.959964*math.Sqrt(Variance([]float64{1, 1, 1, 1}, Diagonal(1, 1, 1, 10))), 19.891461, 5e-6)
}

// JCGM 101:2008, 9.3: mass calibration, in mg over the nominal 100 g. Monte
// Carlo has 1.2340, u 0.0754, shortest interval [1.0834, 1.3825]; first order
// u 0.0539 and [1.1285, 1.3395], for the sensitivities vanish at the mean.
func TestMassCalibration(t *testing.T) {
	f := func(x []float64) float64 {
		return (x[0]+x[1])*(1+(x[2]-1.2)*(1/x[3]-1/x[4])) - 100000
	}
	mean := []float64{100000, 1.234, 1.2, 8000, 8000}
	sd := []float64{.05, .02, .1 / math.Sqrt(3), 1000 / math.Sqrt(3), 50 / math.Sqrt(3)}
	u := math.Sqrt(Variance(Sensitivities(f, mean, sd), Diagonal(sd...)))
	near(t, "first order u", u, .0538516, 5e-7)
	near(t, "first order low", 1.234-1.959964*u, 1.1284527, 5e-6)
	near(t, "first order high", 1.234+1.959964*u, 1.3395473, 5e-6)
	x := make([]float64, 5)
	s := MonteCarlo(4, 400000, func(r *rand.Rand) float64 {
		x[0] = 100000 + .05*r.NormFloat64()
		x[1] = 1.234 + .02*r.NormFloat64()
		x[2] = 1.1 + .2*r.Float64()
		x[3] = 7000 + 2000*r.Float64()
		x[4] = 7950 + 100*r.Float64()
		return f(x)
	})
	near(t, "mean", s.Mean(), 1.2340, .0005)
	near(t, "u", s.SD(), .0754, .0004)
	lo, hi := s.Shortest(.95)
	near(t, "shortest, low", lo, 1.0834, .008) // the ends of a shortest interval are noisy
	near(t, "shortest, high", hi, 1.3825, .008)
	near(t, "shortest, length", hi-lo, 1.3825-1.0834, .002)
}

// JCGM 101:2008, 9.4: comparison loss y = x1² + x2² in microwave power meter
// calibration, both of sd 0.005. Moments exact; the shortest interval for
// x1 = 0 is [0, -2 sd² ln 0.05].
func TestComparisonLoss(t *testing.T) {
	const n = 200000
	for _, c := range []struct{ x1, mean, sd float64 }{{0, 50e-6, 50e-6}, {.010, 150e-6, 111.803e-6}, {.050, 2550e-6, 502.494e-6}} {
		s := MonteCarlo(5, n, func(r *rand.Rand) float64 {
			a, b := c.x1+.005*r.NormFloat64(), .005*r.NormFloat64()
			return a*a + b*b
		})
		near(t, "mean", s.Mean(), c.mean, 4*c.sd/math.Sqrt(n))
		near(t, "sd", s.SD(), c.sd, 8*c.sd/math.Sqrt(n))
		if c.x1 == 0 {
			lo, hi := s.Shortest(.95)
			near(t, "shortest, low", lo, 0, 1e-6)
			near(t, "shortest, high", hi, 149.787e-6, 2e-6)
		}
	}
}

func TestEdges(t *testing.T) {
	nan := math.NaN()
	if v := Variance([]float64{0, 2}, []float64{nan, nan, nan, 3}); v != 12 {
		t.Errorf("unknown variance of an input without influence: %v", v)
	}
	if v := Variance([]float64{1, 2}, []float64{nan, nan, nan, 3}); !math.IsNaN(v) {
		t.Errorf("unknown variance: %v", v)
	}
	for _, c := range [][]float64{{-1, 0, 0, 1}, {nan, 0, 0, 1}, {1, 2, 2, 1}, {0, 1, 1, 1}, {math.Inf(1), 0, 0, 1}} {
		if _, ok := NewFactor(c, 2); ok {
			t.Errorf("factor of %v", c)
		}
	}
	if _, ok := NewFactor([]float64{0, 0, 0, 1}, 2); !ok {
		t.Error("a fixed input is refused")
	}
	if _, ok := NewFactor([]float64{1, 1, 1, 1}, 2); !ok {
		t.Error("fully correlated inputs are refused")
	}
	s := MonteCarlo(1, 10, func(*rand.Rand) float64 { return nan })
	if lo, hi := s.Interval(.95); s != nil || !math.IsNaN(lo) || !math.IsNaN(hi) {
		t.Errorf("NaN draw: %v", s)
	}
	a := MonteCarlo(7, 100, (*rand.Rand).NormFloat64)
	b := MonteCarlo(7, 100, (*rand.Rand).NormFloat64)
	if a[0] != b[0] || a[99] != b[99] {
		t.Error("one seed, two samples")
	}
}

// The standard deviation of 1, 2, 4 by hand: mean 7/3, squares 16/9 + 1/9 + 25/9 over 2.
func TestSampleByHand(t *testing.T) {
	s := Sample{1, 2, 4}
	near(t, "mean", s.Mean(), 7.0/3, 1e-15)
	near(t, "standard deviation", s.SD(), math.Sqrt(7.0/3), 1e-15)
}
