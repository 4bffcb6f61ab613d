package view

import (
	"math"

	"example.org/actinic/internal/check"
)

// EdgeAcutance returns the acutance of an edge in density by the mean square of its gradient,
//
//	A = mean((dD/dx)²)/(D2 - D1)
//
// over the part between the places where the gradient first and last reaches least, and the
// densities there. Distances in µm give A in 1/µm. The form is that of Higgins and Jones
// (1952), with a least gradient of 0.005/µm, both from memory; it says nothing of grain or
// of the eye, and edges that development sharpens have more.
//
// The error wraps [ErrInput] for distances that do not rise, and edges that nowhere reach
// least.
func EdgeAcutance(distance, density []float64, least float64) (float64, error) {
	n := len(distance)
	if n != len(density) || n < 3 || !(least > 0) || !check.Finite(least) {
		return 0, check.Errorf(ErrInput, "%d distances and %d densities, least gradient %v", n, len(density), least)
	}
	first, last := -1, -1
	for i := range n - 1 {
		dx := distance[i+1] - distance[i]
		if !(dx > 0) || !check.Finite(density[i], density[i+1], dx) {
			return 0, check.Errorf(ErrInput, "distance %v after %v, densities %v and %v", distance[i+1], distance[i], density[i], density[i+1])
		}
		if math.Abs(density[i+1]-density[i])/dx >= least {
			if first < 0 {
				first = i
			}
			last = i + 1
		}
	}
	if first < 0 || density[first] == density[last] {
		return 0, check.Errorf(ErrInput, "no gradient of %v/µm in the edge", least)
	}
	sum := 0.0
	for i := first; i < last; i++ {
		d := density[i+1] - density[i]
		sum += d * d / (distance[i+1] - distance[i])
	}
	return sum / (distance[last] - distance[first]) / math.Abs(density[last]-density[first]), nil
}
