package plan

import (
	"math"
	"strings"
	"testing"
	"time"

	"example.org/actinic/devtime/roll"
	"example.org/actinic/internal/held"
	"example.org/actinic/sensito"
	"example.org/actinic/sensito/exposure"
	"example.org/actinic/sensito/exposure/camera"
)

// Each field of a wish at the bounds of what it takes, and just beyond; zero stands for what its comment says.
func TestWishAtTheBounds(t *testing.T) {
	said := held.New(t)
	good := Wish{Index: 400, Light: 12}
	got, err := good.filled()
	if err != nil || got.Sure != 1 || got.HalfWidth != 1.0/6 || got.DevelopmentHalfWidth != 0.05 || got.DensitySD != 0.015 || got.Scatter != 0.05 || got.DevelopmentSure != 0.15 ||
		got.TargetAverageGradient != 0.58 || got.ShadowStopsBelowMeter != 4 || got.Frames != 36 || got.Development != 10*time.Minute || got.Strips != 0 || !got.Camera.Assumed {
		t.Errorf("%+v, %v", got, err)
	}
	for _, f := range []struct {
		name   string
		set    func(w *Wish, v float64)
		lo, hi float64
	}{
		{"index", func(w *Wish, v float64) { w.Index = v }, 0.1, 1e6}, {"sure", func(w *Wish, v float64) { w.Sure = sensito.Stops(v) }, 0.05, 4}, {"light", func(w *Wish, v float64) { w.Light = exposure.EV100(v) }, -20, 30},
		{"half-width", func(w *Wish, v float64) { w.HalfWidth = sensito.Stops(v) }, 0.01, 4}, {"of development", func(w *Wish, v float64) { w.DevelopmentHalfWidth = v }, 0.005, 1}, {"densities", func(w *Wish, v float64) { w.DensitySD = v }, 0.001, 0.2},
		{"scatter", func(w *Wish, v float64) { w.Scatter = sensito.Stops(v) }, 0.001, 1}, {"frames", func(w *Wish, v float64) { w.Frames = int(v) }, 8, 60}, {"strips", func(w *Wish, v float64) { w.Strips = int(v) }, 3, 12},
		{"development", func(w *Wish, v float64) { w.Development = time.Duration(v * float64(time.Second)) }, 120, 4 * 3600}, {"sure of it", func(w *Wish, v float64) { w.DevelopmentSure = v }, 0.02, 1},
		{"target", func(w *Wish, v float64) { w.TargetAverageGradient = v }, 0.2, 2}, {"shadow", func(w *Wish, v float64) { w.ShadowStopsBelowMeter = sensito.Stops(v) }, 0.5, 8},
	} {
		out := math.Max(1e-9*math.Abs(f.hi), 1e-9)
		if strings.Contains("frames strips development", f.name) {
			out = 1
		}
		for _, c := range []struct {
			v  float64
			ok bool
		}{{f.lo, true}, {f.hi, true}, {f.lo - out*math.Min(1, math.Abs(f.lo)), false}, {f.hi + out, false}} {
			w := good
			f.set(&w, c.v)
			_, err := w.filled()
			if c.ok && err != nil || !c.ok && !said.Is(f.name, err, ErrWish) {
				t.Errorf("%s of %v: %v", f.name, c.v, err)
			}
		}
	}
	for _, c := range []struct{ sure, shadow, reach, most, least float64 }{{0.4, 4, 1.5, 3, 5.5}, {0.5, 4, 1.5, 3, 5.5}, {1, 4, 2.5, 4, 6.5}, {2, 3, 4.5, 7, 7.5}} {
		w := Wish{Sure: sensito.Stops(c.sure), ShadowStopsBelowMeter: sensito.Stops(c.shadow)}
		if w.reach() != c.reach || w.mostLight() != c.most || w.leastLight() != c.least {
			t.Errorf("sure to %v, shadow at -%v: %v, %v and %v", c.sure, c.shadow, w.reach(), w.mostLight(), w.leastLight())
		}
	}
}

func set(av, tv float64) Setting {
	return Setting{Aperture: camera.ApertureMark{Number: exposure.Av(av).FNumber(), Av: exposure.Av(av)}, Time: camera.TimeMark{Time: time.Duration(1e9 * math.Exp2(-tv)), Tv: exposure.Tv(tv)}}
}

// What makes one series better than another: reaching more, notably more exposures, the order of ways, then more
// exposures, then convenience.
func TestBetterSeries(t *testing.T) {
	with := func(how How, n int, short, over float64) series {
		s := series{how: how, short: short, over: over}
		for i := range n {
			s.settings = append(s.settings, set(6, float64(i)/2))
		}
		return s
	}
	for _, c := range []struct {
		name string
		a, b series
	}{
		{"reaching more at one end", with(ByBoth, 6, 0.7, 0), with(ByShutter, 6, 1, 0)},
		{"reaching more at the other", with(ByBoth, 6, 0, 0.7), with(ByShutter, 6, 0.4, 1)},
		{"notably more", with(ByBoth, 8, 0, 0), with(ByShutter, 6, 0, 0)},
		{"the shutter before the aperture", with(ByShutter, 6, 0, 0), with(ByAperture, 7, 0, 0)},
		{"the aperture before both", with(ByAperture, 6, 0.5, 0), with(ByBoth, 6, 0, 0.5)},
		{"the dial before all", with(ByDial, 6, 0, 0), with(ByShutter, 6, 0, 0)},
		{"more, though not notably", with(ByShutter, 7, 0, 0), with(ByShutter, 6, 0, 0)},
		{"a middle aperture", series{how: ByShutter, settings: []Setting{set(6, 5)}}, series{how: ByShutter, settings: []Setting{set(7, 5)}}},
		{"just notably more is not", with(ByShutter, 8, 0, 0), with(ByAperture, 10, 0, 0)},
	} {
		if !c.a.better(&c.b) || c.b.better(&c.a) {
			t.Errorf("%s: %v, and the other way round %v", c.name, c.a.better(&c.b), c.b.better(&c.a))
		}
	}
	for _, c := range []struct{ short, over, want float64 }{{0.52, 0.52, 0}, {0.6, 0, 0.08}, {0, 0.72, 0.2}, {1.52, 1.02, 1.5}} {
		s := series{short: c.short, over: c.over}
		if math.Abs(s.missed()-c.want) > 1e-12 {
			t.Errorf("short by %v and %v: %v, want %v", c.short, c.over, s.missed(), c.want)
		}
	}
	// By hand: a tenth for a stop from f/8; 1/2000 is a stop beyond 1/1000; 2 s two beyond 1/2, and a half.
	for _, c := range []struct{ av, tv, want float64 }{{6, 5, 0}, {8, 5, 0.2}, {4, 5, 0.2}, {6, math.Log2(1000), 0}, {6, math.Log2(2000), 1}, {6, 1, 0}, {6, -1, 2.5}, {6, 0, 1.5}} {
		if got := inconvenience(set(c.av, c.tv)); math.Abs(got-c.want) > 1e-6 {
			t.Errorf("Av %v, Tv %v: %v, want %v", c.av, c.tv, got, c.want)
		}
	}
	if s := (&series{settings: []Setting{set(8, 5), set(6, 5)}}); math.Abs(s.inconvenience()-0.1) > 1e-12 || (&series{}).inconvenience() != 0 {
		t.Errorf("on the average %v", s.inconvenience())
	}
	if n := distinct([]Setting{set(0, 0), set(0, 0.29), set(0, 0.3), set(0, 0.59), set(0, 0.61)}); n != 3 {
		t.Errorf("%d distinct", n)
	}
}

// A series has the settings from lo to hi, both in, one of each exposure, the more convenient.
func TestNewSeries(t *testing.T) {
	s, ok := newSeries(ByBoth, []Setting{set(8, 4), set(6, 6), set(6, 3), set(6, 10), set(4, 4), set(6, 11), set(2, 1)}, 0, 8, 16)
	if !ok || len(s.settings) != 4 || s.settings[0].ev() != 8 || s.settings[1].ev() != 9 || s.settings[2].Aperture.Av != 6 || s.settings[2].ev() != 12 || s.settings[3].ev() != 16 || s.short != 0 || s.over != 0 || s.slow || !s.fast { // 1/1024 is
		t.Errorf("%+v, %v", s, ok)
	}
	if s, ok := newSeries(ByBoth, []Setting{set(8, 4), set(6, 0.5), set(6, 10.5)}, 0, 5, 18); !ok || s.short != 1.5 || s.over != 1.5 || !s.slow || !s.fast {
		t.Errorf("%+v, %v", s, ok)
	}
	if s, ok := newSeries(ByBoth, []Setting{set(8, 4)}, 0, 13, 16); ok {
		t.Errorf("%+v of nothing", s)
	}
	c, err := camera.New(camera.Scales{Apertures: []camera.ApertureMark{camera.ApertureAt(8)}, Times: []camera.TimeMark{camera.TimeAt(4 * time.Second), camera.TimeAt(time.Second)}, Bulb: true})
	if err != nil {
		t.Fatal(err)
	}
	var held []string
	for _, m := range withHeld(c)[2:] {
		held = append(held, m.Time.String())
		if !m.Bulb {
			t.Errorf("%v is not held", m)
		}
	}
	if got := strings.Join(held, " "); got != "8s 16s 32s" {
		t.Errorf("held open for %s", got)
	}
	if ns := neutrals(); len(ns) != 16 || ns[0] != 0 || math.Abs(float64(ns[15])-4.5) > 1e-12 {
		t.Errorf("filters %v", ns)
	}
}

// Settings and numbers in words.
func TestWords(t *testing.T) {
	x := set(6, 7)
	x.Aperture.Number, x.Time.Time = 8, 8*time.Millisecond
	behind9 := x
	behind9.Neutral = 0.9
	dialled := x
	dialled.Dial, dialled.Neutral = 800, 0.3
	free := Setting{Aperture: x.Aperture, Dial: 100}
	for want, got := range map[string]string{
		"1/125 at f/8": x.String(), "1/125 at f/8 behind ND 0.9": behind9.String(), "index dial at 800, f/8 (about 1/125) behind ND 0.3": dialled.String(), "index dial at 100, f/8": free.String(),
		"≈ 1/125": about(x), "≈ 0.5s": about(set(6, 1)), "≈ 1/3": about(set(6, math.Log2(3))), "≈ 2s": about(set(6, -1)), "≈ 0s": about(free),
		"± 5.0 %": percent(0.05), "not known": percent(math.Inf(1)), "± 0.17 stop": stops(1.0 / 6), "± 0.00 stop": stops(0),
		"9:59": clock(599400 * time.Millisecond), "10:00": clock(599500 * time.Millisecond), "75:05": clock(75*time.Minute + 5*time.Second),
		"A": name(0), "C": name(2), "1.2346": number(1.23456, 4), "1.2": number(1.2, 4), "-0.5": number(-0.5, 2), "401.23": index(401.2345), "0.1": index(0.1), "1000000": index(1e6),
	} {
		if got != want {
			t.Errorf("%q, want %q", got, want)
		}
	}
	if s := stops(math.NaN()) + percent(math.NaN()); s != "not knownnot known" {
		t.Error(s)
	}
	for v, want := range map[float64]float64{123456: 123460, 0.000123456: 0.00012346, -98765.4: -98765, 1: 1, 0: 0, 99999.6: 100000} {
		if got := significant(v); math.Abs(got-want) > 1e-9*math.Abs(want) {
			t.Errorf("%v is %v to five digits, want %v", v, got, want)
		}
	}
	if known(math.Inf(1)) != nil || *known(0.123456) != 0.12346 || printed(410) != 400 || printed(12) != 12 {
		t.Error("numbers")
	}
	if got := printed(1e9); got != 1e9 {
		t.Errorf("an index beyond the scale is printed as %v", got)
	}
	var b strings.Builder
	folded(&b, strings.Repeat("x", 70)+" "+strings.Repeat("y", 7)+" z "+strings.Repeat("u", 76)+" v "+strings.Repeat("w", 77))
	if got := b.String(); got != strings.Repeat("x", 70)+" "+strings.Repeat("y", 7)+"\nz "+strings.Repeat("u", 76)+"\nv\n"+strings.Repeat("w", 77)+"\n" {
		t.Errorf("folded %q", got)
	}
	for n, want := range map[int]float64{0: math.Inf(1), 1: 1, 2: 2, 3: 3, 4: 4} { // of 1, 3, 5, 7
		if got := median([]float64{1, 7, 5, 3}[:0:0]); n == 0 && got != want {
			t.Errorf("of none %v", got)
		}
		v := []float64{1, 3, 5, 7}[:n]
		if n > 0 && median(v) != want {
			t.Errorf("median of %v is %v", v, median(v))
		}
	}
	for m, want := range map[float64]float64{3.99: 4, 3.9: 47. / 12, 4.1: 4, 4.13: 4.25, 10: 10, 0.04: 0, 0.05: 1. / 12} {
		if got := rounded(m); math.Abs(got-want) > 1e-12 {
			t.Errorf("%v min is rounded to %v", m, got)
		}
	}
	if i := nearest([]float64{5, 8, 12}, 9.7); i != 1 || nearest([]float64{5, 8, 12}, 9.9) != 2 || nearest([]float64{5, 8}, 1) != 0 {
		t.Errorf("the nearest is %d", i)
	}
}

// How much film to load: a strip costs a frame more for its cut, and none goes over the end of a roll.
func TestRolls(t *testing.T) {
	for _, c := range []struct {
		strips, each, frames int
		want                 string
	}{{4, 8, 18, "1 and a half"}, {5, 8, 18, "2 and a half"}, {4, 8, 19, "2"}, {4, 8, 36, "2"}, {4, 8, 37, "3"}, {8, 8, 36, "3"}, {3, 35, 18, "3 and a half"}, {3, 36, 18, "0 and a half"}, {0, 0, 10, "0 and a half"}} {
		l := Layout{Frames: make([]Frame, c.frames-1), Unexposed: 1}
		for range c.strips {
			l.Strips = append(l.Strips, Strip{Stops: make([]float64, c.each-1), Unexposed: 1})
		}
		if s, b := l.FilmFrames(); s != c.strips*c.each || b != c.frames {
			t.Errorf("%d and %d frames", s, b)
		}
		if got := l.rolls(); got != c.want {
			t.Errorf("%d strips of %d and %d frames: %s, want %s", c.strips, c.each, c.frames, got, c.want)
		}
	}
	l := Layout{Frames: []Frame{{Setting: set(6, 5)}, {Setting: set(6, 5)}, {Setting: set(6, 6)}, {Setting: set(6, 5)}}}
	if l.Distinct() != 3 || l.Neutral() != 0 || (&Layout{}).Neutral() != 0 || (&Layout{}).Distinct() != 0 {
		t.Errorf("%d distinct", l.Distinct())
	}
	l.Frames[0].Neutral = 0.6
	if l.Neutral() != 0.6 {
		t.Errorf("filter %v", l.Neutral())
	}
}

// Readings are spread evenly, each to the place nearest to it; one alone goes to the middle.
func TestSpread(t *testing.T) {
	for _, c := range []struct {
		n    int
		want []int
	}{{1, []int{0, 0, 1, 0, 0}}, {2, []int{1, 0, 0, 0, 1}}, {3, []int{1, 0, 1, 0, 1}}, {5, []int{1, 1, 1, 1, 1}}, {6, []int{1, 1, 1, 1, 2}}} {
		out := make([]int, 5)
		spread(out, []float64{0, 1, 2, 3, 4}, c.n)
		n := 0
		for i, k := range out {
			n += k
			if c.n < 6 && k != c.want[i] {
				t.Errorf("%d: %v, want %v", c.n, out, c.want)
				break
			}
		}
		if n != c.n || out[0] != c.want[0] && c.n > 1 {
			t.Errorf("%d: %v", c.n, out)
		}
	}
	d := &designer{Wish: Wish{Development: 10 * time.Minute}}
	if got := d.evenTimes(3, 2); got[0] != 5 || got[1] != 10 || got[2] != 20 {
		t.Errorf("even times %v", got)
	}
	if got := d.candidateTimes(); len(got) != 11 || got[0] != 4.25 || got[5] != 10 || got[10] != 23.75 {
		t.Errorf("candidates %v", got)
	}
}

// A film that goes with the guess has its target at its time, contrast grows as 1 - e^(-rate t), and its speed point is where
// it has 0.10 above base plus fog.
func TestFilmsOfTheGuess(t *testing.T) {
	w, err := Wish{Index: 400, Light: 12}.filled()
	if err != nil {
		t.Fatal(err)
	}
	films, err := w.films()
	if err != nil || len(films) != filmsTried {
		t.Fatal(len(films), err)
	}
	for _, f := range films {
		if g, _ := f.target.Gradient(); math.Abs(g-0.58) > 1e-9 {
			t.Errorf("gradient %v", g)
		}
		if f.rate < 0.07 || f.rate > 0.18 || f.time < 5 || f.time > 20 {
			t.Errorf("%+v", f)
		}
		own := f.at(f.time)
		if math.Abs(own.Net(-f.index)-f.target.Net(-f.index)) > 1e-12 {
			t.Error("at its own time it is another film")
		}
		for _, m := range []float64{4, f.time, 20} {
			c := f.at(m)
			if got := c.Net(f.speedPoint(m)); math.Abs(got-0.1) > 1e-9 {
				t.Errorf("after %v min the speed point has %v", m, got)
			}
			want := (1 - math.Exp(-f.rate*m)) / (1 - math.Exp(-f.rate*f.time))
			if got := c.Net(-f.index+1e3) / own.Net(-f.index+1e3); math.Abs(got/want-1) > 1e-6 {
				t.Errorf("after %v min the contrast is %v of that at %v, want %v", m, got, f.time, want)
			}
			if got := c.Constants[0] - own.Constants[0]; math.Abs(got-0.0045*(m-f.time)) > 1e-12 {
				t.Errorf("after %v min base plus fog is %v more", m, got)
			}
		}
	}
	middle, err := w.film(func(int) float64 { return 0.5 })
	if err != nil || math.Abs(middle.index-math.Log10(400)) > 1e-12 || middle.time != 10 || math.Abs(middle.rate-0.125) > 1e-12 || math.Abs(middle.target.Constants[0]-0.25) > 1e-12 {
		t.Errorf("%+v, %v", middle, err)
	}
	// A developer twice as slow grows half as fast.
	w.Development = 20 * time.Minute
	if slow, err := w.film(func(int) float64 { return 0.5 }); err != nil || math.Abs(slow.rate-0.0625) > 1e-12 || slow.tau != 8 || math.Abs(slow.rise-0.00225) > 1e-12 {
		t.Errorf("%+v, %v", slow, err)
	}
}

// What a plan tells to mind, for each thing that a camera does not do and each that is not reached.
func TestNotes(t *testing.T) {
	said := held.New(t)
	base := plain(t)
	for name, change := range map[string]func(d *designer, p *Plan){
		"plain":       func(*designer, *Plan) {},
		"not reached": func(d *designer, p *Plan) { d.HalfWidth, d.DevelopmentHalfWidth = 0.1, 0.01 },
		"just reached": func(d *designer, p *Plan) {
			d.HalfWidth, d.DevelopmentHalfWidth = p.Own.Expected.IndexHalfWidth, p.Own.Expected.DevelopmentHalfWidth
		},
		"strips first":  func(d *designer, p *Plan) { d.StripsFirst = true },
		"no such frame": func(d *designer, p *Plan) { p.StripsFirst = 0 },
		"short": func(d *designer, p *Plan) {
			d.bracket.short, d.bracket.over, d.steps.short, d.steps.over = 0.53, 0.52, 0.52, 0.6
		},
		"over":    func(d *designer, p *Plan) { d.bracket.over, d.steps.short = 0.53, 1.2 },
		"filters": func(d *designer, p *Plan) { d.bracket.neutral, d.steps.neutral = 0.9, 0.3 },
		"slow": func(d *designer, p *Plan) {
			p.Own.Frames[0].Time.Time, p.Own.Steps[0].Time.Time = time.Second, 2*time.Second
		},
		"fast": func(d *designer, p *Plan) {
			p.Own.Frames[0].Time.Time, p.Own.Frames[1].Time.Time = time.Second/4000, time.Second/2000
		},
		"just not": func(d *designer, p *Plan) {
			p.Own.Frames[0].Time.Time, p.Own.Frames[1].Time.Time = time.Second/1000, time.Second/2
		},
	} {
		p := *base
		p.Own.Frames, p.Own.Steps = append([]Frame(nil), base.Own.Frames...), append([]Step(nil), base.Own.Steps...)
		d := &designer{Wish: base.Wish, bracket: series{how: ByShutter}, steps: series{how: ByShutter}}
		change(d, &p)
		said.Values(name, strings.Join(d.notes(&p), " | "))
	}
	for name, a := range map[string]*Advice{
		"nothing":  {Record: &roll.Record{}, IndexHalfWidth: sensito.Stops(math.NaN()), DevelopmentHalfWidth: math.NaN()},
		"to come":  {Record: &roll.Record{Development: &sensito.Estimate{Value: 600}}, More: 12, DevelopmentHalfWidth: 0.05},
		"no index": {Record: &roll.Record{Bracket: &roll.BracketRecord{}, Warnings: []string{"So.", "And so."}}, DevelopmentHalfWidth: 0.051},
		"more":     {Record: &roll.Record{Bracket: &roll.BracketRecord{Index: &sensito.Estimate{Value: 400}}, Index: &roll.IndexRecord{Estimate: sensito.Exact(400)}}, More: 3, DevelopmentHalfWidth: 1},
		"enough":   {Record: &roll.Record{Bracket: &roll.BracketRecord{Index: &sensito.Estimate{Value: 400}}, Index: &roll.IndexRecord{Estimate: sensito.Exact(400)}}, IndexHalfWidth: 0.25, DevelopmentHalfWidth: 1},
		"not yet":  {Record: &roll.Record{Bracket: &roll.BracketRecord{Index: &sensito.Estimate{Value: 400}}, Index: &roll.IndexRecord{Estimate: sensito.Exact(400)}}, IndexHalfWidth: 0.2501, DevelopmentHalfWidth: 1},
	} {
		for i := range 9 {
			a.Frames = append(a.Frames, NextFrame{Frame: Frame{Setting: set(6, float64(i)), ExposedAs: 400, Index: 400}, HalfWidth: 0.2, Narrower: float64(9 - i)})
			a.Strips = append(a.Strips, NextStrip{Development: time.Duration(i+4) * time.Minute, DevelopmentHalfWidth: 0.05})
		}
		a.Frames[0].Unexposed = true
		a.notes(&designer{Wish: Wish{HalfWidth: 0.25, DevelopmentHalfWidth: 0.05}})
		said.Values(name, a.Notes)
		said.Values(name, a.String())
		text, err := a.MarshalJSON()
		said.Values(name, string(text), err)
	}
}
