package factortable

import (
	"errors"
	"io"
	"math"
	"strings"

	"example.org/actinic/filters"
	"example.org/actinic/sensito"
	"example.org/actinic/sensito/datafile"
	"example.org/actinic/sensito/printed/forms"
	"example.org/actinic/sensito/printed/layout"
)

var columns = []layout.Column{
	{Name: "filter", Words: []string{"filter", "no", "number", "filters", "colour", "color", "filter no"},
		Want: "the filter, such as 25 or ND 0.9"},
	{Name: "factor", Words: []string{"factor", "filter factor", "multiply", "times", "x", "exposure factor"}, Want: "its factor"},
	{Name: "stops", Words: []string{"stops", "stop", "increase", "exposure increase", "(stops)", "increase stops"},
		Want: "its factor in stops"},
}

// Options say what a table cannot say itself.
type Options struct {
	// Plus says what +1 in the column of factors is; asked unless it is set.
	Plus forms.Plus
}

// Reading is a table of factors as read, with where its rows stand.
type Reading struct {
	Rows  []Row
	Sheet *layout.Sheet
	At    []int // for each of Rows, the row of the sheet from 0: rows without a factor are passed over
}

// Read reads a table of filter factors: columns filter and factor, or headings as they are
// printed, in any order, layout ([layout.Read]) and form of cells (package forms). A filter
// is named as [filters.Find] knows it, such as 25 or "8 yellow", by a colour that only one
// has, or is a neutral density such as ND 0.9 or ND8. A column in stops is read as such
// where its heading says so. The file name is for the errors, which are [datafile.Errors].
func Read(r io.Reader, file string) ([]Row, error) {
	t, err := layout.First(r, file)
	if err != nil {
		return nil, err
	}
	got, err := FromTable(t, Options{})
	if err != nil {
		return nil, err
	}
	return got.Rows, nil
}

// FromTable reads the rows of a table.
//
// Errors: [datafile.Errors].
func FromTable(t *layout.Table, o Options) (*Reading, error) {
	sheet, _ := t.Sheet(columns)
	whole := func(s *layout.Sheet) bool { return s.Has("filter") && (s.Has("factor") || s.Has("stops")) }
	if !whole(sheet) && len(t.Rows) > 0 {
		if turned, _ := t.Turned().Sheet(columns); whole(turned) {
			sheet = turned
		}
	}
	must := []string{"filter"}
	if !sheet.Has("stops") {
		must = append(must, "factor")
	}
	if errs := sheet.Missing(columns, must...); len(errs) > 0 {
		return nil, errs
	}
	if len(sheet.Rows) == 0 {
		return nil, datafile.Errors{{File: t.File, Line: sheet.Head[0].Line, Want: "rows below the header"}}
	}
	rows, at, errs := layout.RowsOf(sheet, "factor", "a factor above 0, such as 2.5; no row has one", func(i int) (Row, bool, datafile.Errors) { return readRow(sheet, i, o) })
	if len(errs) > 0 {
		return nil, errs
	}
	return &Reading{rows, sheet, at}, nil
}

// readRow reads a row; blank says that it prints no factor.
func readRow(s *layout.Sheet, i int, o Options) (row Row, blank bool, errs datafile.Errors) {
	f, none, err := findFilter(s.Cell(i, "filter").Text)
	if err != nil {
		want := "a filter such as 25, 8 yellow or ND 0.9; known are " + catalogueNames()
		if errors.Is(err, forms.ErrAmbiguous) {
			want = err.Error()
		}
		errs = append(errs, s.Fail(i, "filter", want))
	}
	c, err := forms.Factor(s.Cell(i, "factor").Text, o.Plus)
	if err != nil || !c.Blank && !(c.Value > 0 && c.Value <= greatestFactor) {
		want := "a factor above 0, such as 2.5"
		if err != nil {
			want += "; " + forms.Wanted(err)
		}
		errs = append(errs, s.Fail(i, "factor", want))
	}
	stops, err := forms.Stops(s.Cell(i, "stops").Text)
	if beside := s.Has("factor"); err != nil || !stops.Blank && !(math.Abs(stops.Value) <= 40 && (stops.Value >= 0 || !beside)) {
		errs = append(errs, s.Fail(i, "stops", "stops from 0 to 40 such as 2.7 or 2 2/3, or nothing"))
	}
	row = Row{Filter: f, text: c.Text}
	switch {
	case !c.Blank:
		if row.Factor = c.Value; c.Range() {
			row.low, row.high = c.Low, c.High
		}
		if !stops.Blank {
			row.Stops, row.stops = sensito.Stops(stops.Value), stops.Text
		}
	case !stops.Blank: // a table of stops alone
		row.Factor, row.text = math.Exp2(stops.Value), stops.Text
		if stops.Range() {
			row.low, row.high = math.Exp2(stops.Low), math.Exp2(stops.High)
		}
	}
	return row, none || c.Blank && stops.Blank, errs
}

func findFilter(text string) (f filters.Filter, blank bool, err error) {
	name, err := forms.Filter(text)
	switch {
	case err != nil || name.Blank:
		return f, name.Blank, err
	case name.Neutral:
		f, err = filters.Neutral(sensito.Density(name.Density))
		return f.Named(name.Text), false, err
	}
	e, err := filters.Find(name.Name)
	if err != nil {
		// 25A is 25 in glass, where the catalogue has no 25A.
		if number := strings.TrimRight(name.Name, "ABC"); number != name.Name && number != "" {
			if e, err := filters.Find(number); err == nil {
				return e.Filter.Named(name.Text), false, nil
			}
		}
		var byPart error
		if e, byPart = filters.FindByPart(name.Name); byPart == nil {
			return e.Filter, false, nil
		}
	}
	return e.Filter, false, err
}

func catalogueNames() string {
	var names []string
	for _, e := range filters.Catalogue() {
		names = append(names, e.Filter.Name())
	}
	return strings.Join(names, ", ")
}
