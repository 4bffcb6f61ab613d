package forms

import (
	"strings"
)

// perUnit are the units of time in seconds, by all the names they have in print.
var perUnit = map[string]struct {
	unit    string
	seconds float64
	size    int // hours are the greatest
}{
	"h": {"h", 3600, 3}, "hr": {"h", 3600, 3}, "hrs": {"h", 3600, 3}, "hour": {"h", 3600, 3}, "hours": {"h", 3600, 3},
	"m": {"min", 60, 2}, "'": {"min", 60, 2}, "min": {"min", 60, 2}, "mins": {"min", 60, 2}, "minute": {"min", 60,
		2}, "minutes": {"min", 60, 2}, "mn": {"min", 60, 2},
	"s": {"s", 1, 1}, `"`: {"s", 1, 1}, "sec": {"s", 1, 1}, "secs": {"s", 1, 1}, "second": {"s", 1, 1}, "seconds": {"s", 1, 1},
}

// SecondsOf returns the seconds of a unit of time as printed in a heading: "min", "sec",
// "hours"; 0 for what is none.
func SecondsOf(unit string) float64 {
	return perUnit[strings.TrimSuffix(strings.ToLower(strings.TrimSpace(unit)), ".")].seconds
}

// Time reads a time in seconds. Numbers without a unit are in units of so many seconds, 60
// in a column of development times and 1 in one of exposures.
//
//	6 1/2  6½  6.5  6,5  1/125     units of the column
//	6:30  1:05:00  6'30"  0"5      minutes and seconds
//	6m30  6 min 30 sec  1h05  20 min  2 s
//	8-10  8–10 min  8 to 10        a range
//
// Seconds after a colon are two digits below 60: 6:75 is refused, and so is 6:5.
//
// Errors: [ErrForm].
func Time(text string, unit float64) (Cell, error) {
	c, body, err := open(text)
	if err != nil || c.Blank {
		return c, err
	}
	read := func(s string) (float64, string, bool) { return seconds(s, unit) }
	if !between(&c, body, read) || !(c.Low > 0) {
		return c, bad(c.Text, "a time such as 6:30, 6½ min, 6'30\", 1/2 s or 8-10")
	}
	return c, nil
}

// seconds reads one time. The unit is "" where the cell names none.
func seconds(s string, unit float64) (v float64, name string, ok bool) {
	s = strings.TrimSpace(s)
	if v, ok := bare(s); ok {
		return v * unit, "", true
	}
	if strings.Contains(s, ":") {
		v, ok := clock(s)
		return v, "min", ok
	}
	return withUnits(s)
}

// clock reads m:ss and h:mm:ss.
func clock(s string) (v float64, ok bool) {
	parts := strings.Split(s, ":")
	if len(parts) > 3 {
		return v, false
	}
	for i, p := range parts {
		whole, frac, point := strings.Cut(p, ".")
		if whole == "" || digits(whole,
			0) != len(whole) || len(whole) > 4 || point && (i < len(parts)-1 || frac == "" || digits(frac, 0) != len(frac)) {
			return v, false
		}
		n, ok := bare(p)
		if !ok || i > 0 && (len(whole) != 2 || n >= 60) {
			return v, false
		}
		v = v*60 + n
	}
	return v, true
}

// withUnits reads numbers with units in falling order; the last may stand without: 6m30.
func withUnits(s string) (v float64, name string, ok bool) {
	size := 4
	for s != "" {
		n, rest, ok := cutNumber(s)
		if !ok {
			return v, name, false
		}
		rest = strings.TrimLeft(rest, " ")
		word := unitWord(rest)
		rest = strings.TrimLeft(rest[len(word):], " ")
		rest = strings.TrimPrefix(rest, ".")
		u, known := perUnit[strings.ToLower(word)]
		switch {
		case word == "" && rest == "" && size == 3 && n < 60 && n == float64(int(n)):
			return v + 60*n, name, true // 1h05
		case word == "" && rest == "" && size == 2 && n < 60 && n == float64(int(n)):
			return v + n, name, true // 6m30
		case !known || u.size >= size || size < 4 && n >= 60:
			return v, name, false
		}
		v, size = v+n*u.seconds, u.size
		if name == "" {
			name = u.unit
		}
		s = strings.TrimLeft(rest, " ,")
		if u.size == 1 && s != "" && word == `"` && digits(s, 0) == len(s) { // 0"5 are five tenths
			tenths, ok := bare("0." + s)
			return v + tenths, name, ok
		}
	}
	return v, name, size < 4
}

// unitWord is the unit at the front: letters, or one of the marks ' and ".
func unitWord(s string) string {
	if s != "" && (s[0] == '\'' || s[0] == '"') {
		return s[:1]
	}
	i := 0
	for i < len(s) && (s[i] >= 'a' && s[i] <= 'z' || s[i] >= 'A' && s[i] <= 'Z') {
		i++
	}
	return s[:i]
}
