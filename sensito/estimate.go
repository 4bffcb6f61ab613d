package sensito

import (
	"encoding/json"
	"fmt"
	"math"

	"example.org/actinic/internal/check"
)

// Estimate is a number with its 95 % interval. Low and High equal Value where a
// number is known exactly, and are NaN where nothing is known of its error.
//
// In JSON it is an object of value, low and high; what is not finite is null.
type Estimate struct {
	Value, Low, High float64
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

// estimateJSON is an estimate as it is stored. JSON has no infinity: an end without bound
// is null, and a member says so.
type estimateJSON struct {
	Value   *float64 `json:"value"`
	Low     *float64 `json:"low"`
	High    *float64 `json:"high"`
	NoLeast bool     `json:"no_lower_end,omitempty"`
	NoMost  bool     `json:"no_upper_end,omitempty"`
}

// MarshalJSON writes {"value": …, "low": …, "high": …}, null for what is not known. An
// end at infinity is null too, with the member "no_lower_end" or "no_upper_end" true.
func (e Estimate) MarshalJSON() ([]byte, error) {
	p := func(v float64) *float64 {
		if !check.Finite(v) {
			return nil
		}
		return &v
	}
	return json.Marshal(estimateJSON{p(e.Value), p(e.Low), p(e.High), math.IsInf(e.Low, -1), math.IsInf(e.High, 1)})
}

// UnmarshalJSON reads what MarshalJSON writes; null and missing members are NaN.
func (e *Estimate) UnmarshalJSON(b []byte) error {
	var j estimateJSON
	if err := json.Unmarshal(b, &j); err != nil {
		return err
	}
	v := func(p *float64) float64 {
		if p == nil {
			return math.NaN()
		}
		return *p
	}
	*e = Estimate{v(j.Value), v(j.Low), v(j.High)}
	if j.NoLeast {
		e.Low = math.Inf(-1)
	}
	if j.NoMost {
		e.High = math.Inf(1)
	}
	return nil
}
