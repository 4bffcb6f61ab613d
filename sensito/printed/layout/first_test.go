package layout

import (
	"errors"
	"strings"
	"testing"
	"testing/iotest"

	"example.org/actinic/sensito/datafile"
)

// First takes the first of two tables, and a reader that fails is an error with the file.
func TestFirst(t *testing.T) {
	got, err := First(strings.NewReader("| a | b |\n|---|---|\n| 1 | 2 |\n\ntext\n\n| c | d |\n|---|---|\n| 3 | 4 |\n"), "x.md")
	if err != nil || len(got.Rows) != 1 || got.Rows[0].Cells[1].Text != "2" {
		t.Errorf("%+v, %v", got, err)
	}
	_, err = First(iotest.ErrReader(errors.New("no paper")), "x.csv")
	var errs datafile.Errors
	if !errors.As(err, &errs) || errs[0].File != "x.csv" || !strings.Contains(err.Error(), "no paper") {
		t.Errorf("%v", err)
	}
}

// RowsOf passes over blank rows, keeps their places, and asks where nothing is printed.
func TestRowsOf(t *testing.T) {
	table, err := First(strings.NewReader("a,b\n1,2\n,\n3,4\n"), "x.csv")
	if err != nil {
		t.Fatal(err)
	}
	s, _ := table.Sheet([]Column{{Name: "a"}, {Name: "b"}})
	read := func(all bool) func(i int) (string, bool, datafile.Errors) {
		return func(i int) (string, bool, datafile.Errors) {
			text := s.Cell(i, "a").Text
			return text, all || text == "", nil
		}
	}
	rows, at, errs := RowsOf(s, "a", "a number", read(false))
	if len(errs) > 0 || strings.Join(rows, " ") != "1 3" || at[1] != len(s.Rows)-1 {
		t.Errorf("%v at %v, %v", rows, at, errs)
	}
	if _, _, errs := RowsOf(s, "a", "a number", read(true)); len(errs) != 1 || errs[0].Want != "a number" {
		t.Errorf("%v", errs)
	}
}
