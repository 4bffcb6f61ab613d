package corrections

import (
	"math"

	"example.org/actinic/sensito/printed"
)

// How a scatter of the maker's counts in the odds that a row is accused by: scattered rows are
// easily taken for slips. A slip that is one only where the other rows are scattered counts for
// so much of one among rows that keep to their rounding, and so much more counts that the
// table is clean and scattered.
const slipScattered, cleanScattered = 0.1, 3

// cutOff is the probability of a slip in row k from which it is accused.
func (w weighed) cutOff(k int) float64 {
	steady := w.steady
	if p := w.p[k]; p < 1 { // of what is no slip in the row
		steady = min(max((w.steady-p*w.least[k])/(1-p), 0), 1)
	}
	return cutOff(w.rounding, len(w.p), w.least[k], steady, w.marked)
}

// cutOff is the probability of a slip from which a row is accused; under it at most one in
// fifty clean tables is, with a scatter of a tenth of a stop or without (study_test.go). least
// is the share of the least scatter in the probability, steady that in what remains. On third
// stops and marks, which tell a tenth of a stop from none hardly ever, scatter makes no
// difference; where a table may be either, the two cut-offs are mixed by their weights.
func cutOff(k kind, rows int, least, steady, marked float64) float64 {
	size := 0 // below 7 rows, below 10, below 16 and from there
	switch {
	case rows == printed.FewRows:
		return 0.95 // three rows are not enough to bear witness against one of them
	case rows >= 16:
		size = 3
	case rows >= 10:
		size = 2
	case rows >= 7:
		size = 1
	}
	by := [kinds][4]float64{digits: {0.08, 0.06, 0.03, 0.03}, seconds: {0.3, 0.06, 0.06, 0.06}, clock: {0.045, 0.045, 0.045, 0.045},
		thirds: {0.087, 0.087, 0.087, 0.11}, marks: {0.82, 0.82, 0.82, 1.2}}
	odds := by[k][size]
	if k == thirds || k == marks { // short times are printed alike
		odds = math.Pow(by[thirds][size], 1-marked) * math.Pow(by[marks][size], marked)
	} else {
		odds *= (steady + cleanScattered*(1-steady)) / (least + slipScattered*(1-least))
	}
	return odds / (1 + odds)
}
