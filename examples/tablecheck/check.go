package main

import (
	"errors"
	"fmt"
	"path/filepath"
	"slices"
	"strings"

	"example.org/actinic/devtime/timetable"
	"example.org/actinic/examples/internal/command"
	"example.org/actinic/filters/factortable"
	"example.org/actinic/reciprocity/corrections"
	"example.org/actinic/sensito/printed"
	"example.org/actinic/sensito/printed/columns"
	"example.org/actinic/sensito/printed/layout"
)

// job is one table with its report and what it takes to print and draw it.
type job struct {
	Name   string `json:"table"`
	Source string `json:"source,omitempty"`
	*printed.Report

	path, kind string
	file       string // of the pictures
	drawing    drawing
	sheet      *layout.Sheet
	at         []int // rows of the sheet, from 0, of the rows of the report
	column     string
	unit       float64 // of implied values in the report, in the unit that JSON has
	redo       func(row int) (float64, bool)
	accepted   map[int]string // reasons, by number of the finding
	expired    []string
	made       command.Made
	err        error
}

// errKind says that a table is of no known kind.
var errKind = errors.New("unknown kind")

// kindOf finds the kind of a table: as said above it, by its headings, by the file's name.
func kindOf(t *layout.Table, path string) (string, error) {
	if k := strings.ToLower(t.Remark("kind")); k != "" {
		for _, known := range kinds() {
			if k == known {
				return k, nil
			}
		}
		return "", fmt.Errorf("%s: kind %q above the table: want %s", path, k, strings.Join(kinds(), ", "))
	}
	if _, err := corrections.FromTable(t); err == nil {
		return "reciprocity", nil
	}
	heads := " "
	for _, h := range t.Head {
		words, unit := layout.Heading(h.Text)
		heads += words + " " + unit + " "
	}
	has := func(words ...string) bool {
		for _, w := range words {
			if strings.Contains(heads, " "+w+" ") {
				return true
			}
		}
		return false
	}
	switch {
	case has("metered", "indicated", "measured") && has("adjusted", "corrected", "stops", "actual", "aperture"):
		return "reciprocity", nil
	case has("contrast", "gamma", "gradient", "ci") && has("time", "min"):
		return "contrast", nil
	case has("filter") && has("factor", "stops", "increase"):
		return "filters", nil
	case columns.IsExposure(t):
		return "exposure", nil
	case len(t.Head) == 1 && has("shutter"):
		return "shutter", nil
	case len(t.Head) == 1 && has("aperture", "f number", "f stop"):
		return "aperture", nil
	case has("degrees", "din") && has("speed", "iso", "asa", "arithmetic"):
		return "speed", nil
	case has("step", "patch") && has("density"):
		return "tablet", nil
	case has("density", "nd") && has("factor", "stops", "transmittance"):
		return "nd", nil
	}
	if _, err := timetable.FromTable(t, timetable.Options{Colon: 1}); err == nil || has("time") && has("temperature",
		"temp", "dilution", "ei", "iso", "°c", "°f") {
		return "development", nil
	}
	words := strings.FieldsFunc(strings.ToLower(t.Name+" "+strings.TrimSuffix(filepath.Base(path), filepath.Ext(path))),
		func(r rune) bool { return r < 'a' || r > 'z' })
	for _, k := range kinds() {
		if slices.Contains(words, k) {
			return k, nil
		}
	}
	return "", fmt.Errorf("%s: %w: want -kind, a line such as # kind: reciprocity above the table, or headings that tell; kinds are %s",
		path, errKind, strings.Join(kinds(), ", "))
}

// check checks a table.
func check(t *layout.Table, path, kind string, o *options) ([]job, error) {
	j := job{Name: filepath.Base(path), path: path, kind: kind, file: strings.TrimSuffix(filepath.Base(path), filepath.Ext(path)), unit: 1}
	if t.Name != "" {
		j.Name += ": " + t.Name
	}
	var err error
	switch kind {
	case "development":
		err = j.development(t, o)
	case "reciprocity":
		err = j.reciprocity(t)
	case "filters":
		err = j.filters(t, o)
	default:
		return j.columns(t, columns.Kind(kind), o)
	}
	return []job{j}, err
}

func (j *job) development(t *layout.Table, o *options) error {
	got, err := timetable.FromTable(t, timetable.Options{Colon: o.readsColon()})
	if err != nil {
		return err
	}
	j.Report, err = timetable.Check(got.Rows)
	j.sheet, j.at, j.column, j.unit = got.Sheet, got.At, "time", 60
	j.drawing = developmentDrawing(got.Rows)
	j.redo = func(row int) (float64, bool) {
		return timetable.Missing(got, row, timetable.Options{Colon: o.readsColon()})
	}
	return err
}

func (j *job) reciprocity(t *layout.Table) error {
	got, err := corrections.FromTable(t)
	if err != nil {
		return err
	}
	j.Report, err = corrections.Check(got.Rows)
	j.sheet, j.at, j.column = got.Sheet, got.At, "adjusted_s"
	if !got.Sheet.Has("adjusted_s") && got.Sheet.Has("aperture_stops") {
		j.column = "aperture_stops"
	}
	j.drawing = reciprocityDrawing(got.Rows)
	j.redo = func(row int) (float64, bool) { return corrections.Missing(got, row) }
	return err
}

func (j *job) filters(t *layout.Table, o *options) error {
	got, err := factortable.FromTable(t, factortable.Options{Plus: o.readsPlus()})
	if err != nil {
		return err
	}
	if o.films.stated {
		c := o.films.all[0]
		j.Report, err = factortable.Check(c.Film, c.Light, got.Rows)
	} else {
		j.Report, _, err = factortable.CheckUnder(o.films.all, got.Rows)
	}
	j.sheet, j.at, j.column = got.Sheet, got.At, "factor"
	j.drawing = filterDrawing(got.Rows)
	return err
}

// columns checks a table that is a column against another; one that has several is several
// jobs.
func (j job) columns(t *layout.Table, kind columns.Kind, o *options) ([]job, error) {
	checked, err := columns.Check(t, kind, columns.Options{Law: o.law})
	if err != nil {
		return nil, err
	}
	var out []job
	for _, c := range checked {
		k := j
		k.Report, k.sheet, k.at, k.column = c.Report, c.Sheet, c.At, c.Name
		if len(checked) > 1 {
			k.file += "_" + c.Name
			k.Name += " (" + c.Column + ")"
		}
		k.drawing = drawing{column: c.Column, x: "Row", y: c.Column, at: byRow(len(c.Y)), printed: c.Y}
		if k.sheet.Has("x") || kind == columns.XY || kind == columns.Contrast {
			k.drawing.x, k.drawing.at = k.sheet.Head[0].Text, c.X
		}
		out = append(out, k)
	}
	return out, nil
}

// row is the number of a finding's row in the table, from 1, blank ones counted.
func (j *job) row(f printed.Finding) int {
	if j.sheet == nil || f.Row < 1 || f.Row > len(j.at) {
		return f.Row
	}
	return j.at[f.Row-1] + 1
}

// cell is where a finding's cell stands in the file.
func (j *job) cell(f printed.Finding) layout.Cell {
	if j.sheet == nil || f.Row < 1 || f.Row > len(j.at) {
		return layout.Cell{}
	}
	name := f.Column
	if !j.sheet.Has(name) {
		name = j.column
	}
	return j.sheet.Cell(j.at[f.Row-1], name)
}
