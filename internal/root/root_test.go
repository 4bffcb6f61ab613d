package root

import (
	"math"
	"testing"

	"example.org/actinic/internal/held"
)

func TestFind(t *testing.T) {
	said := held.New(t)
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
		if got, err := Find(f, -1, 1); !said.Is(name, err, ErrBracket) || !math.IsNaN(got) {
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

func TestNewton(t *testing.T) {
	cube := func(x float64) (float64, float64) { return x*x*x - 2, 3 * x * x }
	for _, start := range []float64{0.1, 1.9, -5, math.NaN()} { // outside too, and where the slope is near 0
		if x, ok := Newton(cube, 0, 2, start, 1e-9); !ok || math.Abs(x-math.Cbrt(2)) > 1e-12 {
			t.Errorf("from %v: %v, %v", start, x, ok)
		}
	}
	// Falling, steep on one side, with a slope that is wrong: halves get there.
	for _, k := range []float64{1, 0, -1} {
		f := func(x float64) (float64, float64) { return 1 - math.Exp(5*(x-0.7)), -k * 5 * math.Exp(5*(x-0.7)) }
		if x, ok := Newton(f, -1, 3, 2.9, 1e-9); !ok || math.Abs(x-0.7) > 1e-8 {
			t.Errorf("slope times %v: %v, %v", k, x, ok)
		}
	}
	for _, c := range []struct {
		a, b, want float64
		ok         bool
	}{{2, 3, 2, false}, {0, 1, 1, false}, {-3, -2, -2, false}, {math.Cbrt(2), 5, math.Cbrt(2), true}} {
		f := func(x float64) (float64, float64) { v, s := cube(x); return v, s }
		if c.ok { // a zero at the end itself
			f = func(x float64) (float64, float64) { return x - c.a, 1 }
		}
		if x, ok := Newton(f, c.a, c.b, (c.a+c.b)/2, 1e-9); ok != c.ok || x != c.want {
			t.Errorf("%v to %v: %v, %v", c.a, c.b, x, ok)
		}
	}
	if x, ok := Newton(func(float64) (float64, float64) { return math.NaN(), 1 }, 0, 1, 0.5, 1e-9); ok {
		t.Errorf("NaN: %v", x)
	}
}

func TestWithin(t *testing.T) {
	n := 0
	f := func(x float64) float64 { n++; return math.Cos(x) - x }
	exact, err := Find(f, 0, 1)
	if err != nil {
		t.Fatal(err)
	}
	fine := n
	n = 0
	near, err := Within(f, 0, 1, 1e-4)
	if err != nil || math.Abs(near-exact) > 1e-4 || n >= fine {
		t.Errorf("%v in %d evaluations, want %v to 1e-4 in fewer than %d, %v", near, n, exact, fine, err)
	}
}
