package forms

import (
	"math"
	"strconv"
	"strings"
	"unicode/utf8"
)

var vulgar = map[rune]float64{
	'½': 1. / 2, '⅓': 1. / 3, '⅔': 2. / 3, '¼': 1. / 4, '¾': 3. / 4, '⅕': 1. / 5, '⅖': 2. / 5, '⅗': 3. / 5, '⅘': 4. / 5,
	'⅙': 1. / 6, '⅚': 5. / 6, '⅛': 1. / 8, '⅜': 3. / 8, '⅝': 5. / 8, '⅞': 7. / 8,
}

// cutNumber takes an unsigned number off the front: 7.5, 7,5, 1,600, 1e3, 1/2, 6 1/2,
// 6-1/2, 6½, ½. A comma before three digits, after one to three that do not begin with 0,
// stands between thousands.
func cutNumber(s string) (v float64, rest string, ok bool) {
	s = strings.TrimSpace(s)
	if r, n := utf8.DecodeRuneInString(s); vulgar[r] > 0 {
		return vulgar[r], s[n:], true
	}
	v, rest, whole, ok := cutDecimal(s)
	if !ok {
		return 0, s, false
	}
	if !whole {
		return v, rest, true
	}
	if d, after, ok := cutDenominator(rest); ok {
		return v / d, after, true // 1/2
	}
	next := strings.TrimLeft(rest, " ")
	if r, n := utf8.DecodeRuneInString(next); vulgar[r] > 0 {
		return v + vulgar[r], next[n:], true
	}
	if len(next) < len(rest) || strings.HasPrefix(next, "-") {
		next = strings.TrimPrefix(next, "-")
		if top, after, whole, ok := cutDecimal(next); ok && whole {
			if d, after, ok := cutDenominator(after); ok && top < d {
				return v + top/d, after, true // 6 1/2
			}
		}
	}
	return v, rest, true
}

// cutDenominator takes "/2" off the front.
func cutDenominator(s string) (d float64, rest string, ok bool) {
	after, ok := strings.CutPrefix(s, "/")
	if !ok {
		return 0, s, false
	}
	d, rest, whole, ok := cutDecimal(after)
	return d, rest, ok && whole && d > 0
}

// cutDecimal takes a decimal number off the front; whole says that it has neither point
// nor exponent.
func cutDecimal(s string) (v float64, rest string, whole, ok bool) {
	i := digits(s, 0)
	lead := i
	text := s[:i]
	whole = i > 0
	switch {
	case i < len(s) && s[i] == ',' && thousands(s, lead):
		for i < len(s) && s[i] == ',' && digits(s, i+1) == i+4 {
			text, i = text+s[i+1:i+4], i+4
		}
		if i < len(s) && s[i] == '.' {
			end := digits(s, i+1)
			text, i, whole = text+s[i:end], end, false
		}
	case i < len(s) && (s[i] == '.' || s[i] == ',') && digits(s, i+1) > i+1:
		end := digits(s, i+1)
		text, i, whole = text+"."+s[i+1:end], end, false
	case i+1 == len(s) && i > 0 && s[i] == '.':
		i++ // "6."
	}
	if text == "" {
		return 0, s, false, false
	}
	if i < len(s) && (s[i] == 'e' || s[i] == 'E') {
		end := i + 1
		if end < len(s) && (s[end] == '-' || s[end] == '+') {
			end++
		}
		if last := digits(s, end); last > end {
			text, i, whole = text+s[i:last], last, false
		}
	}
	v, err := strconv.ParseFloat(text, 64)
	return v, s[i:], whole, err == nil && !math.IsInf(v, 0)
}

func thousands(s string, lead int) bool {
	return lead >= 1 && lead <= 3 && s[0] != '0' && digits(s, lead+1) == lead+4
}

// digits returns where the digits from i on end.
func digits(s string, i int) int {
	for i < len(s) && s[i] >= '0' && s[i] <= '9' {
		i++
	}
	return i
}

// cutSign takes a sign off the front.
func cutSign(s string) (sign float64, signed bool, rest string) {
	s = strings.TrimSpace(s)
	switch {
	case strings.HasPrefix(s, "+"), strings.HasPrefix(s, "±"):
		_, n := utf8.DecodeRuneInString(s)
		return 1, true, strings.TrimSpace(s[n:])
	case strings.HasPrefix(s, "-"):
		return -1, true, strings.TrimSpace(s[1:])
	}
	return 1, false, s
}

// bare reads a number and nothing else.
func bare(s string) (float64, bool) {
	v, rest, ok := cutNumber(s)
	return v, ok && strings.TrimSpace(rest) == ""
}

// Number reads a cell of plain numbers, of either sign, with ranges.
//
// Errors: [ErrForm].
func Number(text string) (Cell, error) {
	c, body, err := open(text)
	if err != nil || c.Blank {
		return c, err
	}
	sign, _, rest := cutSign(body)
	if between(&c, rest, func(s string) (float64, string, bool) { v, ok := bare(s); return v, "", ok }) {
		if c.scale(sign); sign < 0 {
			c.Low, c.High = c.High, c.Low
		}
		return c, nil
	}
	return c, bad(c.Text, "a number")
}
