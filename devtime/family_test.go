package devtime

import (
	"errors"
	"fmt"
	"math"
	"testing"
	"time"

	"example.org/actinic/internal/held"
	"example.org/actinic/sensito"
)

// strips is an invented film in closed form: contrast grows by the law of
// development while the toe hardly moves.
func strips(ts ...float64) (s []Strip) {
	law := must(NewContrastTime(1.1, .13, 0))
	for _, m := range ts {
		g := must(law.At(mins(m))).Value
		s = append(s, Strip{mins(m), must(sensito.NewClosedForm(sensito.Constants{
			BaseFog: .2 + .004*sensito.Density(m), Gamma: g, Toe: sensito.LogH(-2 - .02*math.Log(m)), ToeWidth: .15, Shoulder: 2.2, Sharpness: 3,
			From: -4.5, To: 1,
		}))})
	}
	return s
}

func TestFamilyCurve(t *testing.T) {
	said := held.New(t)
	f := must(NewFamily(strips(12, 4, 6, 9)))
	lo, hi := f.Range()
	if lo != mins(4) || hi != mins(12) {
		t.Fatalf("range %v to %v", lo, hi)
	}
	// A strip's own time gives the strip; between, the true curve of the film
	// is met to about a hundredth in density.
	if c := must(f.Curve(mins(9))); c != strips(9)[0].Curve && must(c.Density(-1)) != must(strips(9)[0].Curve.Density(-1)) {
		t.Error("a strip's own time gives another curve")
	}
	c := must(f.Curve(mins(7.5)))
	truth := strips(7.5)[0].Curve
	last := sensito.Density(-1)
	for h := sensito.LogH(-3.5); h < .5; h += .1 {
		d := must(c.Density(h))
		near(t, "between strips", float64(d), float64(must(truth.Density(h))), .012)
		if d <= last {
			t.Fatalf("density %v after %v", d, last)
		}
		last = d
		near(t, "slope", must(c.Slope(h)), (float64(must(c.Density(h+1e-5)))-float64(must(c.Density(h-1e-5))))/2e-5, 1e-5)
		near(t, "inverse", float64(must(c.LogH(d))), float64(h), 1e-9)
	}
	near(t, "base plus fog", float64(c.BaseFog()), .2+.004*7.6, 1e-3)
	if l, h := c.Domain(); l != -4.5 || h != 1 {
		t.Errorf("domain %v to %v", l, h)
	}
	if _, err := c.Density(2); !said.Is("", err, sensito.ErrOutside) {
		t.Errorf("beyond the exposures: %v", err)
	}
	if _, err := c.LogH(9); !said.Is("", err, sensito.ErrNotReached) {
		t.Errorf("density 9: %v", err)
	}
	for _, m := range []float64{3.9, 12.1} {
		if _, err := f.Curve(mins(m)); !said.Is("", err, ErrOutside) {
			t.Errorf("%v min: %v", m, err)
		}
	}
	if _, err := (Family{}).Curve(mins(1)); !said.Is("", err, ErrOutside) {
		t.Errorf("zero family: %v", err)
	}
	for _, c := range []struct {
		name string
		s    []Strip
	}{
		{"nothing", nil},
		{"one", strips(4)},
		{"a time twice", strips(4, 4)},
		{"no curve", []Strip{{mins(1), nil}, strips(4)[0]}},
		{"no time", []Strip{{0, strips(4)[0].Curve}, strips(4)[0]}},
		{"no exposure in common", []Strip{{mins(1), must(sensito.NewClosedForm(sensito.Constants{BaseFog: .2, Gamma: .6, Toe: -2, ToeWidth: .15, From: -9, To: -5}))}, strips(4)[0]}},
	} {
		if _, err := NewFamily(c.s); !said.Is("", err, ErrInput) {
			t.Errorf("%s: %v", c.name, err)
		}
	}
}

func TestPush(t *testing.T) {
	said := held.New(t)
	f := must(NewFamily(strips(4, 6, 9, 13, 18)))
	by := sensito.FixedDensity
	for _, g := range []float64{.48, .55, .65, .8} {
		d := must(f.Push(400, by, sensito.AverageGradient, g))
		near(t, "contrast", d.Contrast, g, 1e-9)
		c := must(f.Curve(d.Time))
		near(t, "the curve says so too", must(sensito.AverageGradient(c)), g, 1e-9)
		near(t, "index", d.Index, must(sensito.Index(c, by)).Value, 1e-9)
		near(t, "shadow loss", float64(d.ShadowLoss), math.Log2(400/d.Index), 1e-12)
	}
	// More development: more contrast, little more speed.
	a, b := must(f.At(mins(6), 0, by, sensito.AverageGradient)), must(f.At(mins(13), 0, by, sensito.AverageGradient))
	if !(b.Contrast > 1.3*a.Contrast) || !(b.Index > a.Index && b.Index < 1.4*a.Index) || a.ShadowLoss != 0 {
		t.Errorf("6 min %+v, 13 min %+v", a, b)
	}
	// A time for an index the film really reaches.
	index := func(c sensito.Curve) (float64, error) {
		s, err := sensito.Index(c, by)
		return s.Value, err
	}
	tt := must(f.TimeFor(index, (a.Index+b.Index)/2))
	near(t, "index found", must(index(must(f.Curve(tt)))), (a.Index+b.Index)/2, 1e-7)
	if tt := must(f.TimeFor(index, must(index(f.strips[2].Curve)))); tt != mins(9) {
		t.Errorf("a strip's own index: %v", tt)
	}
	for _, g := range []float64{.1, 3, math.Inf(1)} {
		if _, err := f.TimeFor(sensito.AverageGradient, g); !said.Is("", err, ErrOutside) {
			t.Errorf("gradient %v: %v", g, err)
		}
	}
	if _, err := f.TimeFor(nil, 1); !said.Is("", err, ErrInput) {
		t.Error(err)
	}
	if _, err := f.TimeFor(sensito.AverageGradient, math.NaN()); !said.Is("", err, ErrInput) {
		t.Error(err)
	}
	boom := errors.New("no such measure")
	if _, err := f.TimeFor(func(sensito.Curve) (float64, error) { return 0, boom }, 1); !said.Is("", err, boom) {
		t.Errorf("a measure that fails: %v", err)
	}
	if _, err := f.At(mins(5), -1, by, sensito.AverageGradient); !said.Is("", err, ErrInput) {
		t.Error(err)
	}
	if _, err := f.At(mins(5), math.NaN(), by, sensito.AverageGradient); !said.Is("", err, ErrInput) {
		t.Error(err)
	}
	if _, err := f.At(mins(1), 0, by, sensito.AverageGradient); !said.Is("", err, ErrOutside) {
		t.Error(err)
	}
	if _, err := f.Push(400, by, sensito.AverageGradient, 3); !said.Is("", err, ErrOutside) {
		t.Error(err)
	}
}

// H&D's straight line: raising gamma from 0.5 to 0.7 about one inertia point
// gains 0.0571429 in log speed at density 0.10, 0.18982 stop (computed); the
// gain in speed by development is that small.
func TestInertiaModel(t *testing.T) {
	line := func(m, gamma float64) Strip {
		return Strip{mins(m), must(sensito.NewClosedForm(sensito.Constants{BaseFog: .1, Gamma: gamma, Toe: -2, ToeWidth: .004, From: -3, To: 1}))}
	}
	f := must(NewFamily([]Strip{line(5, .5), line(10, .7)}))
	a := must(f.At(mins(5), 0, sensito.FixedDensity, sensito.Gamma))
	b := must(f.At(mins(10), 0, sensito.FixedDensity, sensito.Gamma))
	near(t, "log speed", math.Log10(b.Index/a.Index), .0571429, 1e-6)
	near(t, "stops", math.Log2(b.Index/a.Index), .18982, 5e-6)
}

func ei(v float64) sensito.Speed { return sensito.Speed{Value: v} }

func TestToneGains(t *testing.T) {
	said := held.New(t)
	c := must(sensito.NewClosedForm(sensito.Constants{BaseFog: .2, Gamma: .6, Toe: -2, ToeWidth: .15, Shoulder: 1.8, Sharpness: 6, From: -5, To: 3}))
	g := must(ToneGains(c, ei(400), ei(200), []sensito.Stops{-4, -2, 0, 2, 8}))
	// A stop more on the straight part gains 0.30103 gamma; less on the toe and
	// on the shoulder.
	near(t, "straight part", g[3].Gain, .30103*.6, 2e-3)
	if !(0 < g[0].Gain && g[0].Gain < g[1].Gain && g[1].Gain < g[3].Gain && 0 < g[4].Gain && g[4].Gain < g[3].Gain) {
		t.Errorf("gains %+v", g)
	}
	for _, x := range g {
		near(t, "gain", x.Gain, float64(x.After-x.Before), 1e-15)
	}
	same := must(ToneGains(c, ei(400), ei(400), []sensito.Stops{0}))
	near(t, "same index", same[0].Gain, 0, 0)
	back := must(ToneGains(c, ei(200), ei(400), []sensito.Stops{0}))
	near(t, "the other way", back[0].Gain, -g[2].Gain, 1e-12)
	for _, x := range [][2]float64{{0, 1}, {1, 0}, {-1, 1}, {math.NaN(), 1}, {1, math.Inf(1)}} {
		if _, err := ToneGains(c, ei(x[0]), ei(x[1]), nil); !said.Is("", err, ErrInput) {
			t.Errorf("ToneGains%v: %v", x, err)
		}
	}
	if _, err := ToneGains(c, ei(400), ei(200), []sensito.Stops{60}); !said.Is("", err, sensito.ErrOutside) {
		t.Errorf("beyond the curve: %v", err)
	}
	if _, err := ToneGains(nil, ei(400), ei(200), nil); !said.Is("", err, ErrInput) {
		t.Error(err)
	}
}

// One stop +35 to 50 %, two stops +75 to 100 %: H. Horenstein, Black & White
// Photography: A Basic Manual p. 154, as quoted; a pull from memory.
func TestRuleOfThumb(t *testing.T) {
	said := held.New(t)
	for _, c := range []struct {
		s         sensito.Stops
		low, high float64
		memory    bool
	}{{0, 1, 1, false}, {1, 1.35, 1.50, false}, {2, 1.75, 2.00, false}, {-1, .7, .8, true}} {
		r := must(PushRuleOfThumb(c.s))
		near(t, "low", r.Low, c.low, 1e-12)
		near(t, "high", r.High, c.high, 1e-12)
		if r.FromMemory != c.memory || r.Source == "" {
			t.Errorf("%v: %+v", c.s, r)
		}
	}
	var last FactorRange
	for s := sensito.Stops(-1); s <= 2; s += .125 {
		r := must(PushRuleOfThumb(s))
		if r.Low > r.High || r.Low < last.Low || r.High < last.High {
			t.Errorf("%v: %+v after %+v", s, r, last)
		}
		last = r
	}
	for _, s := range []sensito.Stops{2.1, -1.1, sensito.Stops(math.NaN()), sensito.Stops(math.Inf(1))} {
		if _, err := PushRuleOfThumb(s); !said.Is("", err, ErrOutside) {
			t.Errorf("%v: %v", s, err)
		}
	}
}

// What pushing an invented film really gives.
func ExampleFamily_Push() {
	f, err := NewFamily(strips(4, 6, 9, 13, 18))
	if err != nil {
		fmt.Println(err)
		return
	}
	normal, err := f.At(9*time.Minute, 0, sensito.FixedDensity, sensito.AverageGradient)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%s: index %.0f, gradient %.2f\n", FormatTime(normal.Time), normal.Index, normal.Contrast)
	d, err := f.Push(2*normal.Index, sensito.FixedDensity, sensito.AverageGradient, normal.Contrast*1.2)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%s: index %.0f, gradient %.2f, shadows short of %.1f stops\n",
		FormatTime(d.Time.Round(time.Second)), d.Index, d.Contrast, float64(d.ShadowLoss))
	// Output:
	// 9:00: index 79, gradient 0.68
	// 16:09: index 91, gradient 0.82, shadows short of 0.8 stops
}
