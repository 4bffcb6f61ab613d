package sensito

import (
	"encoding/json"
	"fmt"
	"math"

	"example.org/actinic/internal/check"
)

// Estimate is a number with its 95 % interval. What it is of, and in which unit, the
// function or the field that gives it says; estimates that a [Measure] gives are in
// the measure's unit. Low and High equal Value where a number is known exactly, and
// are NaN where nothing is known of its error. The interval need not lie evenly
// about the value.
//
// In JSON it is an object of value, low and high; what is not known is null, and so is an
// end without bound, of which no_lower_end or no_upper_end then says so.
type Estimate struct {
	Value, Low, High float64
}

// Exact returns v with an interval of no width.
func Exact(v float64) Estimate { return Estimate{v, v, v} }

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

// jsonNumber is a number of which what is not finite is null in JSON.
type jsonNumber float64

func (v jsonNumber) MarshalJSON() ([]byte, error) {
	if f := float64(v); check.Finite(f) {
		return json.Marshal(f)
	}
	return []byte("null"), nil
}

func (v *jsonNumber) UnmarshalJSON(b []byte) error {
	if string(b) == "null" {
		*v = jsonNumber(math.NaN())
		return nil
	}
	return json.Unmarshal(b, (*float64)(v))
}

// estimateJSON is an estimate as it is stored. JSON has no infinity: an end without bound
// is null, and a member says so.
type estimateJSON struct {
	Value   jsonNumber `json:"value"`
	Low     jsonNumber `json:"low"`
	High    jsonNumber `json:"high"`
	NoLeast bool       `json:"no_lower_end,omitempty"`
	NoMost  bool       `json:"no_upper_end,omitempty"`
}

// MarshalJSON writes {"value": …, "low": …, "high": …}, null for what is not known. An
// end at infinity is null too, with the member no_lower_end or no_upper_end true.
func (e Estimate) MarshalJSON() ([]byte, error) {
	return json.Marshal(estimateJSON{jsonNumber(e.Value), jsonNumber(e.Low), jsonNumber(e.High), math.IsInf(e.Low, -1),
		math.IsInf(e.High, 1)})
}

// UnmarshalJSON reads what MarshalJSON writes; null and missing members are NaN.
func (e *Estimate) UnmarshalJSON(b []byte) error {
	nan := jsonNumber(math.NaN())
	j := estimateJSON{Value: nan, Low: nan, High: nan}
	if err := json.Unmarshal(b, &j); err != nil {
		return err
	}
	*e = Estimate{float64(j.Value), float64(j.Low), float64(j.High)}
	if j.NoLeast {
		e.Low = math.Inf(-1)
	}
	if j.NoMost {
		e.High = math.Inf(1)
	}
	return nil
}
