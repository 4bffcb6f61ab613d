package columns_test

import (
	"testing"

	"example.org/actinic/internal/held"
	"example.org/actinic/sensito/printed/columns"
)

// What the package does with typical and impossible arguments is held to what it did.
func TestDrive(t *testing.T) {
	held.New(t).Drive([]any{
		columns.Kinds, columns.Check, columns.Formula,
	})
}
