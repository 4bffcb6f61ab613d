package timetable

import (
	"math"
	"testing"
	"time"

	"example.org/actinic/devtime"
	"example.org/actinic/internal/held"
	"example.org/actinic/internal/plausible"
	"example.org/actinic/sensito/datafile"
	"example.org/actinic/sensito/printed"
	"example.org/actinic/sensito/printed/forms"
	"example.org/actinic/sensito/printed/layout"
)

// At the bounds of what a row may say, and just beyond.
func TestRowsAtTheBounds(t *testing.T) {
	told := held.New(t)
	row := func(change func(r *Row)) Row {
		r := Row{Index: 400, Temperature: 20, Fahrenheit: 68, Time: 8 * time.Minute}
		r.Dilution, _ = devtime.NewDilution(1, 9)
		change(&r)
		return r
	}
	thin := func(water float64) func(r *Row) {
		return func(r *Row) { r.Dilution, _ = devtime.NewDilution(1, water) }
	}
	for _, c := range []struct {
		r  Row
		ok bool
	}{
		{row(func(r *Row) { r.Time = 1 }), true}, {row(func(r *Row) { r.Time = 0 }), false},
		{row(func(r *Row) { r.Time = 1000*time.Hour - 1 }), true}, {row(func(r *Row) { r.Time = 1000 * time.Hour }), false},
		{row(func(r *Row) { r.Index = plausible.LeastIndex }), true}, {row(func(r *Row) { r.Index = plausible.LeastIndex * 0.999 }), false},
		{row(func(r *Row) { r.Index = plausible.GreatestIndex }), true}, {row(func(r *Row) { r.Index = plausible.GreatestIndex * 1.001 }), false},
		{row(func(r *Row) { r.Temperature = -50 }), true}, {row(func(r *Row) { r.Temperature = -50.1 }), false},
		{row(func(r *Row) { r.Temperature = 250 }), true}, {row(func(r *Row) { r.Temperature = 250.1 }), false},
		{row(func(r *Row) { r.Fahrenheit = -50 }), true}, {row(func(r *Row) { r.Fahrenheit = 250.1 }), false},
		{row(thin(maxDilution - 1)), true}, {row(thin(maxDilution)), false}, {row(thin(0)), true},
		{row(func(r *Row) { r.Index = 0 }), false}, {row(func(r *Row) { r.Temperature = 0 }), false},
		{row(func(r *Row) { r.Fahrenheit = 0 }), false}, {row(func(r *Row) { r.Dilution = devtime.Dilution{} }), false},
	} {
		rows := []Row{row(func(*Row) {}), c.r}
		_, err := Check(rows)
		if c.ok && err != nil || !c.ok && !told.Is("", err, datafile.ErrData) {
			t.Errorf("%+v: %v", c.r, err)
		}
		if _, err2 := Compare(rows, rows); (err2 == nil) != c.ok {
			t.Errorf("compared, %+v: %v", c.r, err2)
		}
	}
}

// What the columns of temperature tell: 200 °F is no bath, 68 °C was °F, a row copied, a point misplaced.
func TestBaths(t *testing.T) {
	for _, c := range []struct{ name, content, accused, remarks string }{
		{"in Fahrenheit", "temperature_f,time\n65,11:00\n200,9:30\n70,8:30\n75,6:45\n", "2 temperature_f 200:", ""},
		{"at the ends", "temperature_f,time\n46.4,20:00\n113,3:00\n", "", ""},
		{"beyond the ends", "temperature_f,time\n46.3,20:00\n113.1,3:00\n", "1 temperature_f 46.3:; 2 temperature_f 113.1:", ""},
		{"Celsius beyond the ends", "temperature_c,time\n7.9,20:00\n45.1,3:00\n20,8:00\n", "1 temperature_c 7.9:; 2 temperature_c 45.1:", ""},
		{"Fahrenheit for Celsius", "temperature_c,time\n18,9:45\n68,8:00\n22,6:45\n", "2 temperature_c 68: 20 Fahrenheit for Celsius", ""},
		{"ten times", "temperature_c,time\n18,9:45\n200,8:00\n22,6:45\n", "2 temperature_c 200: 20 decimal point", ""},
		{"a tenth", "temperature_c,time\n18,9:45\n2,8:00\n22,6:45\n", "2 temperature_c 2: 20 decimal point", ""},
		{"neither", "temperature_c,time\n18,9:45\n-40,8:00\n22,6:45\n", "2 temperature_c -40:", ""},
		{"copied from above", "temperature_f,temperature_c,time\n65,18.3,11\n68,18.3,9.5\n70,21.1,8.5\n75,23.9,6.75\n", "2 temperature_c 18.3: 20 copied from the row above", ""},
		{"transposed", "temperature_f,temperature_c,time\n65,18.3,11\n68,20,9.5\n70,12.1,8.5\n75,23.9,6.75\n", "3 temperature_c 12.1: 21.1 transposed digits", ""},
		{"as near as tenths are", "temperature_f,temperature_c,time\n65,18.3,11\n68,20.1,9.5\n70,21.1,8.5\n", "2 temperature_c 20.1: 20", ""},
		{"as near as whole degrees are", "temperature_f,temperature_c,time\n65,18,11\n69,21,9\n73,23,7.5\n", "", ""},
	} {
		holds(t, c.name, c.content, c.accused, c.remarks)
	}
}

// The change that passes a cut-off of even odds at the prior 0.02, where the readings are as wide as a slip
// (by hand: v = 2, odds 50 √2, √(2·2·ln 70.711) = 4.1273), and where no change does.
func TestUnseenBelow(t *testing.T) {
	if got := unseenBelow(1, 0.5); math.Abs(got-4.1273) > 5e-5 {
		t.Errorf("%.5f", got)
	}
	if got := unseenBelow(1, 1e-6); got != 0 {
		t.Errorf("a cut-off that anything passes: %v", got)
	}
	if got := unseenBelow(math.NaN(), 0.5); !math.IsInf(got, 1) {
		t.Errorf("no reading: %v", got)
	}
}

// A time printed as a range is as wide as it: what is off by four widths of the step alone is within.
func TestRangesAreWide(t *testing.T) {
	m := func(minutes float64) time.Duration { return time.Duration(minutes * float64(time.Minute)) }
	rows := timesAt(18, 10, 9.25, 8.5, 8, 7.25, 6.75)
	rows[2].Time, rows[2].low, rows[2].high = m(10), m(8), m(12)
	got := widths(rows, []int{0, 2, 3}, 15*time.Second)
	if got[0] != 0.25 || got[1] != 4 || got[2] != 0.25 {
		t.Errorf("widths %v", got)
	}
	wide, err := Check(rows)
	if err != nil {
		t.Fatal(err)
	}
	rows[2].low, rows[2].high = 0, 0
	narrow, err := Check(rows)
	if err != nil {
		t.Fatal(err)
	}
	high := func(r *printed.Report) (n int) {
		for _, f := range r.Findings {
			if f.Confidence == printed.High {
				n++
			}
		}
		return n
	}
	if high(wide) != 0 || high(narrow) != 1 {
		t.Errorf("as a range %v, without %v", wide.Findings, narrow.Findings)
	}
}

// The cut-off by the number of rows: odds of 0.6, of 0.13 below six and 0.45 at eight and nine; beside the share of no scatter.
func TestCutOffs(t *testing.T) {
	for _, c := range []struct {
		rows        int
		least, want float64
	}{
		{3, 1, printed.AccusedFrom}, {17, 1, printed.AccusedFrom}, {4, 1, 0.13 / 1.13}, {5, 1, 0.13 / 1.13}, {6, 1, 0.6 / 1.6}, {7, 1, 0.6 / 1.6}, {8, 1, 0.45 / 1.45}, {9, 1, 0.45 / 1.45}, {10, 1, 0.6 / 1.6}, {16, 1, 0.6 / 1.6},
		{10, 0, 0.6 / 0.9}, {10, 0.5, 0.6 / (0.6 + 0.5 + 0.15)},
	} {
		if got := cutOff(c.rows, c.least); math.Abs(got-c.want) > 1e-12 {
			t.Errorf("%d rows, %v: %v, want %v", c.rows, c.least, got, c.want)
		}
	}
	for _, c := range []struct {
		p, least float64
		rows     int
		want     float64
	}{
		{math.NaN(), 0, 10, 0}, {0.9, 0.201, 20, 0.9}, {0.9, 0.2, 9, 0.9}, {0.9, 0.2, 10, 0.729}, {0.9, 0.2, 12, 0.729}, {0.9, 0.2, 13, 0.59049}, {0.9, 0, 30, 0.59049},
	} {
		if got := confidence(c.p, c.least, c.rows); math.Abs(got-c.want) > 1e-12 {
			t.Errorf("%v of %d rows, %v: %v, want %v", c.p, c.rows, c.least, got, c.want)
		}
	}
	for corner, want := range map[string]string{`EI \ °C`: "EI", "EI / temp": "EI", "EI | °C": "EI", "EI (temp. in °C)": "EI", "Temp (°C)": "Temp (°C)", "EI (index)": "EI (index)", "EI": "EI"} {
		if got := leftHeading(corner); got != want {
			t.Errorf("left of %q is %q, want %q", corner, got, want)
		}
	}
	for _, c := range []struct{ text, about, want string }{
		{"", "", ""}, {"1+9", "", "dilution"}, {"stock", "", "dilution"}, {"10%", "", ""}, {"20 °C", "", "temperature_c"}, {"68 °F", "", "temperature_f"}, {"EI 400", "", "ei"}, {"ISO 400", "", "ei"}, {"ASA 400", "", "ei"}, {"27°", "", "ei"}, {"400/27°", "", "ei"}, {"400", "", ""}, {"words", "ei", ""},
		{"20", `ei \ °c`, "temperature_c"}, {"68", `ei \ °f`, "temperature_f"}, {"68", "ei (f)", "temperature_f"}, {"68", "in fahrenheit", "temperature_f"}, {"20", "temperature", "temperature_c"}, {"20", "celsius", "temperature_c"}, {"400", `°c \ ei`, "ei"}, {"400", `°c \ iso`, "ei"}, {"400", "temp / index", "ei"}, {"400", "iso", ""}, {"20", "temp / °c", "temperature_c"},
	} {
		if got := kindOf(c.text, c.about); got != c.want {
			t.Errorf("%q about %q is %q, want %q", c.text, c.about, got, c.want)
		}
	}
}

// The step of a table is the greatest that nearly all times are multiples of.
func TestStepOf(t *testing.T) {
	s := time.Second
	for _, c := range []struct {
		times []time.Duration
		want  time.Duration
	}{
		{nil, time.Second * 60}, {[]time.Duration{120 * s, 180 * s}, 60 * s}, {[]time.Duration{90 * s, 180 * s}, 30 * s}, {[]time.Duration{90 * s, 195 * s, 240 * s}, 15 * s}, {[]time.Duration{70 * s, 90 * s, 110 * s}, 10 * s}, {[]time.Duration{65 * s, 90 * s, 115 * s}, 5 * s}, {[]time.Duration{61 * s, 67 * s, 73 * s}, s},
		{[]time.Duration{120 * s, 180 * s, 240 * s, 300 * s, 360 * s, 420 * s, 430 * s}, 60 * s}, {[]time.Duration{1500 * time.Millisecond}, 60 * s},
	} {
		if got := stepOf(c.times); got != c.want {
			t.Errorf("%v: steps of %v, want %v", c.times, got, c.want)
		}
	}
}

// Two rows that differ in one thing only, by just more and just less than is usual, in steps of a second.
func TestBands(t *testing.T) {
	told := held.New(t)
	dilution := func(factor float64) devtime.Dilution { d, _ := devtime.NewDilution(1, factor-1); return d }
	at := func(minutes float64) time.Duration { return time.Duration(math.Round(minutes*60)) * time.Second }
	const base = 2000.0 // minutes, for the steps to be nothing
	for _, c := range []struct {
		name        string
		a, b        Row
		least, most float64
		time        func(v float64) float64 // of b at a coefficient
	}{
		{"Q10", Row{Temperature: 20}, Row{Temperature: 25}, leastQ10, greatestQ10, func(v float64) float64 { return base * math.Pow(v, -0.5) }},
		{"push", Row{Index: 400}, Row{Index: 1600}, leastPush, greatestPush, func(v float64) float64 { return base * v * v }},
		{"dilution", Row{Dilution: dilution(10)}, Row{Dilution: dilution(20)}, leastExponent, greatestExponent, func(v float64) float64 { return base * math.Pow(2, v) }},
	} {
		for _, v := range []struct {
			v    float64
			said bool
		}{{c.least * 1.01, false}, {c.least * 0.99, true}, {c.most * 0.99, false}, {c.most * 1.01, true}} {
			for _, turned := range []bool{false, true} {
				rows := []Row{c.a, c.b}
				rows[0].Time, rows[1].Time = at(base), at(c.time(v.v))
				if turned {
					rows[0], rows[1] = rows[1], rows[0]
				}
				rep := printed.NewBuilder(2)
				remarkBands(rep, rows, []float64{float64(rows[0].Temperature), float64(rows[1].Temperature)}, []int{0, 1}, time.Second)
				found := rep.Report().Findings
				if (len(found) == 1) != v.said {
					t.Errorf("%s of %v, turned %v: %v", c.name, v.v, turned, found)
				}
				for _, f := range found {
					told.Values(c.name, f.Rule, f.Row, f.Confidence)
				}
			}
		}
	}
	rep := printed.NewBuilder(2)
	if remarkBands(rep, []Row{{Index: 400, Temperature: 20, Time: at(9)}, {Index: 800, Temperature: 24, Time: at(100)}}, []float64{20, 24}, []int{0, 1}, time.Minute); len(rep.Report().Findings) != 0 {
		t.Error("rows that differ in two things are compared")
	}
}

// What is implied for a row is nothing where its conditions cannot be read, or no other row is there.
func TestNothingIsImplied(t *testing.T) {
	for _, c := range []struct {
		content string
		row     int
		ok      bool
	}{
		{"ei,time\n400,7:00\n", 0, false}, {"ei,time\n200,5:00\n400,7:00\n800,9:45\n1600,\n", 3, true}, {"ei,time\n200,5:00\n400,7:00\n800,9:45\n1600,13:30\n", 1, true}, {"dilution,time\n1+9,5:00\n1+19,9:00\n1+39,\n", 2, true},
	} {
		tables, err := layout.Read([]byte(c.content), "t")
		if err != nil {
			t.Fatal(err)
		}
		r, err := FromTable(tables[0], Options{})
		if err != nil {
			t.Fatal(err)
		}
		got, ok := Missing(r, c.row, Options{})
		if ok != c.ok || (got > 0) != c.ok || !ok && got != 0 {
			t.Errorf("%q, row %d: %v, %v", c.content, c.row, got, ok)
		}
	}
	tables, err := layout.Read([]byte("dilution,time\n1+9,5:00\n1+19,9:00\n1:39,12:00\n"), "t")
	if err != nil {
		t.Fatal(err)
	}
	r, err := FromTable(tables[0], Options{Colon: forms.PartsOfWater})
	if err != nil {
		t.Fatal(err)
	}
	if got, ok := Missing(r, 2, Options{}); ok || got != 0 {
		t.Errorf("of a colon that is not explained %v", got)
	}
	if got, ok := Missing(&Reading{Sheet: r.Sheet}, 0, Options{}); ok || got != 0 {
		t.Errorf("of no rows %v", got)
	}
}
