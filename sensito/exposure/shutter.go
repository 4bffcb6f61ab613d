package exposure

import (
	"math"
	"strconv"
	"strings"
	"time"

	"example.org/actinic/sensito"
)

// Shutter is an exposure time that is stored and read as it is written: "1/125",
// "0.3s", "8s", "2m17s". It is a [time.Duration] with a text form, for JSON and for
// [flag.TextVar]; convert it to compute.
//
// The zero Shutter is no time: its text is empty, and an empty text reads back as
// zero, so that a field that was left free can be stored.
type Shutter time.Duration

// Duration returns the time.
func (s Shutter) Duration() time.Duration { return time.Duration(s) }

// String prints the time as [FormatShutter] does, and nothing for zero.
func (s Shutter) String() string {
	if s == 0 {
		return ""
	}
	return FormatShutter(time.Duration(s))
}

// MarshalText returns the String form. The error wraps [sensito.ErrInput] if the
// time is negative.
func (s Shutter) MarshalText() ([]byte, error) {
	if !(s >= 0) {
		return nil, wrong(sensito.ErrInput, "time %v, want more than 0", time.Duration(s))
	}
	return []byte(s.String()), nil
}

// UnmarshalText reads what [ParseShutter] reads, and an empty text as zero.
func (s *Shutter) UnmarshalText(b []byte) error {
	if len(b) == 0 {
		*s = 0
		return nil
	}
	d, err := ParseShutter(string(b))
	if err == nil {
		*s = Shutter(d)
	}
	return err
}

// ParseShutter reads an exposure time: a fraction "1/125" (or "1/125s", "1 / 125"),
// seconds "0.3s", "8s" and, as shutters are engraved, 30", minutes and hours
// "2m17s", "1h30m". Fractions are rounded to the nanosecond, so that 1/12000 is
// 83333 ns.
//
// A bare number is refused, since shutters are engraved 125 for 1/125 s; so are
// zero, signs, and times below a nanosecond or above 292 years. The error wraps
// [sensito.ErrSyntax].
func ParseShutter(text string) (time.Duration, error) {
	bad := func(why string) (time.Duration, error) {
		return 0, wrong(sensito.ErrSyntax, "time %q: %s", text, why)
	}
	const form = "want something like 1/125, 0.3s, 8s or 2m17s"
	t := strings.TrimSpace(text)
	for _, mark := range []string{"s", `"`, "\u2033"} { // the last is the double prime
		if s, ok := strings.CutSuffix(t, mark); ok {
			body := strings.TrimRight(s, " ")
			if _, plain := decimal(body); !plain && body+"s" != t && !strings.Contains(body, "/") {
				return bad(form) // 2m" is not 2ms
			}
			t = body + "s"
			break
		}
	}
	if one, den, ok := strings.Cut(t, "/"); ok {
		v, ok := decimal(strings.TrimSpace(strings.TrimSuffix(den, "s")))
		if strings.TrimSpace(one) != "1" || !ok || !(v > 0) {
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
		return bad(form)
	}
	d, err := time.ParseDuration(t)
	switch {
	case err != nil:
		return bad(form)
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
	var room [32]byte
	b := room[:0]
	if d <= time.Second/2 && d >= time.Second/99999 {
		n := math.Round(1e9 / float64(d))
		if time.Duration(math.Round(1e9/n)) == d {
			return string(strconv.AppendFloat(append(b, "1/"...), n, 'f', -1, 64))
		}
	}
	if h := d / time.Hour; h > 0 {
		b = append(strconv.AppendInt(b, int64(h), 10), 'h')
		d -= h * time.Hour
	}
	if m := d / time.Minute; m > 0 {
		b = append(strconv.AppendInt(b, int64(m), 10), 'm')
		d -= m * time.Minute
	}
	if d > 0 {
		b = strconv.AppendInt(b, int64(d/time.Second), 10)
		if ns := int64(d % time.Second); ns > 0 {
			frac := strconv.FormatInt(1e9+ns, 10)[1:]
			b = append(append(b, '.'), strings.TrimRight(frac, "0")...)
		}
		b = append(b, 's')
	}
	return string(b)
}
