package printed

import (
	"math"
	"slices"
	"strconv"
	"strings"
)

// MaxRows bounds the size of a table; no printed one is longer.
const MaxRows = 2000

// FewRows is the number of rows below which rows imply nothing about each other.
const FewRows = 3

// AccusedFrom and RemarkedFrom are the probabilities of a slip from which there is a
// finding of high and of low confidence.
const (
	AccusedFrom  = 0.95
	RemarkedFrom = 0.5
)

// unusual is the number of robust standard deviations from which a row does not go
// with the others (B. Iglewicz and D. C. Hoaglin, How to Detect and Handle Outliers,
// 1993).
const unusual = 3.5

// Builder collects what a checker finds. Make one by [NewBuilder]; the report is made
// when all is said.
type Builder struct {
	// Law and Caution become those of the report, and Implied does too: NaN until a
	// checker sets it.
	Law, Caution string
	Implied      []float64

	findings []Finding
}

// NewBuilder begins the report on a table of so many rows.
func NewBuilder(rows int) *Builder {
	b := &Builder{Implied: make([]float64, rows)}
	for i := range b.Implied {
		b.Implied[i] = math.NaN()
	}
	return b
}

// Add adds a finding.
func (b *Builder) Add(f Finding) { b.findings = append(b.findings, f) }

// Has tells whether there is a finding about a cell, the row counted from 1.
func (b *Builder) Has(row int, column string) bool {
	return slices.ContainsFunc(b.findings, func(f Finding) bool { return f.Row == row && f.Column == column })
}

// Report returns what was found, by row.
func (b *Builder) Report() *Report {
	found := append([]Finding{}, b.findings...)
	slices.SortStableFunc(found, func(a, b Finding) int { return a.Row - b.Row })
	return &Report{Rows: len(b.Implied), Law: b.Law, Findings: found, Caution: b.Caution, Implied: b.Implied}
}

// SlipOf names the slip that makes the printed value of the implied one. texts
// are ways to write the printed value, above the value one row up (0 for none).
func SlipOf(printed, implied, above float64, texts ...string) Slip {
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

// number reads a plain number, or minutes and two digits of seconds as minutes.
func number(s string) (float64, bool) {
	minutes, seconds, clock := strings.Cut(s, ":")
	if !clock {
		v, err := strconv.ParseFloat(s, 64)
		return v, err == nil && v > 0
	}
	m, err := strconv.ParseUint(minutes, 10, 16)
	sec, err2 := strconv.ParseUint(seconds, 10, 8)
	v := float64(m) + float64(sec)/60
	return v, err == nil && err2 == nil && len(seconds) == 2 && sec < 60 && v > 0
}

// Plain prints a number with as many digits as it needs.
func Plain(v float64) string { return strconv.FormatFloat(v, 'g', -1, 64) }

// ThreeDigits prints what is implied, which is never known better.
func ThreeDigits(v float64) string {
	v, _ = strconv.ParseFloat(strconv.FormatFloat(v, 'g', 3, 64), 64)
	return Plain(v)
}
