package spectral

import (
	"encoding/csv"
	"io"
	"slices"
	"strconv"
	"strings"

	"example.org/actinic/sensito/datafile"
)

// Scale is what the values of a column are, as its heading says.
type Scale uint8

const (
	// LinearScale is a fraction, a relative power or sensitivity: the values as
	// they are. It is what a heading means that says nothing else.
	LinearScale Scale = iota
	// Log10Scale is a logarithm to the base 10: log10_name.
	Log10Scale
	// PercentScale is a hundred times a fraction: percent_name, or a % in the name.
	PercentScale
	// DensityScale is -log10 of a transmittance: density, or density_name.
	DensityScale
)

// ScaleOf returns the scale that a heading names, in capitals or not.
func ScaleOf(heading string) Scale {
	h := strings.ToLower(heading)
	is := func(word string) bool {
		return h == word || strings.HasPrefix(h, word+"_") || strings.HasSuffix(h, "_"+word)
	}
	switch {
	case is("log10"), is("log"), strings.HasPrefix(h, "log10"):
		return Log10Scale
	case is("percent"), strings.Contains(h, "%"):
		return PercentScale
	case is("density"):
		return DensityScale
	}
	return LinearScale
}

// Named is a spectrum with the name of its column.
type Named struct {
	Name     string
	Spectrum Spectrum // the values as the file has them
}

// Scale returns what the values are; see [ScaleOf].
func (n Named) Scale() Scale { return ScaleOf(n.Name) }

// Fraction returns the column as a fraction, a transmittance or a reflectance: a
// percentage is divided by 100, a density goes through 10^-D at its knots. A
// logarithm is an error that wraps [ErrInvalid]; so are values that cannot be checked,
// of the empty spectrum.
func (n Named) Fraction() (Spectrum, error) {
	s := n.Spectrum
	switch n.Scale() {
	case PercentScale:
		return s.Scale(0.01)
	case DensityScale:
		return New(s.nm, FromDensity(s.v), s.out)
	case Log10Scale:
		return Spectrum{}, invalid("column %q is a logarithm, where a fraction is wanted", n.Name)
	}
	return New(s.nm, s.v, s.out)
}

// Light returns the column as the power of a light; percentages are as good as
// fractions. Logarithms and densities are errors that wrap [ErrInvalid].
func (n Named) Light() (Light, error) {
	if k := n.Scale(); k == Log10Scale || k == DensityScale {
		return Light{}, invalid("column %q is a logarithm, where the power of a light is wanted", n.Name)
	}
	return NewLight(n.Spectrum)
}

// Sensitivity returns the column as a sensitivity: by [SensitivityFromLog], with
// straight lines in the logarithm, where the heading says log10, and by
// [SensitivityFromLinear] otherwise. Densities are an error that wraps [ErrInvalid].
func (n Named) Sensitivity() (Sensitivity, error) {
	switch n.Scale() {
	case Log10Scale:
		return SensitivityFromLog(n.Spectrum.nm, n.Spectrum.v, LogLinear)
	case DensityScale:
		return Sensitivity{}, invalid("column %q is a density, where a sensitivity is wanted", n.Name)
	}
	return SensitivityFromLinear(n.Spectrum)
}

// wavelengthColumn is the heading the first column of a table must have: it
// says the unit.
const wavelengthColumn = "wavelength_nm"

// ReadCSV reads spectra from comma-separated values,
//
//	wavelength_nm,name,name,...
//	400,0.12,0.3,...
//
// one spectrum to a column after the first. Lines above the headings that begin with #
// are remarks. The heading of the first column must be wavelength_nm, so that the
// unit is written in the file; the others say the scale of their values, see [ScaleOf].
// Every field must be a number: an empty one is missing data and not a zero, and is
// refused. Errors are [datafile.Errors], all that were found, with line and column in
// bytes; the name of the file is for them.
func ReadCSV(r io.Reader, file string, outside Outside) ([]Named, error) {
	if r == nil {
		return nil, invalid("no table to read")
	}
	t := datafile.ReadColumns(r, file, wavelengthColumn)
	if err := t.Errs.Err(); err != nil {
		return nil, wavelengthHint(t)
	}
	names := t.Names()
	if names[0] != wavelengthColumn {
		t.Fail(1, 1, "header", names[0], "the column "+wavelengthColumn+" first")
	}
	if len(names) < 2 {
		t.Fail(1, 0, "", "", "a column of values after the wavelengths")
	}
	columns := readColumns(t, names)
	if err := t.Errs.Err(); err != nil {
		return nil, err
	}
	out := make([]Named, 0, len(names)-1)
	for i, name := range names[1:] {
		s, err := New(columns[0], columns[i+1], outside)
		if err != nil {
			t.Fail(0, 0, name, "", "a spectrum ("+strings.TrimPrefix(err.Error(), ErrInvalid.Error()+": ")+")")
			return nil, t.Errs
		}
		out = append(out, Named{name, s})
	}
	return out, nil
}

func readColumns(t *datafile.Table, names []string) [][]float64 {
	columns := make([][]float64, len(names))
	before, falls := 0.0, 0
	for _, row := range t.Rows {
		for i, name := range names {
			x, ok := t.Number(row, name, "a finite number; leave out wavelengths that were not measured")
			if !ok {
				continue
			}
			if i == 0 && before > 0 && !(x > before) {
				want := "wavelengths that increase, the one before is " + strconv.FormatFloat(before, 'g', -1, 64) + " nm"
				if falls++; falls == len(t.Rows)-1 {
					want += "; the table runs from long to short: turn it round"
				}
				t.FailAt(row, name, want)
			}
			if i == 0 {
				before = x
			}
			columns[i] = append(columns[i], x)
		}
	}
	return columns
}

// wavelengthHint says more of a header that names its wavelengths otherwise.
func wavelengthHint(t *datafile.Table) error {
	for _, e := range t.Errs {
		if e.Field != wavelengthColumn || e.Line != 1 {
			continue
		}
		if names := t.Names(); len(names) > 0 && len(names[0]) > 0 {
			e.Text, e.Column = names[0], 1
			e.Want = "the first heading " + wavelengthColumn + ", with wavelengths in nanometres"
			if strings.ContainsAny(names[0], ";\t") {
				e.Want += "; columns are separated by commas"
			}
		}
	}
	return t.Errs
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
		if s.Name == "" || s.Name != strings.TrimSpace(s.Name) || slices.Contains(row, s.Name) {
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
