// Package uncert carries uncertainty from inputs to a result: to first order
// with covariances, and by seeded Monte Carlo where the result bends.
//
// Sources: JCGM 100:2008 (GUM) clause 5; JCGM 101:2008. The tests are their
// worked examples.
package uncert

import (
	"math"
	"math/rand/v2"
	"slices"

	"example.org/actinic/internal/check"
)

// Variance is the first-order variance of a result with the sensitivities g to
// inputs of covariance cov, row by row:
//
//	u² = sum_ij g_i g_j cov_ij
//
// An input without influence (g = 0) does not count, even where its variance is
// not known (NaN). JCGM 100:2008, equation (13) and (16).
func Variance(g, cov []float64) float64 {
	n := len(g)
	var v float64
	for i, a := range g {
		if a == 0 {
			continue
		}
		for j, b := range g {
			if b != 0 {
				v += a * b * cov[i*n+j]
			}
		}
	}
	return v
}

// Diagonal is the covariance of independent inputs.
func Diagonal(sd ...float64) []float64 {
	n := len(sd)
	c := make([]float64, n*n)
	for i, s := range sd {
		c[i*n+i] = s * s
	}
	return c
}

// Sensitivities are the partial derivatives of f at x by central differences
// over a hundredth of each standard deviation; 0 for an input without one.
// x is used and restored.
func Sensitivities(f func(x []float64) float64, x, sd []float64) []float64 {
	g := make([]float64, len(x))
	for i := range x {
		h := sd[i] / 100
		if h == 0 {
			continue
		}
		at := x[i]
		hi, lo := at+h, at-h
		x[i] = hi
		a := f(x)
		x[i] = lo
		b := f(x)
		x[i] = at
		g[i] = (a - b) / (hi - lo)
	}
	return g
}

// Factor is the lower triangle L of a covariance, LL' = cov, with which
// [Factor.Draw] makes correlated normal numbers.
type Factor struct {
	n int
	l []float64
}

// NewFactor factors a covariance given row by row. It reports false where that
// is not positive semidefinite or not finite. Inputs of variance 0 stay fixed.
func NewFactor(cov []float64, n int) (Factor, bool) {
	if !check.Finite(cov...) {
		return Factor{}, false
	}
	f := Factor{n, make([]float64, n*n)}
	for j := range n {
		for k := 0; k <= j; k++ {
			s := cov[j*n+k]
			for m := range k {
				s -= f.l[j*n+m] * f.l[k*n+m]
			}
			switch {
			case j != k:
				if d := f.l[k*n+k]; d > 0 {
					f.l[j*n+k] = s / d
				} else if !(math.Abs(s) <= 1e-12*math.Sqrt(cov[j*n+j])*math.Sqrt(cov[k*n+k])) {
					return Factor{}, false
				}
			case !(s >= -1e-12*cov[j*n+j]):
				return Factor{}, false
			default:
				f.l[j*n+j] = math.Sqrt(math.Max(s, 0))
			}
		}
	}
	return f, true
}

// Draw fills out with one draw from the normal distribution with this
// covariance about the mean. scratch has the same length.
func (f Factor) Draw(r *rand.Rand, mean, out, scratch []float64) {
	for i := range f.n {
		scratch[i] = r.NormFloat64()
		s := mean[i]
		for k := 0; k <= i; k++ {
			s += f.l[i*f.n+k] * scratch[k]
		}
		out[i] = s
	}
}

// Sample is a sorted sample of a result.
type Sample []float64

// MonteCarlo draws n values of a result. The same seed gives the same sample.
// draw may return +Inf or -Inf, for a result beyond all bounds, but a sample
// with a NaN is empty.
func MonteCarlo(seed uint64, n int, draw func(r *rand.Rand) float64) Sample {
	r := rand.New(rand.NewPCG(seed, 0x61637469))
	s := make(Sample, n)
	for i := range s {
		s[i] = draw(r)
		if math.IsNaN(s[i]) {
			return nil
		}
	}
	slices.Sort(s)
	return s
}

// Mean is the mean, NaN for an empty sample.
func (s Sample) Mean() float64 {
	var m float64
	for _, v := range s {
		m += v
	}
	return m / float64(len(s))
}

// SD is the standard deviation.
func (s Sample) SD() float64 {
	m := s.Mean()
	var q float64
	for _, v := range s {
		q += (v - m) * (v - m)
	}
	return math.Sqrt(q / float64(len(s)-1))
}

// Interval is the probabilistically symmetric coverage interval: a share
// (1-p)/2 of the sample lies on either side (JCGM 101:2008, 7.7.2).
func (s Sample) Interval(p float64) (low, high float64) {
	n := len(s)
	if n == 0 {
		return math.NaN(), math.NaN()
	}
	q := int(math.Round(p * float64(n)))
	r := (n - q) / 2
	return s[min(r, n-1)], s[min(r+q, n-1)]
}

// Shortest is the shortest coverage interval (JCGM 101:2008, 7.7.4). Its ends
// are noisy.
func (s Sample) Shortest(p float64) (low, high float64) {
	n := len(s)
	wide := math.Round(p * float64(n))
	if !(wide >= 0 && wide < float64(n)) {
		return math.NaN(), math.NaN()
	}
	q, at := int(wide), 0
	for i := 1; i+q < n; i++ {
		if s[i+q]-s[i] < s[at+q]-s[at] {
			at = i
		}
	}
	return s[at], s[at+q]
}
