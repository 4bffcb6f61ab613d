package timetable

import (
	"fmt"
	"math"
	"time"

	"example.org/actinic/devtime"
	"example.org/actinic/internal/figures"
	"example.org/actinic/sensito"
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

// CompareRecord compares a printed table with what a record says of its rows, in minutes
// with a 95 % interval; ok is false for a row that the record says nothing of. A time that
// is off by more than its rounding, the interval and a tenth is a finding of high
// confidence; a remark where it is outside the interval by less than that tenth. words says
// what the record is.
//
// Errors: as [Check]; [datafile.ErrData] where the record says nothing of any row.
func CompareRecord(rows []Row, words string, at func(Row) (minutes sensito.Estimate, ok bool)) (*printed.Report, error) {
	if err := usable(rows); err != nil {
		return nil, err
	}
	rep := printed.NewBuilder(len(rows))
	rep.Caution = devtime.Caution
	times := make([]time.Duration, len(rows))
	for i, r := range rows {
		times[i] = r.Time
	}
	half := stepOf(times).Minutes() / 2
	said := 0
	for i, r := range rows {
		rep.Implied[i], rep.Low[i], rep.High[i] = math.NaN(), math.NaN(), math.NaN()
		e, ok := at(r)
		if !ok || !(e.Value > 0) {
			continue
		}
		said++
		low, high := e.Low, e.High
		if math.IsNaN(low) || math.IsNaN(high) {
			low, high = e.Value, e.Value
		}
		low, high = max(low-half, 0), high+half
		rep.Implied[i], rep.Low[i], rep.High[i] = e.Value, low, high
		is := r.Time.Minutes()
		if is >= low && is <= high {
			continue
		}
		f := printed.Finding{Row: i + 1, Column: "time", Rule: "the time that the record gives", Printed: r.printed(),
			Implied: devtime.FormatTime(figures.Seconds(60 * e.Value).Round(time.Second)), Deviation: 100 * (is/e.Value - 1), Unit: "percent",
			Confidence: printed.Low}
		f.Number(e.Value, low, high)
		if is < low/1.1 || is > high*1.1 {
			f.Confidence = printed.High
		}
		rep.Add(f)
	}
	if said == 0 {
		return nil, fmt.Errorf("%w: %s says nothing of any row; look at dilution, index and temperature", datafile.ErrData, words)
	}
	rep.Law = fmt.Sprintf("%s, which speaks of %d of %d rows", words, said, len(rows))
	return rep.Report(), nil
}
