package main

import (
	"encoding/json"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/plotter"
	"gonum.org/v1/plot/vg/draw"
	"gonum.org/v1/plot/vg/vgsvg"

	"example.org/actinic/devtime/roll"
	"example.org/actinic/examples/internal/golden"
	"example.org/actinic/examples/testroll/quarry"
	"example.org/actinic/internal/held"
	"example.org/actinic/sensito"
)

// records are the quarry's with one thing in each that is seldom so.
func records(t *testing.T) map[string]*roll.Record {
	t.Helper()
	test, err := roll.Read(quarry.Files)
	if err != nil {
		t.Fatal(err)
	}
	whole, err := test.Characterise(roll.Settings{})
	if err != nil {
		t.Fatal(err)
	}
	text, err := json.Marshal(whole)
	if err != nil {
		t.Fatal(err)
	}
	nan, inf := math.NaN(), math.Inf(1)
	at := func(v float64) *float64 { return &v }
	out := map[string]*roll.Record{}
	for name, change := range map[string]func(r *roll.Record){
		"whole":              func(*roll.Record) {},
		"no gradient":        func(r *roll.Record) { r.Strips[1].AverageGradient = nil },
		"gradient alone":     func(r *roll.Record) { g := r.Strips[1].AverageGradient; g.Low, g.High = nan, nan },
		"high gradient":      func(r *roll.Record) { g := r.Strips[4].AverageGradient; g.Value, g.Low, g.High = 0.9, 0.8, 1 },
		"no development":     func(r *roll.Record) { r.Development = nil },
		"long development":   func(r *roll.Record) { r.Development.Value = 3 * 1140 },
		"longer development": func(r *roll.Record) { r.Development.Value = 3*1140 - 1 },
		"open development":   func(r *roll.Record) { r.Development.High = nan },
		"exact development":  func(r *roll.Record) { r.Development.Low, r.Development.High = r.Development.Value, r.Development.Value },
		"no growth":          func(r *roll.Record) { r.ContrastTime = nil },
		"late induction":     func(r *roll.Record) { r.ContrastTime.Induction.Value = 7 },
		"early induction":    func(r *roll.Record) { r.ContrastTime.Induction.Value = -1 },
		"no index":           func(r *roll.Record) { r.Index = nil },
		"relative":           func(r *roll.Record) { r.Exposure = "relative"; r.Strips[0].RelativeSpeed = at(0.25) },
		"no strips":          func(r *roll.Record) { r.Strips = nil },
		"eight strips":       func(r *roll.Record) { r.Strips = append(r.Strips, r.Strips[:3]...) },
		"seven strips":       func(r *roll.Record) { r.Strips = append(r.Strips, r.Strips[:2]...) },
		"no bracket":         func(r *roll.Record) { r.Bracket = nil },
		"no frames":          func(r *roll.Record) { r.Bracket.Frames = nil },
		"no highlights": func(r *roll.Record) {
			for i := range r.Bracket.Frames {
				r.Bracket.Frames[i].Highlight, r.Bracket.Frames[i].Residuals = nil, nil
			}
			r.Bracket.Highlight = nil
		},
		"no index of frames":   func(r *roll.Record) { r.Bracket.Index = nil },
		"open index of frames": func(r *roll.Record) { r.Bracket.Index.High = inf },
		"index from nothing":   func(r *roll.Record) { r.Bracket.Index.Low = 0 },
		"readings' deviation": func(r *roll.Record) {
			r.Bracket.ReadingSD, r.Bracket.DevelopmentS, r.Bracket.Shape = at(0.0123), nil, ""
		},
		"a frame off": func(r *roll.Record) { r.Bracket.Frames[2].Off = at(-0.4) },
		"no residuals": func(r *roll.Record) {
			for i := range r.Strips {
				r.Strips[i].Account.Residuals, r.Strips[i].Account.UnexposedResiduals = nil, nil
			}
		},
		"residuals of one":   func(r *roll.Record) { r.Strips[0].Account.Residuals = nil },
		"more residuals":     func(r *roll.Record) { a := &r.Strips[0].Account; a.Residuals = append(a.Residuals, 0.3) },
		"great residual":     func(r *roll.Record) { r.Strips[1].Account.Residuals[3] = -0.21 },
		"residual at a mark": func(r *roll.Record) { r.Strips[1].Account.Residuals[3] = 0.05 },
		"wild": func(r *roll.Record) {
			r.Findings = append(r.Findings, roll.Finding{What: roll.WildReading, Strips: []string{"B"}, Step: 4, Text: "Step 4 is wild."})
		},
		"order": func(r *roll.Record) {
			r.Findings = append(r.Findings, roll.Finding{What: roll.Order, Strips: []string{"B", "C"}, Text: "They are out of order.", File: "strips.csv", Line: 7})
		},
		"of all": func(r *roll.Record) {
			r.Findings = append(r.Findings, roll.Finding{What: "other", Text: "Of nothing in particular."})
		},
		"no speeds":      func(r *roll.Record) { s := &r.Strips[2]; s.DeltaD, s.Speed.Low = nil, nil },
		"exact readings": func(r *roll.Record) { r.Strips[2].Readings[4].SD = 0 },
		"scatter":        func(r *roll.Record) { a := &r.Strips[2].Account; a.ChiSquare, a.Scatter = nil, at(0.0123) },
		"neither":        func(r *roll.Record) { a := &r.Strips[2].Account; a.ChiSquare, a.Scatter = nil, nil },
		"no tones":       func(r *roll.Record) { r.Tones = nil },
		"odd time":       func(r *roll.Record) { r.Strips[0].DevelopmentS = -1 },
	} {
		r := &roll.Record{}
		if err := json.Unmarshal(text, r); err != nil {
			t.Fatal(err)
		}
		for i := range r.Strips { // what JSON does not hold
			r.Strips[i].Curve = whole.Strips[i].Curve
		}
		growth := *whole.ContrastTime
		r.ContrastTime = &growth
		change(r)
		out[name] = r
	}
	return out
}

// slowly are the pictures that take their time, with the records that are drawn of them; the others would be the same.
var slowly = map[string][]string{
	"family": {"whole", "no index", "relative", "no strips"},
	"contrast": {"whole", "no gradient", "gradient alone", "high gradient", "no development", "long development", "longer development",
		"open development", "exact development", "no growth", "late induction", "early induction"},
}

// What is printed, tabled and drawn of records is what it was; of each the lines in which it differs from the whole.
func TestPartsOfRecords(t *testing.T) {
	said := held.New(t)
	all := records(t)
	lines := func(r *roll.Record) (out []string) {
		var b strings.Builder
		print(&b, r, false)
		out = strings.Split(b.String(), "\n")
		for _, part := range []struct {
			what string
			v    any
		}{{"box", testBox(r, "a test", about{})}, {"readings", readingTables(r)}, {"fits", fitTable(r)}, {"fit note", fitNote(r)}, {"frames", frameTable(r)}, {"frames' note", framesNote(r)},
			{"tones", tonesTable(r)}, {"family", familyWords(r)}, {"contrast", contrastWords(r)}, {"residuals", residualWords(r)}, {"about strips", aboutStrips(r)}, {"order", of(r, roll.Order)}} {
			text, err := json.Marshal(part.v)
			if err != nil {
				t.Fatal(err)
			}
			out = append(out, part.what+": "+string(text))
		}
		if frameTable(r) != nil {
			out = append(out, "bracket: "+bracketWords(r))
		}
		return out
	}
	drawn := func(p *plot.Plot) []string {
		if p == nil {
			return nil
		}
		svg := vgsvg.New(400, 260)
		p.Draw(draw.New(svg))
		var b strings.Builder
		if _, err := svg.WriteTo(&b); err != nil {
			t.Fatal(err)
		}
		return strings.Split(b.String(), "\n")
	}
	pictures := map[string]func(*roll.Record) *plot.Plot{"family": family, "contrast": contrast, "bracket": bracket, "residuals": residuals}
	usual := lines(all["whole"])
	shown := map[string][]string{}
	for of, draw := range pictures {
		shown[of] = drawn(draw(all["whole"]))
	}
	for name, r := range all {
		var other []string
		for _, l := range lines(r) {
			if !slices.Contains(usual, l) {
				other = append(other, l)
			}
		}
		said.Look(name, other)
		for of, draw := range pictures {
			if list, slow := slowly[of]; slow && !slices.Contains(list, name) {
				continue
			}
			if got := drawn(draw(r)); name == "whole" || !slices.Equal(got, shown[of]) {
				numbers := held.Numbers.FindAllString(strings.Join(got, "\n"), -1)
				said.Look(name+", "+of, []any{len(got), numbers})
			}
		}
	}
}

// Rows are marked by round numbers within their scale, in the middle alone where they are many.
func TestRowTicks(t *testing.T) {
	for _, c := range []struct {
		rows  int
		scale float64
		want  string
	}{{1, 0.01, "−0.01 0 +0.01"}, {1, 0.0199, "−0.01 0 +0.01"}, {1, 0.02, "−0.02 0 +0.02"}, {1, 0.0499, "−0.02 0 +0.02"}, {1, 0.05, "−0.05 0 +0.05"}, {1, 0.0999, "−0.05 0 +0.05"}, {1, 0.1, "−0.1 0 +0.1"},
		{1, 2, "−2 0 +2"}, {2, 0.01, "−0.01 0 +0.01 −0.01 0 +0.01"}, {crowded, 0.01, strings.TrimSpace(strings.Repeat("- 0 - ", crowded))}} {
		var got []string
		for i, tick := range rowTicks(c.rows, 2.4*c.scale, c.scale) {
			if got = append(got, tick.Label); tick.Label == "" {
				got[i] = "-"
			}
			if i%3 == 1 && math.Abs(tick.Value-(float64(i/3)+0.5)*2.4*c.scale) > 1e-12 {
				t.Errorf("%+v: a middle at %v", c, tick.Value)
			}
		}
		if s := strings.Join(got, " "); s != c.want {
			t.Errorf("%+v: %s", c, s)
		}
	}
}

// What is not finite is not drawn; bands are cut to the picture.
func TestDrawable(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	for _, c := range []struct {
		x, y float64
		want bool
	}{{0, 1, true}, {nan, 1, false}, {0, nan, false}, {inf, 0, false}, {0, -inf, false}} {
		if got := drawable(plotter.XYs{{X: 0, Y: 0}}, plotter.XYs{{X: c.x, Y: c.y}}); got != c.want {
			t.Errorf("%v, %v: %v", c.x, c.y, got)
		}
	}
	low, high := plotter.XYs{{X: 0, Y: -1}, {X: 1, Y: 0.5}}, plotter.XYs{{X: 0, Y: 1}, {X: 1, Y: 7}}
	if band(plot.New(), low, high, 2); low[0].Y != 0 || low[1].Y != 0.5 || high[0].Y != 1 || high[1].Y != 2 {
		t.Errorf("%v, %v", low, high)
	}
	high[0].Y = nan
	if band(plot.New(), low, high, 0.1); low[1].Y != 0.5 {
		t.Errorf("a band that is not drawn is cut: %v", low)
	}
	for _, c := range []struct {
		rs             []sensito.Density
		root, greatest float64
		step           int
	}{{nil, 0, 0, 0}, {[]sensito.Density{0}, 0, 0, 1}, {[]sensito.Density{3, -4}, math.Sqrt(12.5), -4, 2}, {[]sensito.Density{0.1, -0.1, 0.05}, math.Sqrt(0.0225 / 3), -0.1, 2}} {
		if root, greatest, step := rms(c.rs); math.Abs(root-c.root) > 1e-12 || greatest != c.greatest || step != c.step {
			t.Errorf("%v: %v, %v, %d", c.rs, root, greatest, step)
		}
	}
}

// Marks of indexes are those of the scale of speeds, with its ends; whole stops are numbered.
func TestIndexTicks(t *testing.T) {
	got := ""
	for _, tick := range (indexTicks{}).Ticks(100, 400) {
		got += fmt.Sprintf("%v%s ", tick.Value, tick.Label)
	}
	if want := "100100 125 160 200200 250 320 400400 "; got != want {
		t.Errorf("%q, want %q", got, want)
	}
}

// Without a place for it the report goes to out/testroll.
func TestHome(t *testing.T) {
	golden.Home(t, run, "")
}
