// Package robust holds the statistics that a few wild values do not move: median and
// median deviation, a line, and which values of a table do not follow its law.
//
// Functions leave their arguments unchanged. Values that are not finite give
// NaN, never a plausible number.
package robust

import (
	"math"
	"slices"
)

// Consistency turns a median absolute deviation into the standard deviation of
// a normal sample: 1/Φ⁻¹(3/4).
const Consistency = 1.482602218505602

// meanConsistency does the same for a mean absolute deviation: sqrt(π/2).
const meanConsistency = 1.2533141373155003

// Median is the middle value, the mean of the two middle ones for an even
// number. It is NaN for an empty or not finite sample.
func Median(x []float64) float64 {
	return medianInPlace(slices.Clone(x))
}

func medianInPlace(x []float64) float64 {
	for _, v := range x {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return math.NaN()
		}
	}
	if len(x) == 0 {
		return math.NaN()
	}
	return middle(x)
}

// MAD is the median and the median absolute deviation from it, without any
// factor.
func MAD(x []float64) (median, mad float64) {
	y := slices.Clone(x)
	median = medianInPlace(y)
	for i, v := range y {
		y[i] = math.Abs(v - median)
	}
	return median, medianInPlace(y)
}

// Scale is the median and a standard deviation that outliers do not move:
//
//	1.4826 MAD
//
// Where more than half of the values agree the MAD is 0, as in tables rounded
// to a coarse step; the scale is then 1.2533 times the mean absolute deviation
// from the median. It is never below floor, the standard deviation that the
// rounding of the values alone would give (step/sqrt(12)).
//
// Source: B. Iglewicz and D. C. Hoaglin, How to Detect and Handle Outliers
// (1993), for both factors; the floor is ours.
func Scale(x []float64, floor float64) (median, scale float64) {
	median, mad := MAD(x)
	scale = Consistency * mad
	if mad == 0 {
		var s float64
		for _, v := range x {
			s += math.Abs(v - median)
		}
		scale = meanConsistency * s / float64(len(x))
	}
	if scale < floor {
		scale = floor
	}
	return median, scale
}
