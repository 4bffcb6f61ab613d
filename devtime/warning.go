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
)

var warningText = [...]string{
	ShortSeries:       "the longest development time is too short to pin the limit of contrast; add a strip with a longer time",
	NegativeInduction: "the fitted induction time is negative; fit the law without induction",
}

// String gives the warning as a sentence.
func (w Warning) String() string {
	if w > 0 && int(w) < len(warningText) {
		return warningText[w]
	}
	return fmt.Sprintf("Warning(%d)", int(w))
}
