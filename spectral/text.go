package spectral

import (
	"encoding/json"
	"fmt"
	"strings"
)

// Text forms, for JSON and for flag.TextVar. What says nothing (the zero
// Illuminant, Class or Kelvin) is an empty text, and an empty text reads back as
// zero, so that a field that was left out can be stored; any other value that has
// no word is an error that wraps ErrInvalid.

// MarshalText returns the name, and nothing for zero. A number that is no
// illuminant is an error that wraps [ErrInvalid].
func (i Illuminant) MarshalText() ([]byte, error) {
	return word(i, i == 0, i != 0 && int(i) < len(illuminantNames), "illuminant")
}

// UnmarshalText reads what [ParseIlluminant] reads, and an empty text as zero.
func (i *Illuminant) UnmarshalText(text []byte) error { return parseWord(i, text, ParseIlluminant) }

// MarshalText returns the String form, and nothing for zero. A temperature that is
// negative or not finite is an error that wraps [ErrTemperature].
func (t Kelvin) MarshalText() ([]byte, error) {
	if t == 0 {
		return nil, nil
	}
	if _, err := ParseKelvin(t.String()); err != nil {
		return nil, err
	}
	return []byte(t.String()), nil
}

// UnmarshalText reads what [ParseKelvin] reads, and an empty text as zero.
func (t *Kelvin) UnmarshalText(text []byte) error { return parseWord(t, text, ParseKelvin) }

// UnmarshalJSON reads a string as UnmarshalText does, and a number as it is.
func (t *Kelvin) UnmarshalJSON(b []byte) error {
	var text string
	switch {
	case string(b) == "null":
		return nil
	case len(b) > 0 && b[0] == '"':
		if err := json.Unmarshal(b, &text); err != nil {
			return err
		}
	default:
		text = string(b)
	}
	return t.UnmarshalText([]byte(text))
}

// ParseClass reads the name of a class of films, in capitals or not, with a hyphen
// or a space. An unknown one is an error that wraps [ErrInvalid] and lists them.
func ParseClass(text string) (Class, error) {
	plain := func(s string) string { return strings.ToLower(strings.ReplaceAll(strings.TrimSpace(s), "-", " ")) }
	var names []string
	for c := BlueSensitive; c <= ExtendedRed; c++ {
		if plain(text) == plain(c.String()) {
			return c, nil
		}
		names = append(names, c.String())
	}
	return 0, invalid("no class %q, there are %s", text, strings.Join(names, ", "))
}

// MarshalText returns the name, and nothing for zero. A number that is no class is
// an error that wraps [ErrInvalid].
func (c Class) MarshalText() ([]byte, error) {
	return word(c, c == 0, c >= BlueSensitive && c <= ExtendedRed, "class")
}

// UnmarshalText reads what [ParseClass] reads, and an empty text as zero.
func (c *Class) UnmarshalText(text []byte) error { return parseWord(c, text, ParseClass) }

// ParseOutside reads "refuse", "zero" or "hold". Anything else is an error that
// wraps [ErrInvalid].
func ParseOutside(text string) (Outside, error) {
	for o := Refuse; o <= Hold; o++ {
		if strings.EqualFold(strings.TrimSpace(text), o.String()) {
			return o, nil
		}
	}
	return 0, invalid("outside the wavelengths %q, want refuse, zero or hold", text)
}

// MarshalText returns the String form.
func (o Outside) MarshalText() ([]byte, error) { return word(o, false, o <= Hold, "choice outside") }

// UnmarshalText reads what [ParseOutside] reads.
func (o *Outside) UnmarshalText(text []byte) error {
	v, err := ParseOutside(string(text))
	if err == nil {
		*o = v
	}
	return err
}

// String returns "log-linear" or "linear".
func (b Between) String() string {
	switch b {
	case LogLinear:
		return "log-linear"
	case Linear:
		return "linear"
	}
	return fmt.Sprintf("Between(%d)", uint8(b))
}

// MarshalText returns the String form.
func (b Between) MarshalText() ([]byte, error) {
	return word(b, false, b <= Linear, "choice between knots")
}

// UnmarshalText reads the String form. Anything else is an error that wraps
// [ErrInvalid].
func (b *Between) UnmarshalText(text []byte) error {
	for v := LogLinear; v <= Linear; v++ {
		if strings.EqualFold(strings.TrimSpace(string(text)), v.String()) {
			*b = v
			return nil
		}
	}
	return invalid("between the wavelengths %q, want log-linear or linear", text)
}

// word is the text of a value from a list.
func word(v fmt.Stringer, none, known bool, what string) ([]byte, error) {
	switch {
	case none:
		return nil, nil
	case !known:
		return nil, invalid("%v is no %s", v, what)
	}
	return []byte(v.String()), nil
}

// parseWord reads the text of a value that may be left out.
func parseWord[T any](to *T, text []byte, parse func(string) (T, error)) error {
	if len(text) == 0 {
		var none T
		*to = none
		return nil
	}
	v, err := parse(string(text))
	if err == nil {
		*to = v
	}
	return err
}
