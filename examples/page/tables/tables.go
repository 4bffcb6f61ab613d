// Package tables answers for printed tables of corrections, development times and filter
// factors.
package tables

import (
	"errors"
	"fmt"
	"math"
	"path"
	"slices"
	"strings"

	"example.org/actinic/devtime"
	"example.org/actinic/devtime/timetable"
	"example.org/actinic/examples/page/answer"
	"example.org/actinic/filters/factortable"
	"example.org/actinic/reciprocity/corrections"
	"example.org/actinic/sensito/datafile"
	"example.org/actinic/sensito/printed"
	"example.org/actinic/sensito/printed/layout"
)

// checked is a table with what was found.
type checked struct {
	kind, column string
	report       *printed.Report
	sheet        *layout.Sheet
	at           []int   // rows of the sheet, of the rows of the report
	unit         float64 // that what is implied is multiplied by
	format       func(v float64) string
}

// Answer checks the tables of all files.
func Answer(files map[string][]byte) answer.Answer {
	var names []string
	for name := range files {
		names = append(names, name)
	}
	slices.Sort(names)
	a := answer.Answer{Title: "Printed tables"}
	accused, remarks := 0, 0
	for _, name := range names {
		all, err := layout.Read(files[name], path.Base(name))
		if err != nil {
			a.Sections = append(a.Sections, answer.Section{Heading: name, Findings: lines(err)})
			continue
		}
		for _, t := range all {
			c, err := check(t)
			heading := name
			if t.Name != "" {
				heading += ": " + t.Name
			}
			if err != nil {
				a.Sections = append(a.Sections, answer.Section{Heading: heading, Findings: lines(err)})
				continue
			}
			a.Sections = append(a.Sections, c.section(heading))
			accused += c.report.Accused()
			remarks += len(c.report.Findings) - c.report.Accused()
			if c.report.Caution != "" && len(a.Cautions) == 0 {
				a.Cautions = []string{devtime.Caution}
			}
		}
	}
	a.Box = []answer.Line{{Name: "Accused", Text: fmt.Sprint(accused)}, {Name: "Remarks", Text: fmt.Sprint(remarks)},
		{Name: "To do", Text: "Check each against the source. Nothing was changed."}}
	return a
}

// lines are those of an error.
func lines(err error) []string {
	var all datafile.Errors
	if !errors.As(err, &all) {
		return []string{datafile.Plain(err.Error())}
	}
	var out []string
	for _, e := range all[:min(len(all), 20)] {
		out = append(out, datafile.Plain(e.Error()))
	}
	return out
}

// check finds the kind of a table by its columns, or by the line "# kind:" above it.
func check(t *layout.Table) (*checked, error) {
	kind := strings.ToLower(t.Remark("kind"))
	if kind == "" {
		heads := ""
		for _, h := range t.Head {
			heads += " " + strings.ToLower(h.Text)
		}
		switch {
		case strings.Contains(heads, "filter"):
			kind = "filters"
		default:
			kind = "development"
			if _, err := corrections.FromTable(t); err == nil {
				kind = "reciprocity"
			}
		}
	}
	switch kind {
	case "reciprocity":
		got, err := corrections.FromTable(t)
		if err != nil {
			return nil, err
		}
		report, err := corrections.Check(got.Rows)
		return &checked{kind, "adjusted_s", report, got.Sheet, got.At, 1, func(v float64) string { return fmt.Sprintf("%.3g s", v) }}, err
	case "development":
		got, err := timetable.FromTable(t, timetable.Options{})
		if err != nil {
			return nil, err
		}
		report, err := timetable.Check(got.Rows)
		return &checked{kind, "time", report, got.Sheet, got.At, 1, func(v float64) string { return fmt.Sprintf("%.3g min", v) }}, err
	case "filters":
		got, err := factortable.FromTable(t, factortable.Options{})
		if err != nil {
			return nil, err
		}
		report, _, err := factortable.CheckUnder(factortable.Usual(), got.Rows)
		return &checked{kind, "factor", report, got.Sheet, got.At, 1, func(v float64) string { return fmt.Sprintf("%.3g", v) }}, err
	}
	return nil, fmt.Errorf("kind %q above the table: this page checks reciprocity, development and filters", kind)
}

// section lays a table out with what was found.
func (c *checked) section(heading string) answer.Section {
	s := answer.Section{Heading: heading, Texts: []string{"Kind: " + c.kind + ". Held against: " + c.report.Law + "."}}
	verdict := map[int]string{}
	for _, f := range c.report.Findings {
		word := "Remark: "
		if f.Confidence == printed.High {
			word = "Accused: "
		}
		s.Findings = append(s.Findings, word+f.String())
		if verdict[f.Row] == "" || f.Confidence == printed.High {
			verdict[f.Row] = strings.ToLower(strings.TrimSuffix(word, ": "))
		}
	}
	if len(s.Findings) == 0 {
		s.Texts = append(s.Texts, "Nothing found.")
	}
	if c.report.Unseen != "" {
		s.Texts = append(s.Texts, c.report.Unseen)
	}
	t := answer.Table{Caption: "Rows with what the others imply, in 19 of 20 between the last two", Head: []string{"Row"}}
	for _, h := range c.sheet.Head {
		t.Head = append(t.Head, h.Text)
	}
	t.Head = append(t.Head, "Implied", "From", "To", "")
	value := func(v []float64, i int) string {
		if i >= len(v) || math.IsNaN(v[i]) || math.IsInf(v[i], 0) {
			return "–"
		}
		return c.format(v[i] * c.unit)
	}
	for i, row := range c.at {
		cells := []string{fmt.Sprint(i + 1)}
		for _, cell := range c.sheet.Rows[row].Cells {
			cells = append(cells, cell.Text)
		}
		t.Rows = append(t.Rows, append(cells, value(c.report.Implied, i), value(c.report.Low, i), value(c.report.High, i), verdict[i+1]))
	}
	s.Tables = []answer.Table{t}
	return s
}
