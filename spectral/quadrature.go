package spectral

import (
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/floats"

	"example.org/actinic/internal/check"
)

// A Quadrature integrates spectra that share one grid against a fixed weight. The
// weight is a product of spectra on grids of their own:
//
//	∫ w1 w2 ... f dλ = Σ a_j f(λ_j)
//
// For f piecewise linear with knots λ_j the sum is the exact integral, whatever
// the knots of the weights: a_j is the integral of the weight times the hat
// function that is 1 at λ_j and 0 at the neighbouring knots. The knots are
// merged once, when the rule is made; each evaluation is one dot product and
// allocates nothing.
//
// Source: worked out here; products of straight lines are integrated as the polynomials
// that they are.
type Quadrature struct {
	nm, a []float64
	total float64
}

// NewQuadrature prepares the integral of functions with knots nm, in nm, against the
// product of the weights. The choice of what such a function is outside its
// knots goes into the rule: with [Zero] nothing, with [Hold] the end value,
// with [Refuse] an error that wraps [ErrOutside] if a weight is not zero there.
// Weights that all hold their end values for ever are bounded by the grid, or, with
// Hold, by nothing, which is an error; see [Integral].
func NewQuadrature(nm []float64, outside Outside, weights ...Spectrum) (Quadrature, error) {
	if err := checkGrid(nm); err != nil {
		return Quadrature{}, err
	}
	first, last := nm[0], nm[len(nm)-1]
	lo, hi := first, last
	if outside == Hold || !allHeld(weights) {
		var err error
		if lo, hi, err = span(weights); err != nil {
			return Quadrature{}, err
		}
	}
	if !(first < hi && last > lo) {
		return Quadrature{}, fmt.Errorf("%w: the grid has %g to %g nm, the weights %g to %g nm", ErrDisjoint, first, last, lo, hi)
	}
	switch outside {
	case Hold:
	case Zero:
		lo, hi = max(lo, first), min(hi, last)
	default:
		if !(first <= lo && last >= hi) {
			return Quadrature{}, fmt.Errorf("%w: the grid has %g to %g nm, the weights %g to %g nm: "+
				"choose Zero or Hold, or bring more data", ErrOutside, first, last, lo, hi)
		}
	}
	r := Quadrature{nm: slices.Clone(nm), a: make([]float64, len(nm))}
	segments(weights, nm, 1, lo, hi, func(j int, l, wp float64) {
		switch j {
		case 0:
			r.a[0] += wp
		case len(nm):
			r.a[j-1] += wp
		default:
			t := (l - nm[j-1]) / (nm[j] - nm[j-1])
			r.a[j-1] += wp * (1 - t)
			r.a[j] += wp * t
		}
		r.total += wp
	})
	if !check.Finite(r.total) {
		return Quadrature{}, invalid("the weights overflow, scale the spectra")
	}
	return r, nil
}

// allHeld reports whether every spectrum holds its end values, and there are some.
func allHeld(s []Spectrum) bool {
	for _, p := range s {
		if p.out != Hold || len(p.nm) == 0 {
			return false
		}
	}
	return len(s) > 0
}

// Integrate returns Σ a_j f_j for the values of f at the knots of the rule. It
// allocates nothing. The number of values must be [Quadrature.Len]; a value that is
// not finite makes the result an error, not a number.
func (r Quadrature) Integrate(values []float64) (float64, error) {
	if len(values) != len(r.a) || len(r.a) == 0 {
		return 0, r.lengthError(len(values))
	}
	sum := floats.Dot(r.a, values)
	if math.IsNaN(sum) || math.IsInf(sum, 0) {
		return 0, errNotFinite
	}
	return sum, nil
}

// Mean returns the weighted mean of f, Σ a_j f_j / Σ a_j, as Integrate does.
// With Zero outside the grid the weight there is not counted.
func (r Quadrature) Mean(values []float64) (float64, error) {
	sum, err := r.Integrate(values)
	if err != nil {
		return 0, err
	}
	if r.total == 0 {
		return 0, errNoWeight
	}
	return sum / r.total, nil
}

var (
	errNotFinite = invalid("a value is not finite")
	errNoWeight  = invalid("the weight integrates to 0, there is nothing to divide by")
)

func (r Quadrature) lengthError(n int) error {
	if len(r.a) == 0 {
		return invalid("the rule is empty, make it with NewQuadrature")
	}
	return invalid("%d values for a rule of %d knots", n, len(r.a))
}

// Total returns Σ a_j, the integral of the weight over the range of the rule.
func (r Quadrature) Total() float64 { return r.total }

// Len returns the number of knots.
func (r Quadrature) Len() int { return len(r.a) }

// Wavelengths returns a copy of the knots in nm.
func (r Quadrature) Wavelengths() []float64 { return slices.Clone(r.nm) }

// Weights returns a copy of the a_j, for those who have millions of spectra and
// want one matrix product.
func (r Quadrature) Weights() []float64 { return slices.Clone(r.a) }
