package sensito

import (
	"encoding/json"
	"slices"

	"example.org/actinic/internal/check"
)

// Base says what is known of base plus fog, the density of developed film that
// got no light. The zero value says nothing is known.
type Base struct {
	densities []Density
	stated    bool
}

// StatedBase gives base plus fog as a number without error.
func StatedBase(d Density) Base { return Base{[]Density{d}, true} }

// UnexposedBase gives readings of unexposed patches of the same strip.
func UnexposedBase(ds ...Density) Base { return Base{slices.Clone(ds), false} }

// known reports whether there is anything to go by.
func (b Base) known() bool { return len(b.densities) > 0 }

// mean returns the mean of the readings, or the stated value.
func (b Base) mean() Density {
	var sum Density
	for _, d := range b.densities {
		sum += d
	}
	return sum / Density(len(b.densities))
}

func (b Base) check() error {
	for _, d := range b.densities {
		if !(d >= 0) || !check.Finite(d) {
			return check.Errorf(ErrInput, "base plus fog reads %v, want 0 or more", float64(d))
		}
	}
	return nil
}

type baseJSON struct {
	Stated    *Density  `json:"stated,omitempty"`
	Unexposed []Density `json:"unexposed,omitempty"`
}

// MarshalJSON writes {"stated": …} or {"unexposed": […]}, {} where nothing is known.
func (b Base) MarshalJSON() ([]byte, error) {
	if err := b.check(); err != nil {
		return nil, err
	}
	if b.stated && b.known() {
		return json.Marshal(baseJSON{Stated: &b.densities[0]})
	}
	return json.Marshal(baseJSON{Unexposed: b.densities})
}

// UnmarshalJSON reads what MarshalJSON writes. Both members together, or a density
// below 0, are an error that wraps [ErrInput].
func (b *Base) UnmarshalJSON(data []byte) error {
	var j baseJSON
	if err := json.Unmarshal(data, &j); err != nil {
		return err
	}
	out := Base{}
	switch {
	case j.Stated != nil && len(j.Unexposed) > 0:
		return check.Errorf(ErrInput, "base plus fog both stated and read")
	case j.Stated != nil:
		out = StatedBase(*j.Stated)
	case len(j.Unexposed) > 0:
		out = UnexposedBase(j.Unexposed...)
	}
	if err := out.check(); err != nil {
		return err
	}
	*b = out
	return nil
}
