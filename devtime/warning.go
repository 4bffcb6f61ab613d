package devtime

import "fmt"

// Warning is something a result should not be used without knowing. Its String
// is a sentence.
type Warning int

const (
	// ShortSeries: the longest time is too short to pin the limit.
	ShortSeries Warning = iota + 1
	// NegativeInduction: the fitted induction time is below zero.
	NegativeInduction
	// ShortTime: so short a time risks uneven development.
	ShortTime
	// OutsideReadings: the answer lies outside the readings or the range in
	// which its law is trusted.
	OutsideReadings
)

var warningText = [...]string{
	ShortSeries:       "the longest development time is too short to pin the limit of contrast; add a strip with a longer time",
	NegativeInduction: "the fitted induction time is negative; fit the law without induction",
	ShortTime:         "development times under about five minutes risk uneven development; use a weaker or colder bath",
	OutsideReadings:   "the time lies outside the readings, or outside the range in which its law is trusted",
}

// String gives the warning as a sentence.
func (w Warning) String() string {
	if w > 0 && int(w) < len(warningText) {
		return warningText[w]
	}
	return fmt.Sprintf("Warning(%d)", int(w))
}

// Warnings says what a time should not be used without knowing; nil where all
// is well.
func (t Time) Warnings() []Warning {
	var w []Warning
	if t.Value < EvenTime {
		w = append(w, ShortTime)
	}
	if t.Extrapolated {
		w = append(w, OutsideReadings)
	}
	return w
}
