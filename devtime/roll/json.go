package roll

import (
	"encoding/json"
	"math"

	"example.org/actinic/internal/figures"
	"example.org/actinic/sensito"
)

// indexJSON is an [IndexRecord] in JSON: the estimate's members beside the others,
// which the embedded type's own methods would leave out.
type indexJSON struct {
	Value       *float64          `json:"value"`
	Low         *float64          `json:"low"`
	High        *float64          `json:"high"`
	From        string            `json:"from"`
	Development *sensito.Estimate `json:"development_s"`
	History     string            `json:"history"`
}

// MarshalJSON writes value, low, high, from, development_s and history; what is not
// finite is null.
func (x IndexRecord) MarshalJSON() ([]byte, error) {
	return json.Marshal(indexJSON{figures.Known(x.Value), figures.Known(x.Low), figures.Known(x.High), x.From, x.Development, x.History})
}

// UnmarshalJSON reads what MarshalJSON writes; null and missing numbers are NaN.
func (x *IndexRecord) UnmarshalJSON(b []byte) error {
	var j indexJSON
	if err := json.Unmarshal(b, &j); err != nil {
		return err
	}
	*x = IndexRecord{sensito.Estimate{Value: number(j.Value), Low: number(j.Low), High: number(j.High)}, j.From, j.Development, j.History}
	return nil
}

func number(p *float64) float64 {
	if p == nil {
		return math.NaN()
	}
	return *p
}

// finite replaces the ends of an interval that are infinite by NaN: of a measure of
// a curve that says no more than that it is not known.
func finite(e sensito.Estimate) sensito.Estimate {
	if math.IsInf(e.Low, 0) {
		e.Low = math.NaN()
	}
	if math.IsInf(e.High, 0) {
		e.High = math.NaN()
	}
	return e
}
