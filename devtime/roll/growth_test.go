package roll

import (
	"fmt"
	"math"
	"strings"
	"testing"
	"time"

	"example.org/actinic/internal/held"
	"example.org/actinic/sensito"
)

// Strips of two times give a growth of contrast, of one time none; those left out of the contrast, and those whose gradient
// is not determined beside others, are not counted.
func TestGrowthNeedsTwoTimes(t *testing.T) {
	said := held.New(t)
	for _, c := range []struct {
		name   string
		change func(r *builder)
		times  string // of the points, "" where there is no growth
	}{
		{"three", func(*builder) {}, "[5m0s 8m0s 12m0s]"},
		{"two", func(r *builder) { r.Strips = r.Strips[:2] }, "[5m0s 8m0s]"},
		{"one", func(r *builder) { r.Strips = r.Strips[:1] }, ""},
		{"one time", func(r *builder) { r.Strips = r.Strips[:2]; r.Strips[1].DevelopmentS = 300 }, ""},
		{"two of three", func(r *builder) { r.Strips[1].DevelopmentS = 720 }, "[5m0s 12m0s 12m0s]"},
		{"one left out", func(r *builder) { r.Strips[1].LeftOut = []string{"contrast"} }, "[5m0s 12m0s]"},
		{"speed left out", func(r *builder) { r.Strips[1].LeftOut = []string{"speed"} }, "[5m0s 8m0s 12m0s]"},
		{"without gradient", func(r *builder) { r.Strips[2].AverageGradient = nil }, "[5m0s 8m0s]"},
		{"not determined", func(r *builder) { r.Strips[0].AverageGradient = about(0.5, math.NaN()) }, "[8m0s 12m0s]"},
		{"exact", func(r *builder) {
			for i := range r.Strips {
				r.Strips[i].AverageGradient = about(r.Strips[i].AverageGradient.Value, 0)
			}
		}, "[5m0s 8m0s 12m0s]"},
		{"exchanged", func(r *builder) {
			a, b := &r.Strips[0], &r.Strips[1]
			a.AverageGradient, b.AverageGradient = b.AverageGradient, a.AverageGradient
			r.exchange(0, 1)
		}, "[5m0s 8m0s 12m0s]"},
	} {
		r := threeStrips(t)
		c.change(r)
		r.find(Finding{What: Order})
		r.find(Finding{What: Fog})
		r.growth()
		var times []time.Duration
		for _, p := range r.points(false) {
			times = append(times, p.Time)
		}
		if (r.ContrastTime != nil) != (c.times != "") || c.times != "" && fmt.Sprint(times) != c.times {
			t.Errorf("%s: growth %+v of strips of %v, %v", c.name, r.ContrastTime, times, r.Warnings)
		}
		if r.ContrastTime != nil && (r.ContrastTime.ShortestS != times[0].Seconds() || r.ContrastTime.LongestS != times[len(times)-1].Seconds()) {
			t.Errorf("%s: from %v s to %v s", c.name, r.ContrastTime.ShortestS, r.ContrastTime.LongestS)
		}
		// The effect of an order that is not as labelled is told, and of nothing else.
		if (r.Findings[0].Effect != nil) != (r.Development != nil) || r.Findings[1].Effect != nil {
			t.Errorf("%s: %+v", c.name, r.Findings)
		}
		if c.name == "exchanged" && r.Findings[0].Effect.With == r.Findings[0].Effect.Without {
			t.Errorf("exchanged strips: %+v", r.Findings[0].Effect)
		}
		said.Values(c.name, r.Warnings)
	}
}

// The time for the target is given with a warning outside the strips and under five minutes, and not at all
// far outside them.
func TestTimeForTheTarget(t *testing.T) {
	said := held.New(t)
	for _, c := range []struct {
		target float64
		there  bool
		warns  string
	}{{0.6, true, ""}, {0.52, true, ""}, {0.72, true, "outside the strips"}, {0.45, true, "outside the strips"}, {0.9, false, ""}, {5, false, "No development"}, {0.02, false, ""}} {
		r := threeStrips(t)
		r.TargetAverageGradient = c.target
		r.growth()
		all := strings.Join(r.Warnings, " ")
		if (r.Development != nil) != c.there || !strings.Contains(all, c.warns) || c.warns == "" && c.there && strings.Contains(all, "outside the strips") {
			t.Errorf("target %v: %v, %v", c.target, r.Development, r.Warnings)
		}
		said.Refused(fmt.Sprint(c.target), fmt.Errorf("%s", all))
	}
	r := threeStrips(t)
	for i, s := range []float64{180, 240, 290} {
		r.Strips[i].DevelopmentS = s
	}
	if r.growth(); !strings.Contains(strings.Join(r.Warnings, " "), "under five minutes") {
		t.Errorf("%v, %v", r.Development, r.Warnings)
	}
}

// A bracket that gives no index says why, in its file's first line.
func TestBracketsWithoutIndex(t *testing.T) {
	said := held.New(t)
	many := &Roll{}
	for i := range mostFrames + 1 {
		many.Bracket = append(many.Bracket, FrameReading{Frame: fmt.Sprint(i), Index: 100 + float64(i), Density: 0.3})
	}
	for name, roll := range map[string]*Roll{
		"no shadow": {Bracket: []FrameReading{{Frame: "1", Index: 400, Tone: Midtone, Density: 0.9}, {Tone: Unexposed, Density: 0.2}}},
		"too many":  many,
		"one frame": {Bracket: []FrameReading{{Frame: "1", Index: 400, Tone: Shadow, Density: 0.3}}, ShadowStopsBelowMeter: 3, BracketDevelopment: 8 * time.Minute},
	} {
		r := &builder{}
		r.bracket(roll)
		said.Values(name, r.Warnings, r.Bracket.BelowMeter, r.Bracket.UnexposedFound)
		if f := r.Findings; len(f) != 1 || f[0].What != Unusable || f[0].File != bracketFile || f[0].Line != 1 || r.Bracket.Index != nil || len(r.Warnings) != 1 || r.Warnings[0] != f[0].Text {
			t.Errorf("%s: %+v, %v", name, f, r.Warnings)
		}
		if d := r.Bracket.DevelopmentS; (d != nil) != (name == "one frame") || d != nil && *d != 480 {
			t.Errorf("%s: development %v", name, d)
		}
		if want := map[bool]float64{true: 3, false: 4}[name == "one frame"]; r.Bracket.BelowMeter != want {
			t.Errorf("%s: %v stops", name, r.Bracket.BelowMeter)
		}
	}
}

// Frames are told by index, slowest first, those of one index by name, each with the tones that were read.
func TestRecordsOfFrames(t *testing.T) {
	roll := &Roll{Bracket: []FrameReading{
		{Frame: "b", Index: 400, Tone: Shadow, Density: 0.3}, {Frame: "c", Index: 100, Tone: Midtone, Density: 0.9}, {Frame: "a", Index: 400, Tone: Highlight, Density: 1.5},
	}}
	got := roll.gather(4).records()
	if len(got) != 3 || got[0].Frame != "c" || got[1].Frame != "a" || got[2].Frame != "b" || got[0].Index != 100 || got[1].Index != 400 {
		t.Fatalf("%+v", got)
	}
	if got[0].Midtone == nil || *got[0].Midtone != 0.9 || got[0].Shadow != nil || *got[1].Highlight != 1.5 || *got[2].Shadow != 0.3 || got[2].Highlight != nil {
		t.Errorf("%+v", got)
	}
	if got := fmt.Sprint(Shadow, Unexposed, Unexposed+1, Tone(200)); got != "shadow unexposed patch(4) patch(200)" {
		t.Error(got)
	}
	if e := finite(sensito.Estimate{Value: 1, Low: math.Inf(-1), High: math.Inf(1)}); !math.IsNaN(e.Low) || !math.IsNaN(e.High) || e.Value != 1 {
		t.Errorf("%+v", e)
	}
	if e := finite(sensito.Exact(1)); e != sensito.Exact(1) {
		t.Errorf("%+v", e)
	}
}
