package main

import (
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"

	"example.org/actinic"
	"example.org/actinic/devtime"
	"example.org/actinic/devtime/timetable"
	"example.org/actinic/examples/internal/command"
	"example.org/actinic/examples/internal/filmfile"
	"example.org/actinic/reciprocity/corrections"
	"example.org/actinic/sensito"
	"example.org/actinic/sensito/printed/forms"
	"example.org/actinic/sensito/printed/layout"
)

// compare holds a table against another printing of it: the same film in two books, °C
// against °F, corrections by time against those by aperture, or the record of a built-in
// film, named as "film:Garnedd Swift", or of a package of one's own against a printed table.
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
	if film, err := recordOf(o.compare); err != nil {
		return job{}, err
	} else if film != nil {
		return j, j.againstRecord(o, one, film)
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

// recordOf opens the film whose record a table is held against: "film:" and the name of one
// that comes with the library, or the directory of a package; nil for another printing.
func recordOf(other string) (*actinic.Film, error) {
	name, named := strings.CutPrefix(other, "film:")
	if !named {
		if info, err := os.Stat(other); err != nil || !info.IsDir() {
			return nil, nil
		}
	}
	file, err := filmfile.Open(name, "")
	if err != nil {
		return nil, err
	}
	return file.Film, nil
}

// againstRecord holds a table against a film's record.
func (j *job) againstRecord(o *options, one *layout.Table, film *actinic.Film) error {
	switch j.kind {
	case "reciprocity":
		got, err := corrections.FromTable(one)
		if err != nil {
			return err
		}
		law, err := film.Reciprocity()
		if err != nil {
			return err
		}
		j.Report, err = corrections.CompareLaw(got.Rows, law)
		j.sheet, j.at, j.column, j.drawing = got.Sheet, got.At, "adjusted_s", reciprocityDrawing(got.Rows)
		return err
	case "development":
		got, err := timetable.FromTable(one, timetable.Options{Colon: o.readsColon()})
		if err != nil {
			return err
		}
		process, err := film.Process(o.process)
		if err != nil {
			return fmt.Errorf("-process: %w", err)
		}
		j.Report, err = timetable.CompareRecord(got.Rows, "the record of "+film.Name()+" in "+process.Name(), func(r timetable.Row) (sensito.Estimate, bool) {
			return recordedTime(process, r)
		})
		j.sheet, j.at, j.column, j.unit, j.drawing = got.Sheet, got.At, "time", 60, developmentDrawing(got.Rows)
		return err
	}
	return command.Usagef("-compare with a film's record: tables of kind reciprocity or development, not %s", j.kind)
}

// recordedTime is what a process says of a row, in minutes: the development of its index,
// brought to the row's temperature by the process's own coefficient. It says nothing of
// other dilutions, of indexes off its own by more than half a printed step, and of
// temperatures that the coefficient was not found for.
func recordedTime(p *actinic.Process, r timetable.Row) (sensito.Estimate, bool) {
	var none sensito.Estimate
	x, err := p.Index()
	if err != nil || x.Development == nil {
		return none, false
	}
	d := p.Data()
	if r.Index > 0 && math.Abs(math.Log2(r.Index/x.Index.Value)) > 1.0/6 {
		return none, false
	}
	if stock, _ := r.Dilution.Parts(); stock > 0 && d.Dilution != "" {
		own, err := devtime.ParseDilution(d.Dilution, devtime.RefuseColon)
		if err != nil || math.Abs(own.Factor()/r.Dilution.Factor()-1) > 1e-6 {
			return none, false
		}
	}
	at := r.Temperature
	if at == 0 && r.Fahrenheit != 0 {
		at = devtime.FromFahrenheit(r.Fahrenheit)
	}
	factor := 1.0
	if at != 0 && d.Temperature != 0 && math.Abs(float64(at-d.Temperature)) > 0.05 {
		if d.Growth == nil || d.Growth.Q10 == 0 || at < d.Growth.Coldest || at > d.Growth.Warmest {
			return none, false
		}
		law, err := devtime.NewQ10(d.Growth.Q10)
		if err != nil {
			return none, false
		}
		if factor, err = law.Factor(d.Temperature, at); err != nil {
			return none, false
		}
	}
	return x.Development.Map(func(s float64) float64 { return s / 60 * factor }), true
}

func firstTable(path string) (*layout.Table, error) {
	content, err := contentOf(path)
	if err != nil {
		return nil, err
	}
	tables, err := tablesOf(content, path)
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
