package roll

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"example.org/actinic/internal/bracketfit"
	"example.org/actinic/internal/held"
	"example.org/actinic/internal/lsq"
	"example.org/actinic/internal/stripset"
	"example.org/actinic/sensito"
)

// about is an estimate with an interval of two standard deviations of a roll's numbers.
func about(v, sd float64) *sensito.Estimate {
	return &sensito.Estimate{Value: v, Low: v - lsq.Normal95*sd, High: v + lsq.Normal95*sd}
}

// threeStrips is a roll of strips of 5, 8 and 12 min whose speed points are known and fall with time.
func threeStrips(t *testing.T) *builder {
	t.Helper()
	r := &builder{fogged: map[string]float64{}}
	r.TargetAverageGradient = 0.58
	for i, minutes := range []float64{5, 8, 12} {
		s := StripRecord{Strip: string(rune('A' + i)), DevelopmentS: 60 * minutes, BaseFog: 0.2 + 0.02*float64(i), SpeedPointLogH: -2 - 0.1*float64(i),
			AverageGradient: about(0.5+0.1*float64(i), 0.01)}
		r.Strips = append(r.Strips, s)
		u := stripset.Strip{Minutes: minutes, Value: [3]float64{s.BaseFog, s.SpeedPointLogH, math.Log(s.AverageGradient.Value)}}
		for k := range u.Cov {
			u.Cov[k][k] = 1e-6
		}
		r.set = append(r.set, u)
	}
	r.course()
	if r.speeds == nil {
		t.Fatal("no course of the speed")
	}
	return r
}

// The index of a bracket and the development that belongs to it, in each of the ways in which
// they come together.
func TestPairs(t *testing.T) {
	said := held.New(t)
	minutes := func(m float64) *float64 { s := 60 * m; return &s }
	for _, c := range []struct {
		name            string
		bracket, target *float64 // developments, in seconds
		course          bool
		from            string
		tested          bool // another index was moved
	}{
		{"as recommended", minutes(8), minutes(8.04), true, "bracket", false},
		{"hardly another", minutes(8), minutes(8.09), true, "bracket, moved by the strips", true},
		{"moved", minutes(8), minutes(12), true, "bracket, moved by the strips", true},
		{"beyond the strips", minutes(8), minutes(13), true, "bracket", false},
		{"from beyond the strips", minutes(4), minutes(8), true, "bracket", false},
		{"no course", minutes(8), minutes(12), false, "bracket", false},
		{"no target", minutes(8), nil, true, "bracket", false},
		{"nothing known", nil, nil, true, "bracket", false},
		{"not said", nil, minutes(8), true, "bracket, moved by the strips", true},
		{"not said, no course", nil, minutes(8), false, "bracket", false},
		{"not said, beyond", nil, minutes(20), true, "bracket", false},
	} {
		r := threeStrips(t)
		if !c.course {
			r.speeds = nil
		}
		r.Bracket = &BracketRecord{Index: &sensito.Estimate{Value: 400, Low: 320, High: 500}, DevelopmentS: c.bracket, BelowMeter: 4, Target: 0.32}
		if c.target != nil {
			r.Development = about(*c.target, 12)
		}
		r.index()
		x := r.Index
		if x.From != c.from || (r.IndexAsTested != nil) != c.tested {
			t.Errorf("%s: %+v, as tested %+v", c.name, x, r.IndexAsTested)
		}
		if !c.tested && x.Value != 400 {
			t.Errorf("%s: index %v, want that of the bracket", c.name, x.Value)
		}
		r.recommend()
		said.Look(c.name, r.Record.Index)
		said.Refused(c.name, fmt.Errorf("%s | %s | %v", strings.Join(r.Recommendation[:len(r.Recommendation)-1], " "), r.Limits, r.Warnings))
		said.Values(c.name+", box", r.Box(), r.PairGradient())
	}
}

// From 8 to 12 min the speed points fall by about 0.1, so the index gains as much in log10, and
// its variance is the sum of those of the index, of the move and of the time by the slope; of a
// development that was not said it is besides that among the strips.
func TestMovedIndex(t *testing.T) {
	r := threeStrips(t)
	r.Bracket = &BracketRecord{Index: &sensito.Estimate{Value: 400, Low: 320, High: 500}, DevelopmentS: new(float64)}
	*r.Bracket.DevelopmentS, r.Development = 480, about(720, 60)
	r.index()
	change, sdMove, _ := r.speeds.Move(8, 12)
	if math.Abs(change-0.1) > 0.02 {
		t.Errorf("a move of %.4f, want about 0.1", change)
	}
	own := math.Log10(500.0/320) / (2 * lsq.Normal95)
	want := math.Sqrt(own*own + sdMove*sdMove + math.Pow(r.speeds.Slope(12), 2)) // the time is known to a minute
	_, sd := logIndex(r.Index.Estimate)
	if math.Abs(r.Index.Value/(400*math.Pow(10, change))-1) > 1e-9 || math.Abs(sd/want-1) > 1e-9 {
		t.Errorf("%+v ± %.5f, want %.3f ± %.5f", r.Index, sd, 400*math.Pow(10, change), want)
	}
	r = threeStrips(t)
	r.Bracket, r.Development = &BracketRecord{Index: &sensito.Estimate{Value: 400, Low: 320, High: 500}}, about(480, 60)
	r.index()
	var sum, square float64
	for _, from := range []float64{5, 8, 12} {
		change, s, _ := r.speeds.Move(from, 8)
		sum, square = sum+change/3, square+(change*change+s*s)/3
	}
	want = math.Sqrt(own*own + square - sum*sum + math.Pow(r.speeds.Slope(8), 2))
	_, sd = logIndex(r.Index.Estimate)
	if math.Abs(r.Index.Value/(400*math.Pow(10, sum))-1) > 1e-9 || math.Abs(sd/want-1) > 1e-9 {
		t.Errorf("%+v ± %.5f, want %.3f ± %.5f", r.Index, sd, 400*math.Pow(10, sum), want)
	}
}

// Without a bracket the strips give the index: their course at the development for the target,
// else the strip whose contrast is nearest to it.
func TestIndexOfStrips(t *testing.T) {
	r := threeStrips(t)
	r.Development = about(480, 60)
	r.index()
	h, s, _ := r.speeds.At(8)
	want := math.Hypot(s, r.speeds.Slope(8))
	if _, sd := logIndex(r.Index.Estimate); r.Index.From != "curves" || math.Abs(r.Index.Value/sensito.SpeedAt(sensito.LogH(h)).Value-1) > 1e-9 || math.Abs(sd/want-1) > 1e-9 {
		t.Errorf("%+v ± %v, want ± %v", r.Index, sd, want)
	}
	if g := r.PairGradient(); g != 0.58 {
		t.Errorf("at the recommended development the gradient is %v", g)
	}
	for name, change := range map[string]func(r *builder){
		"beyond the strips": func(r *builder) { r.Development = about(900, 60) },
		"no course":         func(r *builder) { r.Development, r.speeds = about(500, 60), nil },
		"no development":    func(*builder) {},
		"one without gradient": func(r *builder) {
			r.Strips[0].AverageGradient = nil
		},
	} {
		r := threeStrips(t)
		change(r)
		r.index()
		if r.Index.From != "strip B" || r.Index.Development.Value != 480 || math.Abs(r.Index.Value/sensito.SpeedAt(-2.1).Value-1) > 1e-9 {
			t.Errorf("%s: %+v", name, r.Index)
		}
		if g := r.PairGradient(); math.Abs(g-0.6) > 1e-9 {
			t.Errorf("%s: gradient %v, want that of the strip", name, g)
		}
	}
	r = threeStrips(t)
	r.Exposure = "relative"
	if r.index(); r.Index != nil || r.PairGradient() != 0 {
		t.Errorf("of relative exposures: %+v", r.Index)
	}
	for _, c := range []struct {
		index float64
		there bool
	}{{0.1, true}, {0.0999, false}, {1e6, true}, {1.001e6, false}} {
		r := threeStrips(t)
		r.Bracket = &BracketRecord{Index: &sensito.Estimate{Value: c.index, Low: c.index / 2, High: c.index * 2}}
		if r.index(); (r.Index != nil) != c.there || (len(r.Warnings) == 0) != c.there {
			t.Errorf("index %v: %+v, %v", c.index, r.Index, r.Warnings)
		}
	}
}

// Each thing that strips held against each other may show, with what follows.
func TestStripsTogether(t *testing.T) {
	said := held.New(t)
	for _, c := range []struct {
		kind        stripset.Kind
		size        float64
		left, words string
	}{
		{stripset.Fog, 0.06, "[]", "0.22, lies 0.06 above"}, {stripset.Slower, 0.3, "[speed]", "+0.30"}, {stripset.Contrast, -0.2, "[contrast]", "0.60 is -18 % off"},
		{stripset.Swapped, 0, "[]", "Strips B (8:00) and C (12:00) seem exchanged"}, {stripset.Time, 9.5, "[speed contrast]", "about 9:30 would go"}, {stripset.Unlike, 0, "[]", "Nothing was left out"},
	} {
		r := threeStrips(t)
		r.putTogether(stripset.Finding{Kind: c.kind, Strip: 1, Other: 2, Size: c.size, Probability: 0.9}, &Roll{Strips: []Strip{{Name: "A", FirstLine: 2}, {Name: "B", FirstLine: 9}}})
		f, s := r.Findings[0], r.Strips[1]
		if !strings.Contains(f.Text, c.words) || f.Line != 9 || f.Probability != 0.9 || fmt.Sprint(s.LeftOut) != c.left {
			t.Errorf("%v: %+v, left out of %v", c.kind, f, s.LeftOut)
		}
		if by := r.fogged["B"]; (c.kind == stripset.Fog) != (by == c.size && by != 0) {
			t.Errorf("%v: fogged by %v", c.kind, by)
		}
		if c.kind == stripset.Swapped && (s.Taken() != 720 || r.Strips[2].Taken() != 480 || r.set[1].Minutes != 12 || r.set[2].Minutes != 8) {
			t.Errorf("exchanged: %v s and %v s, %v", s.Taken(), r.Strips[2].Taken(), r.set)
		}
		said.Refused(c.kind.String(), fmt.Errorf("%s", f.Text))
		said.Look(c.kind.String(), f.Effect)
	}
	r := &builder{Record: Record{Strips: make([]StripRecord, 1)}}
	if (&Roll{}).lineOf("A") != 0 || math.Abs(timeSD(about(480, 30))-0.5) > 1e-12 || !r.Strips[0].takes("speed") {
		t.Error("a strip of no file")
	}
}

// frame is a bracket's frame at an index.
func frame(name string, index float64) FrameRecord { return FrameRecord{Frame: name, Index: index} }

// The frames beside an index: it lies between them, on the lower one, or at an end.
func TestNeighbours(t *testing.T) {
	fs := []FrameRecord{frame("1", 100), frame("2", 200), frame("3", 400)}
	for index, want := range map[float64]string{50: "[]", 100: "[1 2]", 150: "[1 2]", 199.9: "[1 2]", 200: "[2 3]", 399: "[2 3]", 400: "[3]", 900: "[3]"} {
		if got := fmt.Sprint(neighbours(fs, index)); got != want {
			t.Errorf("EI %v lies beside %s, want %s", index, got, want)
		}
	}
}

// An index is given up to half a stop beyond the frames, and where it is known within five stops.
func TestBeyond(t *testing.T) {
	said := held.New(t)
	b := &frames{Bracket: bracketfit.Bracket{LogIndex: []float64{2, 3}}}
	for _, c := range []struct {
		at, half float64
		ok       bool
	}{
		{2.5, 0.1, true}, {3.14, 0.1, true}, {3.16, 0.1, false}, {1.86, 0.1, true}, {1.84, 0.1, false}, {2.5, 0.74, true}, {2.5, 0.76, false},
		{math.NaN(), 0.1, false}, {2.5, math.Inf(1), false}, {400, 0.1, false},
	} {
		why := b.beyond(&bracketfit.Result{LogIndex: c.at, Low: c.at - c.half, High: c.at + c.half})
		said.Values(fmt.Sprint(c.at, " ± ", c.half), why)
		if (why == "") != c.ok {
			t.Errorf("%v ± %v: %q", c.at, c.half, why)
		}
	}
}

// Many patches are joined in order of exposure: as many of each as can be, with their means.
func TestThinned(t *testing.T) {
	var ps []bracketfit.Patch
	for i := range 180 {
		k := float64(179 - i)
		ps = append(ps, bracketfit.Patch{LogH: k / 100, Density: k / 50, SD: 0.01})
	}
	if got := thinned(ps[:mostPatches]); len(got) != 60 || got[0].LogH != 1.79 {
		t.Errorf("%d patches, the first at %v: sixty stay as they are", len(got), got[0].LogH)
	}
	got := thinned(ps)
	if len(got) != 60 {
		t.Fatalf("%d patches", len(got))
	}
	for i, p := range got { // three each, of which the middle one is the mean
		if k := float64(3*i + 1); math.Abs(p.LogH-k/100) > 1e-12 || math.Abs(p.Density-k/50) > 1e-12 || math.Abs(p.SD-0.01) > 1e-12 {
			t.Errorf("patch %d: %+v", i, p)
		}
	}
}

// A tone that was read several times counts with the mean, and with the greatest deviation where each has one; so do
// unexposed patches beyond the twentieth.
func TestGather(t *testing.T) {
	roll := &Roll{Bracket: []FrameReading{
		{Frame: "a", Index: 100, Tone: Shadow, Density: 0.3, SD: 0.01, Line: 2}, {Frame: "a", Index: 100, Tone: Shadow, Density: 0.4, SD: 0.02, Line: 3}, {Frame: "a", Index: 100, Tone: Shadow, Density: 0.8, SD: 0.01, Line: 4},
		{Frame: "b", Index: 1000, Tone: Midtone, Density: 0.9, Line: 5}, {Frame: "b", Index: 1000, Tone: Midtone, Density: 0.7, SD: 0.01, Line: 6}, {Frame: "b", Index: 1000, Tone: Shadow, Density: 0.2, SD: 0.01, Line: 7},
	}}
	for i := range 23 {
		roll.Bracket = append(roll.Bracket, FrameReading{Tone: Unexposed, Density: sensito.Density(0.2 + 0.01*float64(i))})
	}
	b := roll.gather(4)
	for i, want := range []bracketfit.Reading{{Frame: 0, Tone: 0, Density: 0.5, SD: 0.02}, {Frame: 1, Tone: 1, Density: 0.8}, {Frame: 1, Tone: 0, Density: 0.2, SD: 0.01}} {
		if got := b.Readings[i]; got.Frame != want.Frame || got.Tone != want.Tone || math.Abs(got.Density-want.Density) > 1e-12 || got.SD != want.SD {
			t.Errorf("reading %d: %+v, want %+v", i, got, want)
		}
	}
	if n := len(b.Unexposed); n != 20 || math.Abs(b.Unexposed[19].Density-(0.39+0.40+0.41+0.42)/4) > 1e-12 || b.Unexposed[18].Density != 0.2+0.18 {
		t.Errorf("%d unexposed patches, the last %+v", n, b.Unexposed[n-1])
	}
	if len(b.names) != 2 || b.LogIndex[0] != 2 || b.LogIndex[1] != 3 || b.Tones[0].Stops != -4 || b.Tones[2].Stops != 3 || b.firstLine(0) != 2 || b.firstLine(1) != 5 {
		t.Errorf("%+v, lines %v", b.Bracket, b.lines)
	}
}
