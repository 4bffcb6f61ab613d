package printed

import (
	"fmt"
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
	// Law, Caution and Unseen become those of the report, and Implied, Low and High do too:
	// NaN until a checker sets them.
	Law, Caution, Unseen string
	Implied, Low, High   []float64

	findings []Finding
}

// NewBuilder begins the report on a table of so many rows, none for a number below 0. It
// makes them at once, as make does: so many must have a place in memory.
func NewBuilder(rows int) *Builder {
	rows = max(rows, 0)
	b := &Builder{Implied: make([]float64, rows), Low: make([]float64, rows), High: make([]float64, rows)}
	for i := range b.Implied {
		b.Implied[i], b.Low[i], b.High[i] = math.NaN(), math.NaN(), math.NaN()
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
	return &Report{Rows: len(b.Implied), Law: b.Law, Findings: found, Caution: b.Caution, Unseen: b.Unseen,
		Implied: b.Implied, Low: b.Low, High: b.High}
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
	}
	// On a clock a digit more makes it ten times as much, and a point is not lost.
	clock := slices.IndexFunc(texts, func(s string) bool { return strings.Contains(s, ":") }) == 0
	if s := slipOfDigits(printed, implied, texts); s != "" && clock {
		return s
	}
	switch {
	case near(10), near(100):
		return SlipDecimal
	case near(1000), near(1e4):
		return SlipTens
	}
	if s := slipOfDigits(printed, implied, texts); s != "" {
		return s
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

// slipOfDigits finds a digit too many or too few: the text without one of its digits, or
// with one of its digits doubled, is what is implied. A digit that only moves the point is
// left to the slips of ten.
func slipOfDigits(printed, implied float64, texts []string) Slip {
	ratio := math.Abs(math.Log(printed / implied))
	if ratio < math.Log(3) {
		return "" // a digit less or more changes the number by more
	}
	close := func(text string) bool {
		v, ok := number(text)
		return ok && math.Abs(math.Log(v/implied)) < 0.04
	}
	for _, text := range texts {
		for i := range len(text) {
			if !digit(text[i]) {
				continue
			}
			if printed > implied && close(text[:i]+text[i+1:]) && text[i] != '0' {
				if i+1 < len(text) && text[i+1] == text[i] {
					return SlipDoubled
				}
				return SlipAdded
			}
			if printed < implied {
				for d := byte('1'); d <= '9'; d++ {
					for _, k := range []int{i, i + 1} {
						if t := text[:k] + string(d) + text[k:]; close(t) {
							return SlipDropped
						}
					}
				}
			}
		}
	}
	return ""
}

// UnseenBelow says what a table could not have shown, from the least change of each row
// that would have been found, as ratios. Four rows in five would have shown the slip that
// is named.
func UnseenBelow(ratios []float64) string {
	if len(ratios) < FewRows {
		return "with fewer than three rows, no slip is shown by the others: only a broken rule is found"
	}
	v := slices.Sorted(slices.Values(ratios))
	percent := 100 * (v[(4*len(v)-1)/5] - 1)
	switch {
	case !(percent < 10000):
		return "this table could hardly have shown any slip but a broken rule"
	case percent > 100:
		return fmt.Sprintf("a slip of less than %.2g times would pass", 1+percent/100)
	}
	return fmt.Sprintf("a slip below %.0f %% would pass", max(5, 5*math.Ceil(percent/5)))
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
