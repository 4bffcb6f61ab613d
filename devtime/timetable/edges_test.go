package timetable

import (
	"math"
	"strings"
	"testing"
	"time"

	"example.org/actinic/devtime"
	"example.org/actinic/internal/held"
	"example.org/actinic/internal/plausible"
	"example.org/actinic/sensito/datafile"
	"example.org/actinic/sensito/printed"
	"example.org/actinic/sensito/printed/printedtest"
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
		rows, err := Read(strings.NewReader(c.content), "t")
		if err != nil {
			t.Fatal(err)
		}
		rep, err := Check(rows)
		if err != nil {
			t.Fatal(err)
		}
		printedtest.Hold(t, c.name, rep, c.accused, c.remarks)
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
