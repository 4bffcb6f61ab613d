package optdesign

import (
	"math"

	"example.org/actinic/internal/check"
	"example.org/actinic/internal/lsq"
)

// mostReadings is how many readings anybody is told to take.
const mostReadings = 1_000_000

// HowMany gives how many readings of standard deviation sd have a mean known within half,
// with 95 % confidence: the least n with
//
//	q sd/√n <= half
//
// q = 1.960 where the deviation is known, and that of Student's t with n - 1 degrees of
// freedom where it comes from the same readings. The error wraps [ErrProblem] for values
// that are not finite and positive (sd may be 0), or more than a million readings.
func HowMany(sd, half float64, known bool) (int, error) {
	if !(sd >= 0) || math.IsInf(sd, 0) || !(half > 0) || math.IsInf(half, 0) {
		return 0, check.Errorf(ErrProblem, "standard deviation %v, half-width %v", sd, half)
	}
	least := math.Ceil(math.Pow(lsq.Normal95*sd/half, 2) * (1 - 1e-12))
	if !(least <= mostReadings) {
		return 0, check.Errorf(ErrProblem, "a half-width of %v with readings of ± %v takes %.3g of them", half, sd, least)
	}
	n := max(int(least), 1)
	if known {
		return n, nil
	}
	for n = max(n, 2); lsq.TwoSided95(n-1)*sd > half*math.Sqrt(float64(n)); n++ {
	}
	return n, nil
}
