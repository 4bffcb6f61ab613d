package devtime

import (
	"math"
	"testing"
	"time"

	"example.org/actinic/internal/held"
)

func TestSpeedTime(t *testing.T) {
	said := held.New(t)
	pts := []Point{ // invented
		{mins(12), -2.40, .02}, {mins(6), -2.20, .01}, {mins(3), -1.90, .02},
		{mins(6), -2.22, .01},
	}
	s, err := NewSpeedTime(pts)
	if err != nil {
		t.Fatal(err)
	}
	lo, hi := s.Range()
	if lo != mins(3) || hi != mins(12) {
		t.Fatalf("range %v to %v", lo, hi)
	}
	for _, c := range []struct {
		name      string
		at        time.Duration
		h, margin float64
	}{
		{"a strip", mins(12), -2.40, 1.959964 * .02},
		{"two strips averaged", mins(6), -2.21, 1.959964 * .01 / math.Sqrt2},
		{"a quarter of the way", mins(6 * math.Pow(2, .25)), -2.2575, 1.959964 * math.Hypot(.005, .75*.01/math.Sqrt2)},
		{"half way in the logarithm", mins(6 * math.Sqrt2), -2.305, 1.959964 * math.Hypot(.01, .01/math.Sqrt2/2)},
	} {
		e, err := s.At(c.at)
		if err != nil {
			t.Fatal(err)
		}
		near(t, c.name, e.Value, c.h, 1e-9)
		near(t, c.name+", margin", e.High-e.Value, c.margin, 1e-6)
		near(t, c.name+", margin below", e.Value-e.Low, c.margin, 1e-6)
	}
	// S = 0.80/Hm: 10^-2.40 lx·s is 0.00398 lx·s, speed 200.95.
	v, err := s.Speed(mins(12))
	if err != nil {
		t.Fatal(err)
	}
	near(t, "speed", v.Value, .8*math.Pow(10, 2.4), 1e-9)
	if !(v.Low < v.Value && v.Value < v.High) {
		t.Errorf("interval %v out of order", v)
	}
	for _, d := range []time.Duration{mins(2.99), mins(12.01), 0, -1} {
		if _, err := s.At(d); !said.Is("", err, ErrOutside) {
			t.Errorf("at %v: error %v, want ErrOutside", d, err)
		}
		if _, err := s.Speed(d); !said.Is("", err, ErrOutside) {
			t.Errorf("speed at %v: error %v, want ErrOutside", d, err)
		}
	}
	for _, c := range []struct {
		name string
		p    []Point
	}{
		{"nothing", nil},
		{"one time", pts[:1]},
		{"NaN", []Point{{mins(3), math.NaN(), 0}, {mins(6), -2, 0}}},
		{"infinite", []Point{{mins(3), math.Inf(-1), 0}, {mins(6), -2, 0}}},
		{"zero time", []Point{{0, -1, 0}, {mins(6), -2, 0}}},
		{"one standard deviation missing", []Point{{mins(3), -1, 0}, {mins(6), -2, .1}}},
		{"one missing at the same time", []Point{{mins(3), -1, .1}, {mins(3), -1, 0}, {mins(6), -2, .1}}},
		{"negative standard deviation", []Point{{mins(3), -1, -.1}, {mins(6), -2, .1}}},
	} {
		if _, err := NewSpeedTime(c.p); !said.Is("", err, ErrInput) {
			t.Errorf("%s: error %v, want ErrInput", c.name, err)
		}
	}
	var zero SpeedTime
	if _, err := zero.At(mins(1)); !said.Is("", err, ErrOutside) {
		t.Errorf("zero value: %v", err)
	}
	plain, err := NewSpeedTime([]Point{{mins(3), -1, 0}, {mins(6), -2, 0}})
	if err != nil {
		t.Fatal(err)
	}
	if e, _ := plain.At(mins(4)); !math.IsNaN(e.Low) || !math.IsNaN(e.High) {
		t.Errorf("interval %v although nothing is known of the error", e)
	}
}
