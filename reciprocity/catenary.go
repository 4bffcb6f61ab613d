package reciprocity

import (
	"fmt"
	"math"

	"example.org/actinic/internal/check"
)

// Catenary is the law of Kron and Halm, which covers both ends: a film works
// best at one intensity, and needs more exposure above and below it,
//
//	I t = H0 ½ [(I/I0)^a + (I/I0)^-a]
//
// In times, with the optimum at the metered time t0 = H0/I0,
//
//	K(t) = ½ [(t/t0)^a + (t/t0)^-a] = cosh(a ln(t/t0))
//	adjusted = metered K(metered) / K(reference)
//
// The reference is the metered time at which the law is to say nothing: a film
// speed was measured there, and without it every exposure would gain a
// constant. The local exponent is
//
//	1 + a tanh(a ln(metered/t0))
//
// from 1 - a at very short to 1 + a at very long times, so that Schwarzschild's
// p runs to 1/(1+a) < 1 in weak light, and to 1/(1-a) > 1 in strong: Kron's
// printed limits. Below about 1e-5 s the failure of real films levels off, and
// the law is an extrapolation. a was fixed over the densities of one emulsion,
// while I0 depends on emulsion, temperature and development, and its unit on
// the author (Kron: metre-Hefner-candles).
//
// Sources: E. Kron, Jahrbuch für Photographie 28 (1914) 6-10; the catenary form
// (J. Halm 1915) from memory.
type Catenary struct {
	everywhere
	a, t0, ref float64
	u, k       float64 // ln t0, ln K(ref)
}

// NewCatenary returns the law with its constant a, the optimum time and the
// reference time, in seconds.
//
// Errors: [ErrInput] unless 0 <= a < 1 and the times are positive.
func NewCatenary(a, optimum, reference float64) (Catenary, error) {
	u, err := seconds(optimum)
	if err != nil {
		return Catenary{}, err
	}
	r, err := seconds(reference)
	if err != nil {
		return Catenary{}, err
	}
	if !(a >= 0 && a < 1) {
		return Catenary{}, check.Errorf(ErrInput, "catenary constant a of %v, want from 0 to below 1", a)
	}
	return Catenary{a: a, t0: optimum, ref: reference, u: u, k: lnCosh(a * (r - u))}, nil
}

// A is the constant a.
func (l Catenary) A() float64 { return l.a }

// Optimum is the metered time of least failure, in seconds.
func (l Catenary) Optimum() float64 { return l.t0 }

// Adjusted is the formula of [Catenary].
func (l Catenary) Adjusted(metered float64) (float64, error) {
	v, err := seconds(metered)
	if err != nil {
		return 0, err
	}
	return metered * math.Exp(lnCosh(l.a*(v-l.u))-l.k), nil
}

// Metered is the inverse.
func (l Catenary) Metered(adjusted float64) (float64, error) {
	y, err := seconds(adjusted)
	if err != nil {
		return 0, err
	}
	v := newton(y+l.k, func(v float64) (float64, float64) {
		z := l.a * (v - l.u)
		return v + lnCosh(z) - l.k - y, 1 + l.a*math.Tanh(z)
	})
	return math.Exp(v), nil
}

// Exponent is 1 + a tanh(a ln(metered/t0)).
func (l Catenary) Exponent(metered float64) (float64, error) {
	v, err := seconds(metered)
	if err != nil {
		return 0, err
	}
	return 1 + l.a*math.Tanh(l.a*(v-l.u)), nil
}

func (l Catenary) String() string {
	return fmt.Sprintf("catenary, a = %.4g, optimum %.4g s, reference %.4g s", l.a, l.t0, l.ref)
}

// lnCosh is ln cosh z without overflow.
func lnCosh(z float64) float64 {
	z = math.Abs(z)
	if z < 0.5 { // ln cosh z = ½ ln(1 + sinh² z), exact for small z
		s := math.Sinh(z)
		return 0.5 * math.Log1p(s*s)
	}
	return z + math.Log1p(math.Exp(-2*z)) - math.Ln2
}

// Hyperbola is Kron's own form of the same two-ended law,
//
//	K(t) = 10^(a (sqrt(x² + 1) - 1)),   x = log10(t/t0)
//	adjusted = metered K(metered) / K(reference)
//
// with the same limits as [Catenary] and a rounder bottom. Which of the two
// forms Kron's published constants belong to is from memory: this one.
type Hyperbola struct {
	everywhere
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
	v, err := seconds(metered)
	if err != nil {
		return 0, err
	}
	k, _ := l.lnK(v)
	return metered * math.Exp(k-l.k), nil
}

// Metered is the inverse.
func (l Hyperbola) Metered(adjusted float64) (float64, error) {
	y, err := seconds(adjusted)
	if err != nil {
		return 0, err
	}
	v := newton(y+l.k, func(v float64) (float64, float64) {
		k, s := l.lnK(v)
		return v + k - l.k - y, 1 + s
	})
	return math.Exp(v), nil
}

// Exponent is 1 + a x/sqrt(x² + 1).
func (l Hyperbola) Exponent(metered float64) (float64, error) {
	v, err := seconds(metered)
	if err != nil {
		return 0, err
	}
	_, s := l.lnK(v)
	return 1 + s, nil
}

func (l Hyperbola) String() string {
	return fmt.Sprintf("Kron's hyperbola, a = %.4g, optimum %.4g s, reference %.4g s", l.a, l.t0, l.ref)
}
