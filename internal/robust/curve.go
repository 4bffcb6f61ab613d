package robust

import "math"

// Curve is values along a smooth curve that follows no law: normal, with a covariance K
// that says how the curve may run and how well a value keeps to it. Make one by [NewCurve],
// fill the lower triangle of K and Y, and [Curve.Invert]; it may be used again and again.
//
// The inverse gives what the others say of one value, and the likelihoods without one or
// two of them, in closed form (C. E. Rasmussen and C. K. I. Williams, Gaussian Processes for
// Machine Learning, 2006, section 5.4.2, for leaving one out; from memory).
type Curve struct {
	N      int
	K      []float64 // row by row; spoilt by Invert
	Y      []float64
	LogDet float64

	inv, l, b []float64
}

// NewCurve makes room for n values.
func NewCurve(n int) *Curve {
	return &Curve{N: n, K: make([]float64, n*n), inv: make([]float64, n*n), l: make([]float64, n*n), Y: make([]float64, n),
		b: make([]float64, n)}
}

// Wiener is the covariance of an integrated Wiener process of bending a at distances u and
// v from its start, with a level of standard deviation 0.5 and a slope of 0.25:
//
//	0.25 + 0.0625 u v + a² v²(3u - v)/6,  v <= u
func Wiener(u, v, a float64) float64 {
	return 0.25 + Begun(u, v, 0.25, a)
}

// Begun is the covariance of an integrated Wiener process that begins at nothing with a slope of
// standard deviation knee:
//
//	knee² u v + a² v²(3u - v)/6,  v <= u
func Begun(u, v, knee, a float64) float64 {
	if v > u {
		u, v = v, u
	}
	return knee*knee*u*v + a*a*v*v*(3*u-v)/6
}

// Invert takes K apart (Cholesky) and sets what the other methods need. It is false where
// K is not positive.
func (c *Curve) Invert() bool {
	n, l := c.N, c.l
	c.LogDet = 0
	for i := range n {
		for k := range i + 1 {
			v := c.K[i*n+k]
			for j := range k {
				v -= l[i*n+j] * l[k*n+j]
			}
			if i != k {
				l[i*n+k] = v / l[k*n+k]
				continue
			}
			if !(v > 0) {
				return false
			}
			l[i*n+i] = math.Sqrt(v)
			c.LogDet += math.Log(v)
		}
	}
	c.multiply()
	for i := range n {
		c.b[i] = 0
		for k := range n {
			c.b[i] += c.inv[i*n+k] * c.Y[k]
		}
	}
	return true
}

// multiply sets inv from l, with its inverse in the room of K.
func (c *Curve) multiply() {
	n, l, li := c.N, c.l, c.K
	for i := range n {
		li[i*n+i] = 1 / l[i*n+i]
		for k := range i {
			v := 0.0
			for j := k; j < i; j++ {
				v -= l[i*n+j] * li[j*n+k]
			}
			li[i*n+k] = v / l[i*n+i]
		}
	}
	for i := range n {
		for k := range i + 1 {
			v := 0.0
			for j := i; j < n; j++ {
				v += li[j*n+i] * li[j*n+k]
			}
			c.inv[i*n+k], c.inv[k*n+i] = v, v
		}
	}
}

// LogLikelihood is that of all values.
func (c *Curve) LogLikelihood() float64 {
	l := -0.5*c.LogDet - 0.5*float64(c.N)*math.Log(2*math.Pi)
	for i, y := range c.Y {
		l -= 0.5 * y * c.b[i]
	}
	return l
}

// Without says what the others imply for a value: its mean and variance, and the logarithm
// of the density of the value there.
func (c *Curve) Without(i int) (mean, variance, logDensity float64) {
	cii := c.inv[i*c.N+i]
	return c.Y[i] - c.b[i]/cii, 1 / cii, -0.5*c.b[i]*c.b[i]/cii + 0.5*math.Log(cii) - 0.5*math.Log(2*math.Pi)
}

// WithoutTwo is the logarithm of the density of two values by the others; ok is false where
// they cannot be told apart.
func (c *Curve) WithoutTwo(i, k int) (logDensity float64, ok bool) {
	n := c.N
	cii, ckk, cik := c.inv[i*n+i], c.inv[k*n+k], c.inv[i*n+k]
	det := cii*ckk - cik*cik
	if !(det > 0) {
		return 0, false
	}
	bi, bk := c.b[i], c.b[k]
	return -0.5*(ckk*bi*bi-2*cik*bi*bk+cii*bk*bk)/det + 0.5*math.Log(det) - math.Log(2*math.Pi), true
}
