package factortable

import (
	"io"
	"strings"

	"example.org/actinic/filters"
	"example.org/actinic/sensito"
	"example.org/actinic/sensito/datafile"
	"example.org/actinic/sensito/printed/forms"
	"example.org/actinic/sensito/printed/layout"
)

var columns = []layout.Column{
	{Name: "filter", Words: []string{"filter", "no", "number", "filters", "colour", "color", "filter no"}, Want: "the filter, such as 25 or ND 0.9"},
	{Name: "factor", Words: []string{"factor", "filter factor", "multiply", "times", "x", "exposure factor", "stops", "increase", "exposure increase", "(stops)"}, Want: "its factor"},
}

// Options say what a table cannot say itself.
type Options struct {
	// Plus says what +1 in the column of factors is; asked unless it is set, or the heading
	// says stops.
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
	content, err := io.ReadAll(io.LimitReader(r, layout.MostBytes+1))
	if err != nil {
		return nil, datafile.Errors{{File: file, Want: "a readable file (" + err.Error() + ")"}}
	}
	tables, err := layout.Read(content, file)
	if err != nil {
		return nil, err
	}
	got, err := FromTable(tables[0], Options{})
	if err != nil {
		return nil, err
	}
	return got.Rows, nil
}

// FromTable reads the rows of a table.
//
// Errors: [datafile.Errors].
func FromTable(t *layout.Table, o Options) (*Reading, error) {
	sheet, ok := t.Sheet(columns, "filter", "factor")
	if !ok {
		if turned, fits := t.Turned().Sheet(columns, "filter", "factor"); fits {
			sheet = turned
		}
	}
	if errs := sheet.Missing(columns, "filter", "factor"); len(errs) > 0 {
		return nil, errs
	}
	if len(sheet.Rows) == 0 {
		return nil, datafile.Errors{{File: t.File, Line: sheet.Head[0].Line, Want: "rows below the header"}}
	}
	title := strings.ToLower(sheet.Title("factor"))
	inStops := strings.Contains(title, "stop") && !strings.Contains(title, "factor")
	if inStops && o.Plus == forms.AskPlus {
		o.Plus = forms.PlusIsStops
	}
	out := &Reading{Sheet: sheet}
	var errs datafile.Errors
	for i := range sheet.Rows {
		name, text := sheet.Cell(i, "filter").Text, sheet.Cell(i, "factor").Text
		f, blank, err := findFilter(name)
		if err != nil {
			want := "a filter such as 25, 8 yellow or ND 0.9; known are " + catalogueNames()
			if strings.Contains(err.Error(), " may be ") {
				want = err.Error()
			}
			errs = append(errs, sheet.Fail(i, "filter", want))
		}
		if inStops && text != "" && !strings.Contains(strings.ToLower(text), "stop") {
			text += " stops"
		}
		c, ferr := forms.Factor(text, o.Plus)
		const want = "a factor above 0, such as 2.5"
		if ferr != nil || !c.Blank && !(c.Value > 0 && c.Value <= greatestFactor) {
			say := want
			if ferr != nil {
				say += "; " + ferr.Error()
			}
			errs = append(errs, sheet.Fail(i, "factor", say))
			continue
		}
		if err == nil && !blank && !c.Blank {
			row := Row{Filter: f, Factor: c.Value, text: sheet.Cell(i, "factor").Text, stops: c.Unit == "stops"}
			if c.Range() {
				row.low, row.high = c.Low, c.High
			}
			out.Rows, out.At = append(out.Rows, row), append(out.At, i)
		}
	}
	if len(errs) == 0 && len(out.Rows) == 0 {
		errs = append(errs, sheet.Fail(0, "factor", "a factor above 0, such as 2.5; no row has one"))
	}
	if len(errs) > 0 {
		return nil, errs
	}
	return out, nil
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
