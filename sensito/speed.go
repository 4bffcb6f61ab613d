package sensito

import (
	"encoding/json"
	"fmt"
	"math"
	"strconv"
	"strings"

	"example.org/actinic/internal/check"
)

// Kind tells a standard speed from an index. Calling an index an ISO speed says
// that the standard's procedure was followed when it was not.
type Kind uint8

const (
	EI  Kind = iota // exposure index: a working number
	ISO             // speed by ISO 6, contrast condition met
)

// String returns "EI" or "ISO", "kind(9)" for what is neither.
func (k Kind) String() string {
	switch k {
	case EI:
		return "EI"
	case ISO:
		return "ISO"
	}
	return "kind(" + strconv.Itoa(int(k)) + ")"
}

// MarshalText returns the String form. A kind that is neither is an error that wraps
// [ErrInput].
func (k Kind) MarshalText() ([]byte, error) {
	if k > ISO {
		return nil, check.Errorf(ErrInput, "%v, want EI or ISO", k)
	}
	return []byte(k.String()), nil
}

// UnmarshalText reads the String form.
func (k *Kind) UnmarshalText(b []byte) error {
	switch string(b) {
	case "EI":
		*k = EI
	case "ISO":
		*k = ISO
	default:
		return check.Errorf(ErrSyntax, "kind %q, want ISO or EI", b)
	}
	return nil
}

// Criterion names the rule by which a speed or index was found.
type Criterion uint8

const (
	Stated             Criterion = iota // not measured: a setting, or read from a package
	ISO6                                // 0.10 above base plus fog, contrast condition met
	FixedDensity                        // 0.10 above base plus fog, at whatever contrast
	FractionalGradient                  // slope 0.3 of the average gradient over 1.5
	DeltaX                              // the fractional gradient approximated from ΔD
	Field                               // a tone placed n stops below the meter reading
)

var criterionNames = [...]string{"stated", "iso", "fixed-density", "fractional-gradient", "delta-x", "field"}

// String returns the name: "iso", "fixed-density", "fractional-gradient",
// "delta-x", "field" or "stated".
func (c Criterion) String() string {
	if int(c) < len(criterionNames) {
		return criterionNames[c]
	}
	return "criterion(" + strconv.Itoa(int(c)) + ")"
}

// MarshalText returns the String form. A criterion that has no name is an error that
// wraps [ErrInput].
func (c Criterion) MarshalText() ([]byte, error) {
	if int(c) >= len(criterionNames) {
		return nil, check.Errorf(ErrInput, "%v, want one of %s", c, strings.Join(criterionNames[:], ", "))
	}
	return []byte(c.String()), nil
}

// UnmarshalText reads the String form.
func (c *Criterion) UnmarshalText(b []byte) error {
	for i, n := range criterionNames {
		if n == string(b) {
			*c = Criterion(i)
			return nil
		}
	}
	return check.Errorf(ErrSyntax, "criterion %q, want one of %s", b, strings.Join(criterionNames[:], ", "))
}

// Speed is a film speed or an exposure index on the arithmetic scale.
//
// Value is unrounded where it was measured. It is rounded for print by degrees,
//
//	S° = 1 + 10 log10 S   to the nearest integer,
//
// never to the nearest printed number: the two rules disagree near 112, 14, 1420
// and 4.5. A speed belongs to a film, a process and a light together.
//
// Source: ISO 6, where ° is the logarithmic speed.
type Speed struct {
	Value     float64   `json:"value"`
	Kind      Kind      `json:"kind"`
	Criterion Criterion `json:"criterion"`
}

// Degrees returns the logarithmic speed S° rounded to an integer. For a value
// that is not positive and finite it returns the least int.
func (s Speed) Degrees() int {
	d := 1 + 10*math.Log10(s.Value)
	if !check.Finite(d) {
		return math.MinInt
	}
	return int(math.Floor(d + 0.5))
}

// Valid reports whether the value is positive and finite.
func (s Speed) Valid() bool { return s.Value > 0 && !math.IsInf(s.Value, 0) }

// String prints "ISO 400/27°" for a standard speed and "EI 1250" for an index,
// each rounded by degrees to the printed scale; off the scale the number itself, and
// without degrees what is no speed, for example "ISO -5".
func (s Speed) String() string {
	if !s.Valid() {
		return fmt.Sprintf("%v %.3g", s.Kind, s.Value)
	}
	row, ok := ScaleAt(s.Degrees())
	switch {
	case !ok && s.Kind == ISO:
		return fmt.Sprintf("ISO %.3g/%d°", s.Value, s.Degrees())
	case !ok:
		return fmt.Sprintf("EI %.3g", s.Value)
	case s.Kind == ISO:
		return "ISO " + row.Both()
	}
	return "EI " + row.Arithmetic()
}

// Arithmetic prints the first of the other two permitted forms, "ISO 400"; an index
// as String does.
func (s Speed) Arithmetic() string {
	if row, ok := ScaleAt(s.Degrees()); ok && s.Kind == ISO {
		return "ISO " + row.Arithmetic()
	}
	return s.String()
}

// Logarithmic prints the second, "ISO 27°"; an index, which has no degrees, as
// String does.
func (s Speed) Logarithmic() string {
	if _, ok := ScaleAt(s.Degrees()); ok && s.Kind == ISO {
		return "ISO " + strconv.Itoa(s.Degrees()) + "°"
	}
	return s.String()
}

// MarshalText writes the String form, so that a Speed can be a flag: the number is
// rounded to the printed scale, which JSON does not do. What is not on the scale is an
// error that wraps [ErrInput]; the zero Speed is empty text.
func (s Speed) MarshalText() ([]byte, error) {
	if s == (Speed{}) {
		return nil, nil
	}
	if _, ok := ScaleAt(s.Degrees()); !ok || s.Kind > ISO {
		return nil, check.Errorf(ErrInput, "speed %v is not on the printed scale", s)
	}
	return []byte(s.String()), nil
}

// UnmarshalText reads what [ParseSpeed] does, and empty text as the zero Speed.
func (s *Speed) UnmarshalText(b []byte) error {
	if len(b) == 0 {
		*s = Speed{}
		return nil
	}
	v, err := ParseSpeed(string(b))
	if err != nil {
		return err
	}
	*s = v
	return nil
}

// speedJSON is a Speed without methods.
type speedJSON Speed

// MarshalJSON writes value, unrounded, kind and criterion.
func (s Speed) MarshalJSON() ([]byte, error) { return json.Marshal(speedJSON(s)) }

// UnmarshalJSON reads what MarshalJSON writes, or a string as [ParseSpeed] does. A
// value below 0 is an error that wraps [ErrInput]; 0 is no speed.
func (s *Speed) UnmarshalJSON(b []byte) error {
	if len(b) > 0 && b[0] == '"' {
		var text string
		if err := json.Unmarshal(b, &text); err != nil {
			return err
		}
		return s.UnmarshalText([]byte(text))
	}
	var j speedJSON
	if err := json.Unmarshal(b, &j); err != nil {
		return err
	}
	if !(j.Value >= 0) || !check.Finite(j.Value) {
		return check.Errorf(ErrInput, "speed of %v, want 0 (none) or more", j.Value)
	}
	*s = Speed(j)
	return nil
}

// ParseSpeed reads the three permitted forms of a standard speed, "ISO 400", "ISO
// 27°" and "ISO 400/27°", and an index "EI 1250", in any case, with or without the
// space, and after a solidus without the degree sign. The numbers must stand on the
// printed scale; of the doubled series of cameras 12800, 25600, 51200 and 102400
// are read as 12500, 25000, 50000 and 100000. The value is the printed number.
//
// A bare number, a degree sign without "ISO" (older scales wrote it with another
// meaning), and halves that disagree are errors that wrap [ErrSyntax].
func ParseSpeed(text string) (Speed, error) {
	bad := func(format string, a ...any) (Speed, error) {
		return Speed{}, check.Errorf(ErrSyntax, "speed %q: %s", text, fmt.Sprintf(format, a...))
	}
	head, num, ok := cutKind(strings.TrimSpace(text))
	if !ok {
		return bad(`want "ISO 400", "ISO 27°", "ISO 400/27°" or "EI 400"`)
	}
	arith, deg, both := strings.Cut(num, "/")
	if !both && strings.HasSuffix(num, "°") {
		arith, deg = "", num
	}
	if both && (arith == "" || deg == "") {
		return bad("a number is missing at the solidus")
	}
	var row ScaleRow
	var known bool
	if arith != "" {
		if row, known = scaleByNumber(arith); !known {
			if v, err := strconv.ParseFloat(arith, 64); err == nil {
				if near, ok := ScaleAt(Speed{Value: v}.Degrees()); ok {
					return bad("%s is not a number of the scale, the nearest is %s", arith, near.Arithmetic())
				}
			}
			return bad("%s is not a number of the scale", arith)
		}
	}
	s := Speed{Kind: EI}
	if head == "ISO" {
		s.Kind = ISO
	}
	if both || arith == "" {
		if s.Kind == EI {
			return bad("an index has no degrees")
		}
		d, signed := strings.CutSuffix(deg, "°")
		n, err := strconv.Atoi(d)
		if !signed && !both || err != nil || d != strconv.Itoa(n) {
			return bad("degrees are written like 27°")
		}
		r, ok := ScaleAt(n)
		if !ok {
			return bad("%d° is not on the scale", n)
		}
		if arith != "" && r != row {
			return bad("%s goes with %d°, not with %d°", arith, row.Degrees, n)
		}
		row = r
	}
	s.Value = row.Number
	return s, nil
}

// cutKind takes "ISO" or "EI" off the front of a speed.
func cutKind(t string) (head, rest string, ok bool) {
	for _, k := range [...]string{"ISO", "EI"} {
		if len(t) > len(k) && strings.EqualFold(t[:len(k)], k) {
			rest = strings.TrimLeft(t[len(k):], " ")
			return k, rest, rest != "" && rest[0] >= '0' && rest[0] <= '9'
		}
	}
	return "", "", false
}
