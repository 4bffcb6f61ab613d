package reciprocity

import (
	"fmt"
	"math"
	"slices"
	"sort"

	"example.org/actinic/internal/check"
)

// Table is a law given by rows, with straight lines between them on logarithmic
// scales of both times. Beyond its rows it goes on along its first and last line,
// which [Correct] marks as extrapolated.
type Table struct {
	domain
	x, y []float64 // ln metered, ln adjusted
	rows []Reading // as given, by rising time
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
	t := Table{x: make([]float64, len(r)), y: make([]float64, len(r)), rows: r}
	for i, q := range r {
		r[i].SD = 0
		var err error
		if t.x[i], err = seconds(q.Metered.Seconds()); err != nil {
			return Table{}, err
		}
		if t.y[i], err = seconds(q.Adjusted.Seconds()); err != nil {
			return Table{}, err
		}
		if i > 0 && !(t.x[i] > t.x[i-1] && t.y[i] > t.y[i-1]) {
			return Table{}, check.Errorf(ErrInput,
				"row %v to %v does not rise from %v to %v", q.Metered, q.Adjusted, r[i-1].Metered, r[i-1].Adjusted)
		}
	}
	return t, nil
}

// Adjusted interpolates.
func (l Table) Adjusted(metered float64) (float64, error) {
	v, _, err := lookUp(l.x, l.y, metered)
	return v, err
}

// Metered interpolates the other way.
func (l Table) Metered(adjusted float64) (float64, error) {
	v, _, err := lookUp(l.y, l.x, adjusted)
	return v, err
}

// Exponent is the slope of the line on which the time lies; at a row, of the
// line toward the longer time.
func (l Table) Exponent(metered float64) (float64, error) {
	_, s, err := lookUp(l.x, l.y, metered)
	return s, err
}

// Domain is the range of the rows, unless [Within] says otherwise.
func (l Table) Domain() (shortest, longest float64) {
	if l.domain != (domain{}) || len(l.rows) == 0 {
		return l.domain.Domain()
	}
	return l.rows[0].Metered.Seconds(), l.rows[len(l.rows)-1].Metered.Seconds()
}

// String says how many rows the table has, and the times it holds for.
func (l Table) String() string {
	lo, hi := l.Domain()
	return fmt.Sprintf("table of %d rows", len(l.x)) + domain{lo, hi}.text()
}

func (l Table) within(d domain) Law { l.domain = d; return l }

// MarshalText is the law as data, "table 1=2 10=50", see [ParseLaw].
//
// Errors: [ErrInput] for the zero law.
func (l Table) MarshalText() ([]byte, error) { return marshalLaw(l) }

// UnmarshalText reads what MarshalText writes.
func (l *Table) UnmarshalText(text []byte) error { return unmarshalLaw(text, l) }

// tableForm is Table as data.
type tableForm struct{}

func (tableForm) info() FormInfo {
	return FormInfo{Law: "table", Formula: "straight lines between the logarithms of its readings", Rows: true}
}

func (tableForm) read(l Law) (v values, rows []Reading, ok bool) {
	t, ok := l.(Table)
	return values{}, slices.Clone(t.rows), ok
}

func (tableForm) make(_ values, rows []Reading) (Law, error) { return NewTable(rows) }

func lookUp(x, y []float64, t float64) (v, slope float64, err error) {
	u, err := seconds(t)
	if err != nil {
		return 0, 0, err
	}
	n := len(x)
	if n < 2 {
		return 0, 0, unmade("NewTable")
	}
	i := sort.SearchFloat64s(x, u)
	if i == n || i > 0 && u != x[i] {
		i--
	}
	i = min(i, n-2)
	slope = (y[i+1] - y[i]) / (x[i+1] - x[i])
	v = math.Exp(y[i] + slope*(u-x[i]))
	if !(v > 0) || !check.Finite(v) {
		return 0, 0, check.Errorf(ErrOutside, "a time of %.3g s is too far beyond the table", t)
	}
	return v, slope, nil
}
