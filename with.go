package actinic

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"example.org/actinic/devtime"
	"example.org/actinic/filters"
	"example.org/actinic/internal/figures"
	"example.org/actinic/reciprocity"
	"example.org/actinic/sensito"
	"example.org/actinic/sensito/datafile"
)

// WithReciprocity returns the film with a fitted reciprocity law in place of its own: the
// law of the fit with its constants to five digits, the range of the readings, and the
// readings behind it. p says who measured it and when.
//
// The error wraps [datafile.ErrData] where p has no source, and [reciprocity.ErrInput]
// for a fit that was not made.
func (f *Film) WithReciprocity(fit *reciprocity.Fitted, readings []reciprocity.Reading, p Provenance) (*Film, error) {
	form, err := fit.Form()
	if err != nil {
		return nil, fmt.Errorf("actinic: reciprocity law for %s: %w", f.Name(), err)
	}
	short := form
	short.Constants = map[string]float64{}
	for name, v := range form.Constants {
		short.Constants[name] = figures.Digits(v, recordDigits)
	}
	if _, err := short.Make(); err == nil { // a constant next to its bound keeps all digits
		form = short
	}
	form.Readings = slices.Clone(readings)
	slices.SortStableFunc(form.Readings, func(a, b reciprocity.Reading) int { return cmp.Compare(a.Metered, b.Metered) })
	form.Readings = slices.CompactFunc(form.Readings, func(a, b reciprocity.Reading) bool { return a.Metered == b.Metered })
	d := f.Data()
	d.Reciprocity = &ReciprocityData{Form: form, Provenance: p}
	return NewFilm(d)
}

// leastSensitivity is the sensitivity, over the greatest, below which a recovered value is
// as good as none: a factor does not feel it.
const leastSensitivity = 1e-4

// WithSensitivity returns the film with a recovered spectral sensitivity in place of its
// own, as log10 to four decimals. Values below a ten-thousandth of the greatest, zeros
// among them, are published as that, and the conditions say so. aboveFog is the density
// above base plus fog that the readings were taken at, 0 where not known.
//
// The error wraps [datafile.ErrData] where p has no source or nothing was recovered.
func (f *Film) WithSensitivity(r filters.Recovered, aboveFog sensito.Density, p Provenance) (*Film, error) {
	nm, values := r.NM, r.Value
	top := 0.0
	if len(values) > 0 {
		top = slices.Max(values)
	}
	if !(top > 0) || math.IsInf(top, 0) {
		return nil, fmt.Errorf("%w: spectral sensitivity for %s: nothing was recovered", datafile.ErrData, f.Name())
	}
	s := &SensitivityData{AboveFog: aboveFog, Provenance: p}
	floored := false
	for i, v := range values {
		floored = floored || !(v >= leastSensitivity*top)
		s.Wavelengths = append(s.Wavelengths, nm[i])
		s.Log10 = append(s.Log10, figures.Round(math.Log10(max(v/top, leastSensitivity)), 4))
	}
	if floored {
		s.Provenance.Conditions = joined(p.Conditions, "values below 1e-4 of the greatest are published as 1e-4")
	}
	d := f.Data()
	d.Sensitivity = s
	return NewFilm(d)
}

func joined(a, b string) string {
	if a == "" {
		return b
	}
	return a + "; " + b
}

// WithTemperature returns the film with a fitted temperature coefficient in the
// development family of a process, which is named as for [Film.Process]. The error wraps
// [ErrUnknown] for a process that there is not, and [ErrMissing] for one without a
// development family.
func (f *Film) WithTemperature(process string, fit devtime.TemperatureFit) (*Film, error) {
	p, err := f.Process(process)
	if err != nil {
		return nil, err
	}
	if p.growth == nil {
		return nil, p.missing("development family")
	}
	d := f.Data()
	g := d.Processes[slices.Index(f.processes, p)].Growth
	coldest, warmest := fit.Law.Range()
	g.Q10, g.Coldest, g.Warmest = figures.Digits(fit.Law.Q10().Value, recordDigits), coldest, warmest
	return NewFilm(d)
}
