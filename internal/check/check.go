// Package check holds what every edge needs: whether numbers are finite, and an
// error that says what was wrong with which kind of input.
package check

import (
	"errors"
	"fmt"

	"golang.org/x/exp/constraints"
)

// ErrInput is what every sentinel of the project wraps: what was given is at fault,
// not the program nor the machine.
var ErrInput = errors.New("unusable input")

// Sentinel returns an error to compare with by errors.Is, which is an [ErrInput] too.
func Sentinel(text string) error { return &sentinel{text} }

type sentinel struct{ text string }

func (s *sentinel) Error() string { return s.text }

func (s *sentinel) Unwrap() error { return ErrInput }

// Finite reports whether no value is NaN or infinite. It takes every defined
// quantity as it is.
func Finite[T constraints.Float](vs ...T) bool {
	for _, v := range vs {
		if v-v != 0 {
			return false
		}
	}
	return true
}

// Errorf wraps a package's sentinel with what was wrong and what to do.
func Errorf(sentinel error, format string, args ...any) error {
	return fmt.Errorf("%w: %s", sentinel, fmt.Sprintf(format, args...))
}
