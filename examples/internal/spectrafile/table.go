package spectrafile

import (
	"bytes"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"example.org/actinic/examples/internal/command"
	"example.org/actinic/filters"
	"example.org/actinic/sensito/datafile"
	"example.org/actinic/spectral"
)

// kind is what the values of a column are.
type kind string

const (
	sensitivity       kind = "sensitivity"
	logSensitivity    kind = "log10_sensitivity"
	photons           kind = "sensitivity_per_photon"
	logPhotons        kind = "log10_sensitivity_per_photon"
	transmittance     kind = "transmittance"
	transmittancePart kind = "transmittance_percent"
	density           kind = "density"
	power             kind = "power"
)

var (
	filmKinds   = []kind{sensitivity, logSensitivity, photons, logPhotons}
	filterKinds = []kind{transmittance, transmittancePart, density}
)

func kinds(ks []kind) string {
	s := make([]string, len(ks))
	for i, k := range ks {
		s[i] = string(k)
	}
	return strings.Join(s, ", ")
}

// kindOf is what a heading says, empty if nothing.
func kindOf(heading string) kind {
	h := kind(strings.ToLower(heading))
	if slices.Contains(filmKinds, h) || slices.Contains(filterKinds, h) || h == power {
		return h
	}
	switch spectral.ScaleOf(heading) {
	case spectral.Log10Scale:
		return logSensitivity
	case spectral.PercentScale:
		return transmittancePart
	case spectral.DensityScale:
		return density
	}
	return ""
}

// column is a table of one spectrum.
type column struct {
	kind   kind
	values spectral.Spectrum // as the file has them
	sd     filters.Deviation // in the units of the file
	known  bool
}

// units of wavelength, as headings have them, in nanometres.
var units = map[string]float64{"wavelength_nm": 1, "wavelength_um": 1000, "wavelength_angstrom": 0.1}

func headings(content []byte) (names []string, line int) {
	for i, row := range strings.Split(string(bytes.TrimPrefix(content, []byte("\ufeff"))), "\n") {
		text := strings.TrimSpace(row)
		if text == "" || text[0] == '#' {
			continue
		}
		cut := ","
		for _, c := range []string{";", "\t"} {
			if strings.Contains(text, c) {
				cut = c
			}
		}
		for _, n := range strings.Split(strings.TrimRight(text, cut), cut) {
			names = append(names, strings.TrimSpace(strings.Trim(strings.TrimSpace(n), `"`)))
		}
		return names, i + 1
	}
	return nil, 1
}

// Columns reads all columns of a file; sd columns are among them. Falling wavelengths are
// turned round.
func Columns(file string, outside spectral.Outside) ([]spectral.Named, []byte, error) {
	content, err := command.ReadFile(file)
	if err != nil {
		return nil, nil, err
	}
	names, line := headings(content)
	at := func(want, text string) error {
		return datafile.Errors{&datafile.Error{File: file, Line: line, Column: 1, Field: "header", Text: text, Want: want}}
	}
	if len(names) == 0 {
		return nil, nil, at("a table with the headings wavelength_nm and, for example, sensitivity", "")
	}
	unit, ok := units[strings.ToLower(names[0])]
	switch {
	case !ok && len(strings.Fields(names[0])) > 1 && strings.HasPrefix(names[0], "wavelength"):
		return nil, nil, at("columns separated by commas, semicolons or tabs, not by spaces", names[0])
	case !ok:
		return nil, nil, at("the first heading wavelength_nm, wavelength_um or wavelength_angstrom", names[0])
	case len(names) < 2:
		return nil, nil, at("a column of values after the wavelengths, separated by a comma, a semicolon or a tab",
			strings.Join(names, ","))
	}
	t := datafile.ReadSheet(content, file, names, nil)
	nm, columns := numbers(t, names)
	if err := t.Errs.Err(); err != nil {
		return nil, nil, err
	}
	if n := len(nm); n > 0 && nm[0] > nm[n-1] {
		slices.Reverse(nm)
		for _, c := range columns {
			slices.Reverse(c)
		}
	}
	for i := range nm {
		nm[i] *= unit
	}
	if err := plausibleUnit(file, nm, names[0]); err != nil {
		return nil, nil, err
	}
	var out []spectral.Named
	for i, c := range columns {
		s, err := spectral.New(nm, c, outside)
		if err != nil {
			return nil, nil, fmt.Errorf("%s: column %s: %s", file, names[i+1], strings.TrimPrefix(err.Error(), "spectral: invalid data: "))
		}
		out = append(out, spectral.Named{Name: names[i+1], Spectrum: s})
	}
	return out, content, nil
}

func plausibleUnit(file string, nm []float64, heading string) error {
	switch lo := slices.Min(append(nm, math.Inf(1))); {
	case lo < 50:
		return fmt.Errorf("%s: %s begins at %g nm; are these micrometres? Then head the column wavelength_um", file, heading, lo)
	case lo > 2000 && !math.IsInf(lo, 1):
		return fmt.Errorf("%s: %s begins at %g nm, where no film sees; are these ångström? Then head the column wavelength_angstrom", file, heading, lo)
	}
	return nil
}

// numbers reads a table whose wavelengths all rise or all fall.
func numbers(t *datafile.Table, names []string) (nm []float64, columns [][]float64) {
	columns = make([][]float64, len(names)-1)
	falls := false
	for n, row := range t.Rows {
		for i, name := range names {
			x, ok := t.Number(row, name, "a finite number; leave out wavelengths that were not measured")
			if !ok {
				continue
			}
			if i > 0 {
				columns[i-1] = append(columns[i-1], x)
				continue
			}
			if len(nm) == 1 {
				falls = x < nm[0]
			}
			if n > 0 && len(nm) > 0 && !(x > nm[len(nm)-1] && !falls || x < nm[len(nm)-1] && falls) {
				t.FailAt(row, name, "wavelengths that all rise or all fall, the one before is "+strconv.FormatFloat(nm[len(nm)-1], 'g', -1, 64))
			}
			nm = append(nm, x)
		}
	}
	return nm, columns
}

// readTable reads a file of one spectrum, with its deviations.
func readTable(file string, outside spectral.Outside) (column, error) {
	all, content, err := Columns(file, outside)
	if err != nil {
		return column{}, err
	}
	c := column{kind: kindOf(all[0].Name), values: all[0].Spectrum}
	switch {
	case len(all) == 2 && isSD(all[1].Name, all[0].Name):
		if lo, _ := all[1].Spectrum.Extremes(); lo < 0 {
			return column{}, fmt.Errorf("%s: a standard deviation below zero in column %s (%g)", file, all[1].Name, lo)
		}
		c.sd.Noise, c.known = all[1].Spectrum, true
	case len(all) > 1:
		return column{}, fmt.Errorf("%s: %d columns of values where one is wanted, and at most one more headed sd", file, len(all))
	}
	err = c.remarks(file, content)
	return c, err
}

func isSD(name, of string) bool {
	return strings.EqualFold(name, "sd") || strings.EqualFold(name, of+"_sd")
}

// remarks reads the deviations above the headings.
func (c *column) remarks(file string, content []byte) error {
	for i, row := range strings.Split(string(content), "\n") {
		text, ok := strings.CutPrefix(strings.TrimSpace(row), "#")
		if !ok {
			continue
		}
		f := strings.FieldsFunc(text, func(r rune) bool { return strings.ContainsRune(" \t:=,;", r) })
		if len(f) == 0 {
			continue
		}
		to := map[string]*float64{"zero_sd": &c.sd.Zero, "scale_sd": &c.sd.Scale, "wavelength_sd_nm": &c.sd.Wavelength,
			"correlation_nm": &c.sd.Correlation}[f[0]]
		if to == nil {
			continue
		}
		v, err := strconv.ParseFloat(f[min(1, len(f)-1)], 64)
		if err != nil || !(v >= 0) || math.IsInf(v, 0) || len(f) != 2 {
			return datafile.Errors{&datafile.Error{File: file, Line: i + 1, Column: 1, Field: f[0],
				Text: strings.TrimSpace(text), Want: "a number that is not negative, such as # " + f[0] + " 0.003"}}
		}
		*to = v
		c.known = c.known || f[0] != "correlation_nm"
	}
	return nil
}

// deviation carries the noise from the units of the file to those of the spectrum:
// slope is the derivative of the one by the other.
func (c column) deviation(slope func(nm, value float64) float64) (filters.Deviation, error) {
	d := c.sd
	if d.Noise.Len() == 0 {
		return d, nil
	}
	sd, v := d.Noise.Values(), c.values.Values()
	nm := d.Noise.Wavelengths()
	for i := range sd {
		sd[i] *= slope(nm[i], v[i])
	}
	var err error
	d.Noise, err = spectral.New(nm, sd, spectral.Hold)
	return d, err
}

func (k *Kit) readFilm(file string) (Film, error) {
	c, err := readTable(file, spectral.Zero)
	if err != nil {
		return Film{}, err
	}
	what := c.kind
	if what == "" {
		what = kind(k.FilmKind)
	}
	lo, hi := c.values.Extremes()
	linear := what == "" || what == sensitivity || what == photons
	switch {
	case what != "" && !slices.Contains(filmKinds, what):
		return Film{}, fmt.Errorf("%s: -film wants a sensitivity (%s), this column is %s", file, kinds(filmKinds), what)
	case linear && lo < 0:
		return Film{}, fmt.Errorf("%s: the sensitivity is negative in places (%g): if it is log10 of the sensitivity say -film-kind log10_sensitivity, or -log; if it is noise set it to 0", file, lo)
	case what == "" && hi > 1.2 && hi < 6 && lo > hi/20:
		return Film{}, fmt.Errorf("%s: values from %g to %g that nowhere come near zero look like log10 of the sensitivity: say -log if they are, -linear if not", file, lo, hi)
	case !linear && c.sd.Zero+c.sd.Scale > 0:
		return Film{}, fmt.Errorf("%s: # zero_sd and # scale_sd are for linear values, a logarithm has sd", file)
	}
	nm, v := c.values.Wavelengths(), c.values.Values()
	out := Film{Name: k.called(file), Known: c.known}
	slope := func(float64, float64) float64 { return 1 }
	switch what {
	case logSensitivity:
		out.Sensitivity, err = spectral.SensitivityFromLog(nm, v, spectral.LogLinear)
		slope = func(_, v float64) float64 { return math.Ln10 * math.Pow(10, v) }
	case photons:
		out.Sensitivity, err = spectral.SensitivityFromPhotons(c.values)
		slope = func(nm, _ float64) float64 { return nm / 550 }
	case logPhotons:
		out.Sensitivity, err = spectral.SensitivityFromLogPhotons(nm, v, spectral.LogLinear)
		slope = func(nm, v float64) float64 { return math.Ln10 * math.Pow(10, v) * nm / 550 }
	default:
		out.Sensitivity, err = spectral.SensitivityFromLinear(c.values)
	}
	if err == nil {
		out.SD, err = c.deviation(slope)
	}
	if err != nil {
		return Film{}, fmt.Errorf("%s: %w", file, Plain(err))
	}
	return out, nil
}

// filterOf makes a filter of a column.
func (k *Kit) filterOf(file string, c column) (Part, error) {
	what := c.kind
	if what == "" {
		what = kind(k.FilterKind)
	}
	if what != "" && !slices.Contains(filterKinds, what) {
		return Part{}, fmt.Errorf("%s: -filter wants %s, this column is %s", file, kinds(filterKinds), what)
	}
	s, slope := c.values, 1.0
	var err error
	lo, hi := s.Extremes()
	curved := func(float64, float64) float64 { return slope }
	switch what {
	case transmittancePart:
		slope, hi, lo = 0.01, hi/100, lo/100
		s, err = s.Scale(0.01)
		c.sd.Zero /= 100
	case density:
		// Straight lines are drawn in the density, as it is plotted.
		s, err = s.Follow(func(_, d float64) float64 { return math.Pow(10, -d) })
		curved = func(_, d float64) float64 { return math.Ln10 * math.Pow(10, -d) }
		hi, lo = math.Pow(10, -lo), 0
		if c.sd.Zero > 0 {
			return Part{}, fmt.Errorf("%s: # zero_sd is of a transmittance; a density that is off throughout is # scale_sd", file)
		}
	}
	switch {
	case err != nil:
		return Part{}, fmt.Errorf("%s: %w", file, Plain(err))
	case !(hi <= 1) && what == density:
		return Part{}, fmt.Errorf("%s: a density below 0 (%.3g) would let more light through than there is; set noise to 0",
			file, -math.Log10(hi))
	case !(hi <= 1) && what == "" && hi <= 6:
		return Part{}, fmt.Errorf("%s: values to %g are no fractions: say -filter-kind density or -filter-kind transmittance_percent (percent), or head the column so", file, hi)
	case !(hi <= 1) && what == "":
		return Part{}, fmt.Errorf("%s: values to %g look like percent: say -filter-kind transmittance_percent, or head the column so", file, hi)
	case !(hi <= 1):
		return Part{}, fmt.Errorf("%s: a transmittance above 1 (%g); set noise to 1", file, hi)
	case !(lo >= 0):
		return Part{}, fmt.Errorf("%s: a transmittance below 0 (%g); set noise to 0", file, lo)
	}
	p := Part{Known: c.known, Own: true}
	if p.Filter, err = filters.New(strings.TrimSuffix(k.called(file), ".csv"), s); err == nil {
		p.SD, err = c.deviation(curved)
	}
	if err != nil {
		return Part{}, fmt.Errorf("%s: %w", file, Plain(err))
	}
	return p, nil
}
