package spectral

import (
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"

	"example.org/actinic/internal/check"
)

// Named is a spectrum with the name of its column.
type Named struct {
	Name     string
	Spectrum Spectrum
}

// wavelengthColumn is the heading the first column of a table must have: it
// says the unit.
const wavelengthColumn = "wavelength_nm"

// A CSVError says where a table of spectra could not be read. Line and Column
// count from 1, Column in fields; they are 0 where the fault is not in one place.
type CSVError struct {
	Line, Column int
	Text         string // what stands there
	Err          error
}

// Error returns the place, the text and the reason.
func (e *CSVError) Error() string {
	if e.Line == 0 {
		return fmt.Sprintf("spectral: table: %v", e.Err)
	}
	return fmt.Sprintf("spectral: table line %d field %d: %q: %v", e.Line, e.Column, e.Text, e.Err)
}

// Unwrap returns the reason.
func (e *CSVError) Unwrap() error { return e.Err }

// ReadCSV reads spectra from comma-separated values,
//
//	wavelength_nm,name,name,...
//	400,0.12,0.3,...
//
// one spectrum to a column after the first. Lines that begin with # are
// comments. The heading of the first column must be wavelength_nm, so that the
// unit is written in the file. Every field must be a number: an empty one is
// missing data and not a zero, and is refused. Errors are of type [*CSVError]
// and wrap [ErrInvalid], or the reader's own error.
func ReadCSV(r io.Reader, outside Outside) ([]Named, error) {
	if r == nil {
		return nil, &CSVError{Err: invalid("no table to read")}
	}
	c := csv.NewReader(r)
	c.Comment = '#'
	c.TrimLeadingSpace = true
	c.ReuseRecord = true
	head, err := c.Read()
	if err == io.EOF {
		return nil, &CSVError{Err: invalid("the table is empty")}
	}
	if err != nil {
		return nil, tableError(err)
	}
	head = slices.Clone(head)
	head[0] = strings.TrimPrefix(head[0], "\ufeff")
	for i := range head {
		head[i] = strings.TrimSpace(head[i])
	}
	place := func(field int, text string, err error) error {
		line, _ := c.FieldPos(field)
		return &CSVError{line, field + 1, text, err}
	}
	if head[0] != wavelengthColumn {
		return nil, place(0, head[0], invalid("the first heading must be %s, with wavelengths in nanometres", wavelengthColumn))
	}
	if len(head) < 2 {
		return nil, place(0, head[0], invalid("there is no column after the wavelengths"))
	}
	for i, h := range head[1:] {
		if h == "" {
			return nil, place(i+1, h, invalid("the column has no name"))
		}
		if slices.Contains(head[1:i+1], h) {
			return nil, place(i+1, h, invalid("two columns have this name"))
		}
	}
	columns := make([][]float64, len(head))
	for {
		row, err := c.Read()
		if err == io.EOF {
			break
		}
		if err != nil {
			return nil, tableError(err)
		}
		for i, f := range row {
			x, err := strconv.ParseFloat(strings.TrimSpace(f), 64)
			if err != nil || !check.Finite(x) {
				return nil, place(i, f, invalid("not a finite number; leave out wavelengths that were not measured"))
			}
			if n := len(columns[0]); i == 0 && n > 0 && !(x > columns[0][n-1]) {
				return nil, place(i, f, invalid("wavelengths must increase, the one before is %g nm", columns[0][n-1]))
			}
			columns[i] = append(columns[i], x)
		}
	}
	out := make([]Named, 0, len(head)-1)
	for i, h := range head[1:] {
		s, err := New(columns[0], columns[i+1], outside)
		if err != nil {
			return nil, &CSVError{Err: err}
		}
		out = append(out, Named{h, s})
	}
	return out, nil
}

func tableError(err error) error {
	var p *csv.ParseError
	if errors.As(err, &p) {
		return &CSVError{p.Line, p.Column, "", fmt.Errorf("%w: %w", ErrInvalid, p.Err)}
	}
	return &CSVError{Err: err}
}

// WriteCSV writes spectra that share one grid in the form [ReadCSV] reads, with
// every digit. Names must be such as ReadCSV returns: not empty, without spaces
// at the ends, no two alike.
func WriteCSV(w io.Writer, spectra ...Named) error {
	if len(spectra) == 0 || w == nil {
		return invalid("no spectra to write, or nowhere to write them")
	}
	nm := spectra[0].Spectrum.nm
	row := []string{wavelengthColumn}
	for _, s := range spectra {
		if s.Name == "" || s.Name != strings.TrimSpace(s.Name) || slices.Contains(row[1:], s.Name) {
			return invalid("a column cannot be named %q", s.Name)
		}
		if !slices.Equal(s.Spectrum.nm, nm) || len(nm) == 0 {
			return invalid("%q is empty or on other wavelengths than %q, Resample it", s.Name, spectra[0].Name)
		}
		row = append(row, s.Name)
	}
	c := csv.NewWriter(w)
	if err := c.Write(row); err != nil {
		return err
	}
	for i, l := range nm {
		row = append(row[:0], strconv.FormatFloat(l, 'g', -1, 64))
		for _, s := range spectra {
			row = append(row, strconv.FormatFloat(s.Spectrum.v[i], 'g', -1, 64))
		}
		if err := c.Write(row); err != nil {
			return err
		}
	}
	c.Flush()
	return c.Error()
}
