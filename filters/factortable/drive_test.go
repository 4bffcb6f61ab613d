package factortable_test

import (
	"testing"

	"example.org/actinic/filters/factortable"
	"example.org/actinic/internal/held"
)

// What the package does with typical and impossible arguments is held to what it did.
func TestDrive(t *testing.T) {
	held.New(t).Drive([]any{
		factortable.Check, factortable.Usual, factortable.CheckUnder, factortable.Read, factortable.FromTable,
	})
}
