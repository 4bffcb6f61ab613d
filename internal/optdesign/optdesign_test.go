package optdesign

import (
	"math"
	"math/rand/v2"
	"testing"

	"example.org/actinic/internal/cholesky"
	"example.org/actinic/internal/held"
)

// grid of so many even places.
func grid(lo, hi float64, n int) []float64 {
	out := make([]float64, n)
	for i := range out {
		out[i] = lo + (hi-lo)*float64(i)/float64(n-1)
	}
	return out
}

// one is a problem of one scenario, readings of sd 1, with gradients f at places x.
func one(t testing.TB, c Criterion, x []float64, f func(x float64) []float64, wanted ...[]float64) *Problem {
	t.Helper()
	s := Scenario{Weight: 1, Wanted: wanted}
	for _, v := range x {
		s.Info = append(s.Info, Reading(f(v), 1))
	}
	p, err := New(c, []Scenario{s})
	if err != nil {
		t.Fatal(err)
	}
	return p
}

func best(t testing.TB, p *Problem) *Design {
	t.Helper()
	d, err := p.Best(1)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

// massNear is the weight within 0.06 of a place.
func massNear(x, n []float64, at float64) float64 {
	m := 0.0
	for i, v := range x {
		if math.Abs(v-at) < 0.06 {
			m += n[i]
		}
	}
	return m
}

func even(n int) []float64 {
	out := make([]float64, n)
	for i := range out {
		out[i] = 1 / float64(n)
	}
	return out
}

func line(x float64) []float64      { return []float64{1, x} }
func quadratic(x float64) []float64 { return []float64{1, x, x * x} }

// The straight line and the parabola, as textbooks have them: the best slope of a line is
// read at the two ends, a value beyond them needs x0² readings of a value inside; worked
// out by Elfving's theorem (G. Elfving, Optimum allocation in linear regression theory,
// Annals of Mathematical Statistics 23 (1952) 255-262, from memory).
func TestLineAndParabola(t *testing.T) {
	x := grid(-1, 1, 41)
	for _, c := range []struct {
		name   string
		f      func(float64) []float64
		wanted []float64
		value  float64
		at     map[float64]float64 // weights
	}{
		{"slope of a line", line, []float64{0, 1}, 1, map[float64]float64{-1: 0.5, 1: 0.5}},
		{"value inside", line, []float64{1, 0.3}, 1, nil}, // many designs do
		{"value at 2", line, []float64{1, 2}, 4, map[float64]float64{-1: 0.25, 1: 0.75}},
		{"slope of a parabola at 0", quadratic, []float64{0, 1, 0}, 1, map[float64]float64{-1: 0.5, 1: 0.5}},
		{"at 0.25", quadratic, []float64{0, 1, 0.5}, 16.0 / 9, map[float64]float64{-0.5: 0.5, 1: 0.5}},
		{"at 0.5", quadratic, []float64{0, 1, 1}, 4, map[float64]float64{0: 0.5, 1: 0.5}},
	} {
		d := best(t, one(t, Variance, x, c.f, c.wanted))
		if math.Abs(d.Value/c.value-1) > 1e-4 {
			t.Errorf("%s: %v, want %v", c.name, d.Value, c.value)
		}
		for at, w := range c.at {
			if got := massNear(x, d.N, at); math.Abs(got-w) > 0.01 {
				t.Errorf("%s: weight %v at %v, want %v", c.name, got, at, w)
			}
		}
	}
	// 21 even places: the mean of x² is 0.366667, (n+1)/(3(n-1)).
	p := one(t, Variance, grid(-1, 1, 21), line, []float64{0, 1})
	if got := best(t, p).Value / p.Value(even(21)); math.Abs(got-0.366667) > 1e-5 {
		t.Errorf("efficiency of even places %v", got)
	}
}

// Yes or no with a logistic chance: z tanh(z/2) = 1 at z = 1.543405 for both constants
// (the rounded 1.5434 is the textbook value, from memory), z = 0 for the midpoint alone.
func TestLogisticChance(t *testing.T) {
	x := grid(-3, 3, 1201)
	f := func(z float64) []float64 {
		w := 0.5 / math.Cosh(z/2)
		return []float64{w, w * z}
	}
	d := best(t, one(t, Determinant, x, f))
	at := func(sign float64) float64 {
		sum, m := 0.0, 0.0
		for i, v := range x {
			if sign*v > 0 {
				sum, m = sum+d.N[i]*v, m+d.N[i]
			}
		}
		return sum / m
	}
	if math.Abs(at(1)-1.543405) > 0.003 || math.Abs(at(-1)+1.543405) > 0.003 {
		t.Errorf("at %v and %v", at(-1), at(1))
	}
	d = best(t, one(t, Variance, x, f, []float64{1, 0}))
	if math.Abs(d.Value/4-1) > 3e-4 || math.Abs(massNear(x, d.N, 0)-1) > 0.01 {
		t.Errorf("midpoint: %v, %v at 0", d.Value, massNear(x, d.N, 0))
	}
}

// A curve that saturates, y = V x/(K + x) with V = K = 1 up to b = 5, relative to x/(K+x):
// the second place of the D-optimal pair is K b/(2K + b) = 0.714286; K alone is best read at
// 0.527132 (weight 0.7071) and 5, n var 70.441 (both computed from theory).
func TestSaturation(t *testing.T) {
	x := grid(0, 5, 2001)
	f := func(x float64) []float64 { return []float64{x / (1 + x), -x / ((1 + x) * (1 + x))} }
	d := best(t, one(t, Determinant, x, f))
	if math.Abs(massNear(x, d.N, 0.714286)-0.5) > 0.01 || math.Abs(massNear(x, d.N, 5)-0.5) > 0.01 {
		t.Errorf("D: %v near 0.714, %v at 5", massNear(x, d.N, 0.714286), massNear(x, d.N, 5))
	}
	d = best(t, one(t, Variance, x, f, []float64{0, 1}))
	if math.Abs(d.Value/70.441-1) > 1e-3 || math.Abs(massNear(x, d.N, 0.527132)-0.7071) > 0.01 || math.Abs(massNear(x, d.N, 5)-0.2929) > 0.01 {
		t.Errorf("K: %v; %v near 0.527, %v at 5", d.Value, massNear(x, d.N, 0.527132), massNear(x, d.N, 5))
	}
}

// speedPoint is the gradient of D = 0.2 + 2.4/(1 + exp(-1.6 x)) in its four constants
// (Dmin, range, rate, mid), and that of the x at which D = 0.3.
func speedPoint() (f func(x float64) []float64, wanted []float64) {
	const span, rate = 2.4, 1.6
	f = func(x float64) []float64 {
		s := 1 / (1 + math.Exp(-rate*x))
		return []float64{1, s, span * s * (1 - s) * x, -span * s * (1 - s) * rate}
	}
	// D(x*; constants) = Dmin + 0.1: the gradient of x* is -(dD/dconstants - that of
	// Dmin + 0.1)/slope.
	const at = -1.959684
	g, s := f(at), 1/(1+math.Exp(-rate*at))
	slope := span * s * (1 - s) * rate
	return f, []float64{0, -g[1] / slope, -g[2] / slope, -g[3] / slope}
}

// The speed point of a logistic curve, all four constants unknown: places, weights and
// n var/s² computed from theory, by two methods that agree to 1e-3.
func TestSpeedPoint(t *testing.T) {
	f, c := speedPoint()
	for i, w := range []float64{0, -0.271739, 1.224802, 1} {
		if math.Abs(c[i]-w) > 1e-5 {
			t.Errorf("gradient %v, want %v at %d", c[i], w, i)
		}
	}
	x := grid(-3, 3, 601)
	d := best(t, one(t, Variance, x, f, c))
	if math.Abs(d.Value/53.135-1) > 1e-3 {
		t.Errorf("n var %v, want 53.135", d.Value)
	}
	for at, w := range map[float64]float64{-3: 0.310, -0.77: 0.404, 0.77: 0.190, 3: 0.096} {
		if got := massNear(x, d.N, at); math.Abs(got-w) > 0.01 {
			t.Errorf("weight %v at %v, want %v", got, at, w)
		}
	}
	p := one(t, Variance, grid(-3, 3, 41), f, c)
	if v := p.Value(even(41)); math.Abs(v/121.956-1) > 1e-3 || math.Abs(d.Value/v-0.4357) > 1e-3 {
		t.Errorf("41 even steps: %v, efficiency %v; want 121.956 and 0.4357", v, d.Value/v)
	}
	// 24 readings of sd 0.01.
	if sd := 0.01 * math.Sqrt(d.Value/24); math.Abs(sd-0.01488) > 1e-5 {
		t.Errorf("sd %v, want 0.01488", sd)
	}
}

// One more reading of a line that was read at 0 and 1, for its value at 0.2: exact, by
// c'Vc - (c'Vf)²/(1 + f'Vf). The best next place is not the wanted one.
func TestNextReading(t *testing.T) {
	x := []float64{0, 1, -1, 0.2, 0.5, 2}
	p := one(t, Variance, x, line, []float64{1, 0.2})
	n := []float64{1, 1, 0, 0, 0, 0}
	if v := p.Value(n); math.Abs(v-0.68) > 1e-6 {
		t.Errorf("before %v, want 0.68", v)
	}
	for i, want := range []float64{0.36, 0.66, 0.353333, 0.404762, 0.513333, 0.653333} {
		if got := p.After(n)[i]; math.Abs(got-want) > 1e-6 {
			t.Errorf("at %v: %v, want %v", x[i], got, want)
		}
	}
}

// Frames of sd 0.04 in log exposure for a half-width of 0.05: (1.959964 × 0.04/0.05)² =
// 2.4585, so 3 where the sd is known; 5 where it comes from the same frames (Student:
// t(4) = 2.776, 2.776 × 0.04/√5 = 0.0497; t(3) = 3.182 gives 0.064). Exact.
func TestHowMany(t *testing.T) {
	said := held.New(t)
	if n, err := HowMany(0.04, 0.05, true); n != 3 || err != nil {
		t.Errorf("known: %d, %v", n, err)
	}
	if n, err := HowMany(0.04, 0.05, false); n != 5 || err != nil {
		t.Errorf("from the same frames: %d, %v", n, err)
	}
	if n, err := HowMany(0, 0.05, true); n != 1 || err != nil {
		t.Errorf("exact: %d, %v", n, err)
	}
	for _, c := range [][2]float64{{0.04, 0}, {-1, 1}, {math.NaN(), 1}, {1, math.NaN()}, {math.Inf(1), 1}, {1, 1e-9}} {
		if _, err := HowMany(c[0], c[1], true); !said.Is("", err, ErrProblem) {
			t.Errorf("%v: %v", c, err)
		}
	}
}

// Whole numbers: never better than the best weights, near them with many readings, with
// the distinct and the fixed ones that were asked for.
func TestExact(t *testing.T) {
	f, c := speedPoint()
	x := grid(-3, 3, 41)
	p := one(t, Variance, x, f, c)
	for _, n := range []int{8, 24, 100} {
		b, err := p.Best(float64(n))
		if err != nil {
			t.Fatal(err)
		}
		for _, distinct := range []int{0, 6, 8} {
			fixed := make([]int, 41)
			fixed[20] = 1
			d, err := p.Exact(n, distinct, fixed)
			if err != nil {
				t.Fatal(err)
			}
			sum := 0.0
			for _, v := range d.N {
				if sum += v; v != math.Trunc(v) {
					t.Errorf("%v readings", v)
				}
			}
			if sum != float64(n) || used(d.N) < distinct || d.N[20] < 1 || d.Value < b.Value*(1-1e-6) {
				t.Errorf("%d, %d: sum %v, %d distinct, %v against %v", n, distinct, sum, used(d.N), d.Value, b.Value)
			}
			if n == 100 && distinct == 0 && d.Value > 1.03*b.Value {
				t.Errorf("100 readings: %v against %v", d.Value, b.Value)
			}
		}
	}
	// No more than may be at a place.
	p.AtMost(0, 2)
	if d, err := p.Exact(24, 0, nil); err != nil || d.N[0] != 2 {
		t.Errorf("%v, %v", d, err)
	}
	// Against all designs of 5 readings on 7 candidates of a parabola.
	x = grid(-1, 1, 7)
	p = one(t, Variance, x, quadratic, []float64{1, 1.5, 2.25})
	least := math.Inf(1)
	var all func(n []float64, i, left int)
	all = func(n []float64, i, left int) {
		if i == len(n)-1 {
			n[i] = float64(left)
			least = math.Min(least, p.Value(n))
			return
		}
		for k := range left + 1 {
			n[i] = float64(k)
			all(n, i+1, left-k)
		}
	}
	all(make([]float64, 7), 0, 5)
	if d, err := p.Exact(5, 0, nil); err != nil || d.Value > least*(1+1e-9) {
		t.Errorf("%v, %v; the best of all is %v", d, err, least)
	}
}

// Over scenarios: weights are those of a mean, the order does not matter, no design is
// better than the bound says, and a robust design loses little where it is right.
func TestScenarios(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	var scs []Scenario
	x := grid(-3, 3, 61)
	f, c := speedPoint()
	for k := range 7 {
		s := Scenario{Weight: 1 + float64(k), Wanted: [][]float64{c}, Prior: Reading([]float64{0.3, 0, 0, 0}, 1)}
		for _, v := range x {
			s.Info = append(s.Info, Reading(f(v+0.2*float64(k-3)), 1))
		}
		scs = append(scs, s)
	}
	p, err := New(Variance, scs)
	if err != nil {
		t.Fatal(err)
	}
	d, err := p.Best(10)
	if err != nil {
		t.Fatal(err)
	}
	if d.Short > 1e-4*d.Value {
		t.Errorf("short by %v of %v", d.Short, d.Value)
	}
	for range 200 {
		n := make([]float64, len(x))
		for range 10 {
			n[r.IntN(len(n))]++
		}
		if v := p.Value(n); v < d.Value-d.Short-1e-9*d.Value {
			t.Errorf("%v is better than %v - %v", v, d.Value, d.Short)
		}
	}
}

func TestRefuses(t *testing.T) {
	said := held.New(t)
	good := Scenario{Weight: 1, Info: []cholesky.Matrix{Reading(line(0), 1), Reading(line(1), 1)}, Wanted: [][]float64{{1, 0}}}
	for name, spoil := range map[string]func(*Scenario){
		"weight":     func(s *Scenario) { s.Weight = math.NaN() },
		"candidates": func(s *Scenario) { s.Info = nil },
		"wanted":     func(s *Scenario) { s.Wanted = nil },
		"short":      func(s *Scenario) { s.Wanted = [][]float64{{1}} },
		"infinite":   func(s *Scenario) { s.Info = []cholesky.Matrix{Reading(line(math.Inf(1)), 1)} },
		"prior":      func(s *Scenario) { s.Prior = cholesky.New(3) },
	} {
		s := good
		spoil(&s)
		if _, err := New(Variance, []Scenario{s}); !said.Is(name, err, ErrProblem) {
			t.Errorf("%s: %v", name, err)
		}
	}
	p, err := New(Variance, []Scenario{good})
	if err != nil {
		t.Fatal(err)
	}
	for _, n := range []float64{0, -1, math.NaN(), math.Inf(1)} {
		if _, err := p.Best(n); !said.Is("", err, ErrProblem) {
			t.Errorf("%v: %v", n, err)
		}
	}
	for _, c := range []struct {
		n, d  int
		fixed []int
	}{{0, 0, nil}, {1, 2, nil}, {5, 3, nil}, {2, 0, []int{3, 0}}, {2, 0, []int{1}}, {2, 0, []int{-1, 0}}} {
		if _, err := p.Exact(c.n, c.d, c.fixed); !said.Is("", err, ErrProblem) {
			t.Errorf("%+v: %v", c, err)
		}
	}
	p.AtMost(0, 1)
	p.AtMost(1, 1)
	if _, err := p.Exact(3, 0, nil); !said.Is("", err, ErrProblem) {
		t.Error(err)
	}
	if v := p.Value([]float64{0, 0}); !math.IsInf(v, 1) {
		t.Errorf("nothing read: %v", v)
	}
}
