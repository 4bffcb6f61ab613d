package actinic

import (
	"errors"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"example.org/actinic/devtime"
	"example.org/actinic/filters"
	"example.org/actinic/sensito"
	"example.org/actinic/spectral"
)

func shipped(t testing.TB, name string) []byte {
	t.Helper()
	b, err := os.ReadFile(filepath.Join("testdata", "tables", name))
	if err != nil {
		t.Fatal(err)
	}
	return b
}

func shippedDevelopment(t testing.TB, name string) []DevelopmentRow {
	t.Helper()
	rows, err := ReadDevelopment(shipped(t, name), name)
	if err != nil {
		t.Fatal(err)
	}
	return rows
}

// column reads a column of numbers of a shipped table.
func column(t testing.TB, name, column string) []float64 {
	t.Helper()
	var out []float64
	at := -1
	for _, line := range strings.Split(strings.TrimSpace(string(shipped(t, name))), "\n") {
		if strings.HasPrefix(line, "#") {
			continue
		}
		cells := strings.Split(line, ",")
		if at < 0 {
			for i, c := range cells {
				if c == column {
					at = i
				}
			}
			if at < 0 {
				t.Fatalf("%s has no column %s", name, column)
			}
			continue
		}
		v, err := strconv.ParseFloat(cells[at], 64)
		if err != nil {
			t.Fatal(err)
		}
		out = append(out, v)
	}
	return out
}

// brief prints the findings of a confidence.
func brief(rep *TableReport, c Confidence) string {
	var out []string
	for _, f := range rep.Findings {
		if f.Confidence == c {
			out = append(out, strings.TrimSpace(fmt.Sprintf("%d %s %s: %s %s", f.Row, f.Column, f.Printed, f.Implied, f.Slip)))
		}
	}
	return strings.Join(out, "; ")
}

func checkedDevelopment(t testing.TB, name string) *TableReport {
	t.Helper()
	rep, err := CheckDevelopment(shippedDevelopment(t, name))
	if err != nil {
		t.Fatal(err)
	}
	return rep
}

func holdBrief(t *testing.T, name string, rep *TableReport, accused, remarks string) {
	t.Helper()
	if got := brief(rep, High); got != accused {
		t.Errorf("%s: accused %q, want %q", name, got, accused)
	}
	if got := brief(rep, Low); got != remarks {
		t.Errorf("%s: remarks %q, want %q", name, got, remarks)
	}
}

// Real tables, each headed by its source in its file. The tables of law and of the
// services follow no one Q10 to their rounding, and are not to be accused for it.
func TestDevelopmentTables(t *testing.T) {
	for _, c := range []struct{ file, accused, remarks string }{
		{"north_dakota.csv", "", ""},
		{"minnesota.csv", "", "21 time 9.5: 8:50"}, // the row farthest from any one Q10
		{"minnesota_range.csv", "2 temperature_c 16.7: 26.7", ""},
		{"new_mexico_as_copied.csv", "", ""}, // monotone, and near the law: only the comparison finds it
		{"services_normal.csv", "", ""},
		{"services_maximum.csv", "", ""},
		{"pyro_dilution_1908.csv", "", ""},
		{"invented_development.csv", "5 time 9:45: 8:22 copied from the row above; 9 temperature_c 75: 23.9 Fahrenheit for Celsius; " +
			"13 time 21:30: 12:31 transposed digits; 17 time 150: 14:59 decimal point; 20 time 855: 14:11 minutes for seconds", ""},
	} {
		rep := checkedDevelopment(t, c.file)
		holdBrief(t, c.file, rep, c.accused, c.remarks)
		if rep.Caution == "" {
			t.Errorf("%s: no caution", c.file)
		}
	}
}

// The Celsius column of Minnesota is that of its Fahrenheit column to the printed
// tenth, in all 21 rows; a wrong tenth is found.
func TestTwoTemperatureColumns(t *testing.T) {
	rows := shippedDevelopment(t, "minnesota.csv")
	rows[4].Temperature += 0.1
	rep, err := CheckDevelopment(rows)
	if err != nil {
		t.Fatal(err)
	}
	holdBrief(t, "a tenth", rep, "5 temperature_c 24.5: 24.4", "21 time 9.5: 8:50")
}

func TestCompareDevelopment(t *testing.T) {
	nm, nd := shippedDevelopment(t, "new_mexico_as_copied.csv"), shippedDevelopment(t, "north_dakota.csv")
	rep, err := CompareDevelopment(nm, nd)
	if err != nil {
		t.Fatal(err)
	}
	holdBrief(t, "New Mexico", rep, "2 time 2.5: 2; 4 time 3.0: 2.5", "") // 79 and 77 °F
	rep, err = CompareDevelopment(shippedDevelopment(t, "minnesota.csv"), nd)
	if err != nil {
		t.Fatal(err)
	}
	holdBrief(t, "Minnesota", rep, "", "21 time 9.5: 8:50")
	if _, err := CompareDevelopment(nd, shippedDevelopment(t, "pyro_dilution_1908.csv")); !errors.Is(err, ErrData) {
		t.Errorf("nothing in common: %v", err)
	}
	if _, err := CompareDevelopment(nd, nil); !errors.Is(err, ErrData) {
		t.Errorf("no other: %v", err)
	}
}

func TestReciprocityTables(t *testing.T) {
	for _, c := range []struct{ file, accused, remarks, law string }{
		// 32/25 is 28 %; p by least squares of the logarithms is 0.9324, and with the law held
		// at 1 s 0.9240.
		{"michalke_1897.csv", "4 lengthening_percent 30: 28", "", "power law, p = 0.924 from 1 s, from 1 s to 36 s"},
		{"handbook_reciprocity.csv", "", "", "power law, p = 0.7199 from 0.1655 s, from 0.001 s to 100 s"},
	} {
		rows, err := ReadReciprocity(shipped(t, c.file), c.file)
		if err != nil {
			t.Fatal(err)
		}
		rep, err := CheckReciprocity(rows)
		if err != nil {
			t.Fatal(err)
		}
		holdBrief(t, c.file, rep, c.accused, c.remarks)
		if rep.Law != c.law {
			t.Errorf("%s: law %q, want %q", c.file, rep.Law, c.law)
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
	hd, wp, wf := column(t, "martin_1919.csv", "hd"), column(t, "martin_1919.csv", "wp"), column(t, "martin_1919.csv", "wf")
	rep, err := CheckSeries(Series{Column: "wf", X: wp, Y: wf, Step: []float64{1}, Law: func(x float64) float64 { return 6.4 * math.Sqrt(x) }, Order: 1})
	if err != nil {
		t.Fatal(err)
	}
	// Rows of H&D 20 and 160 are wrong; row 10 is cut off instead of rounded.
	holdBrief(t, "W.F.", rep, "2 wf 28: 35.1; 8 wf 103: 98.1", "1 wf 24: 24.8")
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
	holdBrief(t, "W.P. by one rule", rep, "3 wp 60: 58.8; 4 wp 120: 117.6", "2 wp 30: 29.4")
	if rep, err = CheckSeries(Series{Column: "wp", X: hd, Y: wp, Step: []float64{1}, Order: 1, Law: func(x float64) float64 {
		if x < 100 {
			return 1.5 * x
		}
		return whole(x)
	}}); err != nil {
		t.Fatal(err)
	}
	holdBrief(t, "W.P. by both", rep, "", "")
}

// Scheiner's exposures are 24 s times 2.5 a row, each worked out from the rounded one
// before: the last, 10 h 7 m, is 10 h 10 m 21 s if it is not.
func TestChainOfRounding(t *testing.T) {
	y := column(t, "scheiner_limits_1897.csv", "exposure_s")
	x := make([]float64, len(y))
	for i := range x {
		x[i] = float64(i)
	}
	rep, err := CheckSeries(Series{Column: "exposure_s", X: x, Y: y, Step: column(t, "scheiner_limits_1897.csv", "step_s"),
		Law: func(x float64) float64 { return 24 * math.Pow(2.5, x) }, Chain: true, Order: 1})
	if err != nil {
		t.Fatal(err)
	}
	if got := brief(rep, High); got != "" {
		t.Errorf("accused: %s", got)
	}
	last := rep.Findings[len(rep.Findings)-1]
	if last.Row != 9 || last.Implied != "36621" || !strings.Contains(last.Rule, "adds up") || math.Abs(rep.Implied[8]-36621.09) > 0.01 {
		t.Errorf("row 9: %v", last)
	}
	for _, gain := range []float64{1, 0.7, 0.6, 0.5} {
		name := fmt.Sprintf("gain_%.1f", gain)
		rep, err := CheckSeries(Series{Column: name, X: x, Y: column(t, "scheiner_limits_1897.csv", name), Step: []float64{0.1},
			Law: func(x float64) float64 { return 9.5 + gain*x }, Order: 1})
		if err != nil || len(rep.Findings) > 0 {
			t.Errorf("%s: %v %v", name, rep, err)
		}
	}
}

// The list of pyro factors must fall, and its last does not.
func TestOrder(t *testing.T) {
	rep, err := CheckSeries(Series{Column: "factor", X: column(t, "pyro_factors.csv", "grains_per_oz"), Y: column(t, "pyro_factors.csv", "factor"),
		Step: []float64{0.25}, Order: -1})
	if err != nil {
		t.Fatal(err)
	}
	holdBrief(t, "pyro", rep, "5 factor 4.75:", "")
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
		if got := misplaced(c.y, c.up, x); len(got) != len(c.want) || len(c.want) < 3 && !slices.Equal(got, c.want) {
			t.Errorf("%v: %v, want %v", c.y, got, c.want)
		}
	}
}

func TestSeriesBad(t *testing.T) {
	one := []float64{1}
	for i, s := range []Series{
		{}, {X: one, Y: one}, {X: one, Y: []float64{1, 2}, Step: one}, {X: one, Y: []float64{0}, Step: one}, {X: one, Y: []float64{math.NaN()}, Step: one},
		{X: []float64{math.Inf(1)}, Y: one, Step: one}, {X: one, Y: one, Step: []float64{0}}, {X: one, Y: one, Step: one, Order: 2},
		{X: one, Y: one, Step: one, Law: func(float64) float64 { return math.NaN() }}, {X: make([]float64, 1e6), Y: make([]float64, 1e6), Step: one},
	} {
		if _, err := CheckSeries(s); !errors.Is(err, ErrData) {
			t.Errorf("%d: %v", i, err)
		}
	}
}

// rows of a table of times against temperature.
func timesAt(from devtime.Celsius, minutes ...float64) []DevelopmentRow {
	var out []DevelopmentRow
	for i, m := range minutes {
		out = append(out, DevelopmentRow{Temperature: from + devtime.Celsius(i), Time: time.Duration(m * float64(time.Minute))})
	}
	return out
}

func TestSmallAndFlatTables(t *testing.T) {
	grid := func(spoil map[int]float64) []DevelopmentRow {
		var out []DevelopmentRow
		for i, m := range []float64{9.5, 8, 6.75, 13, 11, 9.25, 17.75, 15, 12.75} {
			if v := spoil[i]; v != 0 {
				m = v
			}
			out = append(out, DevelopmentRow{Index: 200 * math.Exp2(float64(i/3)), Temperature: devtime.Celsius(18 + 2*(i%3)), Time: time.Duration(m * float64(time.Minute))})
		}
		return out
	}
	for _, c := range []struct {
		name             string
		rows             []DevelopmentRow
		accused, remarks string
	}{
		{"one row", timesAt(20, 8), "", ""},
		{"two rows", timesAt(20, 8, 7.5), "", ""},
		{"two rows the wrong way round", timesAt(20, 6, 9), "1 time 6:00:", ""},
		{"one row out of this world", timesAt(20, 855), "", ""},
		{"all alike", timesAt(18, 8, 8, 8, 8), "", ""},
		{"alike, save one", timesAt(18, 6, 6, 6, 6, 5, 15, 5, 5), "6 time 15:00: 5:14", ""},
		{"three rows, one ten times", timesAt(18, 10, 90, 8), "2 time 90:00: 8:57 decimal point", ""},
		{"a grid", grid(nil), "", ""},
		{"two bad rows", grid(map[int]float64{1: 10.75, 6: 13.25}), "2 time 10:45: 8:01; 7 time 13:15: 17:48", ""},
		{"off the step", grid(map[int]float64{1: 7.9}), "", "2 time 7:54: 8:01"},
		{"hardly any temperature", timesAt(18, 10, 9.95, 9.9, 9.85, 9.8), "", "2 time 9:57: 9:57; 3 time 9:54: 9:54; 4 time 9:51: 9:51; 5 time 9:48: 9:48"},
		{"two bad rows side by side", grid(map[int]float64{3: 16, 4: 13.75}), "4 time 16:00: 12:58; 5 time 13:45: 10:58", ""},
	} {
		rep, err := CheckDevelopment(c.rows)
		if err != nil {
			t.Fatal(err)
		}
		holdBrief(t, c.name, rep, c.accused, c.remarks)
	}
}

func TestFilterTable(t *testing.T) {
	rows, err := ReadFilterFactors(shipped(t, "invented_filters.csv"), "invented_filters.csv")
	if err != nil {
		t.Fatal(err)
	}
	day, err := spectral.LightAt(5500)
	if err != nil {
		t.Fatal(err)
	}
	rep, err := CheckFilterFactors(spectral.Generic(spectral.Panchromatic), day, rows)
	if err != nil {
		t.Fatal(err)
	}
	t.Log(rep)
	holdBrief(t, "invented", rep, "3 factor 23: 2.28 decimal point; 6 factor 3: 8.36 stops for a factor; 9 factor 8: 4.07 copied from the row above", "")
}

// A table for another film or light disagrees throughout, and is not accused.
func TestFilterTableForAnother(t *testing.T) {
	rows, err := ReadFilterFactors([]byte("filter,factor\n21,1.3\n22,1.6\n23A,2\n25,3\n29,5.4\n"), "lamp.csv")
	if err != nil {
		t.Fatal(err)
	}
	day, err := spectral.LightAt(5500)
	if err != nil {
		t.Fatal(err)
	}
	film := spectral.Generic(spectral.Panchromatic)
	rep, err := CheckFilterFactors(film, day, rows)
	if err != nil {
		t.Fatal(err)
	}
	if rep.Accused() > 0 || len(rep.Findings) != 5 {
		t.Errorf("%v", rep.Findings)
	}
	rows = append(rows, FilterRow{Factor: 0.5, Filter: filters.Clear()})
	if rep, err = CheckFilterFactors(film, day, rows); err != nil || brief(rep, High) != "6 factor 0.5: 1" {
		t.Errorf("%v %v", rep, err)
	}
	for _, bad := range [][]FilterRow{nil, {{Filter: filters.Clear()}}, {{Filter: filters.Clear(), Factor: math.NaN()}}, {{Factor: 2}}, make([]FilterRow, 1e6)} {
		if _, err := CheckFilterFactors(film, day, bad); err == nil {
			t.Errorf("%d rows accepted", len(bad))
		}
	}
	if _, err := CheckFilterFactors(spectral.Sensitivity{}, day, rows); err == nil {
		t.Error("no film accepted")
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

// Long tables: nothing overflows, and a clean one stays clean.
func TestLongTableOfCorrections(t *testing.T) {
	var rows []ReciprocityRow
	for i := range 300 {
		m := math.Exp2(1 + 11*float64(i)/300)
		rows = append(rows, ReciprocityRow{Metered: m, Adjusted: math.Pow(m, 1.25), Aperture: sensito.Stops(math.NaN()), Percent: math.NaN()})
	}
	rep, err := CheckReciprocity(rows)
	if err != nil {
		t.Fatal(err)
	}
	if len(rep.Findings) > 0 {
		t.Errorf("%v", rep.Findings[0])
	}
	for i, r := range rows {
		if d := math.Log2(rep.Implied[i] / r.Adjusted); !(math.Abs(d) < 0.1) {
			t.Fatalf("row %d: %v implies %v", i+1, r.Adjusted, rep.Implied[i])
		}
	}
}
