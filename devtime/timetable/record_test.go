package timetable_test

import (
	"errors"
	"math"
	"testing"
	"time"

	"example.org/actinic/devtime"
	"example.org/actinic/devtime/timetable"
	"example.org/actinic/internal/held"
	"example.org/actinic/sensito"
	"example.org/actinic/sensito/datafile"
	"example.org/actinic/sensito/printed"
)

// A table in steps of half a minute against a record: a time within the interval and a quarter of a
// minute is as it should be, one beyond by less than a tenth a remark, and one beyond that a finding.
func TestCompareRecord(t *testing.T) {
	const none = printed.Confidence("")
	nan := math.NaN()
	cases := []struct {
		minutes float64
		is      sensito.Estimate
		want    printed.Confidence
	}{
		{8.5, sensito.Estimate{Value: 10, Low: 8.75, High: 11.25}, none},
		{8, sensito.Estimate{Value: 10, Low: 8.75, High: 11.25}, printed.Low},    // 8.5/1.1 is 7.73
		{7.5, sensito.Estimate{Value: 10, Low: 8.75, High: 11.25}, printed.High}, // below it
		{11.5, sensito.Estimate{Value: 10, Low: 8.75, High: 11.25}, none},
		{12.5, sensito.Estimate{Value: 10, Low: 8.75, High: 11.25}, printed.Low}, // 11.5 × 1.1 is 12.65
		{13, sensito.Estimate{Value: 10, Low: 8.75, High: 11.25}, printed.High},
		{10, sensito.Estimate{Value: 10.25, Low: nan, High: 11}, none}, // without an interval the rounding alone
		{10, sensito.Estimate{Value: 10.5, Low: 10, High: nan}, printed.Low},
		{10, sensito.Estimate{Value: 12, Low: nan, High: nan}, printed.High},
		{0.5, sensito.Estimate{Value: 0.2, Low: 0.1, High: 0.3}, none}, // up to 0.55
		{5, sensito.Estimate{Value: 0, Low: 0, High: 1}, none},         // says nothing
		{5, sensito.Estimate{Value: nan}, none},
	}
	var rows []timetable.Row
	byIndex := map[float64]sensito.Estimate{}
	said := 0
	for i, c := range cases {
		index := float64(100 * (i + 1))
		rows = append(rows, timetable.Row{Index: index, Time: time.Duration(c.minutes * float64(time.Minute))})
		byIndex[index] = c.is
		if c.is.Value > 0 {
			said++
		}
	}
	rows = append(rows, timetable.Row{Index: 5000, Time: 90 * time.Second})
	at := func(r timetable.Row) (sensito.Estimate, bool) { e, ok := byIndex[r.Index]; return e, ok }
	rep, err := timetable.CompareRecord(rows, "the record", at)
	if err != nil {
		t.Fatal(err)
	}
	found := map[int]printed.Finding{}
	for _, f := range rep.Findings {
		found[f.Row-1] = f
	}
	for i, c := range cases {
		f, ok := found[i]
		if ok != (c.want != none) || ok && f.Confidence != c.want {
			t.Errorf("%v min against %+v: %+v, want %v", c.minutes, c.is, f, c.want)
		}
		if ok && math.Abs(f.Deviation-100*(c.minutes-c.is.Value)/c.is.Value) > 1e-9 {
			t.Errorf("%v min against %v is off by %v %%", c.minutes, c.is.Value, f.Deviation)
		}
		if v := rep.Implied[i]; c.is.Value > 0 && v != c.is.Value || !(c.is.Value > 0) && !math.IsNaN(v) {
			t.Errorf("%v min: %v is implied", c.minutes, v)
		}
	}
	if len(found) > len(cases) || said != 10 || rep.Law != "the record, which speaks of 10 of 13 rows" || rep.Caution != devtime.Caution {
		t.Errorf("%q, %q, %d findings", rep.Law, rep.Caution, len(found))
	}
	if lo, hi := rep.Low[0], rep.High[0]; lo != 8.5 || hi != 11.5 {
		t.Errorf("8.75 to 11.25 is %v to %v with the rounding", lo, hi)
	}
	if lo := rep.Low[9]; lo != 0 {
		t.Errorf("a time from %v", lo)
	}
	if f := found[2]; f.Row != 3 || f.Column != "time" || f.Printed != "7:30" || f.Implied != "10:00" || f.Unit != "percent" || f.Rule != "the time that the record gives" {
		t.Errorf("%+v", f)
	}
	said2 := held.New(t)
	if _, err := timetable.CompareRecord(rows[len(cases):], "the record", at); !said2.Is("", err, datafile.ErrData) {
		t.Errorf("of no row: %v", err)
	}
	if _, err := timetable.CompareRecord(nil, "the record", at); !said2.Is("", err, datafile.ErrData) {
		t.Errorf("no rows: %v", err)
	}
	if _, err := timetable.Compare(rows, nil); !said2.Is("", err, datafile.ErrData) || errors.Unwrap(err) == nil {
		t.Errorf("no other printing: %v", err)
	}
}
