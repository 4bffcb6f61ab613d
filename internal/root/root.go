// Package root finds where a function of one variable crosses zero.
package root

import "math"

// Bracketed returns x between a and b with f(x) = 0 to the last digits, given
// f(a) = fa and f(b) = fb of opposite sign (or zero), by Brent's method.
//
// Special cases are: NaN when fa and fb have the same sign or either is NaN,
// or when f turns NaN on the way.
//
// Source: R. P. Brent, Algorithms for Minimization without Derivatives (1973)
// chapter 4.
func Bracketed(f func(float64) float64, a, b, fa, fb float64) float64 {
	switch {
	case math.IsNaN(fa) || math.IsNaN(fb):
		return math.NaN()
	case fa == 0:
		return a
	case fb == 0:
		return b
	case (fa > 0) == (fb > 0):
		return math.NaN()
	}
	c, fc := a, fa
	d := b - a
	e := d
	for range 200 {
		if (fb > 0) == (fc > 0) {
			c, fc = a, fa
			d = b - a
			e = d
		}
		if math.Abs(fc) < math.Abs(fb) {
			a, b, c = b, c, b
			fa, fb, fc = fb, fc, fb
		}
		tol := 2.3e-16*math.Abs(b) + 5e-324
		m := 0.5 * (c - b)
		if math.Abs(m) <= tol || fb == 0 {
			return b
		}
		if math.Abs(e) >= tol && math.Abs(fa) > math.Abs(fb) {
			var p, q float64
			s := fb / fa
			if a == c {
				p, q = 2*m*s, 1-s
			} else {
				t, r := fa/fc, fb/fc
				p = s * (2*m*t*(t-r) - (b-a)*(r-1))
				q = (t - 1) * (r - 1) * (s - 1)
			}
			if p > 0 {
				q = -q
			} else {
				p = -p
			}
			if 2*p < math.Min(3*m*q-math.Abs(tol*q), math.Abs(e*q)) {
				e, d = d, p/q
			} else {
				d, e = m, m
			}
		} else {
			d, e = m, m
		}
		a, fa = b, fb
		if math.Abs(d) > tol {
			b += d
		} else {
			b += math.Copysign(tol, m)
		}
		fb = f(b)
		if math.IsNaN(fb) {
			return math.NaN()
		}
	}
	return b
}
