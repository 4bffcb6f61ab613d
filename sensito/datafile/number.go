package datafile

import (
	"math"
	"strconv"
)

// ParseNumber reads a finite number as Table Schema has them, which is how XML Schema
// writes a double: a sign, digits with a decimal point, an exponent of ten. What the
// language reads besides, hexadecimal digits, underscores and words, is no number in a
// table, and neither is what lies beyond the largest float64.
//
// Source: Table Schema 2.0, type number; XML Schema part 2, 3.2.5 double.
func ParseNumber(s string) (float64, bool) {
	if !isNumber(s) {
		return math.NaN(), false
	}
	v, err := strconv.ParseFloat(s, 64)
	if err != nil || math.IsInf(v, 0) {
		return math.NaN(), false
	}
	return v, true
}

// isNumber holds s to [+-]?(d+(.d*)?|.d+)([eE][+-]?d+)?.
func isNumber(s string) bool {
	i := 0
	sign := func() {
		if i < len(s) && (s[i] == '+' || s[i] == '-') {
			i++
		}
	}
	digits := func() int {
		from := i
		for i < len(s) && s[i] >= '0' && s[i] <= '9' {
			i++
		}
		return i - from
	}
	sign()
	n := digits()
	if i < len(s) && s[i] == '.' {
		i++
		n += digits()
	}
	if n == 0 {
		return false
	}
	if i < len(s) && (s[i] == 'e' || s[i] == 'E') {
		i++
		sign()
		if digits() == 0 {
			return false
		}
	}
	return i == len(s)
}
