package actinic

import (
	"cmp"
	"fmt"
	"slices"

	"example.org/actinic/devtime"
	"example.org/actinic/filters"
	"example.org/actinic/internal/figures"
	"example.org/actinic/reciprocity"
	"example.org/actinic/sensito"
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

// sensitivityFloor is log10 of the sensitivity, over the greatest, below which a recovered
// value is published as that: no filter factor notices it, and a logarithm knows no zero.
const sensitivityFloor = -4

// WithSensitivity returns the film with a recovered spectral sensitivity in place of its
// own, as log10 to four decimals. Values below a ten-thousandth of the greatest, zeros
// among them, are published as that; the conditions say where, and what speaks against the
// readings. aboveFog is the density above base plus fog that the readings were taken at, 0
// where not known.
//
// The error wraps [datafile.ErrData] where p has no source, and [filters.ErrInvalid] where
// nothing was recovered.
func (f *Film) WithSensitivity(r filters.Recovered, aboveFog sensito.Density, p Provenance) (*Film, error) {
	nm, log10, note, err := r.Log(sensitivityFloor)
	if err != nil {
		return nil, fmt.Errorf("actinic: spectral sensitivity for %s: %w", f.Name(), err)
	}
	for i := range log10 {
		log10[i] = figures.Round(log10[i], 4)
	}
	for _, said := range []string{note, r.Statement()} {
		if said != "" {
			p.Conditions = joined(p.Conditions, said)
		}
	}
	d := f.Data()
	d.Sensitivity = &SensitivityData{Wavelengths: nm, Log10: log10, AboveFog: aboveFog, Provenance: p}
	return NewFilm(d)
}

// joined joins two remarks, either of which may be missing.
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
	q, err := fit.Data()
	if err != nil {
		return nil, fmt.Errorf("actinic: temperature coefficient for %s: %w", f.Name(), err)
	}
	d := f.Data()
	g := d.Processes[slices.Index(f.processes, p)].Growth
	g.Q10, g.Coldest, g.Warmest = figures.Digits(q.Q10.Value, recordDigits), q.Coldest, q.Warmest
	return NewFilm(d)
}
