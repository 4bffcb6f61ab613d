package reciprocity

import (
	"fmt"
	"math"
)

// Hyperbola is Kron's own form of the same two-ended law,
//
//	K(t) = 10^(a (sqrt(x² + 1) - 1)),   x = log10(t/t0)
//	adjusted = metered K(metered) / K(reference)
//
// with the same limits as [Catenary] and a rounder bottom. Which of the two
// forms Kron's published constants belong to is from memory: this one.
type Hyperbola struct {
	domain
	a, t0, ref float64
	u, k       float64
}

// NewHyperbola is like [NewCatenary].
func NewHyperbola(a, optimum, reference float64) (Hyperbola, error) {
	c, err := NewCatenary(a, optimum, reference)
	if err != nil {
		return Hyperbola{}, err
	}
	h := Hyperbola{a: a, t0: optimum, ref: reference, u: c.u}
	h.k, _ = h.lnK(math.Log(reference))
	return h, nil
}

func (l Hyperbola) lnK(v float64) (k, slope float64) {
	x := (v - l.u) / math.Ln10
	r := math.Hypot(x, 1)
	return l.a * math.Ln10 * (x * x / (r + 1)), l.a * x / r
}

// Adjusted is the formula of [Hyperbola].
func (l Hyperbola) Adjusted(metered float64) (float64, error) {
	if l.t0 == 0 {
		return 0, unmade("NewHyperbola")
	}
	v, err := seconds(metered)
	if err != nil {
		return 0, err
	}
	k, _ := l.lnK(v)
	return measurable(metered * math.Exp(k-l.k))
}

// Metered is the inverse.
func (l Hyperbola) Metered(adjusted float64) (float64, error) {
	if l.t0 == 0 {
		return 0, unmade("NewHyperbola")
	}
	y, err := seconds(adjusted)
	if err != nil {
		return 0, err
	}
	v := newton(y+l.k, func(v float64) (float64, float64) {
		k, s := l.lnK(v)
		return v + k - l.k - y, 1 + s
	})
	return measurable(math.Exp(v))
}

// Exponent is 1 + a x/sqrt(x² + 1).
func (l Hyperbola) Exponent(metered float64) (float64, error) {
	if l.t0 == 0 {
		return 0, unmade("NewHyperbola")
	}
	v, err := seconds(metered)
	if err != nil {
		return 0, err
	}
	_, s := l.lnK(v)
	return 1 + s, nil
}

// String is the law for people, with its constants and the times it holds for.
func (l Hyperbola) String() string {
	return fmt.Sprintf("Kron's hyperbola, a = %.4g, optimum %.4g s, reference %.4g s", l.a, l.t0, l.ref) + l.text()
}

func (l Hyperbola) within(d domain) Law { l.domain = d; return l }

// MarshalText is the law as data, "hyperbola a=0.2 optimum_s=0.1 reference_s=0.1",
// see [ParseLaw].
//
// Errors: [ErrInput] for the zero law.
func (l Hyperbola) MarshalText() ([]byte, error) { return marshalLaw(l) }

// UnmarshalText reads what MarshalText writes.
func (l *Hyperbola) UnmarshalText(text []byte) error { return unmarshalLaw(text, l) }

// hyperbolaForm is Hyperbola as data. It is not fitted: the catenary has the same
// limits and is as good.
type hyperbolaForm struct{}

func (hyperbolaForm) info() FormInfo {
	return FormInfo{Law: "hyperbola",
		Formula:   "t K(t)/K(reference_s), K = 10^(a (sqrt(x^2 + 1) - 1)), x = log10(t/optimum_s)",
		Constants: twoEnded()}
}

func (hyperbolaForm) read(l Law) (v values, rows []Reading, ok bool) {
	h, ok := l.(Hyperbola)
	return values{"a": h.a, "optimum_s": h.t0, "reference_s": h.ref}, nil, ok
}

func (hyperbolaForm) make(v values, _ []Reading) (Law, error) {
	return NewHyperbola(v["a"], v["optimum_s"], v["reference_s"])
}
