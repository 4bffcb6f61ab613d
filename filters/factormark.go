package filters

import (
	"fmt"
	"math"

	"example.org/actinic/sensito"
)

// FactorMark is a filter factor as the trade prints it, to the nearest third of a stop:
// the number of thirds. 0 is the factor 1.
type FactorMark int

// FactorMarkOf returns the mark nearest to a factor,
//
//	round(3 log2 F)
//
// for a factor from 1 to 1e12. A filter cannot have less than 1; a value down to
// 0.95 is taken for the rounding of 1.
func FactorMarkOf(factor float64) (FactorMark, error) {
	if !(factor >= 0.95 && factor <= 1e12) {
		return 0, invalid("filter factor %v, it is 1 or more", factor)
	}
	return FactorMark(math.Round(3 * math.Log2(factor))), nil
}

// Stops returns the mark in stops, thirds exactly.
func (m FactorMark) Stops() sensito.Stops { return sensito.Stops(float64(m) / 3) }

// Factor returns the factor as it is printed, with the round numbers the trade
// uses for the powers of the cube root of two: 1, 1.25, 1.5, 2, 2.5, 3, 4, 5, 6,
// 8, 10, 12, 16, 20, 25, 32, 40, 50, 64, 80, 100, then two digits of the power
// itself; 1000 is ten stops. Source: a table of factors and stops in a text on
// photographic lighting ("Essential Skills"), which has 1.25 to 10; the rest are
// the usual roundings.
func (m FactorMark) Factor() float64 {
	small := [...]float64{1, 1.25, 1.5, 2, 2.5, 3, 4, 5, 6, 8, 10, 12, 16, 20, 25, 32, 40, 50, 64, 80, 100}
	switch {
	case m < 0:
		return math.NaN()
	case int(m) < len(small):
		return small[m]
	}
	f := math.Exp2(float64(m) / 3)
	unit := math.Pow(10, math.Floor(math.Log10(f))-1)
	return math.Round(f/unit) * unit
}

// String prints the mark in stops, such as "2 2/3".
func (m FactorMark) String() string {
	whole, third := int(m)/3, int(m)%3
	switch {
	case m < 0:
		return fmt.Sprintf("FactorMark(%d)", int(m))
	case third == 0:
		return fmt.Sprint(whole)
	case whole == 0:
		return fmt.Sprintf("%d/3", third)
	}
	return fmt.Sprintf("%d %d/3", whole, third)
}
