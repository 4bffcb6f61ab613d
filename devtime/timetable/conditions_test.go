package timetable

import (
	"strings"
	"testing"

	"example.org/actinic/sensito/printed/printedtest"
)

// A zero lost in a dilution is no fault of the time.
func TestWrongCell(t *testing.T) {
	const clean = "dilution,temperature_c,time\n1+25,18,9:00\n1+25,20,7:30\n1+25,22,6:15\n1+25,24,5:15\n1+50,18,15:00\n1+50,20,12:30\n1+50,22,10:30\n1+50,24,8:45\n"
	for _, c := range []struct{ name, content, accused, remarks string }{
		{"clean", clean, "", ""},
		{"a zero lost", strings.Replace(clean, "1+50,20", "1+5,20", 1), "6 dilution 1+5: 1+50 wrong multiple of ten", ""},
		{"a zero too many", strings.Replace(clean, "1+25,22", "1+250,22", 1), "3 dilution 1+250: 1+25 wrong multiple of ten", ""},
		{"1:51 as parts in all", strings.Replace(clean, "1+50,20", "1+49,20", 1), "", "6 dilution 1+49: 1+50 1+ for 1:"},
		{"a time all the same", strings.Replace(clean, "12:30", "25:00", 1), "6 time 25:00: 12:33", ""},
		{"an index", "ei,temperature_c,time\n400,18,9:00\n400,20,7:30\n400,22,6:15\n400,24,5:15\n800,18,12:00\n80,20,10:00\n800,22,8:30\n800,24,7:00\n", "6 ei 80: 800 wrong multiple of ten", ""},
	} {
		holds(t, c.name, c.content, c.accused, c.remarks)
	}
}

// holds checks a table, and what is said of it.
func holds(t *testing.T, name, content, accused, remarks string) {
	t.Helper()
	rows, err := Read(strings.NewReader(content), "t")
	if err != nil {
		t.Fatal(err)
	}
	rep, err := Check(rows)
	if err != nil {
		t.Fatal(err)
	}
	printedtest.Hold(t, name, rep, accused, remarks)
}
