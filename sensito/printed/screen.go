package printed

import (
	"fmt"
	"math"

	"example.org/actinic/internal/check"
	"example.org/actinic/internal/elementary"
	"example.org/actinic/internal/robust"
	"example.org/actinic/sensito"
	"example.org/actinic/sensito/datafile"
)

// Screen is the power that most rows of a printed column follow,
//
//	y = Unit x^Power
//
// and how well they do.
//
// Source: the definition of a power law, in logarithms.
type Screen struct {
	Power, Unit float64
	// SD is the robust standard deviation of a row about it.
	SD sensito.Stops
}

// Suspect tells whether a row that is so far off does not go with the others: by
// more than 3.5 standard deviations.
func (s Screen) Suspect(off sensito.Stops) bool {
	return math.Abs(float64(off)) > unusual*float64(s.SD)
}

// ScreenTable is a first look at a column y that should go as a power of another,
// such as adjusted against metered times, and sets off to how far each row is from
// what the others follow:
//
//	off = log2(y / (Unit x^Power))
//
// The line through the logarithms is Tukey's bisquare, which a sixth of the rows may
// contradict in any way. least is the least standard deviation to believe, such as
// rounding alone gives: a table of two digits has 0.02 stop.
//
// It is for whole books and for simulations: a table of twelve rows takes under two
// microseconds and, up to 24 rows with x rising, no memory; time grows in proportion
// to the rows, or as their sorting does where x does not rise. The checkers of corrections and
// [CheckSeries] look closer at one table, and know of failure that sets in at an onset,
// of rounding and of copied rows.
//
// Errors: [datafile.ErrData] for fewer than five rows, columns of different length, values
// that are not positive, least below 0, or a single x.
//
// Sources: A. E. Beaton and J. W. Tukey, Technometrics 16 (1974) 147, for the line;
// B. Iglewicz and D. C. Hoaglin, How to Detect and Handle Outliers (1993), for 3.5.
func ScreenTable(off []sensito.Stops, x, y []float64, least sensito.Stops) (Screen, error) {
	n := len(y)
	if n < 5 || len(x) != n || len(off) != n {
		return Screen{}, fmt.Errorf("%w: %d x, %d y and room for %d, want as many of each and five or more",
			datafile.ErrData, len(x), n, len(off))
	}
	if !(least >= 0) || !check.Finite(least) {
		return Screen{}, fmt.Errorf("%w: a least standard deviation of %v stops, want 0 or more", datafile.ErrData, float64(least))
	}
	var few [3 * robust.Few]float64
	space := few[:]
	if n > robust.Few {
		space = make([]float64, 3*n)
	}
	lx, ly, r := space[:n], space[n:2*n], space[2*n:3*n]
	for i, v := range y {
		u := x[i]
		if !(u > 0 && v > 0) || !check.Finite(u, v) {
			return Screen{}, fmt.Errorf("%w: row %d: %v at %v, want positive numbers", datafile.ErrData, i+1, v, u)
		}
	}
	elementary.Log(lx, x)
	elementary.Log(ly, y)
	const rounding = 1e-9 // of the logarithms, and more
	l, ok := robust.Bisquare(r, lx, ly, max(float64(least)*math.Ln2, rounding))
	if !ok {
		return Screen{}, fmt.Errorf("%w: every row is at %v, want different ones", datafile.ErrData, x[0])
	}
	for i, v := range r {
		off[i] = sensito.Stops(v / math.Ln2)
	}
	return Screen{Power: l.Slope, Unit: math.Exp(l.At), SD: sensito.Stops(l.Scale / math.Ln2)}, nil
}
