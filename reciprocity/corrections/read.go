package corrections

import (
	"fmt"
	"io"
	"math"
	"strings"

	"example.org/actinic/sensito"
	"example.org/actinic/sensito/datafile"
	"example.org/actinic/sensito/printed/forms"
	"example.org/actinic/sensito/printed/layout"
)

// Times of a table, in seconds: from the shortest flash to a century.
const shortestSeconds, longestSeconds = 1e-9, 3e9

var columns = []layout.Column{
	{Name: "metered_s", Words: []string{"metered", "measured", "indicated", "calculated", "meter", "meter reading",
		"if metered", "indicated exposure", "metered exposure", "measured time", "calculated exposure"}, Want: "the time that the meter says, such as metered_s or Metered (s)"},
	{Name: "adjusted_s", Words: []string{"adjusted", "corrected", "actual", "give", "required", "expose",
		"adjusted exposure", "corrected exposure", "corrected time", "actual exposure", "new time", "use"}, Want: "the time to expose for, such as adjusted_s or Adjusted (s)"},
	{Name: "aperture_stops", Words: []string{"aperture", "stops", "lens", "open", "(stops)", "(f stops)", "(ev)", "f stops",
		"lens aperture", "aperture correction", "exposure adjustment"}, Want: "stops to open by"},
	{Name: "lengthening_percent", Words: []string{"lengthening", "percent", "(percent)", "(%)"}, Want: "percent"},
	{Name: "factor", Words: []string{"factor", "multiply", "multiply by", "exposure factor", "times"},
		Want: "what to multiply the time by"},
}

// Reading is a table of corrections as read, with where its rows stand.
type Reading struct {
	Rows  []Row
	Sheet *layout.Sheet
	At    []int // for each of Rows, the row of the sheet from 0: rows without a correction are passed over
}

// Read reads a table of corrections: columns metered_s, adjusted_s and where known
// aperture_stops and lengthening_percent, or headings as they are printed, such as
// "Metered (s)" and "Corrected exposure", in any order and layout that [layout.Read] knows.
// adjusted_s may be empty in a row that gives an aperture. The file name is for the errors,
// which are [datafile.Errors].
func Read(r io.Reader, file string) ([]Row, error) {
	t, err := layout.First(r, file)
	if err != nil {
		return nil, err
	}
	got, err := FromTable(t)
	if err != nil {
		return nil, err
	}
	return got.Rows, nil
}

// FromTable reads the rows of a table. Times are in the unit of the heading or the cell,
// seconds where neither says one. A table that is printed across the page, with its
// headings at the left, is read as well; so is one of stops or of factors alone.
//
// Errors: [datafile.Errors].
func FromTable(t *layout.Table) (*Reading, error) {
	sheet, _ := t.Sheet(columns)
	whole := func(s *layout.Sheet) bool {
		return s.Has("metered_s") && (s.Has("adjusted_s") || s.Has("aperture_stops") || s.Has("factor"))
	}
	if !whole(sheet) && len(t.Rows) > 0 {
		if turned, _ := t.Turned().Sheet(columns); whole(turned) {
			sheet = turned
		}
	}
	must := []string{"metered_s"}
	if !sheet.Has("aperture_stops") && !sheet.Has("factor") {
		must = append(must, "adjusted_s")
	}
	if errs := sheet.Missing(columns, must...); len(errs) > 0 {
		return nil, errs
	}
	if len(sheet.Rows) == 0 {
		return nil, datafile.Errors{{File: t.File, Line: sheet.Head[0].Line, Want: "rows below the header"}}
	}
	rows, at, errs := layout.RowsOf(sheet, "adjusted_s", "a time, or an aperture beside it; no row has one", func(i int) (Row, bool, datafile.Errors) { return readRow(sheet, i) })
	if len(errs) > 0 {
		return nil, errs
	}
	return &Reading{rows, sheet, at}, nil
}

// readRow reads a row; blank says that it prints no correction.
func readRow(s *layout.Sheet, i int) (d Row, blank bool, errs datafile.Errors) {
	d = Row{Aperture: sensito.Stops(math.NaN()), Percent: math.NaN(), text: map[string]string{}, unit: map[string]float64{}}
	fail := func(name, want string, err error) {
		if err != nil {
			want += "; " + forms.Wanted(err)
		}
		errs = append(errs, s.Fail(i, name, want))
	}
	seconds := func(name string) (forms.Cell, bool) {
		const want = "seconds above 0, such as 0.25, 1/2, 2 min or 90, from 1e-9 s to a century"
		unit := 1.0
		if u := forms.SecondsOf(s.Unit(name)); u > 0 {
			unit = u
		}
		c, err := forms.Time(s.Cell(i, name).Text, unit)
		if err != nil || !c.Blank && !(c.Low >= shortestSeconds && c.High <= longestSeconds) {
			fail(name, want, err)
			return c, false
		}
		if c.Unit != "" {
			unit = forms.SecondsOf(c.Unit)
		}
		d.text[name], d.unit[name] = c.Text, unit
		return c, true
	}
	m, ok := seconds("metered_s")
	if ok && m.Blank {
		if s.Cell(i, "adjusted_s").Text != "" || m.Text != "" {
			fail("metered_s", "a metered time such as 2 or 1/2", nil)
		}
		return d, true, errs
	}
	d.Metered = m.Value
	if a, ok := seconds("adjusted_s"); ok && !a.Blank {
		if d.Adjusted = a.Value; a.Range() {
			d.low, d.high = a.Low, a.High
		}
	}
	if c, err := forms.Stops(s.Cell(i, "aperture_stops").Text); err != nil || !c.Blank && !(c.Value >= 0 && c.Value <= 20) {
		fail("aperture_stops", "stops from 0 to 20", err)
	} else if !c.Blank {
		d.Aperture, d.text["aperture_stops"] = sensito.Stops(c.Value), c.Text
	}
	percent, _ := strings.CutSuffix(s.Cell(i, "lengthening_percent").Text, "%")
	if c, err := forms.Number(percent); err != nil || !c.Blank && !(c.Value >= 0 && c.Value <= 1e6) {
		fail("lengthening_percent", "percent from 0 to a million", err)
	} else if !c.Blank {
		d.Percent, d.text["lengthening_percent"] = c.Value, c.Text
	}
	if d.Adjusted == 0 && s.Has("factor") {
		plus := forms.AskPlus
		if strings.Contains(s.Unit("factor"), "stop") {
			plus = forms.PlusIsStops
		}
		c, err := forms.Factor(s.Cell(i, "factor").Text, plus)
		if err != nil || !c.Blank && !(c.Value > 0 && c.Value <= 1e6) {
			fail("factor", "a factor such as 2.5 or 2×", err)
		} else if !c.Blank {
			d.Adjusted, d.factor = c.Value*d.Metered, c.Value
			d.text["adjusted_s"] = fmt.Sprintf("%s × %s", d.text["metered_s"], c.Text)
			d.unit["adjusted_s"] = d.Metered // what was rounded is the factor
		}
	}
	none := d.Adjusted == 0 && math.IsNaN(float64(d.Aperture))
	return d, none, errs
}

// Missing is what the rows of a table imply for a row of the sheet, counted from 0, whether
// something is printed there or not: the adjusted time in seconds. ok is false where they
// say nothing.
func Missing(r *Reading, row int) (seconds float64, ok bool) {
	c, err := forms.Time(r.Sheet.Cell(row, "metered_s").Text, max(forms.SecondsOf(r.Sheet.Unit("metered_s")), 1))
	if err != nil || c.Blank || !(c.Value >= shortestSeconds && c.Value <= longestSeconds) {
		return 0, false
	}
	var rows []Row
	for k, i := range r.At {
		if i != row {
			rows = append(rows, r.Rows[k])
		}
	}
	// What is implied for a row does not depend on what stands in it.
	rows = append(rows, Row{Metered: c.Value, Adjusted: c.Value, Aperture: sensito.Stops(math.NaN()), Percent: math.NaN()})
	rep, err := Check(rows)
	if err != nil {
		return 0, false
	}
	v := rep.Implied[len(rows)-1]
	return v, v > 0
}
