package reciprocity

import (
	"math"
	"slices"
	"time"

	"example.org/actinic/internal/check"
	"example.org/actinic/sensito"
)

// HandbookRow is a row of [Handbook].
type HandbookRow struct {
	Indicated   time.Duration
	Aperture    sensito.Stops // open the lens by this
	Adjusted    time.Duration // or expose this long; 0 where not given
	Development float64       // change of development time, percent
	Read        bool          // seen in print; the others are from memory
}

// Handbook is the general table of handbooks for conventional black-and-white
// films. It is for comparison only: films differ by factors, and its aperture
// and time columns are different routes, not two notations of one correction.
//
// Source: the row of 10 s (50 s, -20 %), and 10 to 30 % less development for
// long exposures, from the chapter on the reciprocity effect of a zone-system
// book; the others from memory of the same widely reprinted table.
func Handbook() []HandbookRow { return slices.Clone(handbook[:]) }

var handbook = [...]HandbookRow{
	{time.Second / 100000, 1, 0, 20, false},
	{time.Second / 10000, 0.5, 0, 15, false},
	{time.Second / 1000, 0, 0, 10, false},
	{time.Second / 100, 0, 0, 0, false},
	{time.Second / 10, 0, 0, 0, false},
	{time.Second, 1, 2 * time.Second, -10, false},
	{10 * time.Second, 2, 50 * time.Second, -20, true},
	{100 * time.Second, 3, 1200 * time.Second, -30, false},
}

// HandbookFigure is what handbooks print for one time.
type HandbookFigure struct {
	Percent float64 // change of development time
	// Low and High are the range that handbooks give for exposures that need it at
	// all, in percent; both 0 where the table has no change.
	Low, High float64
	Source    string
}

const handbookSource = "the general table of handbooks for black-and-white films; its row of 10 s, " +
	"and 10 to 30 % less for long exposures, from the chapter on the reciprocity effect of a zone-system book, the other rows from memory"

// HandbookDevelopment is the change of development that [Handbook] gives for a
// metered time, between its rows by the logarithm of time and beyond them as its
// last row. It is for comparison, see there.
//
// Errors: [ErrInput] for a time that is not positive.
func HandbookDevelopment(metered time.Duration) (HandbookFigure, error) {
	x, err := seconds(metered.Seconds())
	if err != nil {
		return HandbookFigure{}, check.Errorf(ErrInput, "metered time of %v", metered)
	}
	rows := &handbook
	v := rows[len(rows)-1].Development
	for i := range rows {
		r := &rows[i]
		if metered > r.Indicated {
			continue
		}
		if v = r.Development; i > 0 {
			before, at := math.Log(rows[i-1].Indicated.Seconds()), math.Log(r.Indicated.Seconds())
			v = rows[i-1].Development + (r.Development-rows[i-1].Development)*(x-before)/(at-before)
		}
		break
	}
	f := HandbookFigure{Percent: v, Source: handbookSource}
	if v < 0 {
		f.Low, f.High = -30, -10
	} else if v > 0 {
		f.Low, f.High = 10, 20
	}
	return f, nil
}
