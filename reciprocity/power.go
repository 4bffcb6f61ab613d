package reciprocity

import (
	"fmt"
	"math"
	"slices"

	"example.org/actinic/internal/check"
)

// The fits of [Power]: of p and the onset, and of p for an onset of one second.
const (
	KindPower   Kind = "power"
	KindPower1s Kind = "power onset_s=1"
)

// Power is Schwarzschild's law with an onset: no failure up to the onset t0,
// and beyond it
//
//	adjusted = t0 (metered/t0)^(1/p)
//
// which joins without a jump. (metered^(1/p) with an onset other than one
// second would jump there, and below one second would shorten the time.)
//
// The exponent p is below 1 and no constant of nature: it changes with
// intensity, time, emulsion, development and temperature (E. Kron 1913), so
// keep to the range of the test. It multiplies time; its inverse q = 1/p,
// which older books print, multiplies intensity.
//
// Source: K. Schwarzschild (1899), equal blackening where I t^p is equal, with
// p = 0.86 for his plates.
type Power struct {
	domain
	onset, p float64
}

// NewPower returns the law with an onset in seconds and Schwarzschild's p.
//
// Errors: [ErrInput] unless onset > 0 and 0 < p <= 1.
func NewPower(onset, p float64) (Power, error) {
	if _, err := seconds(onset); err != nil {
		return Power{}, err
	}
	if !(p > 0 && p <= 1) {
		return Power{}, check.Errorf(ErrInput,
			"exponent p of %v, want above 0 and at most 1; a value above 1 may be its inverse", p)
	}
	return Power{onset: onset, p: p}, nil
}

// Onset is the longest time in seconds that does not fail.
func (l Power) Onset() float64 { return l.onset }

// P is Schwarzschild's exponent.
func (l Power) P() float64 { return l.p }

// Adjusted is the formula of [Power].
func (l Power) Adjusted(metered float64) (float64, error) {
	if l.p == 0 {
		return 0, unmade("NewPower")
	}
	return branched(metered, l.onset, 1/l.p, true)
}

// Metered is the inverse, t0 (adjusted/t0)^p beyond the onset.
func (l Power) Metered(adjusted float64) (float64, error) {
	if l.p == 0 {
		return 0, unmade("NewPower")
	}
	return branched(adjusted, l.onset, l.p, true)
}

// Exponent is 1 up to the onset and 1/p beyond.
func (l Power) Exponent(metered float64) (float64, error) {
	if _, err := seconds(metered); err != nil {
		return 0, err
	}
	if l.p == 0 {
		return 0, unmade("NewPower")
	}
	if metered <= l.onset {
		return 1, nil
	}
	return 1 / l.p, nil
}

// String is the law for people, with its constants and the times it holds for.
func (l Power) String() string {
	return fmt.Sprintf("power law, p = %.4g from %.4g s", l.p, l.onset) + l.text()
}

func (l Power) within(d domain) Law { l.domain = d; return l }

// MarshalText is the law as data, "power onset_s=1 p=0.86", see [ParseLaw].
//
// Errors: [ErrInput] for the zero law.
func (l Power) MarshalText() ([]byte, error) { return marshalLaw(l) }

// UnmarshalText reads what MarshalText writes.
func (l *Power) UnmarshalText(text []byte) error { return unmarshalLaw(text, l) }

// powerForm is Power as data and, with p and onset to find, as a fit. Its working
// parameters are 1/p - 1 and ln onset.
type powerForm struct{}

func (powerForm) info() FormInfo {
	return FormInfo{Law: "power", Formula: "onset_s (t/onset_s)^(1/p) above onset_s",
		Constants: []ConstantInfo{onsetConstant, pConstant}}
}

func (powerForm) read(l Law) (v values, rows []Reading, ok bool) {
	p, ok := l.(Power)
	return values{"onset_s": p.onset, "p": p.p}, nil, ok
}

func (powerForm) make(v values, _ []Reading) (Law, error) { return NewPower(v["onset_s"], v["p"]) }

func (powerForm) names() []string { return []string{"p", "onset_s"} }

func (powerForm) public(th []float64) (v, slope []float64) {
	p, onset := 1/(1+th[0]), math.Exp(th[1])
	return []float64{p, onset}, []float64{-p * p, onset}
}

func (powerForm) model(th []float64, x float64, g []float64) (float64, bool) {
	return th[0] * hingeAt(x-th[1], th[0], g), th[0] >= 0
}

func (powerForm) law(th []float64) (Law, error) { return NewPower(math.Exp(th[1]), 1/(1+th[0])) }

func (powerForm) solve(d *data) (solution, error) {
	h := fitHinge(d.x, d.y, d.w, math.Inf(-1), math.Inf(1))
	if !(h.a > 0) {
		return solution{}, check.Errorf(ErrNoLaw, "no failure at long times")
	}
	return solution{[]float64{h.a, h.u}, slices.Clone(h.cov[:])}, nil
}

func (powerForm) nodes(d *data, at solution, like likelihood) []node {
	return gridNodes(d, powerForm{}.model, at, hingeBox(d.x), like)
}

// power1sForm is the fit of p for an onset of one second; it is linear in its
// working parameter 1/p - 1.
type power1sForm struct{ powerForm }

func (power1sForm) names() []string { return []string{"p"} }

func (power1sForm) public(th []float64) (v, slope []float64) {
	p := 1 / (1 + th[0])
	return []float64{p}, []float64{-p * p}
}

func (power1sForm) model(th []float64, x float64, g []float64) (float64, bool) {
	h := math.Max(x, 0)
	if g != nil {
		g[0] = h
	}
	return th[0] * h, th[0] >= 0
}

func (power1sForm) law(th []float64) (Law, error) { return NewPower(1, 1/(1+th[0])) }

func (power1sForm) solve(d *data) (solution, error) {
	var sxx, sxy float64
	for i, x := range d.x {
		if x > 0 {
			sxx += d.w[i] * x * x
			sxy += d.w[i] * x * d.y[i]
		}
	}
	if !(sxx > 0) || !(sxy > 0) {
		return solution{}, check.Errorf(ErrNoLaw, "no failure beyond 1 s")
	}
	return solution{[]float64{sxy / sxx}, []float64{1 / sxx}}, nil
}

func (power1sForm) nodes(d *data, at solution, like likelihood) []node {
	return gridNodes(d, power1sForm{}.model, at, []span{{0, 2}}, like)
}

// branched is onset (t/onset)^e beyond the onset, t before it.
func branched(t, onset, e float64, long bool) (float64, error) {
	if _, err := seconds(t); err != nil {
		return 0, err
	}
	if onset == 0 || (t > onset) != long || t == onset {
		return t, nil
	}
	return measurable(onset * math.Pow(t/onset, e))
}

// PFromMagnitudes is the p that astronomers quote as the gain of limiting
// magnitude when the exposure is lengthened by a ratio (usually 2.5):
//
//	p = gain / (2.5 log10 ratio)
//
// Reciprocity gains 0.99485 magnitudes for 2.5 times the exposure.
//
// Errors: [ErrInput] unless ratio > 1 and the gain is positive.
//
// Source: J. Scheiner, Die Photographie der Gestirne (1897) 246-249.
func PFromMagnitudes(gain, ratio float64) (float64, error) {
	if !(ratio > 1) || !(gain > 0) || !check.Finite(gain) || !check.Finite(ratio) {
		return 0, check.Errorf(ErrInput, "gain of %v magnitudes for a ratio of %v", gain, ratio)
	}
	return gain / (2.5 * math.Log10(ratio)), nil
}
