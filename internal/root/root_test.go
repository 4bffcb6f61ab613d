package root

import (
	"errors"
	"math"
	"testing"
)

func TestFind(t *testing.T) {
	for _, c := range []struct {
		name       string
		f          func(float64) float64
		a, b, want float64
	}{
		{"square root of two", func(x float64) float64 { return x*x - 2 }, 0, 2, math.Sqrt2},
		{"ends exchanged", func(x float64) float64 { return x*x - 2 }, 2, 0, math.Sqrt2},
		{"zero at an end", func(x float64) float64 { return x }, 0, 3, 0},
		{"flat on one side", func(x float64) float64 { return math.Pow(x, 9) - 1e-9 }, -1, 4, 0.1},
		{"a step", func(x float64) float64 { return math.Copysign(1, x-math.Pi) }, 0, 10, math.Pi},
		{"steep exponential", func(x float64) float64 { return math.Expm1(40 * (x - 0.3)) }, -2, 5, 0.3},
	} {
		got, err := Find(c.f, c.a, c.b)
		if err != nil || math.Abs(got-c.want) > 1e-14*(1+math.Abs(c.want)) {
			t.Errorf("%s: %v, %v; want %v", c.name, got, err, c.want)
		}
	}
	for name, f := range map[string]func(float64) float64{
		"same sign":    func(x float64) float64 { return 1 + x*x },
		"not a number": func(x float64) float64 { return math.NaN() },
	} {
		if got, err := Find(f, -1, 1); !errors.Is(err, ErrBracket) || !math.IsNaN(got) {
			t.Errorf("%s: %v, %v; want NaN and ErrBracket", name, got, err)
		}
	}
}

// Brent's steps, not bisection alone: 50 halvings would be needed.
func TestFindIsQuick(t *testing.T) {
	n := 0
	if _, err := Find(func(x float64) float64 { n++; return math.Exp(x) - 5 }, 0, 4); err != nil || n > 14 {
		t.Errorf("%d evaluations, %v", n, err)
	}
}
