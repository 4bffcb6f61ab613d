// Package provenance says how a figure came about. It knows nothing of film: a
// table of speeds, the curve of a filter and a film's data say it with one word,
// and the data package prints the same word.
package provenance

import (
	"fmt"
	"slices"
	"strings"

	"example.org/actinic/internal/check"
)

// ErrBasis is wrapped by errors about a word or a number that is no basis.
var ErrBasis = check.Sentinel("provenance: no such basis")

// Basis says how a figure came about. The zero value says nothing, and is an error
// where it is printed for others to read.
type Basis uint8

const (
	Standard Basis = iota + 1 // printed by a standard
	Handbook                  // printed by a book or a paper
	Measured                  // read by somebody on real material
	Derived                   // computed from figures of the other kinds
	Invented                  // made up
)

var words = [...]string{"standard", "handbook", "measured", "derived", "invented"}

// Valid reports whether b is one of the five.
func (b Basis) Valid() bool { return b >= Standard && b <= Invented }

// Words returns the words of the five, in the order of the constants.
func Words() []string { return slices.Clone(words[:]) }

// String returns the word in lower case, which [ParseBasis] reads.
func (b Basis) String() string {
	if !b.Valid() {
		return fmt.Sprintf("basis(%d)", uint8(b))
	}
	return words[b-1]
}

// ParseBasis reads a word such as "measured", in lower case. Any other is an error
// that wraps [ErrBasis] and lists the words.
func ParseBasis(word string) (Basis, error) {
	i := slices.Index(words[:], word)
	if i < 0 {
		return 0, check.Errorf(ErrBasis, "%q, want %s", word, strings.Join(words[:], ", "))
	}
	return Basis(i + 1), nil
}

// MarshalText returns the word. A number that is no basis is an error that wraps
// [ErrBasis].
func (b Basis) MarshalText() ([]byte, error) {
	if !b.Valid() {
		return nil, check.Errorf(ErrBasis, "%d, want 1 to %d", uint8(b), len(words))
	}
	return []byte(b.String()), nil
}

// UnmarshalText reads what [ParseBasis] reads.
func (b *Basis) UnmarshalText(text []byte) error {
	v, err := ParseBasis(string(text))
	if err == nil {
		*b = v
	}
	return err
}
