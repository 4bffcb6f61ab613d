package corrections

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"example.org/actinic/sensito"
	"example.org/actinic/sensito/datafile"
	"example.org/actinic/sensito/printed"
)

// Row is a row of a table of corrections for reciprocity failure.
// Times are in seconds. Of the corrections a table may give some: what it does
// not give is NaN, save Adjusted, which is 0.
type Row struct {
	Metered  float64
	Adjusted float64       // expose this long instead; 0 where not given
	Aperture sensito.Stops // or open the lens by this; NaN where not given
	// Percent is the printed lengthening, 100 (adjusted/metered - 1); NaN where
	// not given.
	Percent float64

	text map[string]string // as printed
	// unit is that of a column in this row, in seconds, and low and high are the ends of a
	// printed range of Adjusted; 0 where none is. factor is the printed one where the table
	// gives no time.
	unit              map[string]float64
	low, high, factor float64
}

func (r Row) printed(column string, v float64) string {
	if t := r.text[column]; t != "" {
		return t
	}
	return printed.Plain(v)
}

// Check checks a table of corrections for reciprocity failure.
//
// First comes logic: the adjusted time is not shorter than the metered one, and
// rises with it; a printed lengthening is that of the two times; and the aperture
// agrees with the time, which does not mean that both are the same number of
// stops. Opened by s stops the film is exposed for the metered time m, as if it had
// been metered at m/2^s, so s is right where
//
//	Adjusted(m / 2^s) = m
//
// Then each time is weighed by the others. How the table was rounded is read from it: to
// two digits or more, to seconds, to the steps of a clock, to third stops of the correction
// or to the marks of times. A rounding gives each row a cell, and forbids what lies outside
// it. Twelve thousand laws (failure beyond an onset, straight or bent, or one without a
// knee, a soft onset, (t+1)^p and its like, a power that is added), those between them that
// keep to the rounding, curves whose slope is drawn anew for each decade, and smooth ones
// from an onset that follow no law are mixed, each with several amounts of scatter of the
// maker's, as they do on all rows, where any row may be a slip and blocks of rows beside equal
// times may be shifted. A row is accused where its probability of a slip exceeds a cut-off
// that goes by the rounding, the number of rows and whether the slip or the table rests on a
// scatter, so that at most one clean table of 7 rows and more in fifty is accused, also with a
// scatter of a tenth of a stop; a second row where it exceeds 0.85. A row with a digit more
// than the others that is what they imply is remarked on, not accused. Times below 1/50 s,
// of the short end, are weighed by themselves.
//
// The study (study_test.go; see the doc of the package) says what is found;
// what the table at hand could not have shown stands in Unseen of the report. Fewer than
// three rows imply nothing about each other.
//
// Errors: [datafile.ErrData] for no rows, more than 2000, or values out of range.
func Check(rows []Row) (*printed.Report, error) {
	if err := usable(rows); err != nil {
		return nil, err
	}
	rep := printed.NewBuilder(len(rows))
	law := checkAdjusted(rep, rows)
	checkPercent(rep, rows)
	checkAperture(rep, rows, law)
	return rep.Report(), nil
}

func usable(rows []Row) error {
	if len(rows) == 0 || len(rows) > printed.MaxRows {
		return fmt.Errorf("%w: a table of %d rows, want 1 to %d", datafile.ErrData, len(rows), printed.MaxRows)
	}
	for i, r := range rows {
		a := float64(r.Aperture)
		switch {
		case !(r.Metered >= shortestSeconds && r.Metered <= longestSeconds):
			return fmt.Errorf("%w: row %d: metered %v s, want 1e-9 s to a century", datafile.ErrData, i+1, r.Metered)
		case r.Adjusted != 0 && !(r.Adjusted >= shortestSeconds && r.Adjusted <= longestSeconds):
			return fmt.Errorf("%w: row %d: adjusted %v s, want 1e-9 s to a century", datafile.ErrData, i+1, r.Adjusted)
		case !math.IsNaN(a) && !(a >= 0 && a <= 20):
			return fmt.Errorf("%w: row %d: opened by %v stops, want 0 to 20", datafile.ErrData, i+1, a)
		case !math.IsNaN(r.Percent) && !(r.Percent >= 0 && r.Percent <= 1e6):
			return fmt.Errorf("%w: row %d: lengthened by %v percent, want 0 or more", datafile.ErrData, i+1, r.Percent)
		case r.Adjusted == 0 && math.IsNaN(a):
			return fmt.Errorf("%w: row %d has no correction", datafile.ErrData, i+1)
		}
	}
	return nil
}

// lastPlace is the unit that a number was rounded to, taken as that of the second
// digit where it ends in zeros.
func lastPlace(text string, v float64) float64 {
	second := math.Pow(10, math.Floor(math.Log10(v))-1)
	mantissa, exp, _ := strings.Cut(strings.ToLower(text), "e")
	e, _ := strconv.Atoi(exp)
	place := math.Pow(10, float64(e))
	if _, frac, ok := strings.Cut(mantissa, "."); ok {
		place = math.Pow(10, float64(e-len(frac)))
	}
	return min(place, second)
}
