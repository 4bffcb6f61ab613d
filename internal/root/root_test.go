package root

import (
	"math"
	"strconv"
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
		{"values whose product is nothing", func(x float64) float64 { return 1e-200 * (x - 0.7) }, -1, 3, 0.7},
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
	for _, k := range []float64{1, 0, -1, math.Inf(1), math.NaN()} {
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
	// Nowhere 0, and as near to it at either end: the first.
	if x, ok := Newton(func(x float64) (float64, float64) { return x*x + 1, 2 * x }, -1, 1, 0.5, 1e-9); ok || x != -1 {
		t.Errorf("as near at both ends: %v, %v", x, ok)
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

// The points that are asked, one by one, are those of the methods: secant, inverse quadratic and halves in turn where
// each is called for. A step more or another one is another method, though it may end at the same zero.
func TestSteps(t *testing.T) {
	said := held.New(t)
	asked := func(f func(float64) float64) (func(float64) float64, *[]float64) {
		var xs []float64
		return func(x float64) float64 { xs = append(xs, x); return f(x) }, &xs
	}
	for name, c := range map[string]struct {
		f    func(float64) float64
		a, b float64
	}{
		"polynomial":            {func(x float64) float64 { return (x+3)*(x-1)*(x-1) - 0.3 }, -4, 4. / 3},
		"exponential":           {func(x float64) float64 { return math.Exp(x) - 5 }, 0, 4},
		"steep":                 {func(x float64) float64 { return math.Expm1(40 * (x - 0.3)) }, -2, 5},
		"steep, ends exchanged": {func(x float64) float64 { return -math.Expm1(40 * (x - 0.3)) }, 5, -2},
		"flat":                  {func(x float64) float64 { return math.Pow(x-0.1, 3) }, -1, 4},
		"step":                  {func(x float64) float64 { return math.Copysign(1, x-math.Pi) }, 0, 10},
		"line":                  {func(x float64) float64 { return 2*x - 3 }, 1, 2},
		"hyperbola":             {func(x float64) float64 { return 1/(x+1) - 0.125 }, 0, 1000},
		"far":                   {func(x float64) float64 { return math.Log(x) - 20 }, 1, 1e12},
		"curve of a film":       {func(x float64) float64 { return 2/(1+math.Exp(-3*x)) - 0.1 }, -3, 3},
	} {
		for _, tolerance := range []float64{1e-6, 1e-3} {
			f, xs := asked(c.f)
			x, err := Within(f, c.a, c.b, tolerance)
			if err != nil {
				t.Fatal(name, err)
			}
			said.Values(name, tolerance, x, *xs)
		}
		for _, start := range []float64{c.a, c.a + 0.3*(c.b-c.a), c.b} {
			f, xs := asked(c.f)
			slope := func(x float64) float64 { return (c.f(x+1e-3) - c.f(x-1e-3)) / 2e-3 }
			x, ok := Newton(func(x float64) (float64, float64) { return f(x), slope(x) }, c.a, c.b, start, 1e-6)
			said.Values(name+", Newton's", start, x, ok, *xs)
		}
	}
}

// Many functions of one family: their zeros, how often they were asked, and the sum of where.
func TestManySteps(t *testing.T) {
	said := held.New(t)
	for i := range 120 {
		k := float64(i)
		f := func(x float64) float64 {
			switch u := x - k/40; i % 3 { // smooth, flat or steep at the zero, and wild
			case 0:
				return math.Sin(k+1.3*x)*math.Exp(-0.2*x*k/10) + 0.3*math.Pow(x, 1+math.Mod(k, 5)) - 0.1*math.Mod(k*k, 7)
			case 1:
				return math.Copysign(math.Pow(math.Abs(u), []float64{0.2, 0.6, 3, 9}[i/3%4]), u) + 1e-4
			}
			return math.Sin(40*x) + 0.3*x + 0.02*k
		}
		for _, tolerance := range []float64{1e-6, 0.02} {
			n, sum := 0, 0.0
			x, err := Within(func(x float64) float64 { n++; sum += x * (1 + float64(n)/8); return f(x) }, -2.5, 3+k/60, tolerance)
			said.Values(strconv.Itoa(i), tolerance, x, n, sum, err)
		}
	}
}

// A tolerance that nothing meets does not keep it for ever.
func TestEnds(t *testing.T) {
	n := 0
	step := func(x float64) float64 { n++; return math.Copysign(1, x-math.Pi) }
	if x, err := Within(step, 0, 10, -1); err != nil || math.Abs(x-math.Pi) > 0.51 || n != 2+200 {
		t.Errorf("%v after %d, %v", x, n, err)
	}
	n = 0
	if x, ok := Newton(func(x float64) (float64, float64) { return step(x), 1 }, 0, 10, 5,
		-1); !ok || math.Abs(x-math.Pi) > 1e-12 || n != 2+100 {
		t.Errorf("Newton's: %v after %d, %v", x, n, ok)
	}
}
