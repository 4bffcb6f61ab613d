package elementary_test

import (
	"testing"

	"example.org/actinic/internal/elementary"
	"example.org/actinic/internal/held"
)

// What the package does with typical and impossible arguments is held to what it did.
func TestDrive(t *testing.T) {
	held.New(t).Drive([]any{
		elementary.Exp, elementary.Log, elementary.Log1p,
	}, held.Preconditions{}, []float64{0.1, -0.7, 2, 30, -30, 1e-9, 0, -0.5, 1}, make([]float64, 9), []float64{1, 2, 700, -700, 710}, make([]float64, 5), []float64{1e-300, 5, 1e300}, make([]float64, 3))
}
