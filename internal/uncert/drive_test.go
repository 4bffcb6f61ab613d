package uncert_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"example.org/actinic/internal/held"
	"example.org/actinic/internal/uncert"
)

// What the package does with typical and impossible arguments is held to what it did.
func TestDrive(t *testing.T) {
	held.New(t).Drive([]any{
		uncert.Variance, uncert.Diagonal, uncert.Sensitivities, uncert.NewFactor, uncert.Factor.Draw,
		uncert.MonteCarlo, uncert.Sample.Mean, uncert.Sample.SD, uncert.Sample.Interval, uncert.Sample.Shortest,
	}, held.Preconditions{}, uncert.Sample{3, 1, 2, 5, 4, 9, 7, 8, 6, 20}, uncert.Sample{1}, uncert.Sample{2, 1}, uncert.Sample{}, uncert.Sample{1, 1, 1, 4}, 0.95, 0.5, 0.9, 1.0, 0.0, 0.1,
		[]float64{0.1, 0.2}, []float64{4, 1, 1, 3}, []float64{1, 2, 2, 1}, []float64{0}, []float64(nil), 2, 1, 0, 50, uint64(3), uint64(4),
		func(x []float64) float64 { return x[0]*x[0] + math.Sin(x[len(x)-1]) }, rand.New(rand.NewPCG(1, 2)), func(r *rand.Rand) float64 { return r.NormFloat64() })
}
