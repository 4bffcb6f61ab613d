package root_test

import (
	"math"
	"testing"

	"example.org/actinic/internal/held"
	"example.org/actinic/internal/root"
)

// What the package does with typical and impossible arguments is held to what it did.
func TestDrive(t *testing.T) {
	held.New(t).Drive([]any{
		root.Find, root.Within, root.Newton,
	}, held.Preconditions{}, math.Cos, func(x float64) float64 { return x*x - 2 }, func(x float64) float64 { return math.Log(x) }, func(x float64) float64 { return 1 }, func(x float64) (float64, float64) { return x*x*x - 3, 3 * x * x },
		0.5, 2.0, 1.0, 3.0, 1e-3, 0.0, -1.0, math.NaN(), 1e-9)
}
