package sensito

import (
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
