package root

import (
	"math"
	"testing"
)

func TestBracketed(t *testing.T) {
	for _, c := range []struct {
		name       string
		f          func(float64) float64
		a, b, want float64
	}{
		{"square root of two", func(x float64) float64 { return x*x - 2 }, 0, 2, math.Sqrt2},
		{"ends the other way round", func(x float64) float64 { return x*x - 2 }, 2, 0, math.Sqrt2},
		{"root at an end", func(x float64) float64 { return x }, 0, 1, 0},
		{"cosine", func(x float64) float64 { return math.Cos(x) - x }, 0, 1, 0.7390851332151607}, // fixed point of the cosine
		{"flat then steep", func(x float64) float64 { return math.Pow(x, 9) - 1e-9 }, 0, 1, 0.1},
		{"step", func(x float64) float64 { return math.Copysign(1, x-0.3) }, 0, 1, 0.3},
	} {
		got := Bracketed(c.f, c.a, c.b, c.f(c.a), c.f(c.b))
		if !(math.Abs(got-c.want) <= 4e-16) {
			t.Errorf("%s: got %.17g, want %.17g", c.name, got, c.want)
		}
	}
	line := func(x float64) float64 { return x }
	for _, c := range [][2]float64{{1, 2}, {-2, -1}, {math.NaN(), 1}, {-1, math.NaN()}} {
		if got := Bracketed(line, c[0], c[1], c[0], c[1]); !math.IsNaN(got) {
			t.Errorf("ends %v: got %v, want NaN", c, got)
		}
	}
	if got := Bracketed(func(float64) float64 { return math.NaN() }, -1, 1, -1, 1); !math.IsNaN(got) {
		t.Errorf("a function that turns NaN: got %v, want NaN", got)
	}
}
