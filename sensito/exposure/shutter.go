package exposure

import (
	"math"
	"strconv"
	"strings"
	"time"

	"example.org/actinic/internal/check"
	"example.org/actinic/sensito"
)

// ParseShutter reads an exposure time: a fraction "1/125" (or "1/125s"), seconds
// "0.3s" and "8s", minutes and hours "2m17s", "1h30m". Fractions are rounded to
// the nanosecond, so that 1/12000 is 83333 ns.
//
// A bare number is refused, since shutters are engraved 125 for 1/125 s; so are
// zero, signs, and times below a nanosecond or above 292 years. The error wraps
// [sensito.ErrSyntax].
func ParseShutter(text string) (time.Duration, error) {
	bad := func(why string) (time.Duration, error) {
		return 0, check.Errorf(sensito.ErrSyntax, "exposure time %q: %s", text, why)
	}
	t := strings.TrimSpace(text)
	if s, ok := strings.CutSuffix(t, "s"); ok {
		t = strings.TrimRight(s, " ") + "s"
	}
	if den, ok := strings.CutPrefix(t, "1/"); ok {
		v, ok := decimal(strings.TrimSuffix(den, "s"))
		if !ok || !(v > 0) {
			return bad("a fraction is written like 1/125")
		}
		ns := math.Round(1e9 / v)
		if !(ns >= 1 && ns < math.MaxInt64) {
			return bad("want 1 ns to 292 years")
		}
		return time.Duration(ns), nil
	}
	if _, ok := decimal(t); ok {
		return bad("could mean " + t + " s or 1/" + t + " s; write " + t + "s or 1/" + t)
	}
	if t == "" || strings.Trim(t, "0123456789.hms") != "" {
		return bad("want something like 1/125, 0.3s, 8s or 2m17s")
	}
	d, err := time.ParseDuration(t)
	switch {
	case err != nil:
		return bad("want something like 1/125, 0.3s, 8s or 2m17s")
	case !(d > 0):
		return bad("want more than 0")
	}
	return d, nil
}

// FormatShutter prints an exposure time as it is written: "1/125" where the time
// is such a fraction to the nanosecond, otherwise "0.3s", "8s" or "2m17s". What
// it prints for a positive time, [ParseShutter] reads back unchanged; what it
// prints for any other, ParseShutter refuses.
func FormatShutter(d time.Duration) string {
	if d <= 0 {
		return d.String()
	}
	if d <= time.Second/2 && d >= time.Second/99999 {
		n := math.Round(1e9 / float64(d))
		if time.Duration(math.Round(1e9/n)) == d {
			return "1/" + strconv.FormatFloat(n, 'f', -1, 64)
		}
	}
	var b strings.Builder
	if h := d / time.Hour; h > 0 {
		b.WriteString(strconv.FormatInt(int64(h), 10) + "h")
		d -= h * time.Hour
	}
	if m := d / time.Minute; m > 0 {
		b.WriteString(strconv.FormatInt(int64(m), 10) + "m")
		d -= m * time.Minute
	}
	if d > 0 {
		b.WriteString(strconv.FormatInt(int64(d/time.Second), 10))
		if ns := int64(d % time.Second); ns > 0 {
			frac := strconv.FormatInt(1e9+ns, 10)[1:]
			b.WriteString("." + strings.TrimRight(frac, "0"))
		}
		b.WriteString("s")
	}
	return b.String()
}
