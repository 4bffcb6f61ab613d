package devtime

import (
	"math"
	"strconv"
	"strings"
	"time"

	"example.org/actinic/internal/check"
)

// Times with a name.
const (
	// QuarterMinute is the usual step of printed times.
	QuarterMinute = 15 * time.Second
	// EvenTime is the time under which development risks being uneven in a
	// tank, about five minutes (common practice, no source).
	EvenTime = 5 * time.Minute
	// Unbounded is the upper end of an interval of time that has none.
	Unbounded = time.Duration(math.MaxInt64)
)

const maxText = 64 // no development time is longer than this many bytes

// ParseTime reads a development time. It accepts
//
//	7:30  7:30.5  1:05:00        minutes and seconds, or hours
//	7m30s  7 min 30 s  1h5m  45s  numbers with units
//	7½ min  7 1/2  7.5  7,5      minutes, where no unit stands
//
// Seconds after a colon are two digits below 60: `6:75` is refused, and so is
// `6:5`, which could be 6:05 or 6:50. Decimal minutes are not minutes and
// seconds: `6.75` is 6 min 45 s. Times are positive and below 1000 hours; they
// are kept to the millisecond.
//
// Errors: [ErrSyntax].
func ParseTime(s string) (time.Duration, error) {
	t := strings.TrimSpace(s)
	bad := func(why string) (time.Duration, error) {
		if len(s) > maxText {
			s = s[:maxText] + "..."
		}
		return 0, check.Errorf(ErrSyntax, "development time %q: %s", s, why)
	}
	if t == "" {
		return bad("empty; write minutes, 7:30 or 7m30s")
	}
	if len(t) > maxText {
		return bad("too long")
	}
	var sec float64
	var why string
	if strings.Contains(t, ":") {
		sec, why = parseClock(t)
	} else {
		sec, why = parseUnits(t)
	}
	if why != "" {
		return bad(why)
	}
	if !(sec < 3600e3) {
		return bad("longer than 1000 hours")
	}
	d := time.Duration(math.Round(sec*1e3)) * time.Millisecond
	if !(d > 0) {
		return bad("not longer than zero")
	}
	return d, nil
}

// parseClock reads m:ss or h:mm:ss, the seconds with an optional fraction.
func parseClock(t string) (sec float64, why string) {
	parts := strings.Split(t, ":")
	if len(parts) > 3 {
		return 0, "too many colons"
	}
	for i, p := range parts {
		whole, frac, dot := strings.Cut(p, ".")
		last := i == len(parts)-1
		if whole == "" || !digitsOnly(whole) || dot && (!last || frac == "" || !digitsOnly(frac)) {
			return 0, "want minutes:seconds such as 7:30"
		}
		if i > 0 && len(whole) != 2 {
			return 0, "want two digits after the colon"
		}
		v := digits(p)
		if i > 0 && !(v < 60) {
			if len(parts) == 2 {
				return 0, "seconds must be below 60; decimal minutes take a point, 6.75"
			}
			return 0, "minutes and seconds must be below 60"
		}
		sec = sec*60 + v
	}
	return sec, ""
}

// parseUnits reads a run of numbers with units in falling order, or one bare
// number of minutes.
func parseUnits(t string) (sec float64, why string) {
	const want = "want minutes, 7:30, 7m30s or 7½ min"
	size := 4 // size of the last unit: 3 hours, 2 minutes, 1 seconds
	for first := true; t != ""; first = false {
		v, rest, ok := cutNumber(t)
		if !ok {
			return 0, want
		}
		i := 0
		for i < len(rest) && (rest[i] >= 'a' && rest[i] <= 'z' || rest[i] >= 'A' && rest[i] <= 'Z') {
			i++
		}
		unit := strings.ToLower(rest[:i])
		rest = strings.TrimLeft(rest[i:], " ")
		var n int
		switch unit {
		case "h", "hr", "hour", "hours":
			n, v = 3, v*3600
		case "m", "min", "mins", "minute", "minutes":
			n, v = 2, v*60
		case "s", "sec", "secs", "second", "seconds":
			n = 1
		case "":
			if !first || rest != "" {
				return 0, want
			}
			n, v = 2, v*60
		default:
			return 0, "unknown unit " + strconv.Quote(unit)
		}
		if n >= size {
			return 0, "units must fall: hours, minutes, seconds"
		}
		if !first && n < 3 && !(v < 60*math.Pow(60, float64(n-1))) {
			return 0, "minutes and seconds after a larger unit must be below 60"
		}
		size = n
		sec += v
		t = rest
	}
	return sec, ""
}

var fractions = map[rune]float64{
	'½': 1. / 2, '¼': 1. / 4, '¾': 3. / 4, '⅓': 1. / 3, '⅔': 2. / 3,
	'⅛': 1. / 8, '⅜': 3. / 8, '⅝': 5. / 8, '⅞': 7. / 8,
}

// cutNumber reads 7, 7.5, 7,5, 7½, ½, 7 1/2, 7-1/2 or 1/2 from the front of t.
func cutNumber(t string) (v float64, rest string, ok bool) {
	n := leadingDigits(t)
	whole, rest := t[:n], t[n:]
	if n > 0 && len(rest) > 1 && (rest[0] == '.' || rest[0] == ',') {
		if k := leadingDigits(rest[1:]); k > 0 {
			return digits(whole + "." + rest[1:1+k]), strings.TrimLeft(rest[1+k:], " "), true
		}
	}
	if n > 0 {
		v = digits(whole)
	}
	if den, after, found := cutRatio(rest); n > 0 && found { // 1/2: whole is the numerator
		return v / den, after, true
	}
	tail := strings.TrimLeft(rest, " ")
	for r, f := range fractions {
		if strings.HasPrefix(tail, string(r)) {
			return v + f, strings.TrimLeft(tail[len(string(r)):], " "), true
		}
	}
	if n == 0 {
		return 0, "", false
	}
	// "7 1/2" and "7-1/2"
	mixed := tail
	if strings.HasPrefix(rest, "-") {
		mixed = rest[1:]
	} else if len(tail) == len(rest) {
		return v, tail, true // no space: nothing mixed follows
	}
	if k := leadingDigits(mixed); k > 0 {
		if den, after, found := cutRatio(mixed[k:]); found {
			if num := digits(mixed[:k]); num < den {
				return v + num/den, after, true
			}
			return 0, "", false
		}
	}
	return v, tail, true
}

// cutRatio reads "/2" from the front of t.
func cutRatio(t string) (den float64, rest string, ok bool) {
	if !strings.HasPrefix(t, "/") {
		return den, t, false
	}
	k := 1 + leadingDigits(t[1:])
	den = digits(t[1:k])
	return den, strings.TrimLeft(t[k:], " "), den > 0
}

// digits is the number of up to [maxText] digits and a point, 0 for none: no other error is possible.
func digits(s string) float64 {
	v, _ := strconv.ParseFloat(s, 64)
	return v
}

func leadingDigits(s string) int {
	i := 0
	for i < len(s) && s[i] >= '0' && s[i] <= '9' {
		i++
	}
	return i
}

func digitsOnly(s string) bool { return leadingDigits(s) == len(s) }

// FormatTime prints a development time as minutes and seconds, `7:30`, with a
// fraction of a second only where there is one. [ParseTime] reads it back.
func FormatTime(d time.Duration) string {
	sign := ""
	if d < 0 {
		sign = "-"
	}
	ms := d.Round(time.Millisecond).Milliseconds()
	if ms < 0 {
		ms = -ms
	}
	var room [24]byte
	b := append(room[:0], sign...)
	b = strconv.AppendInt(b, ms/60000, 10)
	s := ms / 1000 % 60
	b = append(b, ':', byte('0'+s/10), byte('0'+s%10))
	if f := ms % 1000; f != 0 {
		t := strconv.Itoa(int(1000 + f))[1:]
		b = append(b, '.')
		b = append(b, strings.TrimRight(t, "0")...)
	}
	return string(b)
}
