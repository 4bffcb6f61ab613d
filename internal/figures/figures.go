// Package figures prints and rounds numbers as people read them, and reads what a
// number in print stands for.
package figures

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"
)

// About prints a computed time to three digits: a fraction below 0.4 s.
func About(t time.Duration) string {
	s := t.Seconds()
	if s < 0.4 {
		return fmt.Sprintf("1/%.0f", 1/s)
	}
	return fmt.Sprintf("%.3gs", s)
}

// Seconds is a time of so many seconds, to the nanosecond.
func Seconds(s float64) time.Duration { return time.Duration(math.Round(s * float64(time.Second))) }

// Known returns v, or nil where it is not finite: JSON has no number for that.
func Known(v float64) *float64 {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return nil
	}
	return &v
}

// Round rounds to a number of decimals, by the decimal digits as they are printed.
func Round(v float64, decimals int) float64 {
	r, _ := strconv.ParseFloat(strconv.FormatFloat(v, 'f', decimals, 64), 64) // reads what was just printed
	return r
}

// Digits rounds to a number of significant digits.
func Digits(v float64, n int) float64 {
	r, err := strconv.ParseFloat(strconv.FormatFloat(v, 'g', n, 64), 64)
	if err != nil {
		return v
	}
	return r
}

// Numeral prints a number with the digits that read back as the same number: nothing
// for NaN, which is not known, and INF for infinity.
func Numeral(v float64) string {
	switch {
	case v != v:
		return ""
	case v-v != 0:
		return "INF"
	case v == 0:
		return "0" // also for -0
	}
	return strconv.FormatFloat(v, 'f', -1, 64)
}

// Quoted lists names in quotation marks.
func Quoted[S ~string](names []S) string {
	out := make([]string, len(names))
	for i, n := range names {
		out[i] = fmt.Sprintf("%q", n)
	}
	return strings.Join(out, ", ")
}

// Bare is an error's text without the package in front of it, for a sentence.
func Bare(err error) string {
	_, s, ok := strings.Cut(err.Error(), ": ")
	if !ok {
		return err.Error()
	}
	return s
}
