package actinic

import (
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"
	"time"

	"example.org/actinic/devtime"
	"example.org/actinic/sensito"
	"example.org/actinic/spectral"
)

func TestReadTablesRefuse(t *testing.T) {
	read := map[string]func(content []byte, file string) error{
		"dev": func(c []byte, f string) error { _, err := ReadDevelopment(c, f); return err },
		"rec": func(c []byte, f string) error { _, err := ReadReciprocity(c, f); return err },
		"fil": func(c []byte, f string) error { _, err := ReadFilterFactors(c, f); return err },
	}
	for _, c := range []struct{ kind, content, want string }{
		{"dev", "", `t.csv:1: want a header`},
		{"dev", "time\n7:30\n", `t.csv:1: header: read "time", want a column that the time depends on`},
		{"dev", "ei,tme\n400,7\n", `t.csv:1:4: header: read "tme"`},
		{"dev", "ei,time\n", `want rows below the header`},
		{"dev", "# from nowhere\nei,time\n400,\n", `t.csv:3:5: time: read "", want a time like 7:30`},
		{"dev", "ei,time\n400,6:75\n", `t.csv:2:5: time: read "6:75"`},
		{"dev", "ei,time\nfour,6\n", `t.csv:2:1: ei: read "four", want an exposure index`},
		{"dev", "ei,time\n-400,6\n", `t.csv:2:1: ei: read "-400"`},
		{"dev", "ei,time\nNaN,6\n", `t.csv:2:1: ei: read "NaN"`},
		{"dev", "dilution,time\n1:31,6\n", `t.csv:2:1: dilution: read "1:31", want parts of stock and water such as 1+31; 1:31 is read as 1+31 by some`},
		{"dev", "dilution,time\n1+1e9,6\n", `t.csv:2:1: dilution`},
		{"dev", "temperature_c,time\n0,6\n", `t.csv:2:1: temperature_c: read "0"`},
		{"dev", "temperature_c,time\n20,6,5\n", `a decimal comma splits a number`},
		{"dev", "temperature_f,time\n1e9,6\n", `t.csv:2:1: temperature_f`},
		{"rec", "metered_s,adjusted_s\n1,x\n", `t.csv:2:3: adjusted_s: read "x", want seconds above 0`},
		{"rec", "metered_s,adjusted_s\n0,1\n", `t.csv:2:1: metered_s: read "0"`},
		{"rec", "metered_s,adjusted_s\n1,Inf\n", `t.csv:2:3: adjusted_s`},
		{"rec", "metered_s,adjusted_s\n1,\n", `a time, or an aperture beside it`},
		{"rec", "metered_s\n1\n", `t.csv:1: adjusted_s`},
		{"rec", "metered_s,adjusted_s,aperture_stops\n1,2,-1\n", `t.csv:2:5: aperture_stops: read "-1"`},
		{"fil", "filter,factor\n99,2\n", `t.csv:2:1: filter: read "99", want a filter such as 25`},
		{"fil", "filter,factor\nND x,2\n", `t.csv:2:1: filter`},
		{"fil", "filter,factor\nND 99,2\n", `t.csv:2:1: filter`},
		{"fil", "filter,factor\n25,0\n", `t.csv:2:4: factor: read "0"`},
		{"fil", "filter,factor\n25,eight\n", `t.csv:2:4: factor: read "eight"`},
	} {
		err := read[c.kind]([]byte(c.content), "t.csv")
		if !errors.Is(err, ErrData) || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%q: %v, want %q", c.content, err, c.want)
		}
	}
	if testing.Short() {
		t.Skip("a million rows")
	}
	many := "ei,time\n" + strings.Repeat("400,7\n", 1e6)
	rows, err := ReadDevelopment([]byte(many), "many.csv")
	if err != nil || len(rows) != 1e6 {
		t.Fatal(err)
	}
	if _, err := CheckDevelopment(rows); !errors.Is(err, ErrData) {
		t.Errorf("a million rows: %v", err)
	}
}

func TestChecksRefuse(t *testing.T) {
	nan := math.NaN()
	for i, rows := range [][]DevelopmentRow{
		nil, {{}}, {{Time: -1}}, {{Time: time.Minute, Index: nan}}, {{Time: time.Minute, Index: math.Inf(1)}}, {{Time: time.Minute, Temperature: devtime.Celsius(nan)}},
		{{Time: time.Minute, Fahrenheit: nan}}, {{Time: time.Minute, Index: 400}, {Time: time.Minute}}, {{Time: math.MaxInt64}},
	} {
		if _, err := CheckDevelopment(rows); !errors.Is(err, ErrData) {
			t.Errorf("development %d: %v", i, err)
		}
	}
	none := sensito.Stops(nan)
	for i, rows := range [][]ReciprocityRow{
		nil, {{}}, {{Metered: 1, Aperture: none, Percent: nan}}, {{Metered: nan, Adjusted: 1, Aperture: none, Percent: nan}}, {{Metered: 1, Adjusted: math.Inf(1), Aperture: none, Percent: nan}},
		{{Metered: 1, Adjusted: -1, Aperture: none, Percent: nan}}, {{Metered: 1, Adjusted: 1, Aperture: -1, Percent: nan}}, {{Metered: 1, Adjusted: 1, Aperture: none, Percent: -1}}, make([]ReciprocityRow, 1e6),
	} {
		if _, err := CheckReciprocity(rows); !errors.Is(err, ErrData) {
			t.Errorf("reciprocity %d: %v", i, err)
		}
	}
}

// Six hundred rows of nonsense end, and soon.
func TestLargeTable(t *testing.T) {
	if testing.Short() {
		t.Skip("a table of 600 rows, timed")
	}
	start := time.Now()
	var d []DevelopmentRow
	var r []ReciprocityRow
	for i := range 600 {
		d = append(d, DevelopmentRow{Index: 100 + float64(i%50), Temperature: devtime.Celsius(15 + float64(i%97)/10), Time: time.Duration(1+i*7919%1000) * time.Second})
		r = append(r, ReciprocityRow{Metered: float64(i + 1), Adjusted: float64(5000 - 2*i), Aperture: sensito.Stops(math.NaN()), Percent: math.NaN()})
	}
	if _, err := CheckDevelopment(d); err != nil {
		t.Error(err)
	}
	if _, err := CheckReciprocity(r); err != nil {
		t.Error(err)
	}
	if took := time.Since(start); took > time.Minute {
		t.Errorf("took %v", took)
	} else {
		t.Log(took)
	}
}

func TestReciprocityLogic(t *testing.T) {
	for _, c := range []struct{ content, accused, remarks string }{
		{"metered_s,adjusted_s\n1,1\n", "", ""},
		{"metered_s,adjusted_s\n10,5\n", "1 adjusted_s 5: 10", ""},
		{"metered_s,adjusted_s\n10,9.5\n", "", "1 adjusted_s 9.5: 10"},
		{"metered_s,adjusted_s\n1,1.2\n10,14\n100,170\n1000,2000\n", "", ""},
		{"metered_s,adjusted_s\n1,1.2\n10,14\n100,17\n1000,2000\n", "3 adjusted_s 17: 166 decimal point", ""},
		{"metered_s,adjusted_s\n0.1,0.1\n1,1\n10,20\n20,47\n40,137\n", "", ""},
		// 20 s is 1 stop by time, so 2 stops by aperture cannot be.
		{"metered_s,adjusted_s,aperture_stops\n1,1,0\n2,2.5,0.3\n5,7.5,0.5\n10,18,0.7\n20,42,3\n40,95,1\n80,220,1.2\n", "5 aperture_stops 3: 0.83", ""},
		{"metered_s,adjusted_s,aperture_stops\n1,,0.5\n10,,1\n100,,0.5\n1000,,2\n", "3 aperture_stops 0.5: 1", ""},
		{"metered_s,adjusted_s\n10,20\n10,25\n", "", "2 adjusted_s 25: 20"},
		{"metered_s,adjusted_s\n10,20\n100,150\n", "2 adjusted_s 150:", ""}, // 1 stop, then 0.58
		{"metered_s,adjusted_s,aperture_stops\n10,20,3\n", "1 aperture_stops 3: 1", ""},
		{"metered_s,adjusted_s,aperture_stops\n1,1,0\n2,2.5,0.3\n5,7.5,0.5\n10,18,0.7\n20,42,0.8\n40,95,1\n80,350,0\n", "7 aperture_stops 0: 1.34", ""},
		// the short end, where failure grows as the time shrinks
		{"metered_s,adjusted_s\n0.00001,0.00002\n0.0001,0.00014\n0.001,0.001\n0.01,0.01\n", "", ""},
		{"metered_s,adjusted_s\n0.00001,0.00002\n0.00003,0.000052\n0.0001,0.0014\n0.0003,0.00036\n0.001,0.001\n", "3 adjusted_s 0.0014: 0.000143 decimal point", ""},
	} {
		rows, err := ReadReciprocity([]byte(c.content), "t.csv")
		if err != nil {
			t.Fatal(err)
		}
		rep, err := CheckReciprocity(rows)
		if err != nil {
			t.Fatal(err)
		}
		holdBrief(t, c.content, rep, c.accused, c.remarks)
	}
}

// The time is implied by the other rows, not by the row itself.
func TestImpliedWithoutItself(t *testing.T) {
	rows, err := ReadReciprocity(shipped(t, "michalke_1897.csv"), "")
	if err != nil {
		t.Fatal(err)
	}
	rep, err := CheckReciprocity(rows)
	if err != nil {
		t.Fatal(err)
	}
	// 4.8 at 4 s is more than the power through the others, 4^1.08 = 4.45, has.
	if at := rep.Implied[1]; !(at > 4.2 && at < 4.6) {
		t.Errorf("implied %v at 4 s", at)
	}
	if at := rep.Implied[0]; !(at > 1.05) {
		t.Errorf("implied %v at 1 s, of which the others know little", at)
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
		if got := slipOf(c.printed, c.implied, c.above, c.text); got != c.want {
			t.Errorf("%v for %v: %q, want %q", c.text, c.implied, got, c.want)
		}
	}
}

func TestFindingJSON(t *testing.T) {
	for _, c := range []struct {
		f    TableFinding
		want string
	}{
		{TableFinding{Row: 3, Column: "time", Rule: "r", Printed: "8.5", Implied: "7:30", Deviation: 13.3, Unit: "percent", Confidence: Low},
			`{"row":3,"column":"time","rule":"r","deviation":13.3,"unit":"percent","slip":"","confidence":"low","printed":"8.5","implied":"7:30"}`},
		{TableFinding{Row: 1, Column: "factor", Printed: "8", Slip: SlipStops, Unit: "stops", Confidence: High},
			`{"row":1,"column":"factor","rule":"","deviation":0,"unit":"stops","slip":"stops for a factor","confidence":"high","printed":8,"implied":null}`},
	} {
		b, err := json.Marshal(c.f)
		if err != nil || string(b) != c.want {
			t.Errorf("%s, want %s", b, c.want)
		}
	}
	b, err := json.Marshal(checkedDevelopment(t, "services_normal.csv"))
	if err != nil || !strings.Contains(string(b), `"findings":[]`) {
		t.Errorf("%v %s", err, b)
	}
}

func FuzzReadTables(f *testing.F) {
	for _, name := range []string{"invented_development.csv", "minnesota.csv", "michalke_1897.csv", "handbook_reciprocity.csv", "invented_filters.csv", "pyro_dilution_1908.csv"} {
		f.Add(shipped(f, name))
	}
	f.Add([]byte("ei,dilution,temperature_c,temperature_f,time\n400,10%,20,68,7½ min\n"))
	day, err := spectral.LightAt(5500)
	if err != nil {
		f.Fatal(err)
	}
	f.Fuzz(func(t *testing.T, b []byte) {
		if len(b) > 4000 {
			return
		}
		held := func(rep *TableReport, err error) {
			if err != nil {
				return
			}
			for _, f := range rep.Findings {
				if f.Row < 1 || f.Row > rep.Rows || f.Column == "" || f.Rule == "" || f.Printed == "" || math.IsNaN(f.Deviation) || math.IsInf(f.Deviation, 0) || f.Confidence != High && f.Confidence != Low {
					t.Fatalf("%+v", f)
				}
			}
			if _, err := json.Marshal(rep); err != nil {
				t.Fatal(err)
			}
		}
		refused := func(err error) {
			if err != nil && !errors.Is(err, ErrData) {
				t.Fatal(err)
			}
		}
		d, err := ReadDevelopment(b, "f")
		if refused(err); err == nil && len(d) < 100 {
			held(CheckDevelopment(d))
			// Printed again and read again it is the same table.
			var s strings.Builder
			s.WriteString("ei,dilution,temperature_c,temperature_f,time\n")
			if d[0].Index > 0 && d[0].Temperature != 0 && d[0].Fahrenheit != 0 && d[0].Dilution.Factor() >= 1 {
				for _, r := range d {
					fmt.Fprintf(&s, "%v,%v,%v,%v,%s\n", r.Index, r.Dilution, float64(r.Temperature), r.Fahrenheit, devtime.FormatTime(r.Time))
				}
				again, err := ReadDevelopment([]byte(s.String()), "again")
				if err != nil || len(again) != len(d) {
					t.Fatalf("%v\n%s", err, s.String())
				}
				for i := range d {
					d[i].text, again[i].text = "", ""
					if d[i] != again[i] {
						t.Fatalf("%v and %v", d[i], again[i])
					}
				}
			}
		}
		r, err := ReadReciprocity(b, "f")
		if refused(err); err == nil && len(r) < 100 {
			held(CheckReciprocity(r))
		}
		c, err := ReadFilterFactors(b, "f")
		if refused(err); err == nil && len(c) < 100 {
			held(CheckFilterFactors(spectral.Generic(spectral.Panchromatic), day, c))
		}
	})
}

func ExampleCheckDevelopment() {
	// An invented film and developer; row 4 has lost its decimal point.
	rows, err := ReadDevelopment([]byte("ei,dilution,temperature_c,time\n"+
		"400,1+1,18,10:15\n400,1+1,20,8:30\n400,1+1,24,5:45\n"+
		"800,1+1,18,137.5\n800,1+1,20,11:30\n800,1+1,24,7:45\n"), "slate.csv")
	if err != nil {
		fmt.Println(err)
		return
	}
	report, err := CheckDevelopment(rows)
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, f := range report.Findings {
		fmt.Println(f.Confidence, f)
	}
	// Output:
	// high row 4, time: printed 137.5, implied 13:55 (9.88 times); the time that the other rows imply; looks like: decimal point
}

// What is implied for a point is the mean of the laws weighted by the other points
// alone, worked out here without the point.
func TestWeighLawsWithoutThePoint(t *testing.T) {
	line := func(y, x []float64, c [2]float64) {
		for i, x := range x {
			y[i] = c[0] * x
		}
	}
	laws := lawGrid{at: line}
	for s := 0.0; s < 1; s += 0.1 {
		laws.constants = append(laws.constants, [2]float64{s})
	}
	points := []failure{{0, 1, 0.32, 0.05}, {1, 2, 0.57, 0.05}, {2, 3, 0.98, 0.05}, {3, 4, 1.5, 0.05}}
	_, got := weighLaws(points, []lawGrid{laws})
	for k, p := range points {
		var sum, total float64
		for _, c := range laws.constants {
			for _, s := range lawScatter {
				w := 1.0
				for i, q := range points {
					if i != k {
						v := q.sd*q.sd + s*s
						d := q.y - c[0]*q.x
						w *= (1-slipShare)*math.Exp(-d*d/(2*v))/math.Sqrt(2*math.Pi*v) + slipShare/slipRange
					}
				}
				sum += w * c[0] * p.x
				total += w
			}
		}
		if want := sum / total; math.Abs(got[k]-want) > 1e-9 {
			t.Errorf("point %d: %v, want %v", k, got[k], want)
		}
	}
}
