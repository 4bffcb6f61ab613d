package timetable_test

import (
	"bytes"
	"testing"

	"example.org/actinic/devtime/timetable"
	"example.org/actinic/internal/held"
	"example.org/actinic/sensito/printed"
	"example.org/actinic/sensito/printed/forms"
	"example.org/actinic/sensito/printed/layout"
)

// What tables with one thing changed are told is held to what it was.
func TestDrive(t *testing.T) {
	tables := []string{
		"# an invented table\nei,dilution,temperature_c,time\n100,1+9,20,8:00\n200,1+9,20,10:30\n400,1+9,20,13:30\n100,1+9,24,5:45\n200,1+9,24,7:30\n400,1+9,24,9:45\n",
		"Temperature,EI 100,EI 200,EI 400\n18 °C,9:45,12:45,16:30\n20 °C,8:00,10:30,13:30\n22 °C,6:45,8:45,11:15\n24 °C,5:45,7:30,9:30\n",
		"temperature_f,temperature_c,time\n65,18.3,11\n68,20,9.5\n70,21.1,8.5\n75,23.9,6.75\n80,26.7,5.25\n",
		"dilution,time\nstock,6\n1+1,9\n1+2,12\n1:3,15\n",
		"ei,time (min)\n50,5\n100,6\n200,7.5\n400,9\n800,11\n",
	}
	var pool []any
	for _, text := range tables {
		pool = append(pool, held.Variants(text)...)
	}
	other, err := timetable.Read(bytes.NewReader([]byte(tables[0])), "other.csv")
	if err != nil {
		t.Fatal(err)
	}
	check := func(text []byte) (*printed.Report, error) {
		rows, err := timetable.Read(bytes.NewReader(text), "t.csv")
		if err != nil {
			return nil, err
		}
		return timetable.Check(rows)
	}
	compare := func(text []byte) (*printed.Report, error) {
		rows, err := timetable.Read(bytes.NewReader(text), "t.csv")
		if err != nil {
			return nil, err
		}
		return timetable.Compare(rows, other)
	}
	missing := func(text []byte) (minutes []float64, found []bool, err error) {
		o := timetable.Options{Colon: forms.PartsOfWater}
		table, err := layout.First(bytes.NewReader(text), "t.csv")
		if err != nil {
			return nil, nil, err
		}
		r, err := timetable.FromTable(table, o)
		if err != nil {
			return nil, nil, err
		}
		for row := range len(table.Rows) {
			m, ok := timetable.Missing(r, row, o)
			minutes, found = append(minutes, m), append(found, ok)
		}
		return minutes, found, nil
	}
	held.New(t).Drive([]any{check, compare, missing}, pool...)
	rows := append([]timetable.Row(nil), other...)
	held.New(t).Drive([]any{func(rows []timetable.Row) (*printed.Report, error) { return timetable.Check(rows) }}, rows)
}
