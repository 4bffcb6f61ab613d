package factortable_test

import (
	"bytes"
	"testing"

	"example.org/actinic/filters/factortable"
	"example.org/actinic/internal/held"
	"example.org/actinic/sensito/printed"
	"example.org/actinic/spectral"
)

// What tables with one thing changed are told is held to what it was.
func TestDrive(t *testing.T) {
	var pool []any
	for _, text := range []string{
		"# an invented table\nfilter,factor,stops\n8,2,1\n11,4,2\n25,8,3\n47,6,2 1/2\n58,6,2 2/3\n15,3,1 1/2\n",
		"Filter,Exposure factor\nNo. 8 (K2),2x\n#29,20\nND 0.9,8\n47B,8\n12,2\n",
		"filter,stops\n8,1\n25,3\n16,1 1/2\n",
	} {
		pool = append(pool, held.Variants(text)...)
	}
	film, light := spectral.Generic(spectral.Panchromatic), spectral.D55.Light()
	check := func(text []byte) (*printed.Report, error) {
		rows, err := factortable.Read(bytes.NewReader(text), "t.csv")
		if err != nil {
			return nil, err
		}
		return factortable.Check(film, light, rows)
	}
	under := func(text []byte) (*printed.Report, string, error) {
		rows, err := factortable.Read(bytes.NewReader(text), "t.csv")
		if err != nil {
			return nil, "", err
		}
		report, condition, err := factortable.CheckUnder(factortable.Usual(), rows)
		return report, condition.Words, err
	}
	rows, err := factortable.Read(bytes.NewReader(pool[0].([]byte)), "t.csv")
	if err != nil {
		t.Fatal(err)
	}
	held.New(t).Drive([]any{under}, pool[0], pool[3], pool[9], pool[15])
	held.New(t).Drive([]any{func(rows []factortable.Row) (*printed.Report, error) { return factortable.Check(film, light, rows) }}, rows)
	held.New(t).Drive([]any{check}, pool...)
}
