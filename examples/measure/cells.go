package main

import (
	"fmt"
	"math"
	"time"

	"example.org/actinic/devtime"
	"example.org/actinic/internal/figures"
	"example.org/actinic/sensito"
	"example.org/actinic/sensito/datafile"
	"example.org/actinic/sensito/printed/forms"
)

// rows is a table of readings with its cells in the forms that people write.
type rows struct{ *datafile.Table }

// sheet reads a table; what it cannot use of it is in its Errs.
func sheet(file string, content []byte, required, optional []string) rows {
	return rows{datafile.ReadSheet(content, file, required, optional)}
}

// seconds reads a time: seconds, or as forms has times.
func (t rows) seconds(r datafile.Row, name string, unit float64, want string) (time.Duration, bool) {
	c, err := forms.Time(t.Text(r, name), unit)
	if err != nil || c.Blank || c.Range() || !(c.Value > 0) {
		t.FailAt(r, name, want)
		return 0, false
	}
	if !(c.Value >= 1e-6 && c.Value <= 1e7) {
		t.FailAt(r, name, "a time between a microsecond and 10000000 s")
		return 0, false
	}
	return figures.Seconds(c.Value), true
}

// stops reads stops of either sign.
func (t rows) stops(r datafile.Row, name string) (sensito.Stops, bool) {
	c, err := forms.Stops(t.Text(r, name))
	if err != nil || c.Blank || c.Range() || !(math.Abs(c.Value) <= 30) {
		t.FailAt(r, name, "stops up to 30, such as 1.7, +1/3 or 1⅔")
		return 0, false
	}
	return sensito.Stops(c.Value), true
}

// deviation reads a standard deviation, given where the column is empty or absent.
func (t rows) deviation(r datafile.Row, name string, given float64) (float64, bool) {
	if t.Text(r, name) == "" {
		return given, true
	}
	const want = "a standard deviation above 0 and up to 3, or nothing"
	v, ok := t.Number(r, name, want)
	if ok && !(v > 0 && v <= 3) {
		t.FailAt(r, name, want)
		return 0, false
	}
	return v, ok
}

// celsius reads a temperature; a number is in the scale of the column.
func (t rows) celsius(r datafile.Row, name, scale string) (devtime.Celsius, bool) {
	bath, err := forms.Temperature(t.Text(r, name), scale)
	of := bath.Celsius
	if of.Blank && err == nil {
		of = bath.Fahrenheit
		of.Value = float64(devtime.FromFahrenheit(of.Value))
	}
	if err != nil || of.Blank || of.Range() {
		t.FailAt(r, name, "a temperature such as 20 or 68 °F")
		return 0, false
	}
	return devtime.Celsius(of.Value), true
}

// mostRows is more than anybody measures; laws are fitted to them all at once.
const mostRows = 1000

// done is the errors of the table, and one for too few rows.
func (t rows) done(least int, of string) error {
	if err := t.Errs.Err(); err != nil {
		return err
	}
	if len(t.Rows) > mostRows {
		return &datafile.Error{File: t.File, Line: t.Rows[mostRows].Line, Want: fmt.Sprintf("up to %d rows of %s; take means of repeated ones", mostRows, of)}
	}
	if len(t.Rows) < least {
		return &datafile.Error{File: t.File, Want: fmt.Sprintf("%d rows of %s or more; there are %d", least, of, len(t.Rows))}
	}
	return nil
}

// inFile puts the file before an error about its readings as a whole, where there is one.
func inFile(file string, err error) error {
	if err == nil {
		return nil
	}
	return fmt.Errorf("%s: %w", file, err)
}

// named makes a parameter of an estimate.
func named(name, unit string, e sensito.Estimate) parameter {
	round := func(v float64) *float64 { return figures.Known(figures.Digits(v, 5)) }
	return parameter{name, round(e.Value), round(e.Low), round(e.High), unit}
}
