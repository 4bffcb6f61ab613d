package reciprocity

import (
	"fmt"
	"math"
	"slices"
	"sort"

	"example.org/actinic/internal/check"
)

// Table is a law given by rows, with straight lines between them on logarithmic
// scales of both times. It answers within its rows only.
type Table struct {
	x, y []float64 // ln metered, ln adjusted
}

// NewTable returns the law through the readings, in any order. Their standard
// deviations are not used.
//
// Errors: [ErrInput] for fewer than two rows, times that are not positive,
// two rows of one metered time, or adjusted times that do not rise with the
// metered ones.
func NewTable(readings []Reading) (Table, error) {
	if len(readings) < 2 {
		return Table{}, check.Errorf(ErrInput, "%d rows, want 2 or more", len(readings))
	}
	r := slices.Clone(readings)
	sort.SliceStable(r, func(i, j int) bool { return r[i].Metered < r[j].Metered })
	t := Table{make([]float64, len(r)), make([]float64, len(r))}
	for i, q := range r {
		var err error
		if t.x[i], err = seconds(q.Metered.Seconds()); err != nil {
			return Table{}, err
		}
		if t.y[i], err = seconds(q.Adjusted.Seconds()); err != nil {
			return Table{}, err
		}
		if i > 0 && !(t.x[i] > t.x[i-1] && t.y[i] > t.y[i-1]) {
			return Table{}, check.Errorf(ErrInput, "row %v to %v does not rise from %v to %v", q.Metered, q.Adjusted, r[i-1].Metered, r[i-1].Adjusted)
		}
	}
	return t, nil
}

// Adjusted interpolates.
//
// Errors: [ErrOutside] beyond the rows.
func (l Table) Adjusted(metered float64) (float64, error) {
	v, _, err := lookUp(l.x, l.y, metered)
	return v, err
}

// Metered interpolates the other way.
//
// Errors: [ErrOutside] beyond the rows.
func (l Table) Metered(adjusted float64) (float64, error) {
	v, _, err := lookUp(l.y, l.x, adjusted)
	return v, err
}

// Exponent is the slope of the line on which the time lies; at a row, of the
// line toward the longer time.
//
// Errors: [ErrOutside] beyond the rows.
func (l Table) Exponent(metered float64) (float64, error) {
	_, s, err := lookUp(l.x, l.y, metered)
	return s, err
}

// Domain is the range of the rows.
func (l Table) Domain() (shortest, longest float64) {
	if len(l.x) == 0 {
		return 0, 0
	}
	return math.Exp(l.x[0]), math.Exp(l.x[len(l.x)-1])
}

func (l Table) String() string {
	lo, hi := l.Domain()
	return fmt.Sprintf("table of %d rows from %.4g s to %.4g s", len(l.x), lo, hi)
}

func lookUp(x, y []float64, t float64) (v, slope float64, err error) {
	u, err := seconds(t)
	if err != nil {
		return 0, 0, err
	}
	n := len(x)
	const slack = 1e-12 // a row's own time must not fall out by rounding
	if n < 2 || u < x[0]-slack || u > x[n-1]+slack {
		var lo, hi float64
		if n > 0 {
			lo, hi = math.Exp(x[0]), math.Exp(x[n-1])
		}
		return 0, 0, check.Errorf(ErrOutside, "the table covers %.6g s to %.6g s, %.6g s was asked for", lo, hi, t)
	}
	i := sort.SearchFloat64s(x, u)
	if i == n || i > 0 && u != x[i] {
		i--
	}
	i = min(i, n-2)
	slope = (y[i+1] - y[i]) / (x[i+1] - x[i])
	return math.Exp(y[i] + slope*(u-x[i])), slope, nil
}
