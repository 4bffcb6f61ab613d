package lsq

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// Normal95 is the half-width, in standard deviations, of a 95 % interval of
// the normal distribution.
const Normal95 = 1.959963984540054

// TwoSided95 is the half-width, in standard deviations, of a 95 % interval of
// Student's t with dof degrees of freedom. It is NaN for dof below 1: nothing
// is known of the error then.
func TwoSided95(dof int) float64 {
	switch {
	case dof < 1:
		return math.NaN()
	case dof > 100000:
		return Normal95
	}
	return distuv.StudentsT{Mu: 0, Sigma: 1, Nu: float64(dof)}.Quantile(0.975)
}
