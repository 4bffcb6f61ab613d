package reciprocity

import (
	"fmt"
	"math"

	"example.org/actinic/internal/check"
)

// Smooth is the astronomers' form of Schwarzschild's law, which fails little by
// little around one second instead of from an onset. The relative speed of the
// film after the actual time t in seconds is (t+1)^(p-1), so that
//
//	adjusted (adjusted + 1)^(p-1) = metered
//
// The time inside the bracket is the actual, not the metered one. For long
// times it runs into Power with p and an onset of one second.
//
// Source: the form is that of the encyclopedia article on reciprocity in
// photography, after Schwarzschild.
type Smooth struct {
	everywhere
	p float64
}

// NewSmooth returns the law with Schwarzschild's p.
//
// Errors: [ErrInput] unless 0 < p <= 1.
func NewSmooth(p float64) (Smooth, error) {
	if !(p > 0 && p <= 1) {
		return Smooth{}, check.Errorf(ErrInput, "exponent p of %v, want above 0 and at most 1", p)
	}
	return Smooth{p: p}, nil
}

// P is Schwarzschild's exponent.
func (l Smooth) P() float64 { return l.p }

// RelativeSpeed is (t+1)^(p-1) for the actual time t in seconds.
//
// Errors: [ErrInput].
func (l Smooth) RelativeSpeed(actual float64) (float64, error) {
	_, err := seconds(actual)
	return math.Exp((l.p - 1) * math.Log1p(actual)), err
}

// Adjusted solves the formula of [Smooth].
func (l Smooth) Adjusted(metered float64) (float64, error) {
	x, err := seconds(metered)
	if err != nil {
		return 0, err
	}
	v := newton(x, func(v float64) (float64, float64) {
		return v + (l.p-1)*softplus(v) - x, 1 + (l.p-1)*logistic(v)
	})
	return math.Exp(v), nil
}

// Metered is adjusted (adjusted + 1)^(p-1).
func (l Smooth) Metered(adjusted float64) (float64, error) {
	if _, err := seconds(adjusted); err != nil {
		return 0, err
	}
	return adjusted * math.Exp((l.p-1)*math.Log1p(adjusted)), nil
}

// Exponent is 1/(1 + (p-1) t/(1+t)) at the actual time t.
func (l Smooth) Exponent(metered float64) (float64, error) {
	t, err := l.Adjusted(metered)
	if err != nil {
		return 0, err
	}
	return 1 / (1 + (l.p-1)*(t/(1+t))), nil
}

func (l Smooth) String() string { return fmt.Sprintf("(t+1)^p law, p = %.4g", l.p) }

// softplus is ln(1 + e^v).
func softplus(v float64) float64 {
	if v > 0 {
		return v + math.Log1p(math.Exp(-v))
	}
	return math.Log1p(math.Exp(v))
}

// logistic is its derivative.
func logistic(v float64) float64 { return 1 / (1 + math.Exp(-v)) }
