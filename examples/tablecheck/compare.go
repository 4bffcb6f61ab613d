package main

import (
	"path/filepath"
	"strings"

	"example.org/actinic"
	"example.org/actinic/devtime/timetable"
	"example.org/actinic/examples/internal/command"
	"example.org/actinic/reciprocity/corrections"
	"example.org/actinic/sensito/printed/forms"
	"example.org/actinic/sensito/printed/layout"
)

// compare holds a table against another printing of it: the same film in two books, °C
// against °F, corrections by time against those by aperture, or the record of a built-in
// film, named as "film:Garnedd Swift", against a printed table.
func compare(o *options) (job, error) {
	one, err := firstTable(o.args[0])
	if err != nil {
		return job{}, err
	}
	kind := o.kind
	if kind == "" {
		if kind, err = kindOf(one, o.args[0]); err != nil {
			return job{}, err
		}
	}
	j := job{Name: filepath.Base(o.args[0]) + " against " + filepath.Base(o.compare), path: o.args[0], kind: kind,
		file: strings.TrimSuffix(filepath.Base(o.args[0]), filepath.Ext(o.args[0])), unit: 1}
	name, isFilm := strings.CutPrefix(o.compare, "film:")
	if isFilm {
		if kind != "reciprocity" {
			return job{}, command.Usagef("-compare film: a table of kind reciprocity, not %s", kind)
		}
		got, err := corrections.FromTable(one)
		if err != nil {
			return job{}, err
		}
		film, err := actinic.LoadFilm(name)
		if err != nil {
			return job{}, err
		}
		law, err := film.Reciprocity()
		if err != nil {
			return job{}, err
		}
		j.Report, err = corrections.CompareLaw(got.Rows, law)
		j.sheet, j.at, j.column, j.drawing = got.Sheet, got.At, "adjusted_s", reciprocityDrawing(got.Rows)
		return j, err
	}
	two, err := firstTable(o.compare)
	if err != nil {
		return job{}, err
	}
	switch kind {
	case "development":
		colon := timetable.Options{Colon: o.readsColon()}
		got, err := timetable.FromTable(one, colon)
		if err != nil {
			return job{}, err
		}
		other, err := timetable.FromTable(two, colon)
		if err != nil {
			return job{}, err
		}
		j.Report, err = timetable.Compare(got.Rows, other.Rows)
		j.sheet, j.at, j.column, j.unit, j.drawing = got.Sheet, got.At, "time", 60, developmentDrawing(got.Rows)
		return j, err
	case "reciprocity":
		got, err := corrections.FromTable(one)
		if err != nil {
			return job{}, err
		}
		other, err := corrections.FromTable(two)
		if err != nil {
			return job{}, err
		}
		j.Report, err = corrections.Compare(got.Rows, other.Rows)
		j.sheet, j.at, j.column, j.drawing = got.Sheet, got.At, "adjusted_s", reciprocityDrawing(got.Rows)
		return j, err
	}
	return job{}, command.Usagef("-compare: tables of kind reciprocity or development, not %s", kind)
}

func firstTable(path string) (*layout.Table, error) {
	content, err := contentOf(path)
	if err != nil {
		return nil, err
	}
	tables, err := layout.Read(content, path)
	if err != nil {
		return nil, err
	}
	return tables[0], nil
}

// headingUnit is the unit of a column of times as its heading says it, in seconds; 0 where
// it says none.
func headingUnit(j *job, column string) float64 {
	if j.sheet.Title(column) == column {
		return 0 // metered_s and time are what they are
	}
	return forms.SecondsOf(j.sheet.Unit(column))
}
