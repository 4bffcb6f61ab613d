// Package root finds the zero of a continuous function of one variable in a
// bracket.
package root

import (
	"errors"
	"math"
)

// ErrBracket says that the function has the same sign at both ends, or is not a
// number there.
var ErrBracket = errors.New("root: no change of sign between the ends")

// Find returns x in [a, b] with f(x) = 0 to about the spacing of the numbers
// there, by Brent's method (R. P. Brent, Algorithms for Minimization without
// Derivatives, 1973, chapter 4). f must be continuous and change sign.
func Find(f func(float64) float64, a, b float64) (float64, error) { return Within(f, a, b, 0) }

// Within is [Find] where to be within tolerance of the zero is enough.
func Within(f func(float64) float64, a, b, tolerance float64) (float64, error) {
	fa, fb := f(a), f(b)
	switch {
	case fa == 0:
		return a, nil
	case fb == 0:
		return b, nil
	case fa != fa || fb != fb || sameSign(fa, fb):
		return math.NaN(), ErrBracket
	}
	c, fc := a, fa
	d := b - a
	e := d
	for range 200 {
		if sameSign(fb, fc) {
			c, fc, d = a, fa, b-a
			e = d
		}
		if math.Abs(fc) < math.Abs(fb) {
			a, b, c = b, c, b
			fa, fb, fc = fb, fc, fb
		}
		tol := 2.3e-16*math.Abs(b) + tolerance/2
		m := (c - b) / 2
		if math.Abs(m) <= tol || fb == 0 {
			return b, nil
		}
		if math.Abs(e) < tol || math.Abs(fa) <= math.Abs(fb) {
			d, e = m, m
		} else {
			s := fb / fa
			var p, q float64
			if a == c { // secant
				p, q = 2*m*s, 1-s
			} else { // inverse quadratic
				u, v := fa/fc, fb/fc
				p = s * (2*m*u*(u-v) - (b-a)*(v-1))
				q = (u - 1) * (v - 1) * (s - 1)
			}
			if p > 0 {
				q = -q
			}
			p = math.Abs(p)
			if 2*p < min(3*m*q-math.Abs(tol*q), math.Abs(e*q)) {
				e, d = d, p/q
			} else {
				d, e = m, m
			}
		}
		a, fa = b, fb
		if math.Abs(d) > tol {
			b += d
		} else {
			b += math.Copysign(tol, m)
		}
		fb = f(b)
	}
	return b, nil
}

// sameSign compares the signs themselves: a product of two small values may be 0.
func sameSign(a, b float64) bool { return math.Signbit(a) == math.Signbit(b) }

// Newton returns the zero of f in [a, b] once a step is no longer than tolerance, for a
// function that gives its slope too and is monotone there: by Newton's steps from
// start, and by halves where these leave the bracket. Without a change of sign it
// returns the end at which f is the nearer to 0, and false.
func Newton(f func(float64) (v, slope float64), a, b, start, tolerance float64) (x float64, ok bool) {
	fa, _ := f(a)
	fb, _ := f(b)
	switch {
	case fa == 0:
		return a, true
	case fb == 0:
		return b, true
	case fa != fa || fb != fb || sameSign(fa, fb):
		if math.Abs(fb) < math.Abs(fa) {
			return b, false
		}
		return a, false
	}
	x = start
	if !(x > a && x < b) {
		x = a + (b-a)/2
	}
	for range 100 {
		v, slope := f(x)
		if v == 0 {
			return x, true
		}
		if sameSign(v, fa) {
			a = x
		} else {
			b = x
		}
		next := x - v/slope
		if !(next > a && next < b) {
			next = a + (b-a)/2
		}
		if math.Abs(next-x) <= tolerance {
			return next, true
		}
		x = next
	}
	return x, true
}
