package filters

import (
	"fmt"
	"math"

	"example.org/actinic/internal/check"
	"example.org/actinic/sensito"
	"example.org/actinic/spectral"
)

// A Row is a line of a printed table of filter factors. Factor and Stops are as
// printed; one of them may be 0 for not printed.
type Row struct {
	Filter Filter
	Light  spectral.Light
	Under  string // the light's name in the table
	Factor float64
	Stops  sensito.Stops
}

// A Finding is what became of a row. Err is nil where the row agrees, and
// otherwise says what does not and what to look at; it wraps [ErrDisagrees], or
// the reason why there is nothing to compare with.
type Finding struct {
	Row        int           // index of the row, from 0
	Computed   float64       // the factor for this film, 0 if there is none
	Difference sensito.Stops // printed less computed
	Err        error
}

// ErrDisagrees is wrapped by the finding for a row that its film and light
// contradict, or that contradicts itself.
var ErrDisagrees = check.Sentinel("filters: the printed factor disagrees")

// CheckTable computes each row of a printed table for a film and compares it in
// stops,
//
//	|log2(F printed) - log2(F computed)| <= within
//
// within is the rounding of the table, half of its step: 1/6 for marks of a third
// of a stop, 1/4 for half stops. It must be above 0 and at most 1. A row that
// gives both factor and stops must also agree with itself within a sixth of a
// stop, more than any rounding of the usual factors.
//
// There is a finding for each row, in order. The error is for a table that cannot
// be checked at all. What is compared is one film, light and filter with one
// number: a table for another film may be right and disagree.
func CheckTable(film spectral.Sensitivity, rows []Row, within sensito.Stops) ([]Finding, error) {
	if !(within > 0 && within <= 1) {
		return nil, invalid("a table rounded to within %v stops: give half of its step, such as 1/6", float64(within))
	}
	if len(rows) == 0 {
		return nil, invalid("the table has no rows")
	}
	out := make([]Finding, len(rows))
	for i, r := range rows {
		f := Finding{Row: i}
		f.Computed, f.Difference, f.Err = checkRow(film, r, within)
		out[i] = f
	}
	return out, nil
}

func checkRow(film spectral.Sensitivity, r Row, within sensito.Stops) (computed float64, diff sensito.Stops, err error) {
	name := r.Filter.Name()
	if r.Under != "" {
		name += " in " + r.Under
	}
	if !(r.Factor == 0 || r.Factor >= 0.95 && r.Factor <= 1e12) {
		return 0, 0, invalid("%s: printed factor %v, it is 1 or more; is it stops or a transmittance?", name, r.Factor)
	}
	if !(r.Stops >= 0 && r.Stops <= 40) {
		return 0, 0, invalid("%s: printed stops %v", name, float64(r.Stops))
	}
	if r.Factor == 0 && r.Stops == 0 {
		return 0, 0, invalid("%s: neither factor nor stops are printed", name)
	}
	printed := r.Stops
	if r.Factor > 0 {
		printed = sensito.StopsOf(r.Factor)
	}
	computed, err = Factor(film, r.Light, r.Filter)
	if err != nil {
		return 0, 0, fmt.Errorf("%s: %w", name, err)
	}
	diff = printed - sensito.StopsOf(computed)
	const slack = 1e-9 // a difference of exactly half a step is within it
	switch {
	case r.Factor > 0 && r.Stops > 0 && math.Abs(float64(printed-r.Stops)) > 1.0/6+slack:
		err = fmt.Errorf("%w: %s: factor %g is %.2f stops, printed beside it are %.2f", ErrDisagrees, name, r.Factor, float64(printed), float64(r.Stops))
	case math.Abs(float64(diff)) > float64(within)+slack:
		hint := ""
		if r.Factor > 0 && math.Abs(r.Factor-float64(sensito.StopsOf(computed))) <= float64(within) {
			hint = "; it would be right as a number of stops"
		}
		err = fmt.Errorf("%w: %s: printed %g, this film has %.3g, %+.2f stops off where %.2f are allowed%s",
			ErrDisagrees, name, printed.Factor(), computed, float64(diff), float64(within), hint)
	}
	return computed, diff, err
}
