package timetable

import (
	"bytes"
	"math"
	"slices"
	"testing"
	"time"

	"example.org/actinic/devtime"
	"example.org/actinic/internal/held"
	"example.org/actinic/sensito/datafile"
	"example.org/actinic/sensito/printed"
	"example.org/actinic/sensito/printed/printedtest"
)

func shippedDevelopment(t testing.TB, name string) []Row {
	t.Helper()
	rows, err := Read(bytes.NewReader(printedtest.File(t, name)), name)
	if err != nil {
		t.Fatal(err)
	}
	return rows
}

func checkedDevelopment(t testing.TB, name string) *printed.Report {
	t.Helper()
	rep, err := Check(shippedDevelopment(t, name))
	if err != nil {
		t.Fatal(err)
	}
	return rep
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
		{"invented_development.csv", "5 time 9:45: 8:21 copied from the row above; 9 temperature_c 75: 23.9 Fahrenheit for Celsius; " +
			"13 time 21:30: 12:32 transposed digits; 17 time 150: 14:59 decimal point; 20 time 855: 14:11 minutes for seconds", ""},
	} {
		rep := checkedDevelopment(t, c.file)
		printedtest.Hold(t, c.file, rep, c.accused, c.remarks)
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
	rep, err := Check(rows)
	if err != nil {
		t.Fatal(err)
	}
	printedtest.Hold(t, "a tenth", rep, "5 temperature_c 24.5: 24.4", "21 time 9.5: 8:50")
}

func TestCompareDevelopment(t *testing.T) {
	said := held.New(t)
	nm, nd := shippedDevelopment(t, "new_mexico_as_copied.csv"), shippedDevelopment(t, "north_dakota.csv")
	rep, err := Compare(nm, nd)
	if err != nil {
		t.Fatal(err)
	}
	printedtest.Hold(t, "New Mexico", rep, "2 time 2.5: 2; 4 time 3.0: 2.5", "") // 79 and 77 °F
	rep, err = Compare(shippedDevelopment(t, "minnesota.csv"), nd)
	if err != nil {
		t.Fatal(err)
	}
	printedtest.Hold(t, "Minnesota", rep, "", "21 time 9.5: 8:50")
	if _, err := Compare(nd, shippedDevelopment(t, "pyro_dilution_1908.csv")); !said.Is("", err, datafile.ErrData) {
		t.Errorf("nothing in common: %v", err)
	}
	if _, err := Compare(nd, nil); !said.Is("", err, datafile.ErrData) {
		t.Errorf("no other: %v", err)
	}
}

// rows of a table of times against temperature.
func timesAt(from devtime.Celsius, minutes ...float64) []Row {
	var out []Row
	for i, m := range minutes {
		out = append(out, Row{Temperature: from + devtime.Celsius(i), Time: time.Duration(m * float64(time.Minute))})
	}
	return out
}

// Two times for the same conditions are named, whichever stands first.
func TestTwoTimesForTheSame(t *testing.T) {
	at := func(c devtime.Celsius, minutes float64) Row { return timesAt(c, minutes)[0] }
	table := []Row{at(18, 10), at(20, 8), at(22, 6.5), at(24, 5.25)}
	for _, c := range []struct {
		rows []Row
		want string
	}{
		{append(slices.Clone(table), at(20, 8.5)), "times of the same conditions are the same (see row 2)"},
		{append([]Row{at(20, 8.5)}, table...), "times of the same conditions are the same (see row 3)"},
	} {
		rep, err := Check(c.rows)
		if err != nil {
			t.Fatal(err)
		}
		if n := len(rep.Findings); n != 1 || rep.Findings[0].Rule != c.want || rep.Findings[0].Printed != "8:30" {
			t.Errorf("%+v, want %q of 8:30", rep.Findings, c.want)
		}
	}
}

func TestSmallAndFlatTables(t *testing.T) {
	grid := func(spoil map[int]float64) []Row {
		var out []Row
		for i, m := range []float64{9.5, 8, 6.75, 13, 11, 9.25, 17.75, 15, 12.75} {
			if v := spoil[i]; v != 0 {
				m = v
			}
			out = append(out, Row{Index: 200 * math.Exp2(float64(i/3)), Temperature: devtime.Celsius(18 + 2*(i%3)), Time: time.Duration(m * float64(time.Minute))})
		}
		return out
	}
	for _, c := range []struct {
		name             string
		rows             []Row
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
		{"two bad rows", grid(map[int]float64{1: 10.75, 6: 13.25}), "2 time 10:45: 8:01; 7 time 13:15: 17:49", ""},
		{"off the step", grid(map[int]float64{1: 7.9}), "", "2 time 7:54: 8:01"},
		{"hardly any temperature", timesAt(18, 10, 9.95, 9.9, 9.85, 9.8), "", "2 time 9:57: 9:57; 3 time 9:54: 9:54; 4 time 9:51: 9:51; 5 time 9:48: 9:48"},
		{"two bad rows side by side", grid(map[int]float64{3: 16, 4: 13.75}), "4 time 16:00: 12:53; 5 time 13:45: 10:54", ""},
	} {
		rep, err := Check(c.rows)
		if err != nil {
			t.Fatal(err)
		}
		printedtest.Hold(t, c.name, rep, c.accused, c.remarks)
	}
}
