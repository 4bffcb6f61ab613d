package scan

import (
	"encoding/json"
	"errors"
	"math"
	"math/rand/v2"
	"strings"
	"testing"
	"time"

	"example.org/actinic/internal/check"
	"example.org/actinic/internal/held"
)

// even is a frame of 40 × 30 pixels of one value, with noise of a standard deviation.
func even(t testing.TB, value, sd float64, d time.Duration) *Frame {
	t.Helper()
	r := rand.New(rand.NewPCG(uint64(value), uint64(d)))
	v := make([]float64, 40*30)
	for i := range v {
		v[i] = value + sd*r.NormFloat64()
	}
	p, err := NewPicture("even", 40, 30, v)
	if err != nil {
		t.Fatal(err)
	}
	f, err := NewFrame(p, d)
	if err != nil {
		t.Fatal(err)
	}
	return f
}

var inner = Box{5, 5, 30, 20}

// The setup measures what the laws give for its means, exposures of another time and dark
// frames between two times included.
func TestMeasureAgainstLaws(t *testing.T) {
	s := &Setup{Light: even(t, 60240, 0, shutter(-6)), Darks: []*Frame{even(t, 240, 0, shutter(-6)), even(t, 240, 0, shutter(-4))}}
	r, err := s.Measure(inner, even(t, 23000, 0, shutter(-4)))
	if err != nil {
		t.Fatal(err)
	}
	near(t, "density", float64(r.Density), 1.023038984, 1e-7)
	if r.Pixels != 600 || r.SetAside != 0 || r.SD > 1e-6 || len(r.Warnings) > 0 {
		t.Errorf("%+v", r)
	}
	// 200 counts and 1000 a second in the dark: known at two times, wanted at others.
	dark := func(d time.Duration) float64 { return 200 + 1000*d.Seconds() }
	s = &Setup{Light: even(t, 50000+dark(shutter(-6)), 0, shutter(-6))}
	for _, d := range []time.Duration{shutter(-6), shutter(-1)} {
		s.Darks = append(s.Darks, even(t, dark(d), 0, d))
	}
	for _, d := range []time.Duration{shutter(-3), shutter(-2), shutter(0)} {
		r, err = s.Measure(inner, even(t, 50000*0.01*d.Seconds()*64+dark(d), 0, d))
		if err != nil {
			t.Fatal(err)
		}
		near(t, "dark current", float64(r.Density), 2, 1e-5)
	}
	// Flare of a field of one density: what the law puts there is taken off.
	const f, tr = 0.02, 0.01
	s = &Setup{Light: even(t, 50000*(1+f), 0, time.Second), Flare: f}
	r, err = s.Measure(inner, even(t, 50000*(tr+f*tr), 0, time.Second))
	if err != nil {
		t.Fatal(err)
	}
	near(t, "flare", float64(r.Density), 2, 1e-6)
	// The flare's own error goes with the light that it takes off.
	s.FlareSD = 0.001
	if q, err := s.Measure(inner, even(t, 50000*(tr+f*tr), 0, time.Second)); err != nil || q.SD <= r.SD || q.SD > 0.001 {
		t.Errorf("%v, %v", q.SD, err)
	}
}

// An opaque patch in an open field gives the flare that is there.
func TestMeasureFlare(t *testing.T) {
	const f = 0.012
	v := make([]float64, 40*30)
	opaque := Box{10, 10, 12, 10}
	open := 0.0
	for i := range v {
		if !opaque.holds(Box{i % 40, i / 40, 1, 1}) {
			v[i] = 50000
			open++
		}
	}
	for i := range v {
		v[i] += f * 50000 * open / 1200
	}
	p, err := NewPicture("opaque", 40, 30, v)
	if err != nil {
		t.Fatal(err)
	}
	frame, err := NewFrame(p, time.Second)
	if err != nil {
		t.Fatal(err)
	}
	s := &Setup{Light: even(t, 50000*(1+f), 10, time.Second)}
	got, sd, err := s.MeasureFlare(opaque, frame)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "flare", float64(got), f, 1e-7)
	if !(sd >= 0 && sd < 1e-6) {
		t.Errorf("sd %v", sd)
	}
	_, _, err = s.MeasureFlare(Box{0, 0, 8, 8}, frame)
	refused(t, "beside the patch", err)
}

// Dust darkens and scratches lighten a few pixels; what is left is not moved, and they are
// counted.
func TestDust(t *testing.T) {
	film := even(t, 5000, 40, time.Second)
	s := &Setup{Light: even(t, 50000, 50, time.Second)}
	clean, err := s.Measure(inner, film)
	if err != nil {
		t.Fatal(err)
	}
	for i := range 12 { // a hair, a speck, a scratch
		film.whole.f[(8+i)*40+9] *= 0.4
		film.whole.f[(15+i/4)*40+20+i%4] *= 0.2
		film.whole.f[22*40+12+i] *= 1.6
	}
	dusty, err := s.Measure(inner, film)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "density", float64(dusty.Density), float64(clean.Density), 2*clean.SD)
	if clean.SetAside != 0 || dusty.SetAside < 36 || dusty.SetAside > 200 || dusty.Pixels+dusty.SetAside != 600 {
		t.Errorf("%d set aside of the clean patch, %d of the dusty one", clean.SetAside, dusty.SetAside)
	}
	if len(dusty.Warnings) == 0 {
		t.Error("no word of the dust")
	}
}

func TestGradientIsReported(t *testing.T) {
	film := even(t, 5000, 40, time.Second)
	for i := range film.whole.f {
		film.whole.f[i] *= float32(1 + 0.01*float64(i%40))
	}
	r, err := (&Setup{Light: even(t, 50000, 50, time.Second)}).Measure(inner, film)
	if err != nil {
		t.Fatal(err)
	}
	if !(r.Gradient[0] < -0.09 && r.Gradient[0] > -0.12) || math.Abs(r.Gradient[1]) > 0.01 || !strings.Contains(strings.Join(r.Warnings, ""), "along x") {
		t.Errorf("%+v", r)
	}
}

// White may lie below that of the file: it shows as many equal greatest values.
func TestWhite(t *testing.T) {
	said := held.New(t)
	full := even(t, 15000, 60, time.Second)
	for i, v := range full.whole.f {
		full.whole.f[i] = min(v, 15000)
	}
	f, err := NewFrame(full.whole, time.Second)
	if err != nil {
		t.Fatal(err)
	}
	if f.white != 15000 || !(f.Clipped() > 0.4) {
		t.Errorf("white %v, %v clipped", f.white, f.Clipped())
	}
	s := &Setup{Light: even(t, 50000, 60, time.Second)}
	if _, err := s.Measure(inner, f); !said.Is("", err, ErrClipped) || !said.Is("", err, check.ErrInput) {
		t.Errorf("clipped film: %v", err)
	}
	short := even(t, 1900, 10, time.Second/8)
	if r, err := s.Measure(inner, f, short); err != nil || r.Exposures != 1 {
		t.Errorf("with a shorter exposure: %+v, %v", r, err)
	}
	s.Light = f
	if _, err := s.Measure(inner, short); !said.Is("", err, ErrClipped) {
		t.Errorf("clipped light: %v", err)
	}
	// One value all over is a picture without noise, not the end of a scale.
	if f := even(t, 15000, 0, time.Second); f.Clipped() != 0 {
		t.Errorf("%v of an even picture clipped", f.Clipped())
	}
}

func TestRefusesSetups(t *testing.T) {
	light, film := even(t, 50000, 50, time.Second), even(t, 5000, 50, time.Second)
	other, err := NewPicture("small", 3, 3, make([]float64, 9))
	if err != nil {
		t.Fatal(err)
	}
	small, err := NewFrame(other, time.Second)
	if err != nil {
		t.Fatal(err)
	}
	for name, c := range map[string]struct {
		s      *Setup
		b      Box
		frames []*Frame
	}{
		"no light":         {&Setup{}, inner, []*Frame{film}},
		"no film":          {&Setup{Light: light}, inner, nil},
		"nil":              {&Setup{Light: light}, inner, []*Frame{nil}},
		"another size":     {&Setup{Light: light}, inner, []*Frame{small}},
		"dark of another":  {&Setup{Light: light, Darks: []*Frame{small}}, inner, []*Frame{film}},
		"no dark":          {&Setup{Light: light, Darks: []*Frame{nil}}, inner, []*Frame{film}},
		"outside":          {&Setup{Light: light}, Box{20, 5, 30, 20}, []*Frame{film}},
		"far outside":      {&Setup{Light: light}, Box{math.MaxInt, 5, math.MaxInt, 20}, []*Frame{film}},
		"empty":            {&Setup{Light: light}, Box{5, 5, 0, 20}, []*Frame{film}},
		"negative":         {&Setup{Light: light}, Box{-5, 5, 10, 20}, []*Frame{film}},
		"flare":            {&Setup{Light: light, Flare: 1}, inner, []*Frame{film}},
		"flare's sd":       {&Setup{Light: light, FlareSD: math.NaN()}, inner, []*Frame{film}},
		"brighter":         {&Setup{Light: film}, inner, []*Frame{light}},
		"darker than dark": {&Setup{Light: light, Darks: []*Frame{even(t, 6000, 1, time.Second)}}, inner, []*Frame{film}},
	} {
		_, err := c.s.Measure(c.b, c.frames...)
		refused(t, name, err)
		if name != "brighter" && name != "darker than dark" {
			_, err = c.s.Profile(c.b, AlongX, c.frames...)
			refused(t, name+", profile", err)
		}
	}
	_, err = NewFrame(nil, time.Second)
	refused(t, "no picture", err)
	_, err = NewFrame(&Picture{}, time.Second)
	refused(t, "zero picture", err)
	_, err = NewFrame(other, 0)
	refused(t, "no time", err)
	_, err = light.Keep(Box{39, 0, 2, 2})
	refused(t, "kept outside", err)
	kept, err := light.Keep(inner)
	if err != nil {
		t.Fatal(err)
	}
	_, err = (&Setup{Light: kept}).Measure(Box{0, 0, 9, 9}, film)
	refused(t, "not kept", err)
	a, err1 := (&Setup{Light: light}).Measure(inner.Inset(0.1), film)
	b, err2 := (&Setup{Light: kept}).Measure(inner.Inset(0.1), film)
	if err1 != nil || err2 != nil || a.Density != b.Density {
		t.Errorf("kept: %v and %v; %v, %v", a.Density, b.Density, err1, err2)
	}
}

func TestBox(t *testing.T) {
	b := Box{1, 2, 30, 40}
	text, err := json.Marshal(b)
	if err != nil || string(text) != "[1,2,30,40]" {
		t.Errorf("%s, %v", text, err)
	}
	var c Box
	if err := json.Unmarshal(text, &c); err != nil || c != b {
		t.Errorf("%v, %v", c, err)
	}
	for _, bad := range []string{`[1, 2, 3]`, `{}`, `[1, 2, 3, 4.5]`, `"x"`} {
		refused(t, bad, json.Unmarshal([]byte(bad), &c))
	}
	if got := b.Inset(0.1); got != (Box{4, 6, 24, 32}) {
		t.Errorf("inset %v", got)
	}
	if got := (Box{0, 0, 1, 2}).Inset(0.5); got.Width != 1 || got.Height < 1 {
		t.Errorf("inset of nothing %v", got)
	}
}

func FuzzFindSteps(f *testing.F) {
	f.Add([]byte{10, 10, 10, 10, 10, 10, 10, 20, 20, 20, 20, 20, 20, 20, 30, 30, 30, 30, 30, 30}, 3)
	f.Fuzz(func(t *testing.T, b []byte, want int) {
		p := make([]float64, len(b))
		for i, v := range b {
			p[i] = float64(v) / 100
		}
		s, err := FindSteps(p, want)
		if err != nil {
			if !errors.Is(err, check.ErrInput) {
				t.Error(err)
			}
			return
		}
		for i, x := range s.Spans {
			if x.First < 0 || x.End > len(p) || x.First >= x.End || i > 0 && x.First < s.Spans[i-1].End {
				t.Fatalf("spans %v of %d pixels", s.Spans, len(p))
			}
		}
		if len(s.Levels) != len(s.Spans) {
			t.Errorf("%d levels of %d spans", len(s.Levels), len(s.Spans))
		}
	})
}

// Exposures of one place that disagree widen what is stated.
func TestDisagreeingExposures(t *testing.T) {
	s := &Setup{Light: even(t, 50000, 50, time.Second)}
	r, err := s.Measure(inner, even(t, 5000, 30, time.Second), even(t, 22000, 60, 4*time.Second)) // 10 % too long
	if err != nil {
		t.Fatal(err)
	}
	if !(r.SD > 0.015 && r.SD < 0.03) || !strings.Contains(strings.Join(r.Warnings, ""), "differ by") {
		t.Errorf("%+v", r)
	}
}

// Pixels of two frames are what Measure averages, and a speck is marked.
func TestTransmittances(t *testing.T) {
	said := held.New(t)
	const w, h = 60, 40
	picture := func(name string, at func(x, y int) float64) *Frame {
		v := make([]float64, w*h)
		for i := range v {
			v[i] = at(i%w, i/w)
		}
		p, err := NewPicture(name, w, h, v)
		if err != nil {
			t.Fatal(err)
		}
		f, err := NewFrame(p, time.Second)
		if err != nil {
			t.Fatal(err)
		}
		return f
	}
	noise := func(x, y, k int) float64 { return float64((x*7+y*13+k*5)%11-5) / 50 }
	s := &Setup{Light: picture("light", func(x, _ int) float64 { return 1100 + float64(x) }),
		Darks: []*Frame{picture("dark", func(int, int) float64 { return 100 })}}
	film := func(k int) *Frame {
		return picture("film", func(x, y int) float64 {
			if x == 30 && y == 20 {
				return 100
			}
			return 100 + 0.1*(1000+float64(x)) + noise(x, y, k)
		})
	}
	b := Box{5, 5, 50, 30}
	ts, dust, err := s.Transmittances(b, film(0), film(1))
	if err != nil {
		t.Fatal(err)
	}
	if len(ts) != 2 || len(ts[0]) != 50*30 {
		t.Fatalf("%d frames", len(ts))
	}
	marked := 0
	for i, d := range dust {
		if d {
			marked++
		} else if math.Abs(ts[1][i]-0.1) > 2e-4 {
			t.Errorf("pixel %d: %v", i, ts[1][i])
		}
	}
	if marked < 9 || marked > 49 || !dust[15*50+25] {
		t.Errorf("%d pixels are marked", marked)
	}
	if _, _, err := s.Transmittances(Box{50, 5, 50, 30}, film(0)); !said.Is("", err, ErrInput) {
		t.Errorf("outside: %v", err)
	}
	if _, _, err := s.Transmittances(b); !said.Is("", err, ErrInput) {
		t.Errorf("no frame: %v", err)
	}
}
