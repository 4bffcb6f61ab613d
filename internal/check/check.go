// Package check holds what every edge needs: whether numbers are finite, and an
// error that says what was wrong with which kind of input.
package check

import (
	"fmt"

	"golang.org/x/exp/constraints"
)

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
