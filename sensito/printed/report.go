package printed

import (
	"encoding/json"
	"fmt"
	"math"
	"strconv"
	"strings"

	"example.org/actinic/internal/check"
)

// Report is what a checker found in a printed table. It changes nothing in
// the table: what to do about a finding is for whoever has the sources.
type Report struct {
	Rows int `json:"rows"`
	// Law is what the table was held against, in words, with the constants that
	// the rows not accused give.
	Law      string    `json:"law"`
	Findings []Finding `json:"findings"` // by row
	// Caution is set where the table tells somebody to develop.
	Caution string `json:"caution,omitempty"`

	// Unseen says what this table could not have shown.
	Unseen string `json:"unseen,omitempty"`

	// Implied is, for each row, what the law and the other rows say in place of
	// the checked column, in its unit (minutes for times of development); NaN
	// where they say nothing.
	Implied []float64 `json:"-"`
	// Low and High bound what the others allow in print, in 19 of 20; NaN where they say
	// nothing.
	Low, High []float64 `json:"-"`
}

// Finding is one fault, or remark, about a printed table.
type Finding struct {
	Row     int    `json:"row"` // of data, from 1
	Column  string `json:"column"`
	Rule    string `json:"rule"` // what is broken
	Printed string `json:"-"`    // as in the table
	Implied string `json:"-"`    // in the same form; "" where nothing is implied
	// Deviation is how far Printed lies from Implied, 0 where nothing is implied, in
	// Unit: "stops", "percent", "°C" or "°F".
	Deviation  float64    `json:"deviation"`
	Unit       string     `json:"unit"`
	Slip       Slip       `json:"slip"`
	Confidence Confidence `json:"confidence"`
	// Probability is how likely the row is a slip, as the studies of the checkers found it
	// where 15 of 100 tables hold one; 0 where a remark is no suspicion.
	Probability float64 `json:"probability,omitempty"`
	// At is what is implied, between Low and High in 19 of 20, as numbers in the unit of the
	// column (minutes for times of development); Numbers says that they are there.
	At, Low, High float64 `json:"-"`
	Numbers       bool    `json:"-"`
}

// Number sets what is implied as numbers, where they are.
func (f *Finding) Number(at, low, high float64) {
	if f.Numbers = at-at == 0; f.Numbers {
		if !(low-low == 0 && high-high == 0) {
			low, high = at, at
		}
		f.At, f.Low, f.High = at, min(low, at), max(high, at)
	}
}

// Slip is the kind of slip that would make the printed value of the implied one.
type Slip string

// The slips that are known by name; "" is none of these.
const (
	SlipMinutes    Slip = "minutes for seconds" // or seconds for minutes
	SlipFahrenheit Slip = "Fahrenheit for Celsius"
	SlipDigits     Slip = "transposed digits"
	SlipDecimal    Slip = "decimal point"
	SlipCopied     Slip = "copied from the row above"
	SlipStops      Slip = "stops for a factor"

	SlipFactor      Slip = "a factor for stops"
	SlipSign        Slip = "sign of a stop"
	SlipShifted     Slip = "rows shifted"
	SlipCopiedBelow Slip = "copied from the row below"
	SlipDropped     Slip = "a digit dropped"
	SlipDoubled     Slip = "a digit doubled"
	SlipAdded       Slip = "a digit too many"
	SlipTens        Slip = "wrong multiple of ten"
	SlipColon       Slip = "1+ for 1:" // or 1: for 1+
)

// Confidence says how sure a finding is.
type Confidence string

const (
	// High accuses the table: it contradicts itself, or the row would be right in
	// fewer than one table in twenty.
	High Confidence = "high"
	// Low is a remark: unusual, explained by rounding, or not to be pinned on one row.
	Low Confidence = "low"
)

// Accused counts the findings of high confidence.
func (r *Report) Accused() int {
	n := 0
	for _, f := range r.Findings {
		if f.Confidence == High {
			n++
		}
	}
	return n
}

// MarshalJSON writes the finding with printed and implied as numbers in columns
// of numbers and as text in columns of text (time, dilution); null where nothing is implied.
func (f Finding) MarshalJSON() ([]byte, error) {
	type plain Finding
	return json.Marshal(struct {
		plain
		Printed cell `json:"printed"`
		Implied cell `json:"implied"`
	}{plain(f), cell{f.Printed, f.Column}, cell{f.Implied, f.Column}})
}

// cell is the content of a cell of a named column.
type cell struct{ text, column string }

func (c cell) MarshalJSON() ([]byte, error) {
	if c.text == "" {
		return []byte("null"), nil
	}
	if c.column != "time" && c.column != "dilution" {
		if v, err := strconv.ParseFloat(c.text, 64); err == nil && check.Finite(v) {
			return json.Marshal(v)
		}
	}
	return json.Marshal(c.text)
}

// String says the finding in a sentence.
func (f Finding) String() string {
	var b strings.Builder
	fmt.Fprintf(&b, "row %d, %s: printed %s", f.Row, f.Column, f.Printed)
	if f.Implied != "" {
		fmt.Fprintf(&b, ", implied %s (%s)", f.Implied, f.deviation())
	}
	b.WriteString("; " + f.Rule)
	if f.Slip != "" {
		fmt.Fprintf(&b, "; looks like: %s", f.Slip)
	}
	return b.String()
}

func (f Finding) deviation() string {
	switch {
	case f.Unit == "percent" && math.Abs(f.Deviation) >= 300:
		return fmt.Sprintf("%.3g times", 1+f.Deviation/100)
	case f.Unit == "percent":
		return fmt.Sprintf("%+.1f %%", f.Deviation)
	}
	return fmt.Sprintf("%+.2f %s", f.Deviation, f.Unit)
}
