package exposure_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"
	"time"

	"example.org/actinic/internal/held"
	"example.org/actinic/sensito"
	. "example.org/actinic/sensito/exposure"
)

func TestShutterText(t *testing.T) {
	said := held.New(t)
	tests := []struct {
		text string
		want time.Duration
		out  string // how it is printed, if not as it was read
	}{
		{"1/125", 8 * time.Millisecond, ""},
		{"1/125s", 8 * time.Millisecond, "1/125"},
		{"1/125 s", 8 * time.Millisecond, "1/125"},
		{"0.3s", 300 * time.Millisecond, ""},
		{"8s", 8 * time.Second, ""},
		{" 8 s ", 8 * time.Second, "8s"},
		{"2m17s", 137 * time.Second, ""},
		{"1/12000", 83333, ""},
		{"1/8000", 125 * time.Microsecond, ""},
		{"1/3", 333333333, ""},
		{"1/60", 16666667, ""},
		{"1/2", 500 * time.Millisecond, ""},
		{"0.5s", 500 * time.Millisecond, "1/2"},
		{"1/2.5", 400 * time.Millisecond, "0.4s"},
		{"1/1", time.Second, "1s"},
		{"1s", time.Second, ""},
		{"1.5s", 1500 * time.Millisecond, ""},
		{"60s", time.Minute, "1m"},
		{"90s", 90 * time.Second, "1m30s"},
		{"1h30m", 90 * time.Minute, ""},
		{"1h0.5s", time.Hour + time.Second/2, ""},
		{"0.7s", 700 * time.Millisecond, ""},
		{"0.000083333s", 83333, "1/12000"},
		{"1/1000000000", 1, "0.000000001s"},
		{"1 / 250", 4 * time.Millisecond, "1/250"},
		{"1 /250 s", 4 * time.Millisecond, "1/250"},
		{`30"`, 30 * time.Second, "30s"},
		{"0.3 \u2033", 300 * time.Millisecond, "0.3s"},
	}
	for _, tt := range tests {
		got, err := ParseShutter(tt.text)
		if err != nil || got != tt.want {
			t.Errorf("%q: got %d ns, %v, want %d", tt.text, got, err, tt.want)
		}
		out := tt.out
		if out == "" {
			out = tt.text
		}
		if s := FormatShutter(tt.want); s != out {
			t.Errorf("%v prints as %q, want %q", tt.want, s, out)
		}
	}
	for _, text := range []string{
		"", " ", "125", "8", "0.3", "0s", "-8s", "+8s", "-1/125", "1/0", "1/-125", "1/", "1/125m", "2/125", "1 1/125", "2m\"", "2m s", "8s\"", "\"", "NaN", "1/NaN", "Inf", "1/Inf", "infs",
		"1/1e3", "1/0x10", "1e3s", "7:30", "2m17", "m", "s", "..s", "8us", "8µs", "1/3000000000", "1/.0000000001", "9999999999h", "2m 17s", "bulb", "1/125/2",
	} {
		if got, err := ParseShutter(text); !said.Is(text, err, sensito.ErrSyntax) {
			t.Errorf("%q: got %v, %v, want ErrSyntax", text, got, err)
		}
	}
	if _, err := ParseShutter("125"); !said.Refused("", err) || !strings.Contains(err.Error(), "write 125s or 1/125") {
		t.Errorf("a bare number gives %v, want to be told how to write it", err)
	}
	// What is no exposure time prints as something that is not read as one.
	for _, d := range []time.Duration{0, -time.Second, math.MinInt64} {
		if got, err := ParseShutter(FormatShutter(d)); !said.Refused("", err) {
			t.Errorf("%v prints as %q and reads as %v", d, FormatShutter(d), got)
		}
	}
}

// Any time comes back to the nanosecond.
func TestShutterRoundTrip(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 1))
	check := func(d time.Duration) {
		t.Helper()
		if back, err := ParseShutter(FormatShutter(d)); err != nil || back != d {
			t.Fatalf("%d ns prints as %q and reads as %d, %v", d, FormatShutter(d), back, err)
		}
	}
	for d := time.Duration(1); d < 2000; d++ {
		check(d)
	}
	for n := 1; n < 20000; n++ {
		d := time.Duration(math.Round(1e9 / float64(n)))
		check(d)
		check(d + 1)
	}
	for range 20000 {
		check(time.Duration(math.Exp2(62.99 * rng.Float64())))
	}
	check(math.MaxInt64)
}

func FuzzParseShutter(f *testing.F) {
	for _, s := range []string{"1/125", "0.3s", "8s", "2m17s", "1h0.5s", "1/2.5", "125", "1/12000s", "7:30", "8ms", "1 / 250", `30"`} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		d, err := ParseShutter(text)
		if err != nil {
			return
		}
		if d <= 0 {
			t.Fatalf("%q was read as %v", text, d)
		}
		if back, err := ParseShutter(FormatShutter(d)); err != nil || back != d {
			t.Fatalf("%q prints as %q and reads as %v, %v", text, FormatShutter(d), back, err)
		}
	})
}

func ExampleParseShutter() {
	for _, text := range []string{"1/12000", "0.3s", "2m17s", "125"} {
		t, err := ParseShutter(text)
		if err != nil {
			fmt.Println(err)
			continue
		}
		fmt.Println(FormatShutter(t), "is", t)
	}
	// Output:
	// 1/12000 is 83.333µs
	// 0.3s is 300ms
	// 2m17s is 2m17s
	// exposure: time "125": could mean 125 s or 1/125 s; write 125s or 1/125
}
