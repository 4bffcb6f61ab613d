package filmfit

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat/distuv"
)

func within(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) && got != want {
		t.Errorf("%s: %v, want %v", what, got, want)
	}
}

// A measure that is to be had on one side only has the deviation of that side; one that bends has none from where it
// bends nearly as much as it moves, if that is more than three tenths of what it moves in all.
func TestSpreadOfBentMeasures(t *testing.T) {
	w, ok := Fit(stated(strip(plain, -3.3, 0.15, 21, 0.01, rand.New(rand.NewPCG(4, 4))), 0.01))
	if !ok {
		t.Fatal("no fit")
	}
	w.Parts = w.Parts[:1]
	p := &w.Parts[0]
	n := len(p.Constants)
	// Base plus fog moves by these, one direction after the other; greatest is the greatest that is less than a
	// third of all.
	var all, greatest float64
	for z := range n {
		v := move * p.Directions[z*n]
		all += v * v
	}
	for z := range n {
		if v := move * math.Abs(p.Directions[z*n]); v*v < all/3 {
			greatest = max(greatest, v)
		}
	}
	sd, mid := math.Sqrt(all)/move, p.Constants[Base]
	alone := greatest * greatest / all
	if !(alone > 0.05 && alone < 1.0/3) {
		t.Fatalf("one direction has %v of it", alone)
	}
	kink := func(k float64) func(x float64) float64 {
		return func(x float64) float64 { return 2*x + 2*k*math.Abs(x) }
	}
	one := func(part float64) func(x float64) float64 { // bent in one direction alone, by this part of all
		k := math.Sqrt(part / alone)
		return func(x float64) float64 {
			if math.Abs(math.Abs(x)-greatest) < 1e-9*greatest {
				return x + k*math.Abs(x)
			}
			return x
		}
	}
	for _, c := range []struct {
		name string
		of   func(x float64) float64 // of base plus fog, from the part's own
		want float64
	}{
		{"straight", func(x float64) float64 { return 3 * x }, 3 * sd},
		{"falling", func(x float64) float64 { return -3 * x }, 3 * sd},
		{"above alone", func(x float64) float64 { return 2 * x / notBelow(x) }, 2 * sd},
		{"below alone", func(x float64) float64 { return 2 * x / notBelow(-x) }, 2 * sd},
		{"nowhere else", func(x float64) float64 { return x / (notBelow(x) * notBelow(-x)) }, math.NaN()},
		{"a kink", math.Abs, math.NaN()},
		{"nearly as bent as it moves", kink(0.89), 2 * sd},
		{"as bent as that", kink(0.91), math.NaN()},
		{"bent in one direction, less than counts", one(0.29), sd},
		{"bent in one direction, more", one(0.31), math.NaN()},
	} {
		said := w.Spread(2, func(curve *Curve, out []float64) { out[0], out[1] = 1, 5+c.of(curve.Base-mid) })
		got := said[1][0]
		if math.Abs(got.SD-c.want) > 1e-9*sd || (got.SD == got.SD) != (c.want == c.want) || got.Value != 5 || got.Weight != p.Weight || got.Freedom != p.Freedom {
			t.Errorf("%s: %+v, want a deviation of %v", c.name, got, c.want)
		}
		if still := said[0][0]; still.SD != 0 || still.Value != 1 {
			t.Errorf("%s, a measure that does not move: %+v", c.name, still)
		}
	}
}

// notBelow is NaN below 0.
func notBelow(x float64) float64 {
	if x < 0 {
		return math.NaN()
	}
	return 1
}

// The curve given to a measure begins as far below the first reading as is said.
func TestWhereCurvesBegin(t *testing.T) {
	d := stated(strip(plain, -3.3, 0.15, 21, 0.01, rand.New(rand.NewPCG(4, 4))), 0.01)
	w, ok := Fit(d)
	if !ok {
		t.Fatal("no fit")
	}
	w.Spread(1, func(c *Curve, out []float64) {
		end := c.First + c.Step*float64(len(c.Density)-1)
		if math.Abs(c.First-(d.X[0]-below)) > gridStep*1.001 || !(end >= d.X[20]+gridAbove-1e-9 && end < d.X[20]+gridAbove+gridStep) {
			t.Errorf("from %v to %v, readings from %v to %v", c.First, end, d.X[0], d.X[20])
		}
		out[0] = 0
	})
}

// The probability below a value against the distributions themselves, and its density against its differences.
func TestBelow(t *testing.T) {
	for _, freedom := range []float64{2, 3.5, 10, 40, math.Inf(1)} {
		p := Normal{Weight: 1, Value: 3, SD: 0.5, Freedom: freedom}
		for _, u := range []float64{-6, -2, -0.7, -1e-3, 0, 1e-3, 0.4, 1.3, 3, 8} {
			v := 3 + 0.5*u
			got, density := p.below(v)
			want := distuv.Normal{Mu: 3, Sigma: 0.5}.CDF(v)
			tol := 1e-12
			if !math.IsInf(freedom, 0) {
				want, tol = distuv.StudentsT{Mu: 3, Sigma: 0.5, Nu: freedom}.CDF(v), 0.002
			}
			within(t, "probability", got, want, tol)
			const h = 1e-6
			a, _ := p.below(v + h)
			b, _ := p.below(v - h)
			within(t, "density", density, (a-b)/(2*h), 1e-6)
		}
	}
	exact := Normal{Weight: 1, Value: 3}
	for v, want := range map[float64]float64{2.999: 0, 3: 1, 3.001: 1} {
		if p, density := exact.below(v); p != want || density != 0 {
			t.Errorf("of one value, below %v: %v, %v", v, p, density)
		}
	}
}

// What an interval leaves out, and what makes it none.
func TestIntervalOfParts(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	for _, c := range []struct {
		name      string
		parts     []Normal
		low, high float64
	}{
		{"one value", []Normal{{1, 2, 0, inf}}, 2, 2},
		{"two values", []Normal{{0.5, 2, 0, inf}, {0.5, 7, 0, inf}}, 2, 7},
		{"weights that sum to more", []Normal{{3, 2, 1, inf}, {3, 2, 1, inf}}, 2 - 1.959964, 2 + 1.959964},
		{"less than a fiftieth without", []Normal{{0.9803, 2, 1, inf}, {0.0197, nan, 1, inf}}, 2 - 1.959964, 2 + 1.959964},
		{"more than that without", []Normal{{0.9797, 2, 1, inf}, {0.0203, nan, 1, inf}}, nan, nan},
		{"without a deviation", []Normal{{0.5, 2, 1, inf}, {0.5, 2, nan, inf}}, nan, nan},
		{"with an endless one", []Normal{{0.5, 2, 1, inf}, {0.5, 2, inf, inf}}, nan, nan},
		{"with a deviation below 0", []Normal{{0.5, 2, 1, inf}, {0.5, 2, -1, inf}}, nan, nan},
		{"endless itself", []Normal{{0.5, 2, 1, inf}, {0.5, inf, 1, inf}}, nan, nan},
		{"nothing", nil, nan, nan},
		{"wide beside narrow", []Normal{{0.5, 0, 1e-3, inf}, {0.5, 0, 1e3, inf}}, -1644.854, 1644.854},
	} {
		low, high := Interval(c.parts)
		if (low == low) != (c.low == c.low) || (high == high) != (c.high == c.high) || math.Abs(low-c.low) > 1e-6*(1+math.Abs(c.low)) || math.Abs(high-c.high) > 1e-6*(1+math.Abs(c.high)) {
			t.Errorf("%s: %v to %v", c.name, low, high)
		}
	}
}

// Each doubt has its chance, its parts share it by their likelihoods, and what hardly counts is dropped.
func TestShares(t *testing.T) {
	at := func(doubt int, ln float64) Part { return Part{Component: Component{LnWeight: ln}, Doubt: doubt} }
	parts := []Part{at(0, -1000), at(0, -1000+math.Log(2)), at(1, 700), at(2, 1), at(2, 1), at(2, 1+math.Log(6))}
	share(parts, []float64{0.6, 0.16, 0.04}) // they sum to 0.8
	for i, want := range []float64{0.25, 0.5, 0.2, 0.00625, 0.00625, 0.0375} {
		within(t, "weight", parts[i].Weight, want, 1e-12)
	}
	low := func(of float64) Mixture {
		return mix([]float64{1, 2}, []Part{at(0, 0), at(0, math.Log(of/(1-of)))}, []float64{1})
	}
	kept, dropped := low(leastWeight*1.01), low(leastWeight*0.99)
	if len(kept.Parts) != 2 || len(dropped.Parts) != 1 || dropped.Parts[0].Weight != 1 {
		t.Errorf("%d and %d parts", len(kept.Parts), len(dropped.Parts))
	}
	if h := kept.Heaviest(); h != &kept.Parts[0] {
		t.Errorf("%+v", h)
	}
	if m := low(0.75); m.Heaviest() != &m.Parts[1] {
		t.Error("the first of two is the heaviest")
	}
	within(t, "sum of logarithms", logSum([]float64{math.Log(1), math.Log(2), math.Log(3)}), math.Log(6), 1e-12)
	within(t, "of large ones", logSum([]float64{900, 900}), 900+math.Ln2, 1e-12)
	within(t, "of nothing", logSum(nil), math.Inf(-1), 0)
	within(t, "of nothing twice", logSum([]float64{math.Inf(-1), math.Inf(-1)}), math.Inf(-1), 0)
	// Three toes with 0.02: 1 each. With three other sizes: 2 each. The mean over sizes against the sum without.
	var cs []Component
	for range Toes {
		for _, size := range departures {
			c := Component{Departure: size}
			if size > closest {
				c.LnWeight = math.Log(2)
			}
			cs = append(cs, c)
		}
	}
	within(t, "for a departure", adequacy(cs), math.Log(18.0/3)-math.Log(3), 1e-12)
	if h := heaviest([]Component{{LnWeight: 1}, {LnWeight: 3, Toe: Gaussian}, {LnWeight: 2}}); h.Toe != Gaussian {
		t.Errorf("%+v", h)
	}
}

// Doubts are one if all of them is the same, in whatever order the wild readings were found.
func TestSameDoubts(t *testing.T) {
	base := Doubt{Wild: []int{2, 5}, Leak: 3, Drift: 0.8, Grows: true}
	for _, c := range []struct {
		d    Doubt
		want bool
	}{
		{base, true}, {Doubt{Wild: []int{5, 2}, Leak: 3, Drift: 0.8, Grows: true}, true}, {Doubt{Wild: []int{5, 3}, Leak: 3, Drift: 0.8, Grows: true}, false},
		{Doubt{Wild: []int{2}, Leak: 3, Drift: 0.8, Grows: true}, false}, {Doubt{Wild: []int{2, 5}, Leak: 2, Drift: 0.8, Grows: true}, false},
		{Doubt{Wild: []int{2, 5}, Leak: 3, Drift: 0.7, Grows: true}, false}, {Doubt{Wild: []int{2, 5}, Leak: 3, Drift: 0.8}, false}, {Doubt{}, false},
	} {
		if same(base, c.d) != c.want || same(c.d, base) != c.want {
			t.Errorf("%+v", c.d)
		}
	}
}

// The departure's functions, multiplied and summed, are its covariance (Matérn's with 5/2: C. E. Rasmussen and C. K. I.
// Williams, Gaussian Processes for Machine Learning, 2006, equation 4.17, from memory) wherever one of two points is
// a knot; the last is a line that is held at its ends.
func TestBasisIsItsCovariance(t *testing.T) {
	for r, want := range map[float64]float64{0: 1, 0.8: (1 + math.Sqrt(5) + 5.0/3) * math.Exp(-math.Sqrt(5)), -1.6: (1 + 2*math.Sqrt(5) + 20.0/3) * math.Exp(-2*math.Sqrt(5))} {
		within(t, "covariance", matern(r), want, 1e-12)
	}
	for _, m := range []int{40, 57, 140} {
		b := newBasis(m)
		x := func(i int) float64 { return gridStep*float64(i) - gridBelow }
		end := x(m-1) - gridAbove
		if n := b.cols - 1; -knotBelow+knotStep*float64(n-1) < end || -knotBelow+knotStep*float64(n-2) >= end+knotStep {
			t.Errorf("%d points: %d knots to %v", m, n, end)
		}
		if b.stride%4 != 0 || b.stride < b.cols || b.stride >= b.cols+4 || b.long%8 != 0 || b.long < m || b.long >= m+8 {
			t.Errorf("%d points: rows of %d for %d, columns of %d", m, b.stride, b.cols, b.long)
		}
		for knot := 15; x(knot) < end; knot += 9 { // each second knot is a point of the grid
			for i := range m {
				v := 0.0
				for j := range b.cols - 1 {
					v += b.phi[i*b.stride+j] * b.phi[knot*b.stride+j]
				}
				within(t, "covariance on the grid", v, matern(x(i)-x(knot)), 1e-6)
			}
		}
		for i := range m {
			within(t, "line", b.phi[i*b.stride+b.cols-1], min(max(x(i)-1, -1.5), 9), 1e-12)
			for j := range b.cols {
				within(t, "by columns", b.columns[j*b.long+i], b.phi[i*b.stride+j], 0)
			}
			for j := b.cols; j < b.stride; j++ {
				within(t, "behind", b.phi[i*b.stride+j], 0, 0)
			}
		}
	}
}

// Readings lie in the cells of the grid, which begins 2.5 below the first and ends 0.1 beyond the last or as little
// later as it can.
func TestTabletHoldsReadings(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 3))
	for range 50 {
		x := []float64{r.NormFloat64()}
		for range 1 + r.IntN(20) {
			x = append(x, x[len(x)-1]+0.3*r.Float64())
		}
		var tab Tablet
		tab.set(x)
		m := tab.basis.m
		last := x[len(x)-1]
		within(t, "first", tab.at[0], x[0]-2.5, 1e-12)
		if over := tab.at[m-1] - last - 0.1; !(over >= -1e-9 && over < 0.1) {
			t.Errorf("ends %v beyond", over)
		}
		for i, v := range x {
			c := tab.cell[i]
			if !(v >= tab.at[c]-1e-12 && v < tab.at[c+1]+1e-12) || tab.at[m+i] != v {
				t.Errorf("%v in the cell from %v", v, tab.at[c])
			}
			within(t, "in its cell", tab.in[i], v-tab.at[c], 1e-12)
		}
	}
	for _, c := range []struct {
		lo, hi float64
		want   int
		last   float64 // before the end
	}{{-3, -2, 21, -2.05}, {-3, -2.01, 21, -2.05}, {0, 0.05, 2, 0}, {0, 0.06, 3, 0.05}, {1, 1.2, 5, 1.15}} {
		p := points([]float64{c.lo, (c.lo + c.hi) / 2, c.hi})
		if len(p) != c.want || p[0] != c.lo || p[len(p)-1] != c.hi || math.Abs(p[len(p)-2]-c.last) > 1e-9 || !slices.IsSorted(p) {
			t.Errorf("%v to %v: %v", c.lo, c.hi, p)
		}
	}
}

// Factor, solution and inverse against gonum's.
func TestMatrixAgainstGonum(t *testing.T) {
	r := rand.New(rand.NewPCG(6, 6))
	for _, n := range []int{1, 2, 3, 7, 16, 64} {
		x := mat.NewDense(n+4, n, nil)
		for i := range n + 4 {
			for j := range n {
				x.Set(i, j, r.NormFloat64())
			}
		}
		var s mat.SymDense
		s.SymOuterK(1, x.T())
		a, v := make([]float64, n*n), make([]float64, n)
		for i := range n {
			v[i] = r.NormFloat64()
			for j := range i + 1 {
				a[i*n+j] = s.At(i, j)
			}
		}
		var c mat.Cholesky
		var want mat.VecDense
		if !factor(a, n) || !c.Factorize(&s) || c.SolveVecTo(&want, mat.NewVecDense(n, v)) != nil {
			t.Fatalf("%d: not positive", n)
		}
		u := slices.Clone(v)
		solve(a, u, n)
		inv := make([]float64, n*n)
		for i := range inv {
			inv[i] = math.NaN()
		}
		inverse(inv, a, n)
		var l mat.TriDense
		c.LTo(&l)
		for i := range n {
			within(t, "solution", u[i], want.AtVec(i), 1e-8*(1+math.Abs(want.AtVec(i))))
			for j := range n {
				if j <= i {
					within(t, "factor", a[i*n+j], l.At(i, j), 1e-9)
				}
				sum, one := 0.0, 0.0
				for k := range n {
					if k >= j {
						sum += inv[i*n+k] * l.At(k, j)
					}
				}
				if i == j {
					one = 1
				}
				within(t, "inverse", sum, one, 1e-8)
			}
		}
	}
	for name, a := range map[string][]float64{"nothing": {0, 0, 0, 1}, "below 0": {-1, 0, 0, 1}, "not positive": {1, 0, 2, 1}, "NaN": {math.NaN(), 0, 0, 1}, "endless": {math.Inf(1), 0, 0, 1}, "endless below": {1, 0, 0, math.Inf(1)}} {
		if factor(a, 2) {
			t.Error(name, "is factored")
		}
	}
	if factor(make([]float64, 65*65), 65) {
		t.Error("more than there is room for is factored")
	}
}

// A doubt that is raised has its prior: of n readings each is wild with a seventh of a chance in all, or a hundredth
// each, and all leaks share theirs, which is doubled as a leak raises. None is raised twice, nor beyond a hundred readings.
func TestDoubtsRaised(t *testing.T) {
	for n, most := range map[int]int{7: 3, 9: 4, 13: 6, 21: 10} {
		d := stated(strip(bent, -3.4, 3.0/float64(n-1), n, 0.01, rand.New(rand.NewPCG(8, 15))), 0.01)
		for i := range 2 {
			d.Y[i] += 0.1
		}
		d.Y[n-2] -= 0.15
		var w worker
		none, ok := w.hypothesise(d, Doubt{}, -0.7)
		if !ok {
			t.Fatal("no fit")
		}
		hs := w.raise(d, []hypothesis{none}, 0)
		wild, leaks := 0, 0
		for _, h := range hs[1:] {
			want := math.Log(max(0.01, 1/(7*float64(n))))
			if h.doubt.Leak > 0 {
				leaks++
				want = math.Log(2 * 0.02 / float64(most-1))
				if h.doubt.Leak < 2 || h.doubt.Leak > most {
					t.Errorf("%d readings: a leak of %d", n, h.doubt.Leak)
				}
			} else {
				wild++
			}
			within(t, "prior", h.lnPrior, want-0.7, 1e-12)
		}
		if wild == 0 || leaks == 0 || wild > 4 || leaks > 4 {
			t.Errorf("%d readings: %d wild, %d leaks", n, wild, leaks)
		}
		if again := w.raise(d, hs, 0); len(again) != len(hs) {
			t.Errorf("%d readings: raised twice", n)
		}
		// Worth a fit, the likeliest first, and beyond what is doubted already.
		top := heaviest(none.cs)
		for i, s := range w.suspect(d, Doubt{}, &top) {
			if !(s.ln > math.Log(0.01)) || len(s.doubt.Wild) > 1 || len(s.doubt.Wild) == 1 && s.doubt.Leak > 0 {
				t.Errorf("%d readings, %d: %+v", n, i, s)
			}
		}
		for _, s := range w.suspect(d, Doubt{Wild: []int{n - 2}}, &top) {
			if len(s.doubt.Wild) != 2 || s.doubt.Wild[0] != n-2 || s.doubt.Wild[1] == n-2 || s.doubt.Leak > 0 {
				t.Errorf("%d readings, beside a wild one: %+v", n, s)
			}
		}
	}
	d := stated(strip(bent, -3.4, 0.03, 101, 0.01, rand.New(rand.NewPCG(8, 15))), 0.01)
	d.Y[30] += 0.3
	w, ok := Fit(d)
	if !ok || len(w.Doubts) != 1 {
		t.Errorf("among 101 readings: %+v", w.Doubts)
	}
}

// A drift is thought of where the residuals of neighbours go together, of ten readings on, or where no deviation is
// stated from fifteen on; not among more than a hundred.
func TestDriftsThoughtOf(t *testing.T) {
	made := func(n int, known bool, e func(i int) float64) *Data {
		d := stated(strip(bent, -3.4, 3.0/float64(n-1), n, 0, rand.New(rand.NewPCG(1, 1))), 0.01)
		for i := range d.Y {
			d.Y[i] += e(i)
		}
		d.Known = known
		return d
	}
	together := func(i int) float64 { return 0.006 * float64(2*(i/4%2)-1) }
	apart := func(i int) float64 { return 0.015 * float64(2*(i%2)-1) }
	for _, c := range []struct {
		n     int
		known bool
		e     func(int) float64
		want  bool
	}{
		{21, true, together, true}, {21, true, apart, false}, {9, true, together, false}, {10, true, apart, false},
		{14, false, together, false}, {15, false, apart, true}, {100, false, apart, true}, {101, false, apart, false}, {101, true, together, false}, {100, true, together, true},
	} {
		d := made(c.n, c.known, c.e)
		var w worker
		none, ok := w.hypothesise(d, Doubt{}, 0)
		if !ok {
			t.Fatal("no fit")
		}
		if got := w.drifts(d, none); got != c.want {
			t.Errorf("%d readings, known %t: %t", c.n, c.known, got)
		}
	}
	w, ok := Fit(made(21, true, together))
	if !ok || !slices.ContainsFunc(w.Doubts, func(d Doubt) bool { return d.Drift == driftBy }) {
		t.Errorf("%+v", w.Doubts)
	}
}
