package roll

import (
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"

	"example.org/actinic/internal/bracketfit"
	"example.org/actinic/internal/held"
	"example.org/actinic/sensito"
	"example.org/actinic/sensito/tone"
)

// What is found on a strip is told in a sentence of its own kind, and what it does where it does something.
func TestWordsOfFindings(t *testing.T) {
	said := held.New(t)
	told := func(name, text string) { said.Refused(name, errors.New(text)) }
	for _, what := range []string{sensito.FindWild, sensito.FindLeak, sensito.FindForm, sensito.FindDrift, sensito.FindNoise, "other"} {
		for _, p := range []float64{0.5, 0.51} {
			told(what, stripWords(sensito.Finding{What: what, Step: 3, LogH: -2.456, Shift: 0.123, Probability: p}, "A"))
		}
	}
	at := func(with, without float64) *sensito.Effect {
		return &sensito.Effect{Measure: "speed_point_log_h", With: sensito.Estimate{Value: with}, Without: sensito.Estimate{Value: without}}
	}
	// 0.8 over the exposure of the speed point (ISO 6): 10^-2.602 lx s is 320, 10^-2.7 is 401.
	for want, e := range map[string]*sensito.Effect{
		" By the fixed density the strip has EI 401 without, 320 with it.":  at(-2.6021, -2.7),
		" By the fixed density the strip has EI 401 without, none with it.": at(math.NaN(), -2.7),
		" Its average gradient is 0.600 without, 0.650 with it.":            {Measure: "average_gradient", With: sensito.Estimate{Value: 0.65}, Without: sensito.Estimate{Value: 0.6}},
		"": {Measure: "average_gradient", With: sensito.Estimate{Value: 0.6001}, Without: sensito.Estimate{Value: 0.6}},
	} {
		if got := effectWords(e); got != want {
			t.Errorf("%+v: %q, want %q", e, got, want)
		}
	}
	if got := effectWords(&sensito.Effect{Measure: "gamma"}) + effectWords(at(math.NaN(), math.NaN())); got != "" {
		t.Errorf("%q of nothing", got)
	}
	b := &frames{names: []string{"1", "2"}, lines: map[[2]int]int{{1, 0}: 7, {1, 1}: 8, {0, 0}: 3}}
	got := &bracketfit.Result{LogIndex: 2.6, Low: 2.5, High: 2.7, Trusting: 2.9}
	for _, f := range []bracketfit.Finding{{Frame: -1, Tone: -1, Off: 0.08, Probability: 0.9}, {Frame: 1, Tone: -1, Off: -1.5}, {Frame: 1, Tone: 1, Off: 0.2}} {
		x := b.finding(f, got)
		said.Values(x.Text, x.What, x.Frame, x.Line, x.File, x.Probability, x.Effect.Number, x.Effect.With.Value, x.Effect.Without.Value, x.Effect.Without.Low, x.Effect.Without.High)
	}
	if faster(0.25) != "0.2 stops faster" || faster(-1.26) != "1.3 stops slower" || veilWords(sensito.Exact(0.0123)) != "1.2 %" || veilWords(sensito.Estimate{Value: 0.0123, Low: 0.01, High: 0.02}) != "1.2 % (1.0 to 2.0)" {
		t.Error("words of numbers")
	}
	if a, b, c := flareWords("bracket"), flareWords("usual figure"), flareWords("stated"); a != "as the shadow of the bracket has it" || b != "a usual figure, not measured" || c != "stated" {
		t.Errorf("%q %q %q", a, b, c)
	}
	one, two := 0.5, 1.25
	if w := patchWords(FrameRecord{Shadow: &one, Highlight: &two}); w != ", shadow 0.50, highlight 1.25" {
		t.Errorf("%q", w)
	}
	for details, want := range map[string]string{"": "its tester and date:", "tester": "its date:", "date": "its tester:"} {
		if s := (&Record{Details: map[string]string{details: "x"}}).unsigned(); !strings.Contains(s, want) {
			t.Errorf("%q, want %q", s, want)
		}
	}
}

// The four lines of the box and what limits an index, for each way in which parts of them may be missing.
func TestBoxAndLimits(t *testing.T) {
	said := held.New(t)
	inf, nan := math.Inf(1), math.NaN()
	e := func(v, lo, hi float64) *sensito.Estimate { return &sensito.Estimate{Value: v, Low: lo, High: hi} }
	for _, c := range []struct {
		name        string
		index       *sensito.Estimate
		from        string
		with        *sensito.Estimate // development of the index
		development *sensito.Estimate
		tested      *IndexRecord
		findings    int
	}{
		{"nothing", nil, "", nil, nil, nil, 0},
		{"a development alone", nil, "", nil, e(480, 450, 520), nil, 0},
		{"a development without an end", nil, "", nil, e(480, 450, inf), nil, 0},
		{"a development that is not known well", nil, "", nil, e(480, nan, nan), nil, 0},
		{"a pair", e(400, 320, 500), "curves", e(480, 450, 520), e(480, 450, 520), nil, 1},
		{"a pair without an end", e(400, 320, 500), "curves", e(480, 450, inf), e(480, 450, inf), nil, 2},
		{"a pair that is exact", e(400, 320, 500), "curves", e(480, 480, 480), e(480, 480, 480), nil, 0},
		{"an index that is not known well", e(400, nan, nan), "strip A", e(480, 480, 480), nil, nil, 0},
		{"an index from nothing", e(400, 0, 500), "strip A", e(480, 480, 480), nil, nil, 0},
		{"another development", e(400, 320, 500), "strip A", e(300, 300, 300), e(480, 450, 520), nil, 0},
		{"not said", e(400, 320, 500), "bracket", nil, nil, nil, 0},
		{"moved far", e(400, 200, 800), "bracket, moved", e(480, 450, 520), e(480, 450, 520), &IndexRecord{Estimate: *e(400, 282, 567), Development: e(300, 300, 300)}, 0},
		{"moved little", e(400, 200, 800), "bracket, moved", e(480, 450, 520), e(480, 450, 520), &IndexRecord{Estimate: *e(400, 201, 796), Development: e(300, 300, 300)}, 0},
		{"moved from what was not said", e(400, 200, 800), "bracket, moved", e(480, 450, 520), e(480, 450, 520), &IndexRecord{Estimate: *e(400, 350, 450)}, 0},
		{"moved from what is not known", e(400, 200, 800), "bracket, moved", e(480, 450, 520), e(480, 450, 520), &IndexRecord{Estimate: *e(400, 0, 450)}, 0},
	} {
		r := &builder{Record: Record{Process: "P", Development: c.development, IndexAsTested: c.tested, Findings: make([]Finding, c.findings), Bracket: &BracketRecord{BelowMeter: 4, Target: 0.3}}}
		if c.index != nil {
			r.Index = &IndexRecord{Estimate: *c.index, From: c.from, Development: c.with, History: "so"}
		}
		r.recommend()
		said.Values(c.name, r.Box())
		said.Refused(c.name, fmt.Errorf("%s", strings.Join(r.Recommendation[:len(r.Recommendation)-1], " ")))
	}
	r := &builder{Record: Record{Exposure: "relative"}}
	r.recommend()
	said.Values("relative", r.Box(), r.Recommendation[0])
}

// A bracket that differs from the strips by the placing of the shadow, within half a stop, is as it should be: a shadow 4
// stops down makes 0.68 of a stop, since the speed point lies 3.32 under the meter reading.
func TestBracketBesideStrips(t *testing.T) {
	said := held.New(t)
	for _, c := range []struct {
		off   float64 // stops by which the strips are faster
		found bool
	}{{0.68, false}, {0.68 + 0.49, false}, {0.68 - 0.49, false}, {0.68 + 0.51, true}, {0.68 - 0.51, true}, {-1, true}} {
		r := threeStrips(t)
		v, _ := r.speedAt(480)
		s := 480.0
		r.Bracket = &BracketRecord{Index: about(v/math.Exp2(c.off), 1), DevelopmentS: &s, BelowMeter: 4}
		var text string
		r.compareWithStrips(func(format string, args ...any) { text = fmt.Sprintf(format, args...) })
		if (len(r.Findings) == 1) != c.found || (text == "") != c.found {
			t.Errorf("%v stops faster: %q, %+v", c.off, text, r.Findings)
			continue
		}
		if c.found {
			text = r.Findings[0].Text
			if e := r.Findings[0].Effect; math.Abs(e.Without.Value/(v*math.Exp2(math.Log2(10)-4))-1) > 1e-9 || e.With != *r.Bracket.Index {
				t.Errorf("effect %+v", e)
			}
		}
		said.Refused(fmt.Sprint(c.off), errors.New(text))
	}
	r := threeStrips(t)
	r.Bracket = &BracketRecord{Index: about(400, 1), BelowMeter: 4}
	r.Development = about(480, 1)
	n := 0
	count := func(string, ...any) { n++ }
	r.compareWithStrips(count)
	r.Exposure = "relative"
	r.compareWithStrips(count)
	r.Exposure, r.speeds = "", nil
	if r.compareWithStrips(count); n+len(r.Findings) != 1 {
		t.Errorf("%d sentences, %d findings", n, len(r.Findings))
	}
}

// The lines about tones, with each part of them missing.
func TestLinesOfTones(t *testing.T) {
	said := held.New(t)
	spare, less, sensor := sensito.Stops(2), sensito.Stops(-1.5), sensito.Stops(8)
	full := TonesRecord{Index: 400, DevelopmentS: 480, LogFlare: 0.4, FlareFrom: "bracket", Veil: sensito.Estimate{Value: 0.05, Low: 0.04, High: 0.06}, Shadow: -4, Highlight: 3,
		DensityRange: about(1.1, 0.02), Papers: []PaperFit{{tone.Paper{Name: "grade 2", Least: 0.95, Most: 1.15}, tone.Fits, true}, {tone.Paper{Name: "grade 3", Least: 0.8, Most: 0.95}, tone.TooLong, false}},
		Copy: &tone.Copy{Open: 1, Span: 6, Spare: &spare}, SensorStops: &sensor}
	for name, change := range map[string]func(x *TonesRecord){
		"full":         func(*TonesRecord) {},
		"no range":     func(x *TonesRecord) { x.DensityRange = nil },
		"exact":        func(x *TonesRecord) { x.DensityRange = about(1.1, 0) },
		"without ends": func(x *TonesRecord) { x.DensityRange = about(1.1, math.Inf(1)) },
		"no papers":    func(x *TonesRecord) { x.Papers = nil },
		"no copy":      func(x *TonesRecord) { x.Copy = nil },
		"no sensor":    func(x *TonesRecord) { x.Copy = &tone.Copy{Open: 1, Span: 6} },
		"just enough":  func(x *TonesRecord) { x.Copy = &tone.Copy{Open: 1, Span: 8, Spare: new(sensito.Stops)} },
		"too short":    func(x *TonesRecord) { x.Copy = &tone.Copy{Open: 1, Span: 9.5, Spare: &less} },
	} {
		x := full
		change(&x)
		said.Values(name, (&Record{Tones: &x}).TonesLines())
	}
	if got := (&Record{}).TonesLines(); got != nil {
		t.Errorf("%v of no tones", got)
	}
	for _, v := range []float64{-1, 0, 0.2} {
		x := full
		x.copy(Subject{Sensor: 8}, sensito.Density(v), []tone.Tone{{}, {Density: about(2, 0)}})
		if want := max(v, 0) / math.Log10(2); math.Abs(float64(x.Copy.Open)-want) > 1e-9 {
			t.Errorf("from a base of %v: %+v", v, x.Copy)
		}
	}
}

// A flare of the copying camera that was not stated is told with what 1.5 % of it would make of the densest reading.
func TestCopyFlare(t *testing.T) {
	said := held.New(t)
	read := func(ds ...sensito.Density) []Strip {
		s := Strip{Name: "A"}
		for _, d := range ds {
			s.Readings = append(s.Readings, sensito.Reading{Density: d})
		}
		return []Strip{s}
	}
	raw := &sensito.Scan{Light: 800}
	for name, roll := range map[string]*Roll{
		"densities":    {Strips: read(1, 2)},
		"known":        {raw: raw, flareKnown: true, Strips: read(1, 2)},
		"no density":   {raw: raw, Strips: read(0)},
		"strips":       {raw: raw, Strips: read(0.5, 1.2, 0.8)},
		"frames":       {raw: raw, Strips: read(0.5), Bracket: []FrameReading{{Density: 1.4}, {Density: 1.2}}},
		"all is flare": {raw: raw, Strips: read(1.83)},
	} {
		r := &builder{}
		r.copyFlare(roll)
		said.Values(name, r.Findings)
		if (len(r.Findings) > 0) != (roll.raw != nil && !roll.flareKnown && name != "no density") {
			t.Errorf("%s: %v", name, r.Findings)
		}
	}
	// By hand: 10^-1.2 = 0.06310; (0.06310 - 0.015)/0.985 = 0.04883, which is a density of 1.311.
	r := &builder{}
	if r.copyFlare(&Roll{raw: raw, Strips: read(1.2)}); !strings.Contains(r.Findings[0].Text, "a density read as 1.20 would be 1.31:") {
		t.Errorf("%+v", r.Findings)
	}
}
