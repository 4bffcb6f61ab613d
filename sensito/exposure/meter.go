package exposure

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"example.org/actinic/internal/check"
	"example.org/actinic/sensito"
)

// Luminance is in candela per square metre: what a reflected-light meter sees.
type Luminance float64

// String prints the number with its unit, for example "4096 cd/m²".
func (l Luminance) String() string { return four(float64(l)) + " cd/m²" }

// Illuminance is in lux: what falls on an incident-light meter.
type Illuminance float64

// String prints the number with its unit, for example "81920 lx".
func (e Illuminance) String() string { return four(float64(e)) + " lx" }

// four prints four significant digits and no exponent.
func four(v float64) string {
	if r, err := strconv.ParseFloat(strconv.FormatFloat(v, 'g', 4, 64), 64); err == nil {
		v = r
	}
	return strconv.FormatFloat(v, 'f', -1, 64)
}

// The usual calibration constants, and the ranges of ISO 2720:1974.
const (
	reflectedK = 12.5 // cd/m²; ANSI PH3.49-1971
	flatC      = 250  // lx
	domeC      = 322  // lx; mean of 30 ± 5 footcandles, ANSI PH3.49-1971

	minK, maxK         = 10.6, 13.4
	minFlatC, maxFlatC = 240, 400
	minDomeC, maxDomeC = 320, 540
)

// ReflectedMeter is a reflected-light exposure meter with calibration constant K:
//
//	N²/t = L S/K      EV100 = log2(100 L/K)
//
// The zero value is a meter with K = 12.5. Another K must lie in the range of ISO
// 2720, 10.6 to 13.4, or have AnyConstant set: K = 14 is in use and lies outside.
// The range is from ISO 2720:1974 as cited in the encyclopaedia article "Light
// meter".
type ReflectedMeter struct {
	K           float64 // in cd/m²; 0 stands for 12.5
	AnyConstant bool    // take K outside the standard's range
}

// EV100 returns the exposure value of a scene of a luminance. The error wraps
// [sensito.ErrInput] if the luminance is not positive and finite, and [sensito.ErrRange] or
// ErrInput if K is not as it should be.
func (m ReflectedMeter) EV100(l Luminance) (EV100, error) {
	k, err := m.constant()
	if err != nil {
		return 0, err
	}
	if !(l > 0) || !check.Finite(l) {
		return 0, wrong(sensito.ErrInput, "luminance %v cd/m², want more than 0", float64(l))
	}
	return EV100(math.Log2(float64(l) * 100 / k)), nil
}

// Luminance returns the luminance for which the meter reads e. Errors as for
// EV100.
func (m ReflectedMeter) Luminance(e EV100) (Luminance, error) {
	k, err := m.constant()
	if err != nil {
		return 0, err
	}
	l, err := scale(e, k/100)
	return Luminance(l), err
}

// ImpliedReflectance returns the reflectance of a diffuse surface on which a
// reflected and an incident meter ask for the same settings:
//
//	R = πK/C
//
// It is 15.7 % for K = 12.5 and C = 250. K and C are not tied by the 18 % of the
// grey card: no pair within the standard's ranges implies it. Only a flat receptor
// measures the illuminance the formula means; the figure for a
// hemispherical one compares the two constants and is no more. Errors as for
// EV100.
//
// Source: both meters' definitions in ISO 2720, set equal for a surface that scatters by
// Lambert's law.
func (m ReflectedMeter) ImpliedReflectance(i IncidentMeter) (float64, error) {
	k, err := m.constant()
	if err != nil {
		return 0, err
	}
	c, err := i.constant()
	return math.Pi * k / c, err
}

// Receptor is the shape of an incident meter's light receptor. The two measure
// different things, so their constants differ too.
type Receptor uint8

const (
	Flat          Receptor = iota // cosine response
	Hemispherical                 // cardioid response
)

// String returns "flat" or "hemispherical", which [ParseReceptor] reads.
func (r Receptor) String() string {
	switch r {
	case Flat:
		return "flat"
	case Hemispherical:
		return "hemispherical"
	}
	return fmt.Sprintf("Receptor(%d)", uint8(r))
}

// ParseReceptor reads the String form. Another text is an error that wraps
// [sensito.ErrSyntax].
func ParseReceptor(text string) (Receptor, error) {
	for _, r := range []Receptor{Flat, Hemispherical} {
		if strings.EqualFold(strings.TrimSpace(text), r.String()) {
			return r, nil
		}
	}
	return 0, wrong(sensito.ErrSyntax, "receptor %q, want flat or hemispherical", text)
}

// MarshalText returns the String form. A number that is no receptor is an error
// that wraps [sensito.ErrInput].
func (r Receptor) MarshalText() ([]byte, error) {
	if r > Hemispherical {
		return nil, wrong(sensito.ErrInput, "receptor %d, want Flat or Hemispherical", uint8(r))
	}
	return []byte(r.String()), nil
}

// UnmarshalText reads what [ParseReceptor] reads.
func (r *Receptor) UnmarshalText(b []byte) error {
	v, err := ParseReceptor(string(b))
	if err == nil {
		*r = v
	}
	return err
}

// IncidentMeter is an incident-light exposure meter with calibration constant C:
//
//	N²/t = E S/C      EV100 = log2(100 E/C)
//
// The zero value is a meter with a flat receptor and C = 250; a hemispherical one
// without a constant has C = 322, the mean of ANSI PH3.49-1971. Another C must
// lie in the range of ISO 2720, 240 to 400 for a flat and 320 to 540 for a
// hemispherical receptor, or have AnyConstant set. The ranges are from ISO
// 2720:1974 as cited in the encyclopaedia article "Light meter".
type IncidentMeter struct {
	C           float64 // in lx; 0 stands for 250, or 322 with a hemispherical receptor
	Receptor    Receptor
	AnyConstant bool // take C outside the standard's range
}

// EV100 returns the exposure value of a scene in an illuminance. The error wraps
// [sensito.ErrInput] if the illuminance is not positive and finite, and [sensito.ErrRange] or
// ErrInput if C is not as it should be.
func (m IncidentMeter) EV100(e Illuminance) (EV100, error) {
	c, err := m.constant()
	if err != nil {
		return 0, err
	}
	if !(e > 0) || !check.Finite(e) {
		return 0, wrong(sensito.ErrInput, "illuminance %v lx, want more than 0", float64(e))
	}
	return EV100(math.Log2(float64(e) * 100 / c)), nil
}

// Illuminance returns the illuminance for which the meter reads v. Errors as for
// EV100.
func (m IncidentMeter) Illuminance(v EV100) (Illuminance, error) {
	c, err := m.constant()
	if err != nil {
		return 0, err
	}
	e, err := scale(v, c/100)
	return Illuminance(e), err
}

func (m ReflectedMeter) constant() (float64, error) {
	return calibration("K", m.K, reflectedK, minK, maxK, "a reflected-light meter", m.AnyConstant)
}

func (m IncidentMeter) constant() (float64, error) {
	switch m.Receptor {
	case Flat:
		return calibration("C", m.C, flatC, minFlatC, maxFlatC, "a flat receptor", m.AnyConstant)
	case Hemispherical:
		return calibration("C", m.C, domeC, minDomeC, maxDomeC, "a hemispherical receptor", m.AnyConstant)
	}
	return 0, wrong(sensito.ErrInput, "receptor %d, want Flat or Hemispherical", uint8(m.Receptor))
}

// calibration checks a constant of a meter.
func calibration(name string, v, usual, lo, hi float64, of string, anyway bool) (float64, error) {
	switch v := constant(v, usual); {
	case math.IsNaN(v):
		return 0, wrong(sensito.ErrInput, "calibration constant %s must be positive", name)
	case !anyway && !(v >= lo && v <= hi):
		return 0, wrong(sensito.ErrRange, "%s = %g; ISO 2720 has %g to %g for %s; set AnyConstant if the meter is calibrated so",
			name, v, lo, hi, of)
	default:
		return v, nil
	}
}

// scale returns unit 2^e.
func scale(e EV100, unit float64) (float64, error) {
	v := math.Exp2(float64(e)) * unit
	if !(v > 0) || !check.Finite(v) {
		return 0, wrong(sensito.ErrInput, "exposure value %v; give the metered EV at ISO 100", float64(e))
	}
	return v, nil
}

// ThroughMeter is what a meter behind the filters reads, and what to do about it.
type ThroughMeter struct {
	Reads      EV100         `json:"reads_ev100"`      // at ISO 100
	Correction sensito.Stops `json:"correction_stops"` // more exposure than it says; less below 0
	Dial       float64       `json:"dial"`             // or the index to set it to
}
