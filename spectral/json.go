package spectral

import (
	"bytes"
	"encoding/json"
	"fmt"
)

// spectrumJSON is a spectrum as it is stored. The names say the units.
type spectrumJSON struct {
	NM      []float64 `json:"wavelength_nm"`
	Values  []float64 `json:"value"`
	Outside Outside   `json:"outside"`
}

// MarshalJSON returns the spectrum as an object,
//
//	{"wavelength_nm": [400, ...], "value": [0.1, ...], "outside": "hold"}
//
// with every digit, and the empty spectrum as null. It reads back as an equal value.
func (s Spectrum) MarshalJSON() ([]byte, error) {
	if len(s.nm) == 0 {
		return []byte("null"), nil
	}
	return json.Marshal(spectrumJSON{s.nm, s.v, s.out})
}

// UnmarshalJSON reads what MarshalJSON writes; what [New] refuses is refused. All
// three members must be there, and nothing else.
func (s *Spectrum) UnmarshalJSON(b []byte) error {
	if string(b) == "null" {
		*s = Spectrum{}
		return nil
	}
	var in struct {
		NM      []float64 `json:"wavelength_nm"`
		Values  []float64 `json:"value"`
		Outside *Outside  `json:"outside"`
	}
	if err := strictly(b, &in); err != nil {
		return fmt.Errorf("%w: a spectrum: %w", ErrInvalid, err)
	}
	if in.Outside == nil {
		return invalid("a spectrum without \"outside\": say refuse, zero or hold")
	}
	v, err := New(in.NM, in.Values, *in.Outside)
	if err == nil {
		*s = v
	}
	return err
}

// MarshalJSON returns the light as {"power": [...]}, the spectra whose product it
// is, and the empty light as null. It reads back as an equal value.
func (l Light) MarshalJSON() ([]byte, error) { return l.marshal("power") }

// UnmarshalJSON reads what MarshalJSON writes; what [NewLight] refuses is refused.
func (l *Light) UnmarshalJSON(b []byte) error {
	parts, err := unmarshalParts(b, "power")
	if err != nil || parts == nil {
		*l = Light{}
		return err
	}
	v, err := NewLight(parts...)
	if err == nil {
		*l = v
	}
	return err
}

// MarshalJSON returns the sensitivity as {"sensitivity": [...]}, the spectra whose
// product it is, linear and by energy, and the empty one as null. It reads back as
// an equal value.
func (s Sensitivity) MarshalJSON() ([]byte, error) { return s.marshal("sensitivity") }

// UnmarshalJSON reads what MarshalJSON writes; what [SensitivityFromLinear] refuses
// is refused.
func (s *Sensitivity) UnmarshalJSON(b []byte) error {
	parts, err := unmarshalParts(b, "sensitivity")
	if err != nil || parts == nil {
		*s = Sensitivity{}
		return err
	}
	v, err := SensitivityFromLinear(parts...)
	if err == nil {
		*s = v
	}
	return err
}

func (p product) marshal(name string) ([]byte, error) {
	if len(p.parts) == 0 {
		return []byte("null"), nil
	}
	return json.Marshal(map[string][]Spectrum{name: p.parts})
}

// unmarshalParts returns nil for null.
func unmarshalParts(b []byte, name string) ([]Spectrum, error) {
	if string(b) == "null" {
		return nil, nil
	}
	var in map[string][]Spectrum
	if err := json.Unmarshal(b, &in); err != nil {
		return nil, fmt.Errorf("%w: %q: %w", ErrInvalid, name, err)
	}
	if len(in) != 1 || len(in[name]) == 0 {
		return nil, invalid("want an object with the one member %q, a list of spectra", name)
	}
	return in[name], nil
}

// MarshalJSON refuses: a quadrature is made from its spectra, which are what to store.
func (q Quadrature) MarshalJSON() ([]byte, error) {
	return nil, invalid("a quadrature is not stored; store the spectra that it was made from")
}

// strictly decodes JSON and refuses members it does not know.
func strictly(b []byte, to any) error {
	d := json.NewDecoder(bytes.NewReader(b))
	d.DisallowUnknownFields()
	return d.Decode(to)
}
