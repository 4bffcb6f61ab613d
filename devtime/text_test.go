package devtime

import (
	"strings"
	"testing"
	"time"

	"example.org/actinic/internal/held"
)

func TestParseTime(t *testing.T) {
	said := held.New(t)
	const m, s = time.Minute, time.Second
	for _, c := range []struct {
		in   string
		want time.Duration // 0: refused
		why  string
	}{
		{"7:30", 7*m + 30*s, "minutes and seconds"},
		{"7m30s", 7*m + 30*s, "units"},
		{"7½ min", 7*m + 30*s, "fraction sign"},
		{"7 ½min", 7*m + 30*s, "space before the fraction"},
		{"7.5", 7*m + 30*s, "decimal minutes"},
		{"7,5", 7*m + 30*s, "decimal comma"},
		{"7", 7 * m, "plain minutes"},
		{"6.75", 6*m + 45*s, "decimal minutes are not minutes and seconds"},
		{"07:05", 7*m + 5*s, "leading zero"},
		{"0:45", 45 * s, "under a minute"},
		{"1:05:00", 65 * m, "hours"},
		{"72:00", 72 * m, "more than an hour in minutes"},
		{"7:30.5", 7*m + 30*s + 500*time.Millisecond, "fraction of a second"},
		{"  9 min 15 s ", 9*m + 15*s, "spaces"},
		{"45s", 45 * s, "seconds"},
		{"90 sec", 90 * s, "seconds beyond a minute, alone"},
		{"1h5m", 65 * m, "hours and minutes"},
		{"3 1/4", 3*m + 15*s, "fraction"},
		{"3-1/4", 3*m + 15*s, "fraction with a hyphen, as older tables print it"},
		{"1/2 min", 30 * s, "fraction alone"},
		{"¾", 45 * s, "fraction sign alone"},
		{"7 MIN", 7 * m, "capitals"},

		{"999:59:59.9", 1000*time.Hour - 100*time.Millisecond, "just below a thousand hours"},
		{"1000:00:00", 0, "a thousand hours"}, {"1000h", 0, "a thousand hours"}, {"60000", 0, "as many minutes"}, {"59999.9", 59999*m + 54*s, "just below"},
		{"0.0005s", time.Millisecond, "half a millisecond"}, {"0.0004s", 0, "less"},
		{strings.Repeat("0", 63) + "7", 7 * m, "as long as may be"}, {strings.Repeat("0", 64) + "7", 0, "longer"}, {" " + strings.Repeat("0", 63) + "7 ", 7 * m, "spaces are not counted"},
		{"1h59m59.9s", 119*m + 59*s + 900*time.Millisecond, "just below"}, {"1h60m", 0, "minutes of 60"}, {"1h59.5m", 119*m + 30*s, "decimal minutes after hours"}, {"1m59.9s", m + 59*s + 900*time.Millisecond, "just below"}, {"1m60s", 0, "seconds of 60"}, {"1h61s", 0, "seconds of 61"}, {"1h59s", time.Hour + 59*s, "no minutes"},
		{"90m", 90 * m, "minutes beyond an hour, alone"}, {"1h1h", 0, "hours twice"}, {"5 hours 3 mins 2 seconds", 5*time.Hour + 3*m + 2*s, "words"}, {"2 hr 3 minutes", 2*time.Hour + 3*m, "words"}, {"1 hour 1 minute 1 second", time.Hour + m + s, "words"}, {"3 secs", 3 * s, "words"},
		{"¼", 15 * s, "sign"}, {"⅓", 20 * s, "sign"}, {"⅔", 40 * s, "sign"}, {"⅛", 7500 * time.Millisecond, "sign"}, {"⅜", 22500 * time.Millisecond, "sign"}, {"⅝", 37500 * time.Millisecond, "sign"}, {"⅞", 52500 * time.Millisecond, "sign"}, {"2⅞ min", 2*m + 52500*time.Millisecond, "sign"},
		{"2 2/2", 0, "a whole as a fraction"}, {"2 1/2 m 3 s", 2*m + 33*s, "a fraction and seconds"}, {"3/2", 90 * s, "an improper fraction alone"}, {"7-", 0, "a hyphen alone"}, {"7-1", 0, "a range"}, {"7 -1/2", 0, "a space before the hyphen"}, {"7/", 0, "no denominator"}, {"7.", 0, "a point alone"}, {"7.x", 0, "a point and a letter"}, {"7,,5", 0, "two commas"}, {"7.5½", 0, "a decimal and a fraction"}, {"½m30s", m, "a sign and seconds"}, {"7 m x", 0, "a letter at the end"}, {"9zz", 0, "no unit"}, {"9[", 0, "no letter"}, {"9@", 0, "no letter"}, {"9{", 0, "no letter"}, {"9`", 0, "no letter"}, {"9Z", 0, "no unit"},

		{"6:75", 0, "seconds of 75"},
		{"6:60", 0, "seconds of 60"},
		{"6:5", 0, "6:05 or 6:50"},
		{"6:005", 0, "three digits"},
		{"1:75:00", 0, "minutes of 75"},
		{"1:2:3:4", 0, "too many colons"},
		{":30", 0, "no minutes"},
		{"7:", 0, "no seconds"},
		{"7:3a", 0, "letter"},
		{"7.5:30", 0, "decimal minutes with seconds"},
		{"7:30.", 0, "point without digits"},
		{"7m75s", 0, "seconds of 75 after minutes"},
		{"30s7m", 0, "units rise"},
		{"7m7m", 0, "unit twice"},
		{"7m30", 0, "second number without a unit"},
		{"7 30", 0, "two numbers"},
		{"7 3/2", 0, "improper mixed fraction"},
		{"7/0", 0, "division by zero"},
		{"7 days", 0, "unknown unit"},
		{"", 0, "empty"},
		{"min", 0, "no number"},
		{"0", 0, "zero"},
		{"0:00", 0, "zero"},
		{"-7:30", 0, "negative"},
		{"-7", 0, "negative"},
		{"NaN", 0, "not a number"},
		{"inf", 0, "infinite"},
		{"1e3", 0, "exponent"},
		{"100000:00", 0, "longer than 1000 hours"},
		{"99999999999999999999999", 0, "too large"},
		{strings.Repeat("9", 500), 0, "too long"},
		{strings.Repeat("7m", 1_000_000), 0, "a megabyte"},
	} {
		got, err := ParseTime(c.in)
		name := c.in
		if len(name) > 40 {
			name = name[:40] + "..."
		}
		if c.want == 0 {
			if !said.Is(name, err, ErrSyntax) || got != 0 {
				t.Errorf("%q (%s): got %v, %v; want ErrSyntax", name, c.why, got, err)
			}
			continue
		}
		if err != nil || got != c.want {
			t.Errorf("%q (%s): got %v, %v; want %v", name, c.why, got, err, c.want)
		}
	}
}

func TestFormatTime(t *testing.T) {
	for _, c := range []struct {
		d    time.Duration
		want string
	}{
		{7*time.Minute + 30*time.Second, "7:30"},
		{5 * time.Second, "0:05"},
		{72 * time.Minute, "72:00"},
		{90*time.Second + 50*time.Millisecond, "1:30.05"},
		{0, "0:00"},
		{-90 * time.Second, "-1:30"},
		{59*time.Second + 999600*time.Microsecond, "1:00"},
	} {
		if got := FormatTime(c.d); got != c.want {
			t.Errorf("%v: %q, want %q", c.d, got, c.want)
		}
	}
}

func FuzzParseTime(f *testing.F) {
	for _, s := range []string{"7:30", "7m30s", "7½ min", "7.5", "6:75", "1:05:00", "3-1/4", "¾", "7,5", "30s", "0:0", "1h5m7s", "7 1/2 min 3 s"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		d, err := ParseTime(s)
		if err != nil {
			return
		}
		if d <= 0 {
			t.Fatalf("%q gave %v", s, d)
		}
		back, err := ParseTime(FormatTime(d))
		if err != nil || back != d {
			t.Fatalf("%q: %v printed as %q, read as %v, %v", s, d, FormatTime(d), back, err)
		}
	})
}

func BenchmarkParseTime(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		if _, err := ParseTime("7:30"); err != nil {
			b.Fatal(err)
		}
	}
}
