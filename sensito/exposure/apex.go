package exposure

import (
	"encoding/json"
	"math"
	"strconv"
	"strings"
	"time"

	"example.org/actinic/internal/check"
	"example.org/actinic/sensito"
)

// FNumber is the f-number of a lens: focal length over the diameter of the
// entrance pupil. It is what the aperture ring says or what was computed, so
// f/11 and f/11.314 are two numbers that one mark stands for.
type FNumber float64

// ParseFNumber reads "f/5.6", "f5.6", "F5.6", or the number alone.
//
// Anything else, zero and negative numbers included, is an error that wraps
// [sensito.ErrSyntax].
func ParseFNumber(text string) (FNumber, error) {
	t := strings.TrimSpace(text)
	if t != "" && (t[0] == 'f' || t[0] == 'F') {
		t = strings.TrimSpace(strings.TrimPrefix(strings.TrimSpace(t[1:]), "/"))
	}
	v, ok := decimal(t)
	if !ok || !(v > 0) {
		return 0, wrong(sensito.ErrSyntax, "f-number %q, want something like f/5.6", text)
	}
	return FNumber(v), nil
}

// String prints the number as it is, for example "f/5.6". What it prints for a
// positive number, [ParseFNumber] reads back unchanged.
func (n FNumber) String() string {
	var room [32]byte
	return string(strconv.AppendFloat(append(room[:0], "f/"...), float64(n), 'f', -1, 64))
}

// MarshalText returns the String form, and nothing for zero: an f-number that was
// left free can be stored. The error wraps [sensito.ErrInput] if the number is
// negative or not finite.
func (n FNumber) MarshalText() ([]byte, error) {
	switch {
	case n == 0:
		return nil, nil
	case !(n > 0) || !check.Finite(n):
		return nil, wrong(sensito.ErrInput, "f-number %v, want more than 0", float64(n))
	}
	return []byte(n.String()), nil
}

// UnmarshalText reads what [ParseFNumber] reads, and an empty text as zero.
func (n *FNumber) UnmarshalText(b []byte) error {
	if len(b) == 0 {
		*n = 0
		return nil
	}
	v, err := ParseFNumber(string(b))
	if err == nil {
		*n = v
	}
	return err
}

// UnmarshalJSON reads a string as [FNumber.UnmarshalText] does, and a number such
// as 5.6 as it is.
func (n *FNumber) UnmarshalJSON(b []byte) error {
	var text string
	switch {
	case string(b) == "null": // as package json has it: no change
		return nil
	case len(b) > 0 && b[0] == '"':
		if err := json.Unmarshal(b, &text); err != nil {
			return err
		}
		return n.UnmarshalText([]byte(text))
	}
	v, err := strconv.ParseFloat(string(b), 64)
	if err != nil || !(v >= 0) || !check.Finite(v) {
		return wrong(sensito.ErrSyntax, "f-number %s, want something like 5.6 or \"f/5.6\"", b)
	}
	*n = FNumber(v)
	return nil
}

// Av returns the aperture value 2 log2 N of the number as it is: f/11 is Av
// 6.919, not 7. Special cases are: FNumber(0).Av() = -Inf; NaN below 0.
func (n FNumber) Av() Av { return Av(2 * math.Log2(float64(n))) }

// The quantities of the additive system (APEX). Each is a type of its own, so
// that an exposure value of the settings is not taken for one of the scene, nor
// either for one of its parts:
//
//	Ev = Av + Tv = Bv + Sv = Iv + Sv
//	Av = log2 N²   Tv = log2 1/t   t in seconds
//
// All are exact, without the rounding of camera marks. Sources: ASA PH2.5-1960
// and PH2.12-1961 by way of the definitions of GNU Units 2.22; Exif 2.2 (JEITA CP-3451), annex C, as copied in an
// imaging header.
type (
	// Av is the aperture value, log2 of the squared f-number: 0 is f/1.
	Av float64
	// Tv is the time value, log2 of the reciprocal of the time in seconds.
	Tv float64
	// Sv is the speed value; its zero depends on the constant N, see [APEX].
	Sv float64
	// Bv is the luminance ("brightness") value; its zero depends on N and K.
	Bv float64
	// Iv is the incident-light value; its zero depends on N and C.
	Iv float64
	// Ev is the exposure value of camera settings, Av + Tv. It says nothing of
	// the speed of the film. f/1 and 1 s is Ev 0.
	Ev float64
	// EV100 is the exposure value of a scene: the Ev that a meter set to ISO 100
	// asks for. It says nothing of the settings.
	//
	// It stands for a luminance or illuminance once the calibration constant of
	// the meter is known, see [ReflectedMeter] and [IncidentMeter].
	EV100 float64
)

// FNumber returns 2^(Av/2).
func (a Av) FNumber() FNumber { return FNumber(math.Exp2(float64(a) / 2)) }

// Ev returns the exposure value of the settings, Av + Tv.
func (a Av) Ev(t Tv) Ev { return Ev(float64(a) + float64(t)) }

// TvOf returns log2 of the reciprocal of a time in seconds: 1/60 s is 5.907, not
// 6. Special cases are: TvOf(0) = +Inf; NaN below 0.
func TvOf(t time.Duration) Tv { return Tv(-math.Log2(t.Seconds())) }

// Time returns the time 2^-Tv seconds, to the nanosecond.
//
// The error wraps [sensito.ErrInput] if that is below a nanosecond or above 292 years.
func (v Tv) Time() (time.Duration, error) {
	ns := math.Round(math.Exp2(-float64(v)) * 1e9)
	if !(ns >= 1 && ns < math.MaxInt64) {
		return 0, wrong(sensito.ErrInput, "time value %.4g is a time of %.3g s; a time is 1 ns to 292 years",
			float64(v), math.Exp2(-float64(v)))
	}
	return time.Duration(ns), nil
}

// Tv returns the time value that goes with an aperture, Ev - Av.
func (e Ev) Tv(a Av) Tv { return Tv(float64(e) - float64(a)) }

// Av returns the aperture value that goes with a time, Ev - Tv.
func (e Ev) Av(t Tv) Av { return Av(float64(e) - float64(t)) }

// String prints "EV 14.64".
func (e Ev) String() string {
	var room [32]byte
	return string(appendEV(room[:0], float64(e)))
}

func appendEV(b []byte, v float64) []byte {
	return strconv.AppendFloat(append(b, "EV "...), v, 'f', 2, 64)
}

// EV100 returns the exposure value of the scene for which the settings e are the
// metered ones at a speed:
//
//	EV100 = Ev - log2(S/100)
//
// The result is NaN if the speed is not positive.
//
// Source: as for [Ev].
func (e Ev) EV100(s sensito.Speed) EV100 { return EV100(float64(e) - log2Ratio(s.Value, 100)) }

// Ev returns the exposure value that the camera must be set to at a speed:
//
//	Ev = EV100 + log2(S/100)
//
// The result is NaN if the speed is not positive.
//
// Source: as for [Ev].
func (e EV100) Ev(s sensito.Speed) Ev { return Ev(float64(e) + log2Ratio(s.Value, 100)) }

// Time returns the metered time at a speed and aperture, before any allowance
// for filters or reciprocity failure:
//
//	t = 100 N² / (S 2^EV100)
//
// The error wraps [sensito.ErrInput] if one of them is not positive and finite, or the
// time is not.
//
// Source: as for [Ev], with the time set free.
func (e EV100) Time(s sensito.Speed, n FNumber) (time.Duration, error) {
	if err := e.check(s); err != nil {
		return 0, err
	}
	if !(n > 0) || !check.Finite(n) {
		return 0, wrong(sensito.ErrInput, "f-number %v, want more than 0", float64(n))
	}
	return e.Ev(s).Tv(n.Av()).Time()
}

// FNumber returns the metered f-number at a speed and time. The error wraps
// [sensito.ErrInput] if one of them is not positive and finite.
func (e EV100) FNumber(s sensito.Speed, t time.Duration) (FNumber, error) {
	if err := e.check(s); err != nil {
		return 0, err
	}
	if !(t > 0) {
		return 0, wrong(sensito.ErrInput, "time %v, want more than 0", t)
	}
	return e.Ev(s).Av(TvOf(t)).FNumber(), nil
}

func (e EV100) check(s sensito.Speed) error {
	switch {
	case !check.Finite(e):
		return wrong(sensito.ErrInput, "exposure value %v; give the metered EV at ISO 100", float64(e))
	case !s.Valid():
		return wrong(sensito.ErrInput, "speed %v, want more than 0", s.Value)
	}
	return nil
}

// String prints "EV 14.64 at ISO 100".
func (e EV100) String() string {
	var room [48]byte
	return string(append(appendEV(room[:0], float64(e)), " at ISO 100"...))
}

// The constant N of the speed value has had several printed values; see [APEX].
const (
	NExif    = 1 / 3.125           // Exif 2.2, annex C, as copied in an imaging header: makes ISO 100 exactly Sv 5
	NExact   = 0.29730177875068026 // 2^(-7/4): implied by ASA PH2.5-1960, stated in PH2.12-1961
	NRounded = 0.30                // as rounded in print: PH2.5-1960, PH2.12-1961, ANSI PH2.7-1986
	N1973    = 0.3162              // ANSI PH2.7-1973
)

// APEX holds the constants on which the zeros of Sv, Bv and Iv depend:
//
//	Sv = log2(N S)   Bv = log2(L/(N K))   Iv = log2(E/(N C))
//
// with S the speed, L in cd/m² and E in lx. A field that is zero stands for the
// usual value of today: N = 1/3.125 (Exif), K = 12.5 cd/m² (ANSI PH3.49-1971), C
// = 250 lx (a flat receptor). Settings do not depend on N, since it cancels in
// Bv + Sv; values of Bv from two tables do: at Bv 0 the constants of 1961 (N =
// 2^(-7/4), K = 11.4) lie 0.24 stop from these.
//
// A constant that is negative or not finite makes every result NaN.
type APEX struct{ N, K, C float64 }

// Sv returns the speed value. It is NaN for a speed that is not positive.
func (x APEX) Sv(s sensito.Speed) Sv {
	return Sv(log2Ratio(s.Value, 1/constant(x.N, NExif)))
}

// Index returns the speed setting of a speed value, unrounded, as an exposure
// index.
func (x APEX) Index(v Sv) sensito.Speed {
	return sensito.Speed{Value: math.Exp2(float64(v)) / constant(x.N, NExif)}
}

// Bv returns the luminance value. It is NaN for a luminance that is not positive.
func (x APEX) Bv(l Luminance) Bv {
	return Bv(log2Ratio(float64(l), constant(x.N, NExif)*constant(x.K, reflectedK)))
}

// Luminance returns the luminance of a luminance value.
func (x APEX) Luminance(v Bv) Luminance {
	return Luminance(math.Exp2(float64(v)) * constant(x.N, NExif) * constant(x.K, reflectedK))
}

// Iv returns the incident-light value. It is NaN for an illuminance that is not
// positive.
func (x APEX) Iv(e Illuminance) Iv {
	return Iv(log2Ratio(float64(e), constant(x.N, NExif)*constant(x.C, flatC)))
}

// Illuminance returns the illuminance of an incident-light value.
func (x APEX) Illuminance(v Iv) Illuminance {
	return Illuminance(math.Exp2(float64(v)) * constant(x.N, NExif) * constant(x.C, flatC))
}

// Ev returns the exposure value for a luminance value at a speed value, Bv + Sv.
func (b Bv) Ev(s Sv) Ev { return Ev(float64(b) + float64(s)) }

// Ev returns the exposure value for an incident-light value at a speed value, Iv
// + Sv.
func (i Iv) Ev(s Sv) Ev { return Ev(float64(i) + float64(s)) }

// constant returns v, its usual value if v is 0, and NaN if v is none.
func constant(v, usual float64) float64 {
	switch {
	case v == 0:
		return usual
	case !(v > 0) || !check.Finite(v):
		return math.NaN()
	}
	return v
}

// log2Ratio is NaN unless a > 0, so that two wrong signs do not make a right one.
func log2Ratio(a, b float64) float64 {
	if !(a > 0) || !check.Finite(a) {
		return math.NaN()
	}
	return math.Log2(a / b)
}

// decimal reads digits with at most one point: no sign, exponent, hexadecimal,
// infinity or NaN.
func decimal(s string) (float64, bool) {
	if s == "" || strings.Trim(s, "0123456789.") != "" {
		return 0, false
	}
	v, err := strconv.ParseFloat(s, 64)
	return v, err == nil && check.Finite(v)
}
