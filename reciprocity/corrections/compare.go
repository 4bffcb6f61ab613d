package corrections

import (
	"fmt"
	"math"

	"example.org/actinic/reciprocity"
	"example.org/actinic/sensito/datafile"
	"example.org/actinic/sensito/printed"
)

// Compare compares two printings of one table row by row: rows with the same metered time
// belong together, and findings are about the first table. A difference of adjusted times is
// a finding of high confidence, for one of the two has slipped, though they cannot tell
// which. Where one prints times and the other apertures, the aperture is held against the
// law of the times, as [Check] does in one table.
//
// Errors: as [Check]; [datafile.ErrData] where the two have no row in common.
func Compare(rows, other []Row) (*printed.Report, error) {
	if err := usable(rows); err != nil {
		return nil, err
	}
	if err := usable(other); err != nil {
		return nil, fmt.Errorf("the other printing: %w", err)
	}
	rep := printed.NewBuilder(len(rows))
	law := checkAdjusted(rep, rows)
	checkPercent(rep, rows)
	at := map[float64]int{}
	for i, r := range other {
		at[r.Metered] = i
	}
	both := make([]Row, len(rows))
	matched := 0
	for i, r := range rows {
		both[i] = r
		k, ok := at[r.Metered]
		if !ok {
			continue
		}
		matched++
		o := other[k]
		if math.IsNaN(float64(r.Aperture)) {
			both[i].Aperture = o.Aperture
		}
		if r.Adjusted > 0 && o.Adjusted > 0 {
			agree(rep, i, r, o)
		}
		if r.Adjusted == 0 {
			both[i].Adjusted = o.Adjusted
		}
	}
	if matched == 0 {
		return nil, fmt.Errorf("%w: the two printings have no metered time in common", datafile.ErrData)
	}
	if law == nil {
		law = checkAdjusted(printed.NewBuilder(len(both)), both)
	}
	checkAperture(rep, both, law)
	rep.Law += fmt.Sprintf("; and %d rows of another printing", matched)
	return rep.Report(), nil
}

// agree says where two printed times differ by more than a unit of the last place of
// either, of two digits.
func agree(rep *printed.Builder, i int, r, o Row) {
	step := max(lastPlace(r.printed("adjusted_s", r.Adjusted), r.Adjusted), lastPlace(o.printed("adjusted_s", o.Adjusted), o.Adjusted))
	if math.Abs(r.Adjusted-o.Adjusted) <= step/2 || rep.Has(i+1, "adjusted_s") {
		return
	}
	f := printed.Finding{Row: i + 1, Column: "adjusted_s", Rule: "the two printings agree",
		Printed: r.printed("adjusted_s", r.Adjusted), Implied: o.printed("adjusted_s", o.Adjusted),
		Deviation: math.Log2(r.Adjusted / o.Adjusted), Unit: "stops", Confidence: printed.High}
	f.Number(o.Adjusted, o.Adjusted, o.Adjusted)
	f.Slip = printed.SlipOf(r.Adjusted, o.Adjusted, 0, printed.Plain(r.Adjusted))
	rep.Add(f)
}

// CompareLaw compares a printed table with a law, such as that of a film's record. A time
// that is off by more than its rounding and a third of a stop is a finding of high
// confidence, by less a remark.
//
// Errors: as [Check]; those of the law.
func CompareLaw(rows []Row, law reciprocity.Law) (*printed.Report, error) {
	if err := usable(rows); err != nil {
		return nil, err
	}
	rep := printed.NewBuilder(len(rows))
	rep.Law = "the record: " + law.String()
	for i, r := range rows {
		at, err := law.Adjusted(r.Metered)
		if err != nil {
			return nil, fmt.Errorf("row %d: %w", i+1, err)
		}
		rep.Implied[i], rep.Low[i], rep.High[i] = at, at, at
		if r.Adjusted == 0 {
			continue
		}
		half := math.Log2(1 + lastPlace(r.printed("adjusted_s", r.Adjusted), r.Adjusted)/2/r.Adjusted)
		d := math.Log2(r.Adjusted / at)
		if math.Abs(d) <= half+0.1 {
			continue
		}
		f := printed.Finding{Row: i + 1, Column: "adjusted_s", Rule: "the time that the record gives",
			Printed: r.printed("adjusted_s",
				r.Adjusted), Implied: printed.ThreeDigits(at), Deviation: d, Unit: "stops", Confidence: printed.Low}
		if f.Number(at, at, at); math.Abs(d) > half+1./3 {
			f.Confidence = printed.High
		}
		rep.Add(f)
	}
	checkPercent(rep, rows)
	checkAperture(rep, rows, law)
	return rep.Report(), nil
}
