package reciprocity

import (
	"fmt"
	"math"

	"example.org/actinic/internal/check"
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
	everywhere
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
		return Power{}, check.Errorf(ErrInput, "exponent p of %v, want above 0 and at most 1; a value above 1 may be its inverse", p)
	}
	return Power{onset: onset, p: p}, nil
}

// Onset is the longest time in seconds that does not fail.
func (l Power) Onset() float64 { return l.onset }

// P is Schwarzschild's exponent.
func (l Power) P() float64 { return l.p }

// Adjusted is the formula of [Power].
func (l Power) Adjusted(metered float64) (float64, error) {
	return branched(metered, l.onset, 1/l.p, true)
}

// Metered is the inverse, t0 (adjusted/t0)^p beyond the onset.
func (l Power) Metered(adjusted float64) (float64, error) {
	return branched(adjusted, l.onset, l.p, true)
}

// Exponent is 1 up to the onset and 1/p beyond.
func (l Power) Exponent(metered float64) (float64, error) {
	if _, err := seconds(metered); err != nil {
		return 0, err
	}
	if metered <= l.onset {
		return 1, nil
	}
	return 1 / l.p, nil
}

func (l Power) String() string {
	return fmt.Sprintf("power law, p = %.4g from %.4g s", l.p, l.onset)
}

// branched is onset (t/onset)^e beyond the onset, t before it.
func branched(t, onset, e float64, long bool) (float64, error) {
	if _, err := seconds(t); err != nil {
		return 0, err
	}
	if onset == 0 || (t > onset) != long || t == onset {
		return t, nil
	}
	return onset * math.Pow(t/onset, e), nil
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
	if !(ratio > 1) || !(gain > 0) || math.IsInf(gain, 0) || math.IsInf(ratio, 0) {
		return 0, check.Errorf(ErrInput, "gain of %v magnitudes for a ratio of %v", gain, ratio)
	}
	return gain / (2.5 * math.Log10(ratio)), nil
}
