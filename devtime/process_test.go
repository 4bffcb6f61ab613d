package devtime

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"example.org/actinic/internal/held"
	"example.org/actinic/sensito"
)

func TestProcessFactor(t *testing.T) {
	a, b := must(NewContrastTime(1.1, .13, 0)), must(NewContrastTime(1.1, .13/.85, 0))
	e := must(ProcessFactor(a, b, .6, 1))
	near(t, "factor", e.Value, .85, 1e-9)
	near(t, "exact laws have no doubt", e.High-e.Low, 0, 1e-9)
	if _, err := ProcessFactor(a, b, 1.2, 1); !errors.Is(err, ErrLimit) {
		t.Errorf("beyond the limit: %v", err)
	}
	if _, err := ProcessFactor(a, b, math.NaN(), 1); !errors.Is(err, ErrInput) {
		t.Errorf("NaN: %v", err)
	}
	// Two strips without standard deviations leave nothing to judge by.
	two := must(FitContrast([]Point{{mins(4), .6, 0}, {mins(8), .9, 0}}))
	if e := must(ProcessFactor(a, two, .6, 1)); !math.IsNaN(e.Low) || !math.IsNaN(e.High) {
		t.Errorf("interval %v from nothing", e)
	}
	// The same seed, the same interval; and the interval holds the truth.
	times := []float64{4, 6, 8, 11, 15}
	fit := func(law ContrastTime, rng *rand.Rand) ContrastTime {
		var p []Point
		for _, m := range times {
			p = append(p, Point{mins(m), must(law.At(mins(m))).Value + .015*rng.NormFloat64(), .015})
		}
		return must(FitContrast(p))
	}
	rng := rand.New(rand.NewPCG(9, 9))
	held := 0
	const runs = 300
	for i := range runs {
		x, y := fit(a, rng), fit(b, rng)
		e := must(ProcessFactor(x, y, .6, uint64(i)))
		if e.Low <= .85 && .85 <= e.High {
			held++
		}
		if i == 0 && e != must(ProcessFactor(x, y, .6, 0)) {
			t.Error("one seed, two intervals")
		}
		if i == 0 && !(e.Low < e.Value && e.Value < e.High) {
			t.Errorf("interval %v", e)
		}
	}
	t.Logf("coverage %.3f", float64(held)/runs)
	if f := float64(held) / runs; f < .92 || f > .99 {
		t.Errorf("coverage %.3f, want 0.92 to 0.99", f)
	}
}

func TestRound(t *testing.T) {
	said := held.New(t)
	law := must(NewContrastTime(1.1, .13, 0))
	r := must(law.Round(7*time.Minute+8*time.Second, QuarterMinute))
	if r.Time != 7*time.Minute+15*time.Second {
		t.Errorf("%v", r.Time)
	}
	slope := 1.1 * .13 * math.Exp(-.13*7.19)
	near(t, "change", r.Change, slope*7/60, 1e-5)
	near(t, "percent", r.Percent, 100*r.Change/(r.Contrast-r.Change), 1e-9)
	if r := must(law.Round(time.Second, QuarterMinute)); r.Time != QuarterMinute {
		t.Errorf("rounded to %v", r.Time)
	}
	for _, c := range [][2]time.Duration{{0, 1}, {-1, 1}, {1, 0}, {1, -1}, {Unbounded, 1}} {
		if _, err := law.Round(c[0], c[1]); !said.Is("", err, ErrInput) {
			t.Errorf("Round%v: %v", c, err)
		}
	}
	// Too short a time says so.
	if w := (Time{Value: 4 * time.Minute}).Warnings(); len(w) != 1 || w[0] != ShortTime {
		t.Errorf("4 min: %v", w)
	}
	if w := (Time{Value: EvenTime}).Warnings(); w != nil {
		t.Errorf("5 min: %v", w)
	}
}

func TestZoneDevelopments(t *testing.T) {
	said := held.New(t)
	law := must(NewContrastTime(1.1, .13, 0))
	// A density range of 1.05, a subject of 2.20 and flare of 0.40 give a
	// gradient of 0.583 (common practice; computed).
	aims := must(ZoneDevelopments(law, 1.05, sensito.StopsOf(math.Pow(10, 2.2)), .4, -2, 2))
	near(t, "normal gradient", aims[2].Gradient, .583, 5e-4)
	var last time.Duration
	for i, a := range aims {
		if a.N != i-2 {
			t.Errorf("aim %d is N%+d", i, a.N)
		}
		near(t, "subject", float64(a.Subject), 7.3082-float64(a.N), 1e-3)
		if a.Err != nil {
			t.Errorf("N%+d: %v", a.N, a.Err)
			continue
		}
		if a.Time.Value <= last {
			t.Errorf("N%+d: %v after %v", a.N, a.Time.Value, last)
		}
		last = a.Time.Value
		near(t, "contrast", must(law.At(a.Time.Value)).Value, a.Gradient, 1e-9)
	}
	// A film that cannot be developed so far says so for that aim only.
	weak := must(NewContrastTime(.65, .13, 0))
	aims = must(ZoneDevelopments(weak, 1.05, 7.3, .4, 0, 2))
	if aims[0].Err != nil || !errors.Is(aims[2].Err, ErrLimit) {
		t.Errorf("N %v, N+2 %v", aims[0].Err, aims[2].Err)
	}
	for _, c := range []struct {
		normal   sensito.Stops
		from, to int
	}{{7, 1, 0}, {7, 0, 100}, {1, 0, 1}, {sensito.Stops(math.NaN()), 0, 0}} {
		if _, err := ZoneDevelopments(law, 1.05, c.normal, .4, c.from, c.to); !said.Is("", err, ErrInput) {
			t.Errorf("%+v: %v", c, err)
		}
	}
}

// ANSI PH2.2-1966, appendix, as quoted: grade 2 is 0.95 to 1.15, grade 3 0.80
// to 0.95, grade 5 0.50 to 0.65, grade 0 1.40 to 1.70.
func TestPaperRange(t *testing.T) {
	said := held.New(t)
	for _, c := range []struct {
		grade  int
		lo, hi sensito.Density
	}{{0, 1.40, 1.70}, {1, 1.15, 1.40}, {2, .95, 1.15}, {3, .80, .95}, {4, .65, .80}, {5, .50, .65}, {6, .35, .50}} {
		lo, hi, err := PaperRange(c.grade)
		if err != nil || lo != c.lo || hi != c.hi {
			t.Errorf("grade %d: %v to %v, %v", c.grade, lo, hi, err)
		}
	}
	for _, g := range []int{-1, 7} {
		if _, _, err := PaperRange(g); !said.Is("", err, ErrInput) {
			t.Errorf("grade %d: %v", g, err)
		}
	}
}

// Developments for a middle grade of paper, from strips of an invented film.
func ExampleZoneDevelopments() {
	law, _ := NewContrastTime(1.10, 0.13, 0)
	aims, err := ZoneDevelopments(law, 1.05, 7.3, 0.40, -1, 1)
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, a := range aims {
		r, _ := law.Round(a.Time.Value, QuarterMinute)
		fmt.Printf("N%+d: gradient %.2f, %s, rounding changes contrast by %+.1f %%\n", a.N, a.Gradient, FormatTime(r.Time), r.Percent)
	}
	// Output:
	// N-1: gradient 0.50, 4:45, rounding changes contrast by +1.3 %
	// N+0: gradient 0.58, 5:45, rounding changes contrast by -0.9 %
	// N+1: gradient 0.70, 7:45, rounding changes contrast by -0.5 %
}

func BenchmarkProcessFactor(b *testing.B) {
	x := must(FitContrast(sixStrips()))
	b.ReportAllocs()
	for b.Loop() {
		if _, err := ProcessFactor(x, x, .6, 1); err != nil {
			b.Fatal(err)
		}
	}
}
