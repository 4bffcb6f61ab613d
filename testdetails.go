package actinic

import (
	"errors"
	"fmt"
	"strconv"
	"strings"

	"example.org/actinic/devtime/roll"
	"example.org/actinic/internal/datapackage"
)

// TestData says who tested a film in a process, when and with what. Each may be empty; the
// bath, its temperature and agitation are the process's own.
type TestData struct {
	Tester     string `json:"tester,omitempty"`
	Date       string `json:"date,omitempty"` // as the tester writes it
	Format     string `json:"format,omitempty"`
	Batch      string `json:"batch,omitempty"`
	Camera     string `json:"camera,omitempty"`
	Meter      string `json:"meter,omitempty"`
	Instrument string `json:"instrument,omitempty"` // that read the densities
	Notes      string `json:"notes,omitempty"`
}

// FindingData is something about the readings of a process that its numbers do not say: a
// reading that was set aside, a strip that does not go with the others, a law that the film
// does not follow.
type FindingData struct {
	What   string `json:"what"`             // in a word or two, such as "wild reading"
	Strips string `json:"strips,omitempty"` // names of the curves meant, "A" or "A, C"
	Frame  string `json:"frame,omitempty"`  // of the bracket
	Step   int    `json:"step,omitempty"`   // from 1 over the exposed patches of the strip; 0: none
	Text   string `json:"text"`             // in a sentence
}

func (d *TestData) fields() []*string {
	return []*string{&d.Tester, &d.Date, &d.Format, &d.Batch, &d.Camera, &d.Meter, &d.Instrument, &d.Notes}
}

func (d *TestData) check() error {
	said := ""
	var errs []error
	for _, s := range d.fields() {
		said += *s
		errs = append(errs, checkText(*s))
	}
	if said == "" {
		errs = append(errs, errors.New("a test of which nothing is said"))
	}
	return errors.Join(errs...)
}

func (d *FindingData) check() error {
	if err := checkName(d.What); err != nil {
		return fmt.Errorf("what was found: %w", err)
	}
	if d.Step < 0 {
		return fmt.Errorf("step %d", d.Step)
	}
	if err := checkName(d.Text); err != nil {
		return fmt.Errorf("its sentence: %w", err)
	}
	return checkText(d.Strips, d.Frame)
}

// testsTable has who tested and with what.
var testsTable = table[TestData]{
	Table: datapackage.Table{Name: "tests", Title: "Tests",
		About: "Who tested a film in a process, when and with what; the bath is in the table processes.",
		Key:   []string{"film", "process"}, Foreign: []datapackage.Foreign{toProcess}},
	keys: []datapackage.Field{filmKey, processKey},
	columns: []column[TestData]{
		textColumn(datapackage.Text("tester", "who tested"), func(d *TestData) *string { return &d.Tester }),
		textColumn(datapackage.Text("date", "when, as the tester writes it"), func(d *TestData) *string { return &d.Date }),
		textColumn(datapackage.Text("format", "format of the film, such as 35 mm or roll film"), func(d *TestData) *string { return &d.Format }),
		textColumn(datapackage.Text("batch", "batch of the film"), func(d *TestData) *string { return &d.Batch }),
		textColumn(datapackage.Text("camera", "camera of the bracket"), func(d *TestData) *string { return &d.Camera }),
		textColumn(datapackage.Text("meter", "meter of the bracket"), func(d *TestData) *string { return &d.Meter }),
		textColumn(datapackage.Text("instrument", "what read the densities"), func(d *TestData) *string { return &d.Instrument }),
		textColumn(datapackage.Text("notes", "what else there is to say"), func(d *TestData) *string { return &d.Notes }),
	},
}

// findingRow is a finding with its running number, which is its key.
type findingRow struct {
	number int
	FindingData
}

// whole is a column of whole numbers from 1; 0 is missing unless it must be there.
func whole[T any](name, about string, required bool, at func(*T) *int) column[T] {
	return column[T]{
		Field: datapackage.Field{Name: name, Kind: "integer", Unit: "1", About: about, Required: required, Min: pointer(1)},
		raw:   func(p *T) float64 { return float64(*at(p)) }, zeroIsMissing: !required,
		set: func(p *T, s string) error {
			n, err := strconv.Atoi(s)
			if *at(p) = n; err != nil {
				return errors.New("a whole number")
			}
			return nil
		},
	}
}

// findingsTable has what was found about the readings.
var findingsTable = table[findingRow]{
	Table: datapackage.Table{Name: "findings", Title: "Findings",
		About: "What was found about the readings of a process that the numbers do not say: what was set aside, and what does not go with the rest.",
		Key:   []string{"film", "process", "finding"}, Foreign: []datapackage.Foreign{toProcess}},
	keys: []datapackage.Field{filmKey, processKey},
	columns: []column[findingRow]{
		whole("finding", "running number of the process", true, func(r *findingRow) *int { return &r.number }),
		textColumn(datapackage.Text("what", "what it is, in a word or two").Must(), func(r *findingRow) *string { return &r.What }),
		textColumn(datapackage.Text("strips", "curves that it is about, with commas between; missing for the bracket"),
			func(r *findingRow) *string { return &r.Strips }),
		textColumn(datapackage.Text("frame", "frame of the bracket that it is about"), func(r *findingRow) *string { return &r.Frame }),
		whole("step", "step of the strip, from 1 over its exposed patches; missing where it is about none", false,
			func(r *findingRow) *int { return &r.Step }),
		textColumn(datapackage.Text("text", "what was found, in a sentence").Must(), func(r *findingRow) *string { return &r.Text }),
	},
}

// testOf is who tested and with what, as a record says it; nil where it does not.
func testOf(r *roll.Record) *TestData {
	d := &TestData{}
	for i, name := range []string{"tester", "date", "format", "batch", "camera", "meter", "instrument", "notes"} {
		*d.fields()[i] = r.Details[name]
	}
	if d.check() != nil {
		return nil
	}
	return d
}

// findingsOf are the findings of a record; one whose text no table takes is left out.
func findingsOf(r *roll.Record) []FindingData {
	var out []FindingData
	for _, f := range r.Findings {
		d := FindingData{What: f.What, Strips: strings.Join(f.Strips, ", "), Frame: f.Frame, Step: f.Step, Text: f.Text}
		if d.check() == nil {
			out = append(out, d)
		}
	}
	return out
}
