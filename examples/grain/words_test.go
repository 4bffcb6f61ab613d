package main

import (
	"math"
	"strings"
	"testing"

	"gonum.org/v1/plot/vg"

	"example.org/actinic"
	"example.org/actinic/examples/internal/figure"
	"example.org/actinic/internal/held"
	"example.org/actinic/sensito"
	"example.org/actinic/sensito/structure"
)

func at(v float64) *float64 { return &v }

// results are such as pictures seldom give, one thing different in each.
func results() map[string]*result {
	full := func(change func(r *result)) *result {
		r := &result{Channel: "green", PixelUM: 4, SetUp: setUp{ResponseAt48: at(0.812), Sees: at(61.5), HalfSampling: 125, Electrons: at(2.5), Read: at(4.25), Flare: at(0.0061), CanMeasure: true, Corrected: true},
			Granularity:    []granularity{{Step: 3, Density: at(0.5), SD: at(0.0123), Low: at(0.0111), High: at(0.0135), Averaged: at(0.0119), Expected: at(0.0121), Camera: at(0.0031), LogH: at(0.02)}, {Step: 6}},
			Law:            &grainLaw{At1: at(0.0201), Low: at(0.019), High: at(0.0212), Exponent: at(0.55), ExpLow: at(0.5), ExpHigh: at(0.6), Bend: 0.12, From: 0.3, To: 2.1},
			CameraResponse: &response{Of: "camera", Frequency: []float64{10, 20, 30}, M: []*float64{at(0.9), at(0.7), at(0.4)}, Low: []*float64{at(0.85), at(0.6), at(0.3)}, High: []*float64{at(0.95), at(0.8), at(0.5)}, Reaches: []reach{{0.5, at(26), at(24), nil}}},
			FilmResponse:   &response{Of: "film", Frequency: []float64{10, 20, 30}, M: []*float64{at(1.08), nil, at(0.4)}, Low: []*float64{at(1), at(0.6), at(0.3)}, High: []*float64{at(1.15), at(0.8), at(0.5)}, Sides: &[2]float64{0.4, 1.5}, Above: at(0.034), Below: at(0.012)},
			Acutance:       []acutance{{"a law", "film", "1/µm", at(1.234)}, {"another", "film", "1", nil}},
			Prints: []printOf{{Format: "24 × 36 mm", Enlargement: 8.4, WidthMM: 254, HeightMM: 203, DistanceMM: 300, Density: 0.9, ApertureUM: 57, GrainSD: at(0.012), DetailUM: at(20), ByEye: true, Acutance: at(0.8), Tones: []tones{{"the mill", "none", 3, 12.4, at(0.242), 0.31}}},
				{Format: "56 × 56 mm", Enlargement: 4.5, ApertureUM: 107, DetailUM: at(11), Tones: []tones{{"the mill", "8", 3, 20.4, nil, 0}}}, {Format: "another", Tones: []tones{{"left out", "", 0, 0, nil, 0}}}},
			Signal: &signal{Points: []signalPoint{{LogH: -2, ToNoise: 4}, {LogH: -1, ToNoise: 12}}, Ranges: []signalRange{{5, at(-2.1), at(0.2), true, false, at(400)}, {10, at(-1.5), at(0), false, true, nil}, {20, nil, nil, false, false, nil}}},
			Limits: []string{"A limit."}, Warnings: []string{"A warning."}, film: "Swift in Tarren"}
		r.spectra = []spectrumOf{{3, []structure.Bin{{Frequency: 5, Power: 4, Raw: 5}, {Frequency: 10, Power: 3, Raw: 4}, {Frequency: 20, Power: -1, Raw: 2}, {Frequency: 30, Power: 1, Raw: 1}}, 0.5},
			{6, []structure.Bin{{Frequency: 5, Power: 2, Raw: 2}, {Frequency: 10, Power: math.NaN(), Raw: 1}}, 1.2}}
		change(r)
		return r
	}
	return map[string]*result{
		"full": full(func(*result) {}), "invented": full(func(r *result) { r.Invented, r.film = true, "" }), "not corrected": full(func(r *result) { r.SetUp.Corrected = false }), "no noise": full(func(r *result) { r.SetUp.Electrons = nil }),
		"cannot": full(func(r *result) { r.SetUp.CanMeasure = false }), "no flare": full(func(r *result) { r.SetUp.Flare = nil }), "no law": full(func(r *result) { r.Law = nil }), "no bend": full(func(r *result) { r.Law.Bend, r.Law.At1 = 0, nil }),
		"no film response": full(func(r *result) { r.FilmResponse = nil }), "no camera response": full(func(r *result) { r.CameraResponse = nil }), "no edge": full(func(r *result) { r.FilmResponse.Above = nil }),
		"a lens": full(func(r *result) { r.Prints[0].Lens = at(60) }), "no prints": full(func(r *result) { r.Prints = nil }), "no signal": full(func(r *result) { r.Signal = nil }), "no grain": full(func(r *result) { r.Granularity = nil }),
	}
}

// What is said and drawn of results is what it was.
func TestWords(t *testing.T) {
	said := held.New(t)
	for name, r := range results() {
		var out strings.Builder
		r.print(&out)
		said.Look(name, strings.Split(out.String(), "\n"))
		for _, d := range r.drawings() {
			files := figure.Files{}
			if err := files.Draw("x", d.plot, 10*vg.Centimeter, 6*vg.Centimeter); err != nil {
				t.Errorf("%s, %s: %v", name, d.name, err)
			}
			said.Values(name+", "+d.name, d.caption[:20], d.alt, strings.Count(string(files["x.svg"]), "L"))
			for _, v := range []float64{d.plot.X.Min, d.plot.X.Max, d.plot.Y.Min, d.plot.Y.Max} {
				said.Look(name+", "+d.name+", axes", v)
			}
		}
	}
}

// A spectrum as a function goes through its values, straight between them, is constant below and leaves out what is none.
func TestPower(t *testing.T) {
	bins := []structure.Bin{{Frequency: 5, Power: 4}, {Frequency: 10, Power: 3}, {Frequency: 15, Power: math.NaN()}, {Frequency: 20, Power: -1}, {Frequency: 30, Power: 1}}
	w, upTo := (spectrumOf{bins: bins}).power()
	if upTo != 30 {
		t.Errorf("up to %v", upTo)
	}
	for _, c := range [][2]float64{{1, 4}, {5, 4}, {7.5, 3.5}, {10, 3}, {15, 1.5}, {20, 0}, {25, 0.5}, {30, 1}, {12, 2.4}, {6, 3.8}, {5, 4}, {29, 0.9}, {11, 2.7}, {0, 4}} { // to and fro
		if got := w(c[0]); math.Abs(got-c[1]) > 1e-12 {
			t.Errorf("at %v: %v, want %v", c[0], got, c[1])
		}
	}
	for n := range 2 {
		if w, upTo := (spectrumOf{bins: bins[:n]}).power(); w != nil || upTo != 0 {
			t.Errorf("of %d: a function up to %v", n, upTo)
		}
	}
	res := &result{}
	if _, ok := res.powerAt(1); ok {
		t.Error("a spectrum of none")
	}
	for _, d := range []sensito.Density{0.2, 0.7, 1.1, 1.1001} {
		res.spectra = append(res.spectra, spectrumOf{step: len(res.spectra), d: d})
	}
	for _, c := range []struct {
		d    float64
		step int
	}{{0, 0}, {0.44, 0}, {0.46, 1}, {0.89, 1}, {0.91, 2}, {3, 3}} {
		if s, ok := res.powerAt(c.d); !ok || s.step != c.step {
			t.Errorf("at %v: %d", c.d, s.step)
		}
	}
}

// Prints on paper: with a lens and without, near and far, larger and softer.
func TestPrintsOnPaper(t *testing.T) {
	said := held.New(t)
	for name, p := range map[string]paper{"usual": {254, 203, 300, 1.6, 0}, "a lens": {254, 203, 300, 1.6, 40}, "far": {254, 203, 900, 1.6, 0}, "large": {508, 406, 300, 1.6, 0}, "soft": {254, 203, 300, 0.8, 0},
		"no size": {0, 203, 300, 1.6, 0}, "no distance": {254, 203, 0, 1.6, 0}} {
		r := results()["full"]
		r.Prints, r.Warnings = nil, nil
		r.prints(p, nil, nil, nil)
		said.Look(name, []any{r.Prints, r.Warnings})
	}
	r := results()["full"]
	r.Prints, r.spectra = nil, nil
	if r.prints(paper{254, 203, 300, 1.6, 0}, nil, nil, nil); r.Prints != nil {
		t.Error("prints of no spectrum")
	}
	r.spectra = results()["full"].spectra[1:]
	if r.prints(paper{254, 203, 300, 1.6, 0}, nil, nil, nil); r.Prints != nil {
		t.Error("prints of a spectrum of one frequency")
	}
}

// The index of a process without one is the speed of its curve; a film without a sensitivity has no shift of the sky's light.
func TestIndexAndSky(t *testing.T) {
	film, err := actinic.LoadFilm(madeFilm)
	if err != nil {
		t.Fatal(err)
	}
	p, err := film.Process(madeProcess)
	if err != nil {
		t.Fatal(err)
	}
	curve, err := p.Curve(0)
	if err != nil {
		t.Fatal(err)
	}
	x, err := indexOf(p, curve)
	if own, err2 := p.Index(); err != nil || err2 != nil || x != own.Index.Value {
		t.Errorf("%v, %v, %v", x, err, err2)
	}
	d := film.Data()
	d.Processes[0].Index, d.Sensitivity = nil, nil
	bare, err := actinic.NewFilm(d)
	if err != nil {
		t.Fatal(err)
	}
	p, err = bare.Process(madeProcess)
	if err != nil {
		t.Fatal(err)
	}
	speed, err := sensito.Index(curve, sensito.FixedDensity)
	if x, err2 := indexOf(p, curve); err != nil || err2 != nil || x != speed.Value {
		t.Errorf("%v of %v, %v, %v", x, speed, err, err2)
	}
	if _, known := skyShift(bare); known {
		t.Error("a shift without a sensitivity")
	}
	if shift, known := skyShift(film); !known || !(shift < 0 && shift > -2) {
		t.Errorf("%v, %v", shift, known)
	}
}

// Gradients of one density twice count once; they need not be in order, nor differ.
func TestGradientsTwice(t *testing.T) {
	l, err := newGradients([]float64{1.5, 0.5, 0.5 + 5e-7, 1.5 + 2e-6, 1}, []float64{0.8, 0.4, 9, 0.8, 0.8})
	if err != nil || len(l.d) != 4 || l.g[0] != 0.4 {
		t.Fatalf("%+v, %v", l, err)
	}
	if lo, hi := l.span(); lo != 0.5 || hi != 1.5+2e-6 {
		t.Errorf("%v to %v", lo, hi)
	}
	if got, want := l.logH(1.5)-l.logH(1), 0.5/0.8; math.Abs(got-want) > 1e-12 {
		t.Errorf("%v, want %v where they do not differ", got, want)
	}
	for _, bad := range []float64{0, -1, math.NaN()} {
		if _, err := newGradients([]float64{1, 2}, []float64{0.5, bad}); err == nil {
			t.Errorf("a gradient of %v", bad)
		}
	}
}
