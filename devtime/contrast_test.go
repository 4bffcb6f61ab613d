package devtime

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"example.org/actinic/internal/benchunit"
	"example.org/actinic/internal/held"
)

func mins(m float64) time.Duration { return time.Duration(math.Round(m * float64(time.Minute))) }

func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s: got %.12g, want %.12g within %.2g", what, got, want, tol)
	}
}

// Two and three times are met exactly. The formula for times as 1 to 2 is
// Sheppard and Mees's, from memory; the numbers were computed independently
// from the law.
func TestContrastExact(t *testing.T) {
	for _, c := range []struct {
		name       string
		points     []Point
		induction  bool
		limit, k   float64
		t0         float64
		tolL, tolK float64
	}{
		{"times 1 to 2", []Point{{mins(4), .6, 0}, {mins(8), .9, 0}}, false, 1.2, .1732867951, 0, 1e-14, 5e-11},
		{"the same, longer time first", []Point{{mins(8), .9, 0}, {mins(4), .6, 0}}, false, 1.2, .1732867951, 0, 1e-14, 5e-11},
		{"any two times", []Point{{mins(5), .5, 0}, {mins(12), .85, 0}}, false, 1.1231678090, .1178185068, 0, 5e-11, 5e-11},
		{"three equal steps", []Point{{mins(4), .4534855109, 0}, {mins(8), .8524342149, 0}, {mins(12), 1.0992970471, 0}}, true,
			1.5, .12, 1, 1e-8, 1e-9}, // inputs have ten digits; the extrapolation to the limit costs two
	} {
		fit := FitContrast
		if c.induction {
			fit = FitContrastInduction
		}
		g, err := fit(c.points)
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		near(t, c.name+": limit", g.Limit().Value, c.limit, c.tolL)
		near(t, c.name+": rate", g.RatePerMinute().Value, c.k, c.tolK)
		near(t, c.name+": induction", g.InductionMinutes().Value, c.t0, 1e-7)
		for _, p := range c.points {
			e, err := g.At(p.Time)
			if err != nil {
				t.Fatal(err)
			}
			near(t, c.name+": passes through", e.Value, p.Value, 1e-14)
		}
		if e := g.Limit(); !math.IsNaN(e.Low) || !math.IsNaN(e.High) {
			t.Errorf("%s: interval %v although nothing is known of the error", c.name, e)
		}
		if tt, err := g.TimeFor(0.5); err != nil || tt.Low >= 0 || !math.IsNaN(tt.Seconds().High) {
			t.Errorf("%s: time %v, %v: want unknown ends", c.name, tt, err)
		}
	}
	// The closed form and the bracketed root are the same law.
	g, err := FitContrast([]Point{{mins(4), .6, 0}, {mins(8) + 1, .9, 0}})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "root beside the closed form", g.RatePerMinute().Value, .1732867951, 1e-9)
	// Time for 0.7: 5.0521376 min, computed independently.
	g, _ = FitContrast([]Point{{mins(4), .6, 0}, {mins(8), .9, 0}})
	tt, err := g.TimeFor(.7)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "time for 0.7", tt.Value.Minutes(), 5.0521376, 5e-8)
}

// NIST Statistical Reference Datasets, Misra1a: y = b1 (1 - exp(-b2 x)), the
// law of development, certified values. Public domain.
func TestContrastMisra1a(t *testing.T) {
	x := []float64{77.6, 114.9, 141.1, 190.8, 239.9, 289, 332.8, 378.4, 434.8, 477.3, 536.8, 593.1, 689.1, 760}
	y := []float64{10.07, 14.73, 17.94, 23.93, 29.61, 35.18, 40.02, 44.82, 50.76, 55.05, 61.01, 66.4, 75.47, 81.78}
	var pts []Point
	for i := range x {
		pts = append(pts, Point{Time: mins(x[i]), Value: y[i]})
	}
	g, err := FitContrast(pts)
	if err != nil {
		t.Fatal(err)
	}
	cov := g.Covariance()
	rss, dof := g.Scatter()
	for _, c := range []struct {
		what      string
		got, want float64
	}{
		{"b1", g.Limit().Value, 2.3894212918e+02},
		{"b2", g.RatePerMinute().Value, 5.5015643181e-04},
		{"sd b1", math.Sqrt(cov[0][0]), 2.7070075241e+00},
		{"sd b2", math.Sqrt(cov[1][1]), 7.2668688436e-06},
		{"residual sum", rss, 1.2455138894e-01},
		{"degrees of freedom", float64(dof), 12},
	} {
		if d := math.Abs(c.got/c.want - 1); !(d < 1e-8) {
			t.Errorf("%s = %.11e, certified %.11e", c.what, c.got, c.want)
		}
	}
	// Its longest x is 0.42/b2: the limit stands far outside the readings.
	if w := g.Warnings(); len(w) != 1 || w[0] != ShortSeries {
		t.Errorf("warnings %v, want ShortSeries", w)
	}
}

func TestContrastRefuses(t *testing.T) {
	said := held.New(t)
	ok := []Point{{mins(4), .6, 0}, {mins(8), .9, 0}}
	for _, c := range []struct {
		name   string
		points []Point
		want   error
	}{
		{"nothing", nil, ErrInput},
		{"one strip", ok[:1], ErrInput},
		{"one time twice", []Point{{mins(4), .6, 0}, {mins(4), .61, 0}}, ErrInput},
		{"NaN contrast", []Point{{mins(4), math.NaN(), 0}, {mins(8), .9, 0}}, ErrInput},
		{"infinite contrast", []Point{{mins(4), .5, 0}, {mins(8), math.Inf(1), 0}}, ErrInput},
		{"zero contrast", []Point{{mins(4), 0, 0}, {mins(8), .9, 0}}, ErrInput},
		{"negative time", []Point{{-mins(4), .5, 0}, {mins(8), .9, 0}}, ErrInput},
		{"zero time", []Point{{0, .5, 0}, {mins(8), .9, 0}}, ErrInput},
		{"one standard deviation missing", []Point{{mins(4), .6, .01}, {mins(8), .9, 0}}, ErrInput},
		{"negative standard deviation", []Point{{mins(4), .6, -.01}, {mins(8), .9, -.01}}, ErrInput},
		{"NaN standard deviation", []Point{{mins(4), .6, math.NaN()}, {mins(8), .9, .01}}, ErrInput},
		{"straight through the origin", []Point{{mins(4), .4, 0}, {mins(8), .8, 0}}, ErrNoLaw},
		{"bends upward", []Point{{mins(4), .4, 0}, {mins(8), .9, 0}}, ErrNoLaw},
		{"constant", []Point{{mins(4), .6, 0}, {mins(8), .6, 0}}, ErrNoLaw},
		{"falls", []Point{{mins(4), .6, 0}, {mins(8), .5, 0}, {mins(12), .45, 0}}, ErrNoLaw},
	} {
		if _, err := FitContrast(c.points); !said.Is("", err, c.want) {
			t.Errorf("%s: error %v, want %v", c.name, err, c.want)
		}
	}
	for _, c := range []struct {
		name   string
		points []Point
		want   error
	}{
		{"two strips", ok, ErrInput},
		{"three strips, two times", append(ok[:2:2], Point{mins(4), .62, 0}), ErrInput},
		{"straight line", []Point{{mins(4), .4, 0}, {mins(8), .7, 0}, {mins(12), 1, 0}}, ErrNoLaw},
		{"falls", []Point{{mins(4), .9, 0}, {mins(8), .7, 0}, {mins(12), .6, 0}}, ErrNoLaw},
	} {
		if _, err := FitContrastInduction(c.points); !said.Is("", err, c.want) {
			t.Errorf("with induction, %s: error %v, want %v", c.name, err, c.want)
		}
	}
	for _, v := range [][2]float64{{0, .1}, {-1, .1}, {math.NaN(), .1}, {1, 0}, {1, math.NaN()}, {math.Inf(1), .1}} {
		if _, err := NewContrastTime(v[0], v[1], 0); !said.Is("", err, ErrInput) {
			t.Errorf("NewContrastTime(%v): error %v, want ErrInput", v, err)
		}
	}
	if _, err := NewContrastTime(1, .1, -1); !said.Is("", err, ErrInput) {
		t.Errorf("negative induction: %v", err)
	}
	g, err := NewContrastTime(1.2, math.Ln2/4, 0)
	if err != nil {
		t.Fatal(err)
	}
	for _, target := range []float64{1.2, 1.3, math.Inf(1)} {
		_, err := g.TimeFor(target)
		if !said.Is("", err, ErrLimit) {
			t.Errorf("target %v: error %v, want ErrLimit", target, err)
		}
	}
	for _, target := range []float64{0, -1, math.NaN()} {
		if _, err := g.TimeFor(target); !said.Is("", err, ErrInput) {
			t.Errorf("target %v: error %v, want ErrInput", target, err)
		}
	}
	var zero ContrastTime
	if _, err := zero.At(mins(1)); !said.Is("", err, ErrInput) {
		t.Errorf("zero value: %v", err)
	}
	if _, err := zero.TimeFor(1); !said.Is("", err, ErrInput) {
		t.Errorf("zero value: %v", err)
	}
}

// A million strips are as good as six.
func TestContrastMany(t *testing.T) {
	if testing.Short() {
		t.Skip("a million strips")
	}
	law, _ := NewContrastTime(1.2, .15, 0)
	pts := make([]Point, 1_000_000)
	rng := rand.New(rand.NewPCG(3, 9))
	for i := range pts {
		d := mins(3 + 15*rng.Float64())
		e, _ := law.At(d)
		pts[i] = Point{d, e.Value + .02*rng.NormFloat64(), .02}
	}
	g, err := FitContrast(pts)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "limit", g.Limit().Value, 1.2, 1e-3)
	near(t, "rate", g.RatePerMinute().Value, .15, 5e-4)
}

// The time for a contrast and the contrast at a time undo each other, rise
// together, and are 0 up to the induction time.
func TestContrastRoundTrip(t *testing.T) {
	rng := rand.New(rand.NewPCG(11, 12))
	for range 200 {
		limit, rate := .5+2*rng.Float64(), .02+.5*rng.Float64()
		t0 := mins(2 * rng.Float64())
		g, err := NewContrastTime(limit, rate, t0)
		if err != nil {
			t.Fatal(err)
		}
		if e, _ := g.At(t0); e.Value != 0 {
			t.Fatalf("contrast %v at the induction time", e.Value)
		}
		var last time.Duration
		for f := .01; f < .99; f += .07 {
			tt, err := g.TimeFor(f * limit)
			if err != nil {
				t.Fatal(err)
			}
			if tt.Value <= last {
				t.Fatalf("time %v after %v", tt.Value, last)
			}
			last = tt.Value
			e, _ := g.At(tt.Value)
			near(t, "round trip", e.Value, f*limit, 1e-9)
		}
	}
}

// On simulated strips the 95 % intervals hold the truth 95 % of the time.
// 2000 seeded series a row; two standard errors of a coverage of 0.95 are 0.01.
func TestContrastCoverage(t *testing.T) {
	times := []float64{4, 6, 8, 11, 15}
	for _, c := range []struct {
		name      string
		sd        float64 // stated; 0 leaves it to the scatter
		induction bool
	}{
		{"standard deviations stated", .015, false},
		{"standard deviations not stated", 0, false},
		{"induction, stated", .015, true},
	} {
		t0 := time.Duration(0)
		fit := FitContrast
		if c.induction {
			t0, fit = mins(1), FitContrastInduction
		}
		law, _ := NewContrastTime(1.1, .13, t0)
		want, _ := law.TimeFor(.6)
		rng := rand.New(rand.NewPCG(21, 4))
		const runs = 2000
		var inTime, inLimit, inRate, inAt, failed int
		for range runs {
			pts := make([]Point, len(times))
			for i, m := range times {
				e, _ := law.At(mins(m))
				pts[i] = Point{mins(m), e.Value + .015*rng.NormFloat64(), c.sd}
			}
			g, err := fit(pts)
			if err != nil {
				failed++
				continue
			}
			if tt, err := g.TimeFor(.6); err == nil && tt.Low <= want.Value && want.Value <= tt.High {
				inTime++
			}
			hold := func(lo, hi, x float64) int {
				if lo <= x && x <= hi {
					return 1
				}
				return 0
			}
			l, k := g.Limit(), g.RatePerMinute()
			inLimit += hold(l.Low, l.High, 1.1)
			inRate += hold(k.Low, k.High, .13)
			truth, _ := law.At(mins(9))
			a, _ := g.At(mins(9))
			inAt += hold(a.Low, a.High, truth.Value)
		}
		n := float64(runs - failed)
		t.Logf("%s: time %.3f, limit %.3f, rate %.3f, contrast %.3f, failed %d", c.name,
			float64(inTime)/n, float64(inLimit)/n, float64(inRate)/n, float64(inAt)/n, failed)
		for _, in := range []int{inTime, inLimit, inRate, inAt} {
			if f := float64(in) / n; f < .925 || f > .985 {
				t.Errorf("%s: coverage %.3f, want 0.925 to 0.985", c.name, f)
			}
		}
		if failed > runs/100 {
			t.Errorf("%s: %d fits failed", c.name, failed)
		}
	}
}

func TestContrastWarnings(t *testing.T) {
	law, _ := NewContrastTime(1.2, .1, 0)
	series := func(ts ...float64) (p []Point) {
		for _, m := range ts {
			e, _ := law.At(mins(m))
			p = append(p, Point{mins(m), e.Value, .01})
		}
		return p
	}
	long, err := FitContrast(series(4, 8, 16))
	if err != nil || long.Warnings() != nil {
		t.Errorf("to 1.6/rate: %v, %v; want no warning", long.Warnings(), err)
	}
	near(t, "reach", long.Reach(), 1.6, 1e-9)
	short, err := FitContrast(series(4, 8, 14))
	if w := short.Warnings(); err != nil || len(w) != 1 || w[0] != ShortSeries {
		t.Errorf("to 1.4/rate: %v, %v; want ShortSeries", w, err)
	}
	lifted := series(4, 8, 16)
	lifted[0].Value += .05
	neg, err := FitContrastInduction(lifted)
	if w := neg.Warnings(); err != nil || !slices.Contains(w, NegativeInduction) {
		t.Errorf("first strip too dense: %v, %v; want NegativeInduction", w, err)
	}
	if short.Warnings()[0].String() == "" || Warning(99).String() != "Warning(99)" {
		t.Error("warnings do not print")
	}
	// A limit hardly pinned leaves the time of a high contrast without an end.
	tt, err := short.TimeFor(short.Limit().Value * .97)
	if err != nil || tt.High != Unbounded || !tt.Extrapolated || !math.IsInf(tt.Seconds().High, 1) {
		t.Errorf("time near the limit: %v, %v; want no upper end", tt, err)
	}
}

func TestFitContrastAllocations(t *testing.T) {
	pts := sixStrips()
	if a := testing.AllocsPerRun(100, func() {
		if _, err := FitContrast(pts); err != nil {
			t.Fatal(err)
		}
		if _, err := FitContrastInduction(pts); err != nil {
			t.Fatal(err)
		}
	}); a > 0 {
		t.Errorf("%v allocations, want 0", a)
	}
}

func sixStrips() []Point {
	var p []Point
	law, _ := NewContrastTime(1.1, .13, 0)
	for i, m := range []float64{3, 4.5, 6, 8, 11, 15} {
		e, _ := law.At(mins(m))
		p = append(p, Point{mins(m), e.Value + .01*float64(i%3-1), 0})
	}
	return p
}

// Six strips, and as many more as nobody develops.
func BenchmarkFitContrast(b *testing.B) {
	for _, n := range []int{6, 60, 600, 6000, 60_000} {
		b.Run(fmt.Sprintf("points=%d", n), func(b *testing.B) {
			var pts []Point
			for len(pts) < n {
				pts = append(pts, sixStrips()...)
			}
			b.ReportAllocs()
			for b.Loop() {
				if _, err := FitContrast(pts); err != nil {
					b.Fatal(err)
				}
			}
			benchunit.Per(b, 1, "fit")
		})
	}
}

func BenchmarkFitContrastInduction(b *testing.B) {
	pts := sixStrips()
	b.ReportAllocs()
	for b.Loop() {
		if _, err := FitContrastInduction(pts); err != nil {
			b.Fatal(err)
		}
	}
	benchunit.Per(b, 1, "fit")
}

func BenchmarkTimeFor(b *testing.B) {
	g, err := FitContrast(sixStrips())
	if err != nil {
		b.Fatal(err)
	}
	b.ReportAllocs()
	for b.Loop() {
		if _, err := g.TimeFor(.6); err != nil {
			b.Fatal(err)
		}
	}
}

// Two strips, four and eight minutes, and the time for a contrast of 0.70.
// The numbers are invented; the formula is Sheppard and Mees's, from memory.
func ExampleFitContrast() {
	law, err := FitContrast([]Point{
		{Time: 4 * time.Minute, Value: 0.60, SD: 0.01},
		{Time: 8 * time.Minute, Value: 0.90, SD: 0.01},
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println("limit", law.Limit())
	t, err := law.TimeFor(0.70)
	fmt.Println("time", t, err)
	for _, w := range law.Warnings() {
		fmt.Println("warning:", w)
	}
	_, err = law.TimeFor(1.25)
	fmt.Println(err)
	// Output:
	// limit 1.2 (1.094 to 1.316)
	// time 5:03 (4:51 to 5:15) <nil>
	// warning: the longest development time is too short to pin the limit of contrast; add a strip with a longer time
	// devtime: at or beyond the limit of development: contrast 1.25 is asked for, and the limit of this film and process is 1.2; no time gives more
}

// A usual series is met by steps of Gauss and Newton alone.
func TestQuick(t *testing.T) {
	for _, free := range []int{2, 3} {
		p := profile{u: []float64{0.2, 0.3, 0.5, 0.7, 1}, y: []float64{0.29, 0.40, 0.57, 0.68, 0.79}, w: []float64{1, 1, 1, 1, 1}, f: make([]float64, 5), free: free}
		k, ok := p.quick(1.5)
		if !ok || !(k > 1 && k < 4) {
			t.Errorf("%d constants: rate %v, %v", free, k, ok)
		}
	}
}
