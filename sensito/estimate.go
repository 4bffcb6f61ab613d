package sensito

import (
	"fmt"
	"math"
)

// Estimate is a number with its 95 % interval. Low and High equal Value where a
// number is known exactly, and are NaN where nothing is known of its error.
type Estimate struct {
	Value float64 `json:"value"`
	Low   float64 `json:"low"`
	High  float64 `json:"high"`
}

// Exactly returns v with an interval of no width.
func Exactly(v float64) Estimate { return Estimate{v, v, v} }

// String prints the value with its interval, for example "0.615 (0.602 to 0.629)".
func (e Estimate) String() string {
	if math.IsNaN(e.Low) || math.IsNaN(e.High) {
		return fmt.Sprintf("%.4g", e.Value)
	}
	return fmt.Sprintf("%.4g (%.4g to %.4g)", e.Value, e.Low, e.High)
}

// Map returns the estimate of f(x) for a monotone f: the interval's ends are
// carried through f and put in order.
func (e Estimate) Map(f func(float64) float64) Estimate {
	v, a, b := f(e.Value), f(e.Low), f(e.High)
	if a > b {
		a, b = b, a
	}
	return Estimate{v, a, b}
}
