package actinic

import (
	"fmt"
	"slices"

	"example.org/actinic/internal/figures"
	"example.org/actinic/sensito/datafile"
)

// Basis says how a figure came about.
type Basis uint8

const (
	Standard Basis = iota + 1 // printed by a standard
	Handbook                  // printed by a book or a paper
	Measured                  // read by somebody on real material
	Derived                   // computed from figures of the other kinds
	Invented                  // made up
)

var basisNames = []string{"", "standard", "handbook", "measured", "derived", "invented"}

// String returns the word in lower case.
func (b Basis) String() string {
	if b >= Standard && b <= Invented {
		return basisNames[b]
	}
	return fmt.Sprintf("basis(%d)", uint8(b))
}

// MarshalText returns the String form. The error wraps [datafile.ErrData] for a number that
// is no basis.
func (b Basis) MarshalText() ([]byte, error) {
	if b < Standard || b > Invented {
		return nil, fmt.Errorf("%w: %v", datafile.ErrData, b)
	}
	return []byte(b.String()), nil
}

// UnmarshalText reads the String form.
func (b *Basis) UnmarshalText(text []byte) error {
	i := slices.Index(basisNames[1:], string(text))
	if i < 0 {
		return fmt.Errorf("%w: basis %q, want %s", datafile.ErrData, text, figures.Quoted(basisNames[1:]))
	}
	*b = Basis(i + 1)
	return nil
}

// Provenance says where a part comes from. Basis and Source must be given; a
// measurement's source is who measured it and when.
type Provenance struct {
	Basis      Basis  `json:"basis"`
	Source     string `json:"source"`
	Conditions string `json:"conditions,omitempty"` // what it holds for, where that is not said elsewhere
}
