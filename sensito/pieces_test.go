package sensito

import (
	"math"
	"math/rand/v2"
	"slices"
	"sort"
	"sync"
	"testing"

	"example.org/actinic/internal/held"
)

// slowAt finds the segment of x by binary search: the reference for the index.
func (c *pieces) slowAt(x float64) *piece {
	if !(x >= c.x0-sameExposure && x <= c.x1+sameExposure) {
		return nil
	}
	i := sort.Search(len(c.seg), func(i int) bool { return c.seg[i].x > x }) - 1
	return &c.seg[max(i, 0)]
}

// The index and the two Halley steps against the search and the bisection, over
// rising knots of all kinds: even, crowded, level in parts.
func TestPieces(t *testing.T) {
	rng := rand.New(rand.NewPCG(9, 9))
	for round := range 300 {
		n := 2 + rng.IntN(60)
		x, y := make([]float64, n), make([]float64, n)
		for i := range x {
			dx, dy := 0.15, 0.1
			if round%3 > 0 {
				dx = math.Pow(10, -4*rng.Float64())
			}
			if round%3 > 1 {
				dy = 0.5 * math.Pow(rng.Float64(), 4)
				if rng.IntN(4) == 0 {
					dy = 0
				}
			}
			if i > 0 {
				x[i], y[i] = x[i-1]+dx, y[i-1]+dy*(0.5+rng.Float64())
			}
		}
		m := make([]float64, n)
		splineSlopes(x, y, m)
		c := newPieces(x, y, m, pieces{})
		probe := func(v float64) {
			if a, b := c.at(v), c.slowAt(v); a != b {
				t.Fatalf("round %d: %v lies in %v, the index says %v", round, v, b, a)
			}
		}
		for i, v := range x {
			probe(v)
			probe(math.Nextafter(v, 9))
			probe(math.Nextafter(v, -9))
			// A rise of a few units of the last place is level in its first parts.
			if got := c.inverse(y[i]); i+1 < n && y[i+1]-y[i] > 1e-12 && !(math.Abs(got-v) <= 1e-13) {
				t.Fatalf("round %d: inverse of knot %d is %v, want %v", round, i, got, v)
			}
		}
		for range 300 {
			v := x[0] + (x[n-1]-x[0])*rng.Float64()
			probe(v)
			w := y[0] + (y[n-1]-y[0])*rng.Float64()
			got := c.inverse(w)
			p := c.slowAt(got)
			h := got - p.x
			// The last digits of x and of y, the first as they show in y.
			slope := p.m + h*(2*p.c2+3*p.c3*h)
			if back := p.y + p.at(h); !(math.Abs(back-w) <= 4e-15*(1+math.Abs(w))+4e-15*slope*(1+math.Abs(got))) {
				t.Fatalf("round %d: inverse of %v is %v, where the curve has %v", round, w, got, back)
			}
		}
		// Whole slices give what one at a time gives.
		ic := &Interpolated{x: x, y: y, m: m, pieces: c, inv: new(inverses)}
		ic.inv.asked.Store(many)
		var hs []LogH
		for range 1000 {
			hs = append(hs, LogH(x[0]+(x[n-1]-x[0])*rng.Float64()))
		}
		for _, v := range x {
			hs = append(hs, LogH(v), LogH(math.Nextafter(v, 9)), LogH(math.Nextafter(v, -9)))
		}
		ds, back := make([]Density, len(hs)), make([]LogH, len(hs))
		if err := ic.Densities(ds, hs); err != nil {
			t.Fatal(err)
		}
		for i, h := range hs {
			if d, err := ic.Density(h); err != nil || math.Abs(float64(d-ds[i])) > 1e-13 {
				t.Fatalf("round %d: density at %v is %v in a slice, %v alone, %v", round, h, ds[i], d, err)
			}
		}
		for i := range ds { // the knots' neighbours may miss an end by rounding
			ds[i] = min(max(ds[i], Density(y[0])), Density(y[n-1]))
		}
		if err := ic.LogHs(back, ds); err != nil {
			t.Fatal(err)
		}
		for i := range hs {
			if b, err := ic.LogH(ds[i]); err != nil || math.Abs(float64(b-back[i])) > 1e-12 {
				t.Fatalf("round %d: exposure of %v is %v in a slice, %v alone, %v", round, ds[i], back[i], b, err)
			}
		}
		if c.at(x[0]-1e-6) != nil || c.at(x[n-1]+1e-6) != nil || c.at(math.NaN()) != nil {
			t.Errorf("round %d: a segment outside the knots", round)
		}
	}
}

func TestSlicesRefuse(t *testing.T) {
	said := held.New(t)
	c, err := Interpolate([]Reading{{LogH: -2, Density: 0.2}, {LogH: -1, Density: 0.8}, {LogH: 0, Density: 1.2}}, StatedBase(0.1), RefuseFalling)
	if err != nil {
		t.Fatal(err)
	}
	ds, hs := make([]Density, 3), make([]LogH, 3)
	if err := c.Densities(ds[:2], []LogH{-2, -1, 0}); !said.Is("", err, ErrInput) {
		t.Errorf("too few places: %v", err)
	}
	if err := c.LogHs(hs[:2], []Density{0.2, 0.8, 1}); !said.Is("", err, ErrInput) {
		t.Errorf("too few places: %v", err)
	}
	for _, bad := range []LogH{-2.1, 0.1, LogH(math.NaN()), LogH(math.Inf(1)), LogH(math.Inf(-1))} {
		if err := c.Densities(ds, []LogH{-2, -1, bad}); !said.Is("", err, ErrOutside) || math.Abs(float64(ds[1])-0.8) > 1e-12 {
			t.Errorf("%v: %v, %v", bad, ds, err)
		}
	}
	for _, bad := range []Density{0.1, 1.3, Density(math.NaN()), Density(math.Inf(1))} {
		if err := c.LogHs(hs, []Density{0.2, 0.8, bad}); !said.Refused("", err) || math.Abs(float64(hs[1])+1) > 1e-12 {
			t.Errorf("%v: %v, %v", bad, hs, err)
		}
	}
}

// Many densities with one that is not reached among them.
func TestManyInversesRefuse(t *testing.T) {
	said := held.New(t)
	c, err := Interpolate(benchStrip(), UnexposedBase(0.152), PoolFalling)
	if err != nil {
		t.Fatal(err)
	}
	lo, hi := Density(c.y[0]), Density(c.y[len(c.y)-1])
	for _, bad := range []Density{lo - 1e-6, hi + 1e-6, hi + 1, -1, Density(math.NaN()), Density(math.Inf(1)), Density(math.Inf(-1))} {
		ds, xs := make([]Density, many), make([]LogH, many) // at once enough
		for i := range ds {
			ds[i] = lo + (hi-lo)*Density(i)/many
		}
		ds[many-7] = bad
		if err := c.LogHs(xs, ds); !said.Refused("", err) {
			t.Errorf("%v: no error", float64(bad))
		}
		if x, err := c.LogH(ds[many-8]); err != nil || math.Abs(float64(x-xs[many-8])) > 1e-12 {
			t.Errorf("before %v: %v, want %v, %v", float64(bad), xs[many-8], x, err)
		}
	}
}

// On a smooth curve nearly every part of the inverse is met by one step, and nearly
// every density by a polynomial alone.
func TestInverseIsQuick(t *testing.T) {
	f := ClosedForm{Constants{BaseFog: 0.12, Gamma: 1.3, Toe: -2.2, ToeWidth: 0.3, Shoulder: 2.6, Sharpness: 3}}
	c, err := Interpolate(strip(&f, -3.2, 4.4/30, 31, 0), StatedBase(0.12), RefuseFalling)
	if err != nil {
		t.Fatal(err)
	}
	smooth := 0
	for _, p := range c.parts {
		if p.smooth {
			smooth++
		}
	}
	if smooth < len(c.parts)*9/10 {
		t.Errorf("%d of %d parts are met by one step", smooth, len(c.parts))
	}
	var v inverses
	v.prepare(&c.pieces)
	slow := 0
	for _, i := range v.buckets {
		if i < 0 {
			slow++
		}
	}
	if slow > len(v.buckets)/20 {
		t.Errorf("%d of %d buckets are not served by polynomials", slow, len(v.buckets))
	}
}

// A curve is not changed by what is asked of it: estimates are drawn on memory of
// their own.
func TestEstimateLeavesTheCurve(t *testing.T) {
	c, err := Interpolate(benchStrip(), UnexposedBase(0.152), PoolFalling)
	if err != nil {
		t.Fatal(err)
	}
	xs := make([]LogH, 200)
	for i := range xs {
		xs[i] = LogH(-3.4 + 3*float64(i)/199)
	}
	before, after := make([]Density, len(xs)), make([]Density, len(xs))
	if err := c.Densities(before, xs); err != nil {
		t.Fatal(err)
	}
	if _, err := c.Estimate(Sampling{Draws: 50}, AverageGradient); err != nil {
		t.Fatal(err)
	}
	if err := c.Densities(after, xs); err != nil {
		t.Fatal(err)
	}
	if !slices.Equal(before, after) {
		t.Error("the curve has other densities after an estimate")
	}
}

// Goroutines may share a curve, also when the first of them makes its inverses.
func TestSharedInverses(t *testing.T) {
	c, err := Interpolate(benchStrip(), UnexposedBase(0.152), PoolFalling)
	if err != nil {
		t.Fatal(err)
	}
	ds := make([]Density, many)
	for i := range ds {
		ds[i] = Density(0.3 + 0.5*float64(i)/many)
	}
	var wg sync.WaitGroup
	for range 4 {
		wg.Add(1)
		go func() {
			defer wg.Done()
			if err := c.LogHs(make([]LogH, many), ds); err != nil {
				t.Error(err)
			}
		}()
	}
	wg.Wait()
}
