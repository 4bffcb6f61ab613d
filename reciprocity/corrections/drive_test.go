package corrections_test

import (
	"bytes"
	"testing"

	"example.org/actinic/internal/held"
	"example.org/actinic/reciprocity"
	"example.org/actinic/reciprocity/corrections"
	"example.org/actinic/sensito/printed"
	"example.org/actinic/sensito/printed/layout"
)

// What tables with one thing changed are told is held to what it was.
func TestDrive(t *testing.T) {
	var pool []any
	for _, text := range []string{
		"# an invented table\nmetered_s,adjusted_s,aperture_stops\n1,1.2,1/4\n2,2.7,1/2\n4,6.2,2/3\n8,14,3/4\n15,30,1\n30,70,1 1/4\n60,165,1 1/2\n120,390,1 3/4\n",
		"Metered time,Adjusted time\n1 s,1.3 s\n4 s,7 s\n10 s,21 s\n30 s,82 s\n1 min,3 min 10 s\n4 min,18 min\n",
		"metered_s,factor,lengthening_percent\n0.1,1,0\n1,1.25,-10\n10,2,-20\n100,5,-30\n",
		"metered_s,aperture_stops\n1,0\n10,1\n100,2\n1000,3\n",
	} {
		pool = append(pool, held.Variants(text)...)
	}
	check := func(text []byte) (*printed.Report, error) {
		rows, err := corrections.Read(bytes.NewReader(text), "t.csv")
		if err != nil {
			return nil, err
		}
		return corrections.Check(rows)
	}
	first, err := corrections.Read(bytes.NewReader(pool[0].([]byte)), "other.csv")
	if err != nil {
		t.Fatal(err)
	}
	law, err := reciprocity.NewPower(1, 0.8)
	if err != nil {
		t.Fatal(err)
	}
	against := func(text []byte) (a, b *printed.Report, err error) {
		rows, err := corrections.Read(bytes.NewReader(text), "t.csv")
		if err != nil {
			return nil, nil, err
		}
		if a, err = corrections.CompareLaw(rows, law); err != nil {
			return nil, nil, err
		}
		b, err = corrections.Compare(rows, first)
		return a, b, err
	}
	missing := func(text []byte) (seconds []float64, found []bool, err error) {
		table, err := layout.First(bytes.NewReader(text), "t.csv")
		if err != nil {
			return nil, nil, err
		}
		r, err := corrections.FromTable(table)
		if err != nil {
			return nil, nil, err
		}
		for row := range len(table.Rows) {
			s, ok := corrections.Missing(r, row)
			seconds, found = append(seconds, s), append(found, ok)
		}
		return seconds, found, nil
	}
	var some []any
	for i := 0; i < len(pool); i += 4 {
		some = append(some, pool[i])
	}
	held.New(t).Drive([]any{against, missing}, some...)
	held.New(t).Drive([]any{corrections.Check}, held.Few{}, first)
	held.New(t).Drive([]any{check}, pool...)
}
