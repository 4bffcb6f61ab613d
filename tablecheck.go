package actinic

import (
	"encoding/json"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"

	"example.org/actinic/devtime"
)

// TableReport is what a checker found in a printed table. It changes nothing in
// the table: what to do about a finding is for whoever has the sources.
type TableReport struct {
	Rows int `json:"rows"`
	// Law is what the table was held against, in words, with the constants that
	// the rows not accused give.
	Law      string         `json:"law"`
	Findings []TableFinding `json:"findings"` // by row
	// Caution is set where the table tells somebody to develop.
	Caution string `json:"caution,omitempty"`

	// Implied is, for each row, what the law and the other rows say in place of
	// the checked column, in its unit (minutes for times of development); NaN
	// where they say nothing.
	Implied []float64 `json:"-"`
}

// TableFinding is one fault, or remark, about a printed table.
type TableFinding struct {
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
func (r *TableReport) Accused() int {
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
func (f TableFinding) MarshalJSON() ([]byte, error) {
	type plain TableFinding
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
		if v, err := strconv.ParseFloat(c.text, 64); err == nil && !math.IsInf(v, 0) && !math.IsNaN(v) {
			return json.Marshal(v)
		}
	}
	return json.Marshal(c.text)
}

// String says the finding in a sentence.
func (f TableFinding) String() string {
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

func (f TableFinding) deviation() string {
	switch {
	case f.Unit == "percent" && math.Abs(f.Deviation) >= 300:
		return fmt.Sprintf("%.3g times", 1+f.Deviation/100)
	case f.Unit == "percent":
		return fmt.Sprintf("%+.1f %%", f.Deviation)
	}
	return fmt.Sprintf("%+.2f %s", f.Deviation, f.Unit)
}

// maxTableRows bounds the size of a table; no printed one is longer.
const maxTableRows = 2000

// unusual is the number of robust standard deviations from which a row does not go
// with the others (B. Iglewicz and D. C. Hoaglin, How to Detect and Handle Outliers,
// 1993).
const unusual = 3.5

// fewRows is the number of rows below which rows imply nothing about each other.
const fewRows = 3

// Probabilities of a slip from which there is a finding of either confidence.
const (
	accusedFrom  = 0.95
	remarkedFrom = 0.5
)

func (r *TableReport) add(f TableFinding) { r.Findings = append(r.Findings, f) }

// has tells whether there is a finding about a cell.
func (r *TableReport) has(row int, column string) bool {
	return slices.ContainsFunc(r.Findings, func(f TableFinding) bool { return f.Row == row && f.Column == column })
}

func (r *TableReport) sort() {
	slices.SortStableFunc(r.Findings, func(a, b TableFinding) int { return a.Row - b.Row })
	if r.Findings == nil {
		r.Findings = []TableFinding{}
	}
}

// slipOf names the slip that makes the printed value of the implied one. texts
// are ways to write the printed value, above the value one row up (0 for none).
func slipOf(printed, implied, above float64, texts ...string) Slip {
	if !(printed > 0 && implied > 0) {
		return ""
	}
	ratio := math.Log(printed / implied)
	near := func(factor float64) bool { return math.Abs(math.Abs(ratio)-math.Log(factor)) < 0.15 }
	switch {
	case printed == above:
		return SlipCopied
	case near(60):
		return SlipMinutes
	case near(10), near(100):
		return SlipDecimal
	}
	for _, text := range texts {
		digits := []byte(text)
		for i := 0; i+1 < len(digits); i++ {
			for k := i + 1; k < len(digits) && k <= i+2; k++ {
				// neighbours, or either side of the point or the colon
				if k == i+2 && digit(digits[i+1]) || !digit(digits[i]) || !digit(digits[k]) || digits[i] == digits[k] {
					continue
				}
				digits[i], digits[k] = digits[k], digits[i]
				v, ok := number(string(digits))
				if ok && math.Abs(math.Log(v/implied)) < min(0.08, math.Abs(ratio)/2) {
					return SlipDigits
				}
				digits[i], digits[k] = digits[k], digits[i]
			}
		}
	}
	return ""
}

func digit(b byte) bool { return b >= '0' && b <= '9' }

// number reads a plain number, or minutes and seconds as minutes.
func number(s string) (float64, bool) {
	if strings.Contains(s, ":") {
		d, err := devtime.ParseTime(s)
		return d.Minutes(), err == nil
	}
	v, err := strconv.ParseFloat(s, 64)
	return v, err == nil && v > 0
}

func plainNumber(v float64) string { return strconv.FormatFloat(v, 'g', -1, 64) }

// threeDigits prints what is implied, which is never known better.
func threeDigits(v float64) string {
	v, _ = strconv.ParseFloat(strconv.FormatFloat(v, 'g', 3, 64), 64)
	return plainNumber(v)
}

// stepOf is the step that printed times are rounded to. A coarser step makes each
// time that is a multiple of it likelier, in proportion, and each that is not a
// slip, with a chance of 0.03.
func stepOf(times []time.Duration) time.Duration {
	best, top := time.Second, math.Inf(-1)
	for _, s := range []time.Duration{time.Minute, 30 * time.Second, 15 * time.Second, 10 * time.Second, 5 * time.Second, time.Second} {
		score := 0.0
		for _, t := range times {
			if t%s == 0 {
				score += math.Log(s.Seconds())
			} else {
				score += math.Log(0.03)
			}
		}
		if score > top {
			best, top = s, score
		}
	}
	return best
}
