package sensito

import (
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

// String returns "EI" or "ISO".
func (k Kind) String() string {
	if k == ISO {
		return "ISO"
	}
	return "EI"
}

// MarshalText returns the String form.
func (k Kind) MarshalText() ([]byte, error) { return []byte(k.String()), nil }

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

// MarshalText returns the String form.
func (c Criterion) MarshalText() ([]byte, error) { return []byte(c.String()), nil }

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
// each rounded by degrees to the printed scale; off the scale the number itself.
func (s Speed) String() string {
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

// ParseSpeed reads the three permitted forms of a standard speed, "ISO 400", "ISO
// 27°" and "ISO 400/27°", and an index "EI 1250". The numbers must stand on the
// printed scale; of the doubled series of cameras 12800, 25600, 51200 and 102400
// are read as 12500, 25000, 50000 and 100000. The value is the printed number.
//
// A bare number, a degree sign without "ISO" (older scales wrote it with another
// meaning), and halves that disagree are errors that wrap [ErrSyntax].
func ParseSpeed(text string) (Speed, error) {
	t := strings.TrimSpace(text)
	bad := func(format string, a ...any) (Speed, error) {
		return Speed{}, check.Errorf(ErrSyntax, "speed %q: %s", text, fmt.Sprintf(format, a...))
	}
	head, num, ok := strings.Cut(t, " ")
	if !ok || (head != "ISO" && head != "EI") {
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
	if arith != "" {
		if row, ok = scaleByNumber(arith); !ok {
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
		d, ok := strings.CutSuffix(deg, "°")
		n, err := strconv.Atoi(d)
		if !ok || err != nil || d != strconv.Itoa(n) {
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
