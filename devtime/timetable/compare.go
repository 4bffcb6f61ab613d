package timetable

import (
	"fmt"
	"math"

	"example.org/actinic/devtime"
	"example.org/actinic/sensito/datafile"
	"example.org/actinic/sensito/printed"
)

// Compare compares two printings of one table row by row, such as two
// codes that print the same law or a copy and its original. Rows with the same
// conditions belong together; findings are about the first table. A difference
// is a finding of high confidence, for one of the two has slipped, though they
// cannot tell which.
//
// Errors: as [Check].
func Compare(rows, other []Row) (*printed.Report, error) {
	rep, err := check(rows)
	if err != nil {
		return nil, err
	}
	if err := usable(other); err != nil {
		return nil, fmt.Errorf("the other printing: %w", err)
	}
	type condition struct {
		index, dilution, temperature float64
	}
	of := func(r Row) condition {
		at := r.Temperature
		if at == 0 && r.Fahrenheit != 0 {
			at = devtime.FromFahrenheit(r.Fahrenheit)
		}
		c := condition{r.Index, 0, math.Round(float64(at) * 10)}
		if s, _ := r.Dilution.Parts(); s > 0 {
			c.dilution = r.Dilution.Factor()
		}
		return c
	}
	at := map[condition]int{}
	for i, r := range other {
		at[of(r)] = i
	}
	matched := 0
	for i, r := range rows {
		k, ok := at[of(r)]
		if !ok {
			continue
		}
		matched++
		o := other[k]
		if o.Time == r.Time || rep.Has(i+1, "time") {
			continue
		}
		f := printed.Finding{Row: i + 1, Column: "time", Rule: "the two printings agree", Printed: r.printed(), Implied: o.printed(),
			Deviation: 100 * (r.Time.Minutes()/o.Time.Minutes() - 1), Unit: "percent", Confidence: printed.High}
		above := 0.0
		if i > 0 {
			above = rows[i-1].Time.Minutes()
		}
		f.Slip = printed.SlipOf(r.Time.Minutes(), o.Time.Minutes(), above, r.text)
		rep.Add(f)
	}
	if matched == 0 {
		return nil, fmt.Errorf("%w: the two printings have no row in common", datafile.ErrData)
	}
	rep.Law += fmt.Sprintf("; and %d rows of another printing", matched)
	return rep.Report(), nil
}
