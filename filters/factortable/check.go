package factortable

import (
	"errors"
	"fmt"
	"math"

	"example.org/actinic/filters"
	"example.org/actinic/internal/figures"
	"example.org/actinic/internal/robust"
	"example.org/actinic/sensito"
	"example.org/actinic/sensito/datafile"
	"example.org/actinic/sensito/printed"
	"example.org/actinic/spectral"
)

// Row is a row of a table of filter factors.
type Row struct {
	Filter filters.Filter
	Factor float64

	text      string  // as printed
	stops     bool    // printed in stops
	low, high float64 // ends of a printed range; 0 where none is
}

const greatestFactor = 1e12

// Deviations of a printed factor in stops: its rounding to a third, and how far
// single filters of one number and the generic curves are apart.
const (
	factorRounding = 1.0 / 3
	factorSamples  = 0.2
)

// Check checks a table of filter factors for one film and light.
//
// First comes logic: a factor is 1 or more. Then each factor is held against
//
//	F = ∫ E S dλ / ∫ E S T dλ
//
// A row is accused where it stands more than 3.5 robust standard deviations from
// the median difference of the table in stops, and more than half a stop from both the
// median and the computed factor; the noise floor is the rounding to thirds
// of a stop and the 0.2 stop that filters of one number differ by. More than
// half a stop that is shared by the table, or stands in a table of fewer than three rows, is a
// remark: the table may be for another film or light, and be right.
//
// Errors: [datafile.ErrData] for no rows, more than 2000, or factors that are not positive;
// those of [filters.Factor] where film and light cannot be used at all. A filter that
// cannot be computed for this film is a remark.
func Check(film spectral.Sensitivity, light spectral.Light, rows []Row) (*printed.Report, error) {
	if len(rows) == 0 || len(rows) > printed.MaxRows {
		return nil, fmt.Errorf("%w: a table of %d rows, want 1 to %d", datafile.ErrData, len(rows), printed.MaxRows)
	}
	if _, err := filters.Factor(film, light, filters.Clear()); err != nil {
		return nil, err
	}
	rep := printed.NewBuilder(len(rows))
	rep.Law = "the factor is the film's exposure in this light without the filter over that with it, from the spectra"
	off := make([]float64, len(rows))
	var known []float64
	finding := func(i int) printed.Finding {
		r := rows[i]
		f := printed.Finding{Row: i + 1, Column: "factor", Printed: r.text, Unit: "stops"}
		if f.Printed == "" {
			f.Printed = printed.Plain(r.Factor)
		}
		if at := rep.Implied[i]; !math.IsNaN(at) {
			above := 0.0
			if i > 0 {
				above = rows[i-1].Factor
			}
			f.Implied, f.Deviation = printed.ThreeDigits(at), float64(sensito.StopsOf(r.Factor/at))
			// Rounded and of another sample, a slip is told within a third of a stop.
			f.Slip = printed.SlipOf(r.Factor, at, above, f.Printed)
			switch s := float64(sensito.StopsOf(at)); {
			case math.Abs(f.Deviation) < 0.5:
				f.Slip = ""
			case f.Slip == "" && s > 0.5 && math.Abs(r.Factor-s) <= 0.35:
				f.Slip = printed.SlipStops
			}
		}
		return f
	}
	for i, r := range rows {
		if !(r.Factor > 0 && r.Factor <= greatestFactor) {
			return nil, fmt.Errorf("%w: row %d: factor %v, want more than 0", datafile.ErrData, i+1, r.Factor)
		}
		at, err := filters.Factor(film, light, r.Filter)
		if rep.Implied[i] = at; err != nil {
			if errors.Is(err, filters.ErrInvalid) {
				return nil, fmt.Errorf("row %d: %w", i+1, err)
			}
			rep.Implied[i], off[i] = math.NaN(), math.NaN()
			f := finding(i)
			f.Rule, f.Confidence = "not to be compared: "+figures.Bare(err), printed.Low
			rep.Add(f)
			continue
		}
		off[i] = float64(sensito.StopsOf(r.Factor / at))
		known = append(known, off[i])
	}
	floor := math.Hypot(factorRounding/math.Sqrt(12), factorSamples)
	median, scale := robust.Scale(known, floor)
	for i, r := range rows {
		if math.IsNaN(off[i]) {
			continue
		}
		f := finding(i)
		switch {
		case r.Factor < 0.95:
			f.Rule, f.Confidence = "a factor is 1 or more", printed.High
			if math.Abs(math.Log2(r.Factor*rep.Implied[i])) < 0.5 {
				f.Rule += "; it would be right as a transmittance"
			}
		case math.Abs(off[i]) <= 0.5:
			continue
		case len(known) > 2 && math.Abs(off[i]-median) > 3.5*scale && math.Abs(off[i]-median) > 0.5:
			f.Rule, f.Confidence = "the factor of this filter on this film in this light", printed.High
		default:
			f.Rule, f.Confidence = "the factor of this filter on this film in this light, unless the table is for another", printed.Low
		}
		rep.Add(f)
	}
	return rep.Report(), nil
}
