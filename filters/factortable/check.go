package factortable

import (
	"errors"
	"fmt"
	"math"
	"slices"

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
	Stops  sensito.Stops // printed beside the factor; 0 for not printed

	text, stops string  // as printed
	low, high   float64 // ends of a printed range of factors; 0 where none is
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
// First comes logic: a factor is 1 or more, and where stops are printed beside it they
// are those of the factor to a sixth, more than any rounding of the usual factors. Then
// each factor is held against
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
	if err := usable(rows); err != nil {
		return nil, err
	}
	c, err := hold(film, light, rows)
	if err != nil {
		return nil, err
	}
	return c.report(rows, nil), nil
}

func usable(rows []Row) error {
	if len(rows) == 0 || len(rows) > printed.MaxRows {
		return fmt.Errorf("%w: a table of %d rows, want 1 to %d", datafile.ErrData, len(rows), printed.MaxRows)
	}
	return disagreements(rows, printed.NewBuilder(len(rows)))
}

// compared is a table held against one film and light.
type compared struct {
	implied, off  []float64 // of the rows; NaN where they cannot be computed
	why           []error
	median, scale float64
	known         int
}

func hold(film spectral.Sensitivity, light spectral.Light, rows []Row) (*compared, error) {
	if _, err := filters.Factor(film, light, filters.Clear()); err != nil {
		return nil, err
	}
	n := len(rows)
	c := &compared{implied: make([]float64, n), off: make([]float64, n), why: make([]error, n)}
	var known []float64
	for i, r := range rows {
		at, err := filters.Factor(film, light, r.Filter)
		if err != nil {
			if errors.Is(err, filters.ErrInvalid) {
				return nil, fmt.Errorf("row %d: %w", i+1, err)
			}
			c.implied[i], c.off[i], c.why[i] = math.NaN(), math.NaN(), err
			continue
		}
		c.implied[i], c.off[i] = at, float64(sensito.StopsOf(r.Factor/at))
		if r.high > r.low { // anywhere in a printed range is right
			c.off[i] = float64(sensito.StopsOf(r.Factor / min(max(at, r.low), r.high)))
			if at >= r.low && at <= r.high {
				c.off[i] = 0
			}
		}
		known = append(known, c.off[i])
	}
	c.known = len(known)
	c.median, c.scale = robust.Scale(known, math.Hypot(factorRounding/math.Sqrt(12), factorSamples))
	return c, nil
}

// apart tells whether a row does not go with the others.
func (c *compared) apart(i int) bool {
	d := math.Abs(c.off[i] - c.median)
	return c.known > 2 && math.Abs(c.off[i]) > 0.5 && d > 3.5*c.scale && d > 0.5
}

// report says what was found. A row is accused only where it stands apart under all of
// the others too.
func (c *compared) report(rows []Row, others []*compared) *printed.Report {
	rep := printed.NewBuilder(len(rows))
	rep.Law = "the factor is the film's exposure in this light without the filter over that with it, from the spectra"
	copy(rep.Implied, c.implied)
	_ = disagreements(rows, rep) // the rows are usable
	var least []float64
	for i, at := range c.implied {
		if !math.IsNaN(at) {
			spread := math.Exp2(1.96 * math.Hypot(factorRounding/math.Sqrt(12), factorSamples))
			rep.Low[i], rep.High[i] = max(1, at/spread), at*spread
			least = append(least, math.Exp2(max(0.5, 3.5*c.scale)))
		}
	}
	rep.Unseen = printed.UnseenBelow(least)
	for i, r := range rows {
		if c.why[i] != nil {
			f := c.finding(rows, i)
			f.Rule, f.Confidence = "not to be compared: "+figures.Bare(c.why[i]), printed.Low
			rep.Add(f)
			continue
		}
		f := c.finding(rows, i)
		switch {
		case r.Factor < 0.95:
			f.Rule, f.Confidence, f.Probability = "a factor is 1 or more", printed.High, 1
			if math.Abs(math.Log2(r.Factor*c.implied[i])) < 0.5 {
				f.Rule += "; it would be right as a transmittance"
			}
		case math.Abs(c.off[i]) <= 0.5:
			continue
		case c.apart(i) && !slices.ContainsFunc(others, func(o *compared) bool { return o.why[i] == nil && !o.apart(i) }):
			f.Rule, f.Confidence, f.Probability = "the factor of this filter on this film in this light", printed.High, apartRight
		default:
			f.Rule, f.Confidence = "the factor of this filter on this film in this light, unless the table is for another", printed.Low
		}
		rep.Add(f)
	}
	return rep.Report()
}

// apartRight is the probability that is printed for a row that stands apart; in the study
// (study_test.go) 1276 of 1276 were right, on films that are generic too.
const apartRight = 0.95

func (c *compared) finding(rows []Row, i int) printed.Finding {
	r := rows[i]
	f := printed.Finding{Row: i + 1, Column: "factor", Printed: r.text, Unit: "stops"}
	if f.Printed == "" {
		f.Printed = printed.Plain(r.Factor)
	}
	at := c.implied[i]
	if math.IsNaN(at) {
		return f
	}
	above := 0.0
	if i > 0 {
		above = rows[i-1].Factor
	}
	spread := math.Exp2(1.96 * math.Hypot(factorRounding/math.Sqrt(12), factorSamples))
	f.Number(at, max(1, at/spread), at*spread)
	f.Implied, f.Deviation = printed.ThreeDigits(at), float64(sensito.StopsOf(r.Factor/at))
	// Rounded and of another sample, a slip is told within a third of a stop.
	f.Slip = printed.SlipOf(r.Factor, at, above, printed.Plain(r.Factor))
	switch s := float64(sensito.StopsOf(at)); {
	case math.Abs(f.Deviation) < 0.5:
		f.Slip = ""
	case f.Slip == "" && s > 0.5 && math.Abs(r.Factor-s) <= 0.35:
		f.Slip = printed.SlipStops
	case f.Slip == "" && s > 0.5 && math.Abs(math.Log2(r.Factor)-at) <= 0.35:
		f.Slip = printed.SlipFactor
	}
	return f
}

// Condition is a film and a light that a table of factors may be for.
type Condition struct {
	Film  spectral.Sensitivity
	Light spectral.Light
	Words string
}

// Usual are the generic films in daylight and in tungsten light.
func Usual() []Condition {
	var out []Condition
	for class := spectral.BlueSensitive; class <= spectral.ExtendedRed; class++ {
		for _, l := range []struct {
			kelvin spectral.Kelvin
			words  string
		}{{5500, "daylight"}, {3200, "tungsten"}} {
			if light, err := spectral.LightAt(l.kelvin); err == nil {
				out = append(out, Condition{spectral.Generic(class), light, "a generic " + class.String() + " film in " + l.words})
			}
		}
	}
	return out
}

// CheckUnder checks a table whose film or light is not stated: it is held against each
// condition, and the report is that of the one which most rows go with. A row is accused
// only if it stands apart under all conditions that fit about as well, and none is where
// the table has fewer than four rows; nothing is accused for the film assumed.
//
// The study (go test ./filters/factortable -run TestStudy -v -tables 300): eight filters of
// three classes of film at six colour temperatures, samples 0.15 stop apart, factors in their
// usual marks. None of 300 clean tables was accused [0, 1.3 %]. Found in the right row: 100 %
// 66.3 % [60.8, 71.4], three times 96.0 % [93.1, 97.7], a decimal point 99.7 % [98.1, 99.9],
// stops for a factor 79.7 % [74.8, 83.8], a factor for stops 83.7 % [79.1, 87.4]; no other
// row was accused.
//
// Errors: as [Check]; [datafile.ErrData] for no conditions.
func CheckUnder(conditions []Condition, rows []Row) (*printed.Report, Condition, error) {
	var none Condition
	if err := usable(rows); err != nil {
		return nil, none, err
	}
	if len(conditions) == 0 {
		return nil, none, fmt.Errorf("%w: no film and light to hold the table against", datafile.ErrData)
	}
	all := make([]*compared, len(conditions))
	cost := make([]float64, len(conditions))
	best := 0
	for k, c := range conditions {
		held, err := hold(c.Film, c.Light, rows)
		if err != nil {
			return nil, none, fmt.Errorf("%s: %w", c.Words, err)
		}
		all[k] = held
		for _, d := range held.off {
			if math.IsNaN(d) {
				d = 1 // what it cannot compute speaks against it
			}
			cost[k] += min(math.Abs(d), 1)
		}
		if cost[k] < cost[best] {
			best = k
		}
	}
	var others []*compared
	for k := range all {
		if k != best && cost[k] < cost[best]+0.5 {
			others = append(others, all[k])
		}
	}
	rep := all[best].report(rows, others)
	if len(rows) < 4 {
		for i := range rep.Findings {
			if f := &rep.Findings[i]; rows[f.Row-1].Factor >= 0.95 {
				f.Confidence = printed.Low
			}
		}
	}
	rep.Law += "; of the films and lights tried, " + conditions[best].Words + " fits best"
	return rep, conditions[best], nil
}

// disagreements refuses rows that are none, and reports those whose factor and stops are
// not of each other.
func disagreements(rows []Row, rep *printed.Builder) error {
	const sixth = 1.0/6 + 1e-9
	for i, r := range rows {
		if !(r.Factor > 0 && r.Factor <= greatestFactor) {
			return fmt.Errorf("%w: row %d: factor %v, want more than 0", datafile.ErrData, i+1, r.Factor)
		}
		if !(r.Stops >= 0 && r.Stops <= 40) {
			return fmt.Errorf("%w: row %d: stops %v, want 0 to 40, and 0 for none", datafile.ErrData, i+1, float64(r.Stops))
		}
		off := float64(r.Stops - sensito.StopsOf(r.Factor))
		if r.Stops == 0 && r.stops == "" || math.Abs(off) <= sixth {
			continue
		}
		f := printed.Finding{Row: i + 1, Column: "stops", Printed: r.stops, Unit: "stops", Confidence: printed.High,
			Implied: printed.ThreeDigits(float64(sensito.StopsOf(r.Factor))), Deviation: off, Rule: "the stops are those of the factor beside them"}
		if f.Printed == "" {
			f.Printed = printed.Plain(float64(r.Stops))
		}
		rep.Add(f)
	}
	return nil
}
