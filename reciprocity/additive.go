package reciprocity

import (
	"fmt"
	"math"

	"example.org/actinic/internal/check"
)

// BondExponent is the exponent that served the five films of Bond's
// measurements in Gainer's fit.
const BondExponent = 1.62

// Additive is the law that adds a power of the metered time to it,
//
//	adjusted = metered + a metered^b
//
// a is the correction at one second in seconds. There is no onset, and with b
// known one test exposure gives a. The local exponent runs toward b, which is
// p = 0.617 for b = 1.62, so the law should not be carried far past 1000 s.
//
// Source: P. Gainer's fit, with b = 1.62 and a from 0.046 to 0.169, to
// measurements by H. Bond published in 2003.
type Additive struct {
	everywhere
	a, b float64
}

// NewAdditive returns the law.
//
// Errors: [ErrInput] unless a >= 0 and b >= 1.
func NewAdditive(a, b float64) (Additive, error) {
	if !(a >= 0) || math.IsInf(a, 0) || !(b >= 1) || math.IsInf(b, 0) {
		return Additive{}, check.Errorf(ErrInput, "additive law with a = %v, b = %v; want a >= 0 and b >= 1", a, b)
	}
	return Additive{a: a, b: b}, nil
}

// AdditiveFrom returns the law through one test exposure, a metered and an
// adjusted time in seconds, for a known exponent b:
//
//	a = (adjusted - metered) / metered^b
//
// Errors: [ErrInput].
func AdditiveFrom(metered, adjusted, b float64) (Additive, error) {
	if _, err := seconds(metered); err != nil {
		return Additive{}, err
	}
	if !(adjusted >= metered) {
		return Additive{}, check.Errorf(ErrInput, "adjusted time %v s below the metered %v s", adjusted, metered)
	}
	return NewAdditive((adjusted-metered)/math.Pow(metered, b), b)
}

// A is the correction at one second.
func (l Additive) A() float64 { return l.a }

// B is the exponent.
func (l Additive) B() float64 { return l.b }

// Adjusted is the formula of [Additive].
func (l Additive) Adjusted(metered float64) (float64, error) {
	if _, err := seconds(metered); err != nil {
		return 0, err
	}
	t := metered + l.a*math.Pow(metered, l.b)
	if math.IsInf(t, 0) {
		return 0, check.Errorf(ErrOutside, "metered time of %v s", metered)
	}
	return t, nil
}

// Metered is the inverse.
func (l Additive) Metered(adjusted float64) (float64, error) {
	y, err := seconds(adjusted)
	if err != nil || l.a == 0 {
		return adjusted, err
	}
	la := math.Log(l.a)
	v := newton(y, func(v float64) (float64, float64) {
		u := la + (l.b-1)*v
		return v + softplus(u) - y, 1 + (l.b-1)*logistic(u)
	})
	return math.Exp(v), nil
}

// Exponent is (1 + a b t^(b-1)) / (1 + a t^(b-1)).
func (l Additive) Exponent(metered float64) (float64, error) {
	v, err := seconds(metered)
	if err != nil || l.a == 0 {
		return 1, err
	}
	return 1 + (l.b-1)*logistic(math.Log(l.a)+(l.b-1)*v), nil
}

func (l Additive) String() string {
	return fmt.Sprintf("additive law, t + %.4g t^%.4g", l.a, l.b)
}
