package structure

import (
	"math"

	"gonum.org/v1/gonum/mathext"

	"example.org/actinic/internal/check"
	"example.org/actinic/sensito"
)

// SDKnown returns the 95 % interval of a standard deviation found from so many degrees of
// freedom, by the law of chi-square:
//
//	sd sqrt(nu/chi²(0.975, nu))   to   sd sqrt(nu/chi²(0.025, nu))
//
// n apertures that know nothing of each other have n - 1. For values that scatter normally.
// The error wraps [ErrInput] for fewer than one degree of freedom.
func SDKnown(sd, freedom float64) (sensito.Estimate, error) {
	if !(sd >= 0) || !(freedom >= 1) || !check.Finite(sd, freedom) {
		return sensito.Estimate{}, check.Errorf(ErrInput, "standard deviation %v from %v degrees of freedom, want one at least", sd, freedom)
	}
	end := func(p float64) float64 {
		return sd * math.Sqrt(freedom/(2*mathext.GammaIncRegInv(freedom/2, p)))
	}
	return sensito.Estimate{Value: sd, Low: end(0.975), High: end(0.025)}, nil
}
