package filters

import (
	"encoding/json"
	"fmt"
	"strconv"
	"strings"

	"example.org/actinic/spectral"
)

// ParseFactorMark reads a mark in stops as it is printed, "2", "1/3" or "2 2/3", up
// to 40 stops. Anything else is an error that wraps [ErrInvalid]; a factor goes
// through [FactorMarkOf].
func ParseFactorMark(text string) (FactorMark, error) {
	bad := func() (FactorMark, error) {
		return 0, invalid("a factor's mark in stops %q, want whole stops and thirds, such as 2 2/3", text)
	}
	parts := strings.Fields(text)
	thirds := 0
	if n := len(parts); n > 0 {
		switch parts[n-1] {
		case "1/3":
			thirds, parts = 1, parts[:n-1]
		case "2/3":
			thirds, parts = 2, parts[:n-1]
		}
	}
	switch {
	case len(parts) == 0 && thirds > 0:
		return FactorMark(thirds), nil
	case len(parts) != 1:
		return bad()
	}
	whole, err := strconv.ParseUint(parts[0], 10, 8)
	if err != nil || whole > 40 {
		return bad()
	}
	return FactorMark(3*int(whole) + thirds), nil
}

// MarshalText returns the String form. A mark below 0 or above 40 stops is an error
// that wraps [ErrInvalid].
func (m FactorMark) MarshalText() ([]byte, error) {
	if !(m >= 0 && m <= 3*40+2) {
		return nil, invalid("the mark %d of a factor, it is 0 or more thirds of a stop", int(m))
	}
	return []byte(m.String()), nil
}

// UnmarshalText reads what [ParseFactorMark] reads.
func (m *FactorMark) UnmarshalText(text []byte) error {
	v, err := ParseFactorMark(string(text))
	if err == nil {
		*m = v
	}
	return err
}

type filterJSON struct {
	Name          string              `json:"name"`
	Transmittance []spectral.Spectrum `json:"transmittance"`
}

// MarshalJSON returns the filter with its name and the spectra whose product it is,
// and the empty filter as null. It reads back as an equal value.
func (f Filter) MarshalJSON() ([]byte, error) {
	if len(f.parts) == 0 {
		return []byte("null"), nil
	}
	return json.Marshal(filterJSON{f.name, f.parts})
}

// UnmarshalJSON reads what MarshalJSON writes; what [New] refuses is refused.
func (f *Filter) UnmarshalJSON(b []byte) error {
	if string(b) == "null" {
		*f = Filter{}
		return nil
	}
	var in filterJSON
	if err := json.Unmarshal(b, &in); err != nil {
		return fmt.Errorf("%w: a filter: %w", ErrInvalid, err)
	}
	v, err := New(in.Name, in.Transmittance...)
	if err == nil {
		*f = v
	}
	return err
}

// MarshalJSON refuses: store the film, the light and the grid, and prepare again.
func (p Prepared) MarshalJSON() ([]byte, error) {
	return nil, invalid("what was prepared is not stored; store film, light and grid")
}
