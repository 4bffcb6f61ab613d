package optdesign

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"

	"example.org/actinic/internal/cholesky"
	"example.org/actinic/internal/lsq"
)

// What the readings do not tell is refused, and not given a variance by the ridge that keeps designs solvable; what
// they tell is not, though another constant stays open.
func TestWhatIsNotDetermined(t *testing.T) {
	same, apart := []float64{0.5, 0.5, 0.5}, []float64{-1, 0.5, 1}
	zero := func(float64) []float64 { return []float64{0, 0} }
	slope, there := []float64{0, 1}, []float64{1, 0.5}
	for _, c := range []struct {
		name  string
		p     *Problem
		total int
		best  bool // the candidates tell it
		exact bool // so many readings do
		at    []float64
		value float64 // there
	}{
		{"the slope from one place", one(t, Variance, same, line, slope), 3, false, false, []float64{1, 1, 1}, math.Inf(1)},
		{"the slope of two", one(t, Variance, apart, line, slope), 2, true, true, []float64{1, 0, 1}, 0.5},
		{"the slope from one reading", one(t, Variance, apart, line, slope), 1, true, false, []float64{1, 0, 0}, math.Inf(1)},
		{"the value at the one place", one(t, Variance, same, line, there), 3, true, true, []float64{1, 1, 1}, 1.0 / 3},
		{"slope and value at the one place", one(t, Variance, same, line, there, slope), 3, false, false, []float64{1, 1, 1}, math.Inf(1)},
		{"both constants from one place", one(t, Determinant, same, line), 3, false, false, []float64{1, 1, 1}, math.Inf(1)},
		{"both constants from two", one(t, Determinant, apart, line), 2, true, true, []float64{1, 0, 1}, -math.Log(4)},
		{"both constants from one reading", one(t, Determinant, apart, line), 1, true, false, []float64{0, 1, 0}, math.Inf(1)},
		{"readings that tell nothing", one(t, Variance, apart, zero, slope), 3, false, false, []float64{1, 1, 1}, math.Inf(1)},
		{"readings that tell nothing of both", one(t, Determinant, apart, zero), 3, false, false, []float64{1, 1, 1}, math.Inf(1)},
	} {
		said := func(what string, err error, ok bool, want string) {
			if ok != (err == nil) || !ok && (!errors.Is(err, ErrProblem) || err.Error() != "optdesign: unusable problem: "+want) {
				t.Errorf("%s, %s: %v", c.name, what, err)
			}
		}
		_, err := c.p.Best(float64(c.total))
		said("best", err, c.best, "the candidates do not determine what is wanted")
		_, err = c.p.Exact(c.total, 0, nil)
		words := "the readings do not determine what is wanted"
		if !c.best {
			words = "the candidates do not determine what is wanted"
		}
		said("exact", err, c.exact, words)
		if v := c.p.Value(c.at); !(math.Abs(v-c.value) <= 1e-6) && v != c.value {
			t.Errorf("%s: value %v, want %v", c.name, v, c.value)
		}
	}
	// One scenario of many that is not told is enough, however unlikely it is.
	scenarios := []Scenario{{Weight: 1e6, Wanted: [][]float64{slope}}, {Weight: 1, Wanted: [][]float64{slope}}}
	for i := range same {
		scenarios[0].Info = append(scenarios[0].Info, Reading(line(apart[i]), 1))
		scenarios[1].Info = append(scenarios[1].Info, Reading(line(same[i]), 1))
	}
	for _, criterion := range []Criterion{Variance, Determinant} {
		p, err := New(criterion, scenarios)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := p.Best(3); !errors.Is(err, ErrProblem) {
			t.Errorf("criterion %d: %v", criterion, err)
		}
		if v := p.Value(even(3)); !math.IsInf(v, 1) {
			t.Errorf("criterion %d: %v", criterion, v)
		}
	}
}

// Information that was there before adds: of one constant the variance is 1/(P + n/s²), also where there are no
// readings, and of two constants a prior tells what the readings do not.
func TestPriorAdds(t *testing.T) {
	info := []cholesky.Matrix{Reading([]float64{1}, 0.5), Reading([]float64{2}, 1)} // 4 each
	for _, before := range []float64{0.01, 1, 25} {
		prior := cholesky.Matrix{N: 1, A: []float64{before}}
		for criterion, of := range map[Criterion]func(m float64) float64{
			Variance: func(m float64) float64 { return 9 / m }, Determinant: func(m float64) float64 { return -math.Log(m) }, // wanted 3 times it
		} {
			p, err := New(criterion, []Scenario{{Weight: 7, Prior: prior, Info: info, Wanted: [][]float64{{3}}}})
			if err != nil {
				t.Fatal(err)
			}
			for _, n := range [][]float64{{0, 0}, {1, 0}, {0, 2}, {2, 0.5}} {
				want := of(before + 4*(n[0]+n[1]))
				if got := p.Value(n); math.Abs(got-want) > 1e-6*(1+math.Abs(want)) {
					t.Errorf("criterion %d, prior %v, readings %v: %v, want %v", criterion, before, n, got, want)
				}
			}
			after := p.After([]float64{1, 0})
			if want := of(before + 8); math.Abs(after[0]-want) > 1e-6 || math.Abs(after[1]-want) > 1e-6 {
				t.Errorf("criterion %d, prior %v, after one more: %v, want %v", criterion, before, after, want)
			}
		}
	}
	s := Scenario{Weight: 1, Prior: Reading([]float64{0, 1}, 0.1), Info: []cholesky.Matrix{Reading(line(0), 1)}, Wanted: [][]float64{{1, 2}}}
	p, err := New(Variance, []Scenario{s})
	if err != nil {
		t.Fatal(err)
	}
	if d, err := p.Best(4); err != nil || math.Abs(d.Value-(0.25+4*0.01)) > 1e-6 {
		t.Errorf("%v, %v", d, err)
	}
}

// In other units of the readings all comes out the same: variances by the square, determinants by a sum, also where
// one constant stays open.
func TestUnitsOfReadings(t *testing.T) {
	for _, sd := range []float64{1e-8, 1e-3, 1, 1e3, 1e8} {
		s := Scenario{Weight: 1, Wanted: [][]float64{{1, 0.5}}, Info: []cholesky.Matrix{Reading(line(0.5), sd)}}
		p, err := New(Variance, []Scenario{s})
		if err != nil {
			t.Fatal(err)
		}
		if v := p.Value([]float64{4}) / (sd * sd); math.Abs(v-0.25) > 1e-8 {
			t.Errorf("readings of %v: %v, want 0.25", sd, v)
		}
		s.Info = append(s.Info, Reading(line(-1), sd))
		if p, err = New(Determinant, []Scenario{s}); err != nil {
			t.Fatal(err)
		}
		if v := p.Value([]float64{1, 1}) - 4*math.Log(sd); math.Abs(v+math.Log(1.5*1.5)) > 1e-7 { // det F'F = 1.5²
			t.Errorf("readings of %v: %v, want %v", sd, v, -math.Log(1.5*1.5))
		}
		d, err := p.Best(2)
		if err != nil || math.Abs(d.N[0]-1) > 1e-3 || math.Abs(d.N[1]-1) > 1e-3 || !(d.Short <= 1e-6) {
			t.Errorf("readings of %v: %v, %v", sd, d, err)
		}
	}
}

// The least number is the least: one less does not do, and where a number does exactly no more is asked.
func TestHowManyIsTheLeast(t *testing.T) {
	for k := 1; k <= 1000; k++ {
		if n, err := HowMany(1, lsq.Normal95/float64(k), true); n != k*k || err != nil {
			t.Errorf("%d² readings: %d, %v", k, n, err)
		}
	}
	if n, err := HowMany(1, lsq.Normal95/1000.1, true); err == nil {
		t.Errorf("more than a million: %d", n)
	}
	for _, half := range []float64{20, 9, 8.9, 3, 1.3, 1, 0.7, 0.4, 0.1, 0.03} {
		n, err := HowMany(1, half, false)
		if err != nil || n < 2 || lsq.TwoSided95(n-1) > half*math.Sqrt(float64(n)) || n > 2 && lsq.TwoSided95(n-2) <= half*math.Sqrt(float64(n-1)) {
			t.Errorf("half-width %v: %d, %v", half, n, err)
		}
	}
}

// Readings that are all fixed are the design; the bounds of what can be asked for are what can be had.
func TestBoundsOfWholeNumbers(t *testing.T) {
	fixed := []int{2, 0, 1}
	p := one(t, Variance, []float64{-1, 0, 1}, line, []float64{0, 1})
	for _, c := range []struct {
		total, distinct int
		fixed           []int
		ok              bool
	}{
		{3, 0, fixed, true}, {2, 0, fixed, false}, {4, 3, fixed, true}, {3, 3, nil, true}, {5, 3, nil, true}, {5, 4, nil, false},
		{2, 2, nil, true}, {2, 3, nil, false}, {0, 0, nil, false}, {0, 0, []int{0, 0, 0}, false}, {3, 3, fixed, false}, {3, 2, fixed, true},
	} {
		d, err := p.Exact(c.total, c.distinct, c.fixed)
		if (err == nil) != c.ok {
			t.Errorf("%+v: %v", c, err)
			continue
		}
		if !c.ok {
			continue
		}
		sum := 0.0
		for i, n := range d.N {
			if sum += n; c.fixed != nil && n < float64(c.fixed[i]) {
				t.Errorf("%+v: %v", c, d.N)
			}
		}
		if sum != float64(c.total) || used(d.N) < c.distinct || math.Abs(d.Value-p.Value(d.N)) > 1e-12 {
			t.Errorf("%+v: %v, %v", c, d.N, d.Value)
		}
	}
	// One constant, one reading.
	p = one(t, Variance, []float64{1, 3}, func(x float64) []float64 { return []float64{x} }, []float64{1})
	if d, err := p.Exact(1, 1, nil); err != nil || d.N[1] != 1 || math.Abs(d.Value-1.0/9) > 1e-9 {
		t.Errorf("%v, %v", d, err)
	}
}

// Of small problems drawn at random whole designs are the best of all that there are, but for one in two hundred, where
// no exchange of a single reading leads there.
func TestExactAgainstAll(t *testing.T) {
	r, missed := rand.New(rand.NewPCG(5, 5)), 0
	for range 200 {
		candidates, total := 4+r.IntN(4), 3+r.IntN(5)
		x := make([]float64, candidates)
		for i := range x {
			x[i] = r.NormFloat64()
		}
		criterion := Criterion(r.IntN(2))
		p := one(t, criterion, x, quadratic, []float64{r.NormFloat64(), r.NormFloat64(), r.NormFloat64()})
		distinct := r.IntN(min(total, candidates) + 1)
		var fixed []int
		if r.IntN(2) == 0 {
			fixed = make([]int, candidates)
			fixed[r.IntN(candidates)] = 1 + r.IntN(2)
		}
		most, of := r.IntN(candidates), 1+r.IntN(total)
		if fixed != nil {
			of = max(of, fixed[most])
		}
		p.AtMost(most, of)
		held := func(n []float64) bool {
			for i, f := range fixed {
				if n[i] < float64(f) {
					return false
				}
			}
			return n[most] <= float64(of)
		}
		least := math.Inf(1)
		var all func(n []float64, i, left int)
		all = func(n []float64, i, left int) {
			if i == len(n)-1 {
				if n[i] = float64(left); used(n) >= distinct && held(n) {
					least = math.Min(least, p.Value(n))
				}
				return
			}
			for k := range left + 1 {
				n[i] = float64(k)
				all(n, i+1, left-k)
			}
		}
		all(make([]float64, candidates), 0, total)
		d, err := p.Exact(total, distinct, fixed)
		if math.IsInf(least, 1) && errors.Is(err, ErrProblem) {
			continue // no design does
		}
		if err != nil || used(d.N) < distinct || !held(d.N) || d.Value < least-1e-9*math.Abs(least) || d.Value > least+0.005*math.Abs(least) {
			t.Errorf("%v, %v; the best of all is %v", d, err, least)
		} else if d.Value > least+1e-9*math.Abs(least) {
			missed++
		}
	}
	if missed > 1 {
		t.Errorf("%d miss the best", missed)
	}
}

// From wherever it starts, an exchange ends where no exchange of one reading makes it better, after however many steps.
func TestExchangeEndsAtTheBottom(t *testing.T) {
	r := rand.New(rand.NewPCG(6, 5))
	for range 60 {
		x := make([]float64, 5+r.IntN(3))
		for i := range x {
			x[i] = r.NormFloat64()
		}
		p := one(t, Criterion(r.IntN(2)), x, quadratic, []float64{1, r.NormFloat64(), r.NormFloat64()})
		n := make([]float64, len(x))
		for range 8 {
			n[r.IntN(len(n))]++
		}
		distinct := min(used(n), 3)
		start := p.Value(n)
		d, err := p.exchange(p.newState(), n, distinct, nil)
		if err != nil || d.Value > start || used(d.N) < distinct {
			t.Errorf("from %v to %+v, %v", start, d, err)
			continue
		}
		for i := range n {
			for j := range n {
				if i == j || d.N[i] == 0 {
					continue
				}
				next := append([]float64(nil), d.N...)
				next[i]--
				next[j]++
				if v := p.Value(next); used(next) >= distinct && v < d.Value-1e-8*math.Abs(d.Value) {
					t.Errorf("%v at %v, and %v at %v", d.Value, d.N, v, next)
				}
			}
		}
	}
}
