package robust

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"
)

// theilSen is the slow start and the check of the line: the median of the slopes of
// all pairs with different x, and the median of y - slope x.
//
// Sources: H. Theil (1950); P. K. Sen, J. Amer. Statist. Assoc. 63 (1968) 1379.
func theilSen(x, y []float64) (slope, at float64) {
	var s []float64
	for i := range x {
		for j := range i {
			if x[i] != x[j] {
				s = append(s, (y[i]-y[j])/(x[i]-x[j]))
			}
		}
	}
	slope = Median(s)
	r := make([]float64, len(x))
	for i := range r {
		r[i] = y[i] - slope*x[i]
	}
	return slope, Median(r)
}

// Telephone calls from Belgium, 1950 to 1973 in tens of millions; those of 1964 to
// 1969 were minutes (P. J. Rousseeuw and A. M. Leroy, Robust Regression and Outlier
// Detection, 1987, table 2.3; typed from memory). W. N. Venables and B. D. Ripley,
// Modern Applied Statistics with S (2002), chapter 6, print -52.3025, 1.0980 and 1.654
// for the bisquare (from memory); the digits are those of R 4.2.2, package MASS
// 7.3-58.2, rlm(calls ~ year, phones, psi = psi.bisquare, init = "lts", acc = 1e-13).
func TestBisquarePublished(t *testing.T) {
	y := []float64{4.4, 4.7, 4.7, 5.9, 6.6, 7.3, 8.1, 8.8, 10.6, 12, 13.5, 14.9, 16.1, 21.2, 119, 124, 142, 159, 182, 212, 43, 24, 27, 29}
	x, r := make([]float64, len(y)), make([]float64, len(y))
	for i := range x {
		x[i] = float64(50 + i)
	}
	l, ok := Bisquare(r, x, y, 0)
	if !ok {
		t.Fatal("not ok")
	}
	// It stops at steps of 1e-5 s.
	near(t, "intercept", l.At, -52.302510682240, 5e-4)
	near(t, "slope", l.Slope, 1.098046484831, 1e-5)
	near(t, "scale", l.Scale, 1.655455713773, 5e-4)
	for i := range r {
		near(t, "residual", r[i], y[i]-l.At-l.Slope*x[i], 1e-9)
	}
	// The same in any order, and from memory on the heap.
	g := rand.New(rand.NewPCG(1, 1))
	g.Shuffle(len(x), func(i, j int) { x[i], x[j], y[i], y[j] = x[j], x[i], y[j], y[i] })
	again, _ := Bisquare(r, x, y, 0)
	near(t, "shuffled slope", again.Slope, l.Slope, 1e-5)
}

// plainBisquare is the same law with a sort for every median, iterated on from a
// line.
func plainBisquare(l Line, x, y []float64) Line {
	r := make([]float64, len(x))
	for range 500 {
		for i := range r {
			r[i] = y[i] - l.At - l.Slope*x[i]
		}
		_, mad := MAD(append(slices.Clone(r), negated(r)...)) // about 0
		if l.Scale = Consistency * mad; l.Scale == 0 {
			return l
		}
		var sw, sx, sy, sxx, sxy float64
		for i := range x {
			u := r[i] / (4.685 * l.Scale)
			if w := 1 - u*u; w > 0 {
				w *= w
				sw, sx, sy, sxx, sxy = sw+w, sx+w*x[i], sy+w*y[i], sxx+w*x[i]*x[i], sxy+w*x[i]*y[i]
			}
		}
		l.Slope = (sw*sxy - sx*sy) / (sw*sxx - sx*sx)
		l.At = (sy - l.Slope*sx) / sw
	}
	return l
}

func negated(r []float64) []float64 {
	out := slices.Clone(r)
	for i := range out {
		out[i] = -out[i]
	}
	return out
}

// Random tables, up to a quarter of their rows wild: the plain form has nothing to add
// to the line, and begun from the line of Theil and Sen is no better.
func TestBisquareAgainstPlain(t *testing.T) {
	g := rand.New(rand.NewPCG(7, 7))
	moved, off, plainOff := 0, 0, 0
	tables := 2000
	if testing.Short() {
		tables = 200
	}
	for round := range tables {
		n := 5 + g.IntN(Few-4)
		x, y, r := make([]float64, n), make([]float64, n), make([]float64, n)
		slope, at := 2*g.NormFloat64(), 5*g.NormFloat64()
		for i := range x {
			x[i] = 10 * g.Float64()
			y[i] = at + slope*x[i] + 0.03*g.NormFloat64()
		}
		for i := range n / 4 * (round % 2) {
			y[i] += 3 * g.NormFloat64()
		}
		l, ok := Bisquare(r, x, y, 0)
		if !ok {
			t.Fatal("not ok")
		}
		on := plainBisquare(l, x, y)
		if math.Abs(l.Slope-on.Slope) > 1e-3*on.Scale || math.Abs(l.At-on.At) > 1e-3*on.Scale || math.Abs(l.Scale-on.Scale) > 1e-3*on.Scale {
			moved++
		}
		var start Line
		start.Slope, start.At = theilSen(x, y)
		if math.Abs(l.Slope-slope) > 0.1 {
			off++
		}
		if math.Abs(plainBisquare(start, x, y).Slope-slope) > 0.1 {
			plainOff++
		}
	}
	t.Logf("of %d lines the plain form moves %d; %d are more than 0.1 off the slope they were made with, of the plain form %d", tables, moved, off, plainOff)
	if moved > 10 { // those that go round and never settle
		t.Errorf("the plain form moves %d of %d lines", moved, tables)
	}
	if off > plainOff+10 || off > 20 {
		t.Errorf("%d of %d slopes are wild, of the plain form %d", off, tables, plainOff)
	}
}

// A sixth of the points may be wild in any way: some at the upper end and the rest side
// by side anywhere, up or down, which at the two ends turn the line together.
func TestASixthMayBeWild(t *testing.T) {
	g := rand.New(rand.NewPCG(3, 9))
	for n := 6; n <= 40; n++ {
		x, clean, y, r := make([]float64, n), make([]float64, n), make([]float64, n), make([]float64, n)
		for i := range x {
			x[i] = float64(i)
			clean[i] = 2 + 0.5*x[i] + 0.01*g.NormFloat64()
		}
		for upper := range n/6 + 1 {
			for from := 0; from+n/6-upper <= n-upper; from++ {
				for _, sign := range [][2]float64{{1, 1}, {1, -1}, {-1, 1}, {-1, -1}} {
					copy(y, clean)
					for i := range upper {
						y[n-1-i] += 30 * sign[0]
					}
					for i := range n/6 - upper {
						y[from+i] += 30 * sign[1]
					}
					l, ok := Bisquare(r, x, y, 0)
					if !ok || math.Abs(l.Slope-0.5) > 0.02 || math.Abs(l.At+l.Slope*float64(n)/2-2-0.25*float64(n)) > 0.05 {
						t.Fatalf("%d points, %d wild at the end and %d from %d, %v: %+v", n, upper, n/6-upper, from, sign, l)
					}
				}
			}
		}
	}
}

func TestBisquareOfMany(t *testing.T) {
	g := rand.New(rand.NewPCG(5, 5))
	n := 200_000
	if testing.Short() {
		n = 20_000
	}
	x, y, r := make([]float64, n), make([]float64, n), make([]float64, n)
	for i := range x {
		x[i] = g.Float64()
		y[i] = 4*x[i] - 1 + .01*g.NormFloat64()
		if i%10 == 0 {
			y[i] = 100 * g.Float64()
		}
	}
	l, ok := Bisquare(r, x, y, 0)
	if !ok {
		t.Fatal("not ok")
	}
	fourErrors := 4 * 0.01 * math.Sqrt(12/(0.9*float64(n)))
	near(t, "slope of many", l.Slope, 4, fourErrors)
	near(t, "intercept of many", l.At, -1, fourErrors)
}

func TestBisquareOnALine(t *testing.T) {
	// More than half on one line; two of nine wild; a tie in x.
	x := []float64{1, 2, 3, 4, 5, 6, 7, 8, 8}
	y := []float64{3, 5, 7, 90, 11, 13, -40, 17, 17}
	r := make([]float64, 9)
	l, ok := Bisquare(r, x, y, 0)
	if !ok {
		t.Fatal("not ok")
	}
	near(t, "slope", l.Slope, 2, 1e-12)
	near(t, "intercept", l.At, 1, 1e-12)
	near(t, "scale", l.Scale, 0, 1e-12)
	near(t, "residual", r[3], 81, 1e-12)
	if l, ok = Bisquare(r, x, y, 0.5); !ok || l.Scale != 0.5 {
		t.Errorf("floor: %+v", l)
	}
	if l, ok := Bisquare(r[:2], []float64{1, 2}, []float64{3, 4}, 0); !ok || math.Abs(l.Slope-1) > 1e-12 {
		t.Errorf("two points: %+v, %v", l, ok)
	}
}

func TestBisquareRefuses(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	for _, bad := range [][2][]float64{
		{nil, nil}, {{1}, {2}}, {{2, 2, 2}, {1, 3, 4}}, {{1, 2, nan}, {1, 3, 2}}, {{1, 2, 3}, {1, nan, 2}},
		{{1, 2, inf}, {1, 3, 2}}, {{1, 2, 3}, {1, inf, 2}}, {{1, 2, 3}, {1, -inf, inf}}, {{1, 2}, {1, 2, 3}},
		{{math.MaxFloat64, -math.MaxFloat64}, {1, 2}}, {{1, 2}, {math.MaxFloat64, -math.MaxFloat64}},
	} {
		r := make([]float64, len(bad[0]))
		if l, ok := Bisquare(r, bad[0], bad[1], 0); ok && (l.Slope-l.Slope != 0 || l.At-l.At != 0) {
			t.Errorf("%v: %+v is ok", bad, l)
		} else if ok && math.Abs(bad[0][0]) < 10 && math.Abs(bad[1][0]) < 10 {
			t.Errorf("%v: ok", bad)
		}
		long := make([]float64, 0, 99)
		for range 33 {
			long = append(long, bad[0]...)
		}
		if _, ok := Bisquare(make([]float64, len(long)), long, make([]float64, len(long)), 0); ok && len(bad[0]) == 3 && bad[0][0] == 2 {
			t.Errorf("many equal x: ok")
		}
	}
}

func TestNth(t *testing.T) {
	g := rand.New(rand.NewPCG(2, 3))
	for range 3000 {
		x := make([]float64, 1+g.IntN(40))
		for i := range x {
			x[i] = float64(g.IntN(12)) // ties
		}
		want := slices.Clone(x)
		slices.Sort(want)
		k := g.IntN(len(x))
		if got := nth(x, k); got != want[k] {
			t.Fatalf("%v is number %d of %v", got, k, want)
		}
		for i := range k {
			if x[i] > x[k] {
				t.Fatalf("%v: larger ones before number %d", x, k)
			}
		}
		y := slices.Clone(want)
		g.Shuffle(len(y), func(i, j int) { y[i], y[j] = y[j], y[i] })
		if got := middle(y); got != Median(want) {
			t.Fatalf("the middle of %v is %v", want, got)
		}
	}
	// Shapes that are bad for a pivot in the middle.
	for _, n := range []int{1000, 1001} {
		x := make([]float64, n)
		for i := range x {
			x[i] = float64(min(i, n-i))
		}
		want := slices.Clone(x)
		slices.Sort(want)
		if got := nth(x, n/3); got != want[n/3] {
			t.Errorf("an organ pipe: %v", got)
		}
	}
}

func BenchmarkBisquare12(b *testing.B) {
	g := rand.New(rand.NewPCG(1, 1))
	const tables = 1000
	x := make([]float64, 12)
	for i, v := range []float64{1, 2, 4, 8, 15, 30, 60, 120, 240, 480, 900, 1800} {
		x[i] = math.Log2(v)
	}
	y := make([]float64, 12*tables)
	for i := range y {
		y[i] = 1.2*x[i%12] + .03*g.NormFloat64()
	}
	r := make([]float64, 12)
	b.ReportAllocs()
	i := 0
	for b.Loop() {
		if _, ok := Bisquare(r, x, y[12*i:12*i+12], 0); !ok {
			b.Fatal("not ok")
		}
		if i++; i == tables {
			i = 0
		}
	}
}
