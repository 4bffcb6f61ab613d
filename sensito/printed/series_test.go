package printed_test

import (
	"encoding/json"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"example.org/actinic/internal/held"
	"example.org/actinic/sensito/datafile"
	. "example.org/actinic/sensito/printed"
	"example.org/actinic/sensito/printed/printedtest"
)

// The list of pyro factors must fall, and its last does not.
func TestOrder(t *testing.T) {
	rep, err := CheckSeries(Series{Column: "factor", X: printedtest.Column(t, "pyro_factors.csv", "grains_per_oz"), Y: printedtest.Column(t, "pyro_factors.csv", "factor"),
		Step: []float64{0.25}, Order: -1})
	if err != nil {
		t.Fatal(err)
	}
	printedtest.Hold(t, "pyro", rep, "5 factor 4.75:", "")
	for _, c := range []struct {
		y    []float64
		up   int
		want []int
	}{
		{[]float64{1, 2, 3}, 1, nil}, {[]float64{2, 2, 2}, 1, nil}, {[]float64{2, 2, 2}, -1, nil}, {nil, 1, nil},
		{[]float64{1, 9, 2, 3, 4}, 1, []int{1}}, {[]float64{1, 2, 3, 30, 4, 0.5, 5}, 1, []int{3, 5}}, {[]float64{5, 4, 3, 2}, 1, []int{0, 1, 3}},
	} {
		x := make([]float64, len(c.y))
		for i := range x {
			x[i] = float64(i + 1)
		}
		if got := Misplaced(c.y, c.up, x); len(got) != len(c.want) || len(c.want) < 3 && !slices.Equal(got, c.want) {
			t.Errorf("%v: %v, want %v", c.y, got, c.want)
		}
	}
}

func TestSeriesBad(t *testing.T) {
	said := held.New(t)
	one := []float64{1}
	for i, s := range []Series{
		{}, {X: one, Y: one}, {X: one, Y: []float64{1, 2}, Step: one}, {X: one, Y: []float64{0}, Step: one}, {X: one, Y: []float64{math.NaN()}, Step: one},
		{X: []float64{math.Inf(1)}, Y: one, Step: one}, {X: one, Y: one, Step: []float64{0}}, {X: one, Y: one, Step: one, Order: 2},
		{X: one, Y: one, Step: one, Law: func(float64) float64 { return math.NaN() }}, {X: make([]float64, 1e6), Y: make([]float64, 1e6), Step: one},
	} {
		if _, err := CheckSeries(s); !said.Is("", err, datafile.ErrData) {
			t.Errorf("%d: %v", i, err)
		}
	}
}

// A row that was rounded to a coarser step than the others may be off by that much.
func TestSeriesKnowsEachRowsRounding(t *testing.T) {
	s := Series{Column: "y", Law: func(x float64) float64 { return 10 * x }, Words: "ten times x"}
	for i := range 9 {
		s.X, s.Y, s.Step = append(s.X, float64(i+1)), append(s.Y, 10*float64(i+1)), append(s.Step, 0.01)
	}
	s.Step[4], s.Y[4] = 1, 51.005
	rep, err := CheckSeries(s)
	if err != nil {
		t.Fatal(err)
	}
	if rep.Accused() != 0 || len(rep.Findings) != 1 {
		t.Errorf("%v", rep.Findings)
	}
	s.Step[4] = 0.01
	if rep, err = CheckSeries(s); err != nil || rep.Accused() != 1 {
		t.Errorf("with a fine step: %v, %v", rep, err)
	}
}

func TestSlipOf(t *testing.T) {
	for _, c := range []struct {
		printed, implied, above float64
		text                    string
		want                    Slip
	}{
		{450, 7.5, 0, "450", SlipMinutes}, {0.125, 7.5, 0, "7.5s", SlipMinutes}, {75, 7.5, 0, "75", SlipDecimal}, {0.75, 7.5, 0, "0.75", SlipDecimal},
		{21.5, 12.6, 0, "21:30", SlipDigits}, {2.75, 7.2, 0, "2.75", SlipDigits}, {9, 7.5, 9, "9", SlipCopied}, {9, 7.5, 8, "9", ""},
		{0, 7.5, 0, "", ""}, {7.5, math.NaN(), 0, "", ""},
	} {
		if got := SlipOf(c.printed, c.implied, c.above, c.text); got != c.want {
			t.Errorf("%v for %v: %q, want %q", c.text, c.implied, got, c.want)
		}
	}
}

// M. J. Martin, Wireless Transmission of Photographs, 2nd ed. (1919), chapter V:
// inertia one-fifth gives 34/(1/5) = 170 H&D, 50/(1/5) = 250 W.P., and 6.4 times the
// root of 250 is W.F. 101.
func TestSpeedNumbers(t *testing.T) {
	if hd, wp := 34/0.2, 50/0.2; hd != 170 || wp != 250 || math.Round(6.4*math.Sqrt(wp)) != 101 {
		t.Errorf("%v %v %v", hd, wp, 6.4*math.Sqrt(wp))
	}
	hd, wp, wf := printedtest.Column(t, "martin_1919.csv", "hd"), printedtest.Column(t, "martin_1919.csv", "wp"), printedtest.Column(t, "martin_1919.csv", "wf")
	rep, err := CheckSeries(Series{Column: "wf", X: wp, Y: wf, Step: []float64{1}, Law: func(x float64) float64 { return 6.4 * math.Sqrt(x) }, Order: 1})
	if err != nil {
		t.Fatal(err)
	}
	// Rows of H&D 20 and 160 are wrong; row 10 is cut off instead of rounded.
	printedtest.Hold(t, "W.F.", rep, "2 wf 28: 35.1; 8 wf 103: 98.1", "1 wf 24: 24.8")
	if d := rep.Findings[1].Deviation; math.Abs(d+20.1) > 0.05 {
		t.Errorf("row 2 off by %v, want -20.1 %%", d)
	}
	if d := rep.Findings[2].Deviation; math.Abs(d-5.0) > 0.05 {
		t.Errorf("row 8 off by %v, want 5.0 %%", d)
	}
	// Two rules in one column: one and a half times up to 80, 50/34 from 100 on.
	whole := func(x float64) float64 { return 50. / 34 * x }
	if rep, err = CheckSeries(Series{Column: "wp", X: hd, Y: wp, Step: []float64{1}, Law: whole, Order: 1}); err != nil {
		t.Fatal(err)
	}
	printedtest.Hold(t, "W.P. by one rule", rep, "3 wp 60: 58.8; 4 wp 120: 117.6", "2 wp 30: 29.4")
	if rep, err = CheckSeries(Series{Column: "wp", X: hd, Y: wp, Step: []float64{1}, Order: 1, Law: func(x float64) float64 {
		if x < 100 {
			return 1.5 * x
		}
		return whole(x)
	}}); err != nil {
		t.Fatal(err)
	}
	printedtest.Hold(t, "W.P. by both", rep, "", "")
}

// Scheiner's exposures are 24 s times 2.5 a row, each worked out from the rounded one
// before: the last, 10 h 7 m, is 10 h 10 m 21 s if it is not.
func TestChainOfRounding(t *testing.T) {
	y := printedtest.Column(t, "scheiner_limits_1897.csv", "exposure_s")
	x := make([]float64, len(y))
	for i := range x {
		x[i] = float64(i)
	}
	rep, err := CheckSeries(Series{Column: "exposure_s", X: x, Y: y, Step: printedtest.Column(t, "scheiner_limits_1897.csv", "step_s"),
		Law: func(x float64) float64 { return 24 * math.Pow(2.5, x) }, Chain: true, Order: 1})
	if err != nil {
		t.Fatal(err)
	}
	if got := printedtest.Brief(rep, High); got != "" {
		t.Errorf("accused: %s", got)
	}
	last := rep.Findings[len(rep.Findings)-1]
	if last.Row != 9 || last.Implied != "36621" || !strings.Contains(last.Rule, "adds up") || math.Abs(rep.Implied[8]-36621.09) > 0.01 {
		t.Errorf("row 9: %v", last)
	}
	for _, gain := range []float64{1, 0.7, 0.6, 0.5} {
		name := fmt.Sprintf("gain_%.1f", gain)
		rep, err := CheckSeries(Series{Column: name, X: x, Y: printedtest.Column(t, "scheiner_limits_1897.csv", name), Step: []float64{0.1},
			Law: func(x float64) float64 { return 9.5 + gain*x }, Order: 1})
		if err != nil || len(rep.Findings) > 0 {
			t.Errorf("%s: %v %v", name, rep, err)
		}
	}
}

func TestFindingJSON(t *testing.T) {
	for _, c := range []struct {
		f    Finding
		want string
	}{
		{Finding{Row: 3, Column: "time", Rule: "r", Printed: "8.5", Implied: "7:30", Deviation: 13.3, Unit: "percent", Confidence: Low},
			`{"row":3,"column":"time","rule":"r","deviation":13.3,"unit":"percent","slip":"","confidence":"low","printed":"8.5","implied":"7:30"}`},
		{Finding{Row: 1, Column: "factor", Printed: "8", Slip: SlipStops, Unit: "stops", Confidence: High},
			`{"row":1,"column":"factor","rule":"","deviation":0,"unit":"stops","slip":"stops for a factor","confidence":"high","printed":8,"implied":null}`},
	} {
		b, err := json.Marshal(c.f)
		if err != nil || string(b) != c.want {
			t.Errorf("%s, want %s", b, c.want)
		}
	}
	b, err := json.Marshal(NewBuilder(3).Report())
	if err != nil || !strings.Contains(string(b), `"findings":[]`) {
		t.Errorf("%v %s", err, b)
	}
}
