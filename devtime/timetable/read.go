package timetable

import (
	"errors"
	"io"
	"math"
	"strings"
	"time"

	"example.org/actinic/devtime"
	"example.org/actinic/internal/plausible"
	"example.org/actinic/sensito/datafile"
	"example.org/actinic/sensito/printed/forms"
	"example.org/actinic/sensito/printed/layout"
)

var columns = []layout.Column{
	{Name: "time", Words: []string{"time", "minutes", "min", "developing time", "development time", "dev time",
		"development", "(min)"}, Want: "the time of development, such as time or Time (min)"},
	{Name: "ei", Words: []string{"ei", "iso", "index", "exposure index", "speed", "asa", "film speed", "rated", "rating",
		"rated at"}, Want: "the exposure index"},
	{Name: "dilution", Words: []string{"dilution", "dil", "diluted", "strength", "concentration"}, Want: "the dilution"},
	{Name: "temperature_c", Words: []string{"temperature", "temp", "°c", "(°c)", "(c)", "celsius", "deg c"}, Want: "the temperature in °C"},
	{Name: "temperature_f", Words: []string{"°f", "(°f)", "(f)", "fahrenheit", "deg f", "temperature f", "temperature °f",
		"temp °f", "temp f"}, Want: "the temperature in °F"},
}

// Options say what a table cannot say itself.
type Options struct {
	// Colon says what a dilution 1:31 means; asked unless it is set, or the heading says
	// "parts" or "in all".
	Colon forms.Colon
}

// Reading is a table of times as read, with where its rows stand.
type Reading struct {
	Rows  []Row
	Sheet *layout.Sheet
	At    []int // for each of Rows, the row of the sheet from 0: rows without a time are passed over
}

const wantTime = "a time like 7:30, 7m30s or 7.5 (minutes)"

// Read reads a table of development times: columns ei, dilution, temperature_c and time,
// any of the first three of which may be missing, and temperature_f beside or instead of
// temperature_c; or headings as they are printed, in any order, layout ([layout.Read]) and
// form of cells (package forms). Times without a unit are minutes. The file name is for the
// errors, which are [datafile.Errors]; a dilution 1:31 is one, with both readings.
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

// FromTable reads the rows of a table, in the long form, with a row for each time, or as a
// matrix: times by temperature, index or dilution, whose values stand in the headings.
//
// Errors: [datafile.Errors].
func FromTable(t *layout.Table, o Options) (*Reading, error) {
	if long := unfold(t); long != nil {
		t = long
	}
	sheet, ok := t.Sheet(columns, "time")
	if !ok && len(t.Rows) > 0 {
		if turned, fits := t.Turned().Sheet(columns, "time"); fits {
			sheet = turned
		}
	}
	if errs := sheet.Missing(columns, "time"); len(errs) > 0 {
		return nil, errs
	}
	line := sheet.Head[0].Line
	if !sheet.Has("ei") && !sheet.Has("dilution") && !sheet.Has("temperature_c") && !sheet.Has("temperature_f") {
		return nil, datafile.Errors{{File: t.File, Line: line, Field: "header", Text: "time",
			Want: "a column that the time depends on: ei, dilution or temperature_c"}}
	}
	if len(sheet.Rows) == 0 {
		return nil, datafile.Errors{{File: t.File, Line: line, Want: "rows below the header"}}
	}
	if o.Colon == forms.AskColon {
		o.Colon = colonOf(sheet.Title("dilution"))
	}
	rows, at, errs := layout.RowsOf(sheet, "time", wantTime+"; no row has one", func(i int) (Row, bool, datafile.Errors) { return readRow(sheet, i, o) })
	if len(errs) > 0 {
		return nil, errs
	}
	return &Reading{rows, sheet, at}, nil
}

// colonOf is what the heading says of 1:31.
func colonOf(heading string) forms.Colon {
	h := strings.ToLower(heading)
	switch {
	case strings.Contains(h, "in all"), strings.Contains(h, "total"):
		return forms.PartsInAll
	case strings.Contains(h, "water"), strings.Contains(h, "stock:water"), strings.Contains(h, "stock + water"):
		return forms.PartsOfWater
	}
	return forms.AskColon
}

// readRow reads a row; blank says that it prints no time.
func readRow(s *layout.Sheet, i int, o Options) (d Row, blank bool, errs datafile.Errors) {
	fail := func(name, want string, err error) {
		if err != nil && !errors.Is(err, forms.ErrAmbiguous) {
			want += ": want " + forms.Wanted(err)
		}
		var q *forms.Question
		if errors.As(err, &q) {
			want, _, _ = strings.Cut(want, ", stock")
			want += "; " + q.Text + " is read as " + strings.Join(q.Readings, " by some and as ") + " by others: " + q.How
		}
		errs = append(errs, s.Fail(i, name, want))
	}
	if s.Has("ei") {
		const want = "an exposure index such as 400"
		c, err := forms.Index(s.Cell(i, "ei").Text, forms.AskPlus)
		switch {
		case c.Note != "":
			fail("ei", want+"; "+c.Note+" is a note on development, write the index that goes with it", nil)
		case err != nil || !(c.Value >= plausible.LeastIndex && c.Value <= plausible.GreatestIndex):
			fail("ei", want, err)
		}
		d.Index = c.Value
	}
	if s.Has("dilution") {
		p, err := forms.Dilution(s.Cell(i, "dilution").Text, o.Colon)
		const want = "parts of stock and water such as 1+31, stock, or a percentage such as 10%"
		if err != nil || p.Blank {
			fail("dilution", want, err)
		} else if d.Dilution, err = devtime.NewDilution(p.Stock, p.Water); err != nil || d.Dilution.Factor() > maxDilution {
			fail("dilution", want, nil)
		}
	}
	for _, scale := range []struct{ name, unit, want string }{
		{"temperature_c", "°C", "degrees Celsius such as 20, not 0 and between -50 and 250"}, {"temperature_f", "°F",
			"degrees Fahrenheit such as 68, not 0 and between -50 and 250"},
	} {
		if !s.Has(scale.name) {
			continue
		}
		unit := scale.unit
		if u := strings.Trim(s.Unit(scale.name), "° "); u == "f" {
			unit = "°F"
		}
		b, err := forms.Temperature(s.Cell(i, scale.name).Text, unit)
		if err != nil || b.Celsius.Blank && b.Fahrenheit.Blank {
			fail(scale.name, scale.want, err)
			continue
		}
		if c := b.Celsius; !c.Blank {
			d.Temperature = devtime.Celsius(c.Value)
		}
		if f := b.Fahrenheit; !f.Blank {
			d.Fahrenheit = f.Value
		}
		for _, c := range []forms.Cell{b.Celsius, b.Fahrenheit} {
			if !c.Blank && !printableTemperature(c.Value) {
				fail(scale.name, scale.want, nil)
			}
		}
	}
	c := s.Cell(i, "time")
	read, err := readTime(s, c.Text, &d)
	if err != nil {
		fail("time", wantTime, err)
	} else if read.Blank && read.Text == "" && strings.Trim(joinedCells(s, i), ",") == "" {
		fail("time", "a time", nil)
	}
	return d, read.Blank, errs
}

func joinedCells(s *layout.Sheet, i int) string {
	var out []string
	for _, c := range s.Rows[i].Cells {
		out = append(out, c.Text)
	}
	return strings.Join(out, ",")
}

func readTime(s *layout.Sheet, text string, d *Row) (forms.Cell, error) {
	unit := 60.0
	if u := forms.SecondsOf(s.Unit("time")); u > 0 {
		unit = u
	}
	c, err := forms.Time(text, unit)
	if err != nil || c.Blank {
		return c, err
	}
	in := func(v float64) (time.Duration, error) {
		if v < 3600e3 { // a thousand hours, in seconds
			if t := time.Duration(math.Round(v*1e3)) * time.Millisecond; t > 0 {
				return t, nil
			}
		}
		return 0, errors.New("a time above 0 and below 1000 hours")
	}
	d.text = c.Text
	if d.Time, err = in(c.Value); err == nil && c.Range() {
		if d.low, err = in(c.Low); err == nil {
			d.high, err = in(c.High)
		}
	}
	return c, err
}

// Missing is what the rows of a table imply for a row of the sheet, counted from 0, whether
// a time is printed there or not, in minutes. ok is false where they say nothing.
func Missing(r *Reading, row int, o Options) (minutes float64, ok bool) {
	if o.Colon == forms.AskColon {
		o.Colon = colonOf(r.Sheet.Title("dilution"))
	}
	d, _, errs := readRow(r.Sheet, row, o)
	if len(errs) > 0 || len(r.Rows) == 0 {
		return 0, false
	}
	var rows []Row
	for k, i := range r.At {
		if i != row {
			rows = append(rows, r.Rows[k])
		}
	}
	if len(rows) == 0 {
		return 0, false
	}
	// What is implied for a row does not depend on what stands in it.
	d.Time, d.text, d.low, d.high = rows[0].Time, "", 0, 0
	rows = append(rows, d)
	rep, err := Check(rows)
	if err != nil {
		return 0, false
	}
	v := rep.Implied[len(rows)-1]
	return v, v > 0
}
