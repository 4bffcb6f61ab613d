package cholesky_test

import (
	"testing"

	"example.org/actinic/internal/cholesky"
	"example.org/actinic/internal/held"
)

// What the package does with typical and impossible arguments is held to what it did.
func TestDrive(t *testing.T) {
	held.New(t).Drive([]any{
		cholesky.New, cholesky.Matrix.At, cholesky.Matrix.Add, cholesky.Matrix.Factor, cholesky.Matrix.Solve,
		cholesky.Matrix.Inverse, cholesky.Matrix.Quadratic,
	}, held.Preconditions{}, cholesky.Matrix{N: 2, A: []float64{4, 1, 1, 3}}, cholesky.Matrix{N: 2, A: []float64{1, 2, 2, 1}}, cholesky.Matrix{N: 2, A: make([]float64, 4)}, cholesky.Matrix{N: 1, A: []float64{0}}, cholesky.Matrix{}, 2, 0, 1, 3, []float64{1, 2}, []float64{-0.5})
}
