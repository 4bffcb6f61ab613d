package figures_test

import (
	"testing"

	"example.org/actinic/internal/figures"
	"example.org/actinic/internal/held"
)

// What the package does with typical and impossible arguments is held to what it did.
func TestDrive(t *testing.T) {
	held.New(t).Drive([]any{
		figures.About, figures.Seconds, figures.Known, figures.Round, figures.Digits, figures.Numeral, figures.Bare,
	})
}
