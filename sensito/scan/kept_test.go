package scan

import (
	"fmt"
	"math"
	"strings"
	"testing"
	"time"

	"example.org/actinic/internal/held"
)

// A frame of which only a box was kept is refused elsewhere, whichever of light, dark and film it is and whatever is asked of it.
func TestBoxesThatWereNotKept(t *testing.T) {
	said := held.New(t)
	keep := func(f *Frame) *Frame {
		g, err := f.Keep(Box{0, 0, 30, 20})
		if err != nil {
			t.Fatal(err)
		}
		return g
	}
	light, film, dark := even(t, 50000, 50, time.Second), even(t, 5000, 50, time.Second), even(t, 200, 3, time.Second)
	inside, beyond := Box{2, 2, 20, 15}, Box{2, 2, 30, 20}
	for _, c := range []struct {
		name string
		s    *Setup
		film *Frame
	}{
		{"the light", &Setup{Light: keep(light), Darks: []*Frame{dark}}, film},
		{"the dark", &Setup{Light: light, Darks: []*Frame{keep(dark)}}, film},
		{"the film", &Setup{Light: light, Darks: []*Frame{dark}}, keep(film)},
		{"the dark of the light", &Setup{Light: light, Darks: []*Frame{keep(even(t, 180, 3, time.Second)), dark}}, film},
		{"the dark of the film", &Setup{Light: light, Darks: []*Frame{dark, keep(even(t, 210, 3, time.Second/2))}}, even(t, 2500, 40, time.Second/2)},
	} {
		for name, ask := range map[string]func(Box) error{
			"Measure":        func(b Box) error { _, err := c.s.Measure(b, c.film); return err },
			"Profile":        func(b Box) error { _, err := c.s.Profile(b, AlongX, c.film); return err },
			"Transmittances": func(b Box) error { _, _, err := c.s.Transmittances(b, c.film); return err },
			"Exposed":        func(b Box) error { _, _, err := c.s.Exposed(c.film, b); return err },
			"SinglePoint":    func(b Box) error { _, err := c.s.SinglePoint(c.film, b); return err },
			"PairPoint":      func(b Box) error { _, err := c.s.PairPoint(c.film, c.film, b); return err },
			"MeasureFlare":   func(b Box) error { _, _, err := c.s.MeasureFlare(b, c.film); return err },
		} {
			uses := c.name != "the light" && c.name != "the dark of the light" || name == "Measure" || name == "Profile" || name == "Transmittances"
			if c.name == "the dark of the light" {
				uses = true // of one time with the film's
			}
			err := ask(beyond)
			if uses && !said.Is(c.name+", "+name, err, ErrInput) || !uses && err != nil && strings.Contains(err.Error(), "not kept") {
				t.Errorf("%s, %s: %v", c.name, name, err)
			}
			if err := ask(inside); err != nil && strings.Contains(err.Error(), "not kept") {
				t.Errorf("%s, %s inside: %v", c.name, name, err)
			}
		}
	}
	// The second of a pair, too.
	s := &Setup{Light: light, Darks: []*Frame{dark}}
	if _, err := s.PairPoint(film, keep(film), beyond); !said.Is("", err, ErrInput) {
		t.Error(err)
	}
	// A box that another holds is not kept twice, and values are those of the picture.
	k, err := film.Keep(Box{1, 2, 10, 8}, Box{2, 3, 5, 5}, Box{20, 10, 4, 3})
	if err != nil || len(k.parts) != 2 {
		t.Fatalf("%d parts, %v", len(k.parts), err)
	}
	for _, b := range []Box{{1, 2, 10, 8}, {2, 3, 5, 5}, {8, 6, 3, 4}, {20, 10, 4, 3}, {21, 12, 3, 1}} {
		got, err1 := k.values(b)
		want, err2 := film.values(b)
		if fmt.Sprint(got) != fmt.Sprint(want) || err1 != nil || err2 != nil {
			t.Errorf("%v: %v, %v", b, err1, err2)
		}
	}
}

// What is clipped is refused: the light, the opaque patch's picture, a place of noise; a film that clips in one exposure is
// measured in the others.
func TestClippedFrames(t *testing.T) {
	said := held.New(t)
	light, film := even(t, 50000, 50, time.Second), even(t, 5000, 50, time.Second)
	white := even(t, 9000, 50, time.Second)
	white.white, white.clipped = 9000, 0.5
	s := &Setup{Light: light}
	for name, err := range map[string]error{
		"exposed": func() error { _, _, err := s.unclipped(white, inner); return err }(), "flare": func() error { _, _, err := s.MeasureFlare(inner, white); return err }(),
		"noise": func() error { _, err := s.SinglePoint(white, inner); return err }(), "pair": func() error { _, err := s.PairPoint(white, white, inner); return err }(),
		"transmittances": func() error { _, _, err := s.Transmittances(inner, film, white); return err }(), "light": func() error { _, err := (&Setup{Light: white}).Measure(inner, film); return err }(),
	} {
		if !said.Is(name, err, ErrClipped) {
			t.Errorf("%s: %v", name, err)
		}
	}
	if _, err := s.SinglePoint(even(t, 5000, 0, time.Second), inner); !said.Is("no noise", err, ErrInput) {
		t.Error(err)
	}
	p, err := s.SinglePoint(even(t, 5000, 40, time.Second), inner)
	if err != nil || math.Abs(p.Variance/1600-1) > 0.2 || math.Abs(p.Signal-5000) > 10 {
		t.Errorf("%+v, %v: a standard deviation of 40 is a variance of 1600", p, err)
	}
	// Of several that clip the one that clips least, of those that do not the longest.
	of := func(clipped float64, d time.Duration) *Frame {
		f := even(t, 1000, 0, d)
		f.clipped = clipped
		return f
	}
	for _, c := range []struct {
		fs   []*Frame
		want int
		sure bool
	}{
		{[]*Frame{of(0, time.Second), of(0, 4*time.Second), of(0.5, 9*time.Second)}, 1, true}, {[]*Frame{of(0.5, 9*time.Second), of(0.2, 4*time.Second)}, 1, false}, {[]*Frame{of(0.2, 4*time.Second), of(0.5, 9*time.Second)}, 0, false},
		{[]*Frame{of(0.5, 9*time.Second), of(0.001, 4*time.Second), of(0, time.Second)}, 1, true}, {[]*Frame{of(0, 4*time.Second), of(0, time.Second)}, 0, true}, {[]*Frame{of(0.0011, time.Second)}, 0, false},
	} {
		rate, sure := s.meanRate(c.fs)
		if want := 1000 / c.fs[c.want].time.Seconds(); math.Abs(rate-want) > 1e-9 || sure != c.sure {
			t.Errorf("%v, %v, want %v, %v", rate, sure, want, c.sure)
		}
	}
}

// The remarks on a place: dust from 5 % of its pixels on, a density known to no better than 0.1, a gradient that is more than noise.
func TestRemarks(t *testing.T) {
	said := held.New(t)
	s := &Setup{}
	b := Box{0, 0, 21, 11}
	g := func(rise float64) float64 { return rise / 20 / math.Log10E } // of transmittance 1 along x
	for _, c := range []struct {
		name string
		r    Reading
		p    plane
		says int
	}{
		{"nothing", Reading{Pixels: 95, SetAside: 5, SD: 0.05}, plane{}, 0}, {"dust", Reading{Pixels: 94, SetAside: 6}, plane{}, 1}, {"not known", Reading{Pixels: 100, SD: 0.0501}, plane{}, 1},
		{"along x", Reading{Pixels: 100, SD: 0.001}, plane{b: g(0.031)}, 1}, {"along y", Reading{Pixels: 100, SD: 0.001}, plane{c: 2 * g(-0.031)}, 1}, {"hardly", Reading{Pixels: 100, SD: 0.001}, plane{b: g(0.029)}, 0},
		{"noise", Reading{Pixels: 100, SD: 0.002}, plane{b: g(0.034)}, 0}, {"more than noise", Reading{Pixels: 100, SD: 0.002}, plane{b: g(0.0350)}, 1}, {"both", Reading{Pixels: 100, SD: 0.001}, plane{b: g(0.05), c: 2 * g(0.05)}, 2},
	} {
		r := c.r
		s.remarks(&r, c.p, b, 1)
		said.Values(c.name, r.Warnings)
		if len(r.Warnings) != c.says {
			t.Errorf("%s: %q", c.name, r.Warnings)
		}
		if want := -c.p.b * 20 * math.Log10E; math.Abs(r.Gradient[0]-want) > 1e-12 {
			t.Errorf("%s: gradient %v, want %v", c.name, r.Gradient, want)
		}
	}
}

// Exposures that differ by more than noise and 2.3 % are told, each pair of them, with the greatest difference.
func TestDisagree(t *testing.T) {
	said := held.New(t)
	of := func(name string, mean, sd float64) exposure {
		return exposure{mean: mean, variance: sd * sd, frame: &Frame{origin: Origin{File: name}}}
	}
	for _, c := range []struct {
		name     string
		es       []exposure
		n        int
		greatest float64
	}{
		{"alike", []exposure{of("a", 0.1, 1e-6), of("b", 0.1, 1e-6)}, 0, 0}, {"2 %", []exposure{of("a", 0.1, 1e-6), of("b", 0.102, 1e-6)}, 0, 0}, {"3 %", []exposure{of("a", 0.1, 1e-6), of("b", 0.103, 1e-6)}, 1, math.Log10(1.03)},
		{"noise", []exposure{of("a", 0.1, 0.0005), of("b", 0.103, 0.0005)}, 0, 0}, {"less noise", []exposure{of("a", 0.1, 0.0004), of("b", 0.103, 0.0004)}, 1, math.Log10(1.03)},
		{"three", []exposure{of("a", 0.1, 1e-6), of("b", 0.103, 1e-6), of("c", 0.108, 1e-6)}, 3, math.Log10(1.08)}, {"none", []exposure{of("a", 0, 1e-6), of("b", 0.1, 1e-6)}, 0, 0}, {"below 0", []exposure{of("a", 0.1, 1e-6), of("b", -0.1, 1e-6)}, 0, 0},
	} {
		out, greatest := disagree(c.es)
		said.Values(c.name, out)
		if len(out) != c.n || math.Abs(greatest-c.greatest) > 1e-12 {
			t.Errorf("%s: %q, %v, want %d, %v", c.name, out, greatest, c.n, c.greatest)
		}
	}
}

// The dark frames of a time: the nearest in stops, all of one time together, moved by the counts a second that they show.
func TestDarks(t *testing.T) {
	s := &Setup{Darks: []*Frame{even(t, 100, 0, time.Second), even(t, 110, 0, time.Second), even(t, 405, 0, 4*time.Second)}}
	const rate = 100 // (405 - 105)/3
	if got := s.darkCurrent(); math.Abs(got-rate) > 1e-9 {
		t.Errorf("%v a second", got)
	}
	for d, want := range map[time.Duration]float64{time.Second: 105, 4 * time.Second: 405, 1900 * time.Millisecond: 105 + 0.9*rate, 2100 * time.Millisecond: 405 - 1.9*rate, 8 * time.Second: 405 + 4*rate} {
		v, err := s.darkAt(inner, d)
		if got := s.darkMean(d); err != nil || math.Abs(got-want) > 1e-9 || math.Abs(v[0]-want) > 1e-9 {
			t.Errorf("at %v: %v and %v, want %v", d, got, v[0], want)
		}
	}
	if got := (&Setup{Darks: s.Darks[:2]}).darkCurrent(); got != 0 {
		t.Errorf("of one time %v a second", got)
	}
	if got := (&Setup{}).darkMean(time.Second); got != 0 {
		t.Errorf("of none %v", got)
	}
	if v := atBlack([]float64{0, 0, 1, 2}); v != 0.5 || atBlack([]float64{0, -1, 0}) != 0 || atBlack([]float64{1}) != 0 {
		t.Errorf("%v at black", v)
	}
}
