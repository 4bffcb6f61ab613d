package timetable

import (
	"fmt"
	"time"

	"example.org/actinic/devtime"
	"example.org/actinic/internal/plausible"
	"example.org/actinic/sensito/datafile"
	"example.org/actinic/sensito/printed"
)

// Row is a row of a table of development times. What the table does
// not tell is left zero, in all rows alike.
type Row struct {
	Index       float64          // exposure index; 0 where there is no such column
	Dilution    devtime.Dilution // zero where there is no such column
	Temperature devtime.Celsius  // 0 where there is no such column
	Fahrenheit  float64          // the temperature in °F, instead or beside it; 0 where there is no such column
	Time        time.Duration

	text string // of the time, as printed
	// low and high are the ends of a printed range of times; 0 where none is.
	low, high time.Duration
}

// printed is the time as printed.
func (r Row) printed() string {
	if r.text != "" {
		return r.text
	}
	return devtime.FormatTime(r.Time)
}

func printableTemperature(v float64) bool { return v >= -50 && v <= 250 && v != 0 }

const maxDilution = 1e4

// Limits of a bath that somebody develops film in, generously.
const coldest, hottest devtime.Celsius = 8, 45

// Bands in which the constants of published tables lie; outside them there is a
// remark. The temperature coefficient of a table in state law reaches 3.8; the
// others are common practice, no source.
const (
	leastQ10, greatestQ10           = 1.2, 4.5
	leastPush, greatestPush         = 1.1, 1.7
	leastExponent, greatestExponent = 0.3, 1.6
)

// Check checks a table of development times by index, dilution and
// temperature. The rows may be any part of a grid, in any order.
//
// First comes logic: baths of development are between 8 and 45 °C, two columns
// of temperature agree, times fall as temperature rises and rise with dilution
// and with index. Then each time is held against
//
//	ln t = c + p log2(index) + m ln(dilution factor) - ln(Q10)/10 T
//
// with constants taken from the other rows, and from what is usual where these
// say little: a push of 1.36 a stop (two in three tables 1.2 to 1.55), an exponent of
// dilution of 0.8 (0.45 to 1.15), a Q10 of 2.5 (1.7 to 3.7). The noise floor is the
// rounding of the table itself; a scatter about the law, a bend of it, and steps
// from index to index or dilution to dilution that are not quite regular are
// allowed as far as the table as a whole shows them. The hypotheses that no row, one
// row or two rows are slips are weighed against each other, the likeliest put aside,
// and the rest weighed again, so that several bad rows do not hide each other.
//
// A row is accused with high confidence where it is a slip with a probability of
// 0.95, or where it breaks the order of times by more than a step of the
// rounding and a tenth. A lesser suspicion, a Q10, push or exponent outside the
// usual band, and a time off the table's own step are remarks. Fewer than three rows
// imply nothing about each other; logic alone remains.
//
// The study. 500 simulated tables of 8 to 30 rows, parts of grids of one to five
// indexes, three dilutions and six temperatures, Q10 1.6 to 3.8, push 1.2 to 1.6 a
// stop, exponent of dilution 0.4 to 1.4, rounded to a quarter or half minute, with one
// slip each of more than 15 %. Found in the right row with high confidence: minutes
// for seconds 100 of 100, Fahrenheit for Celsius 100, decimal point 100, transposed
// digits 97, copied from the row above 97: 98.8 %, and 99.0 % with another seed. No
// other row and none of 500 clean tables was accused. Tables whose makers kept less
// well to any law give up fewer of the smaller slips: with a scatter of 2 %,
// 95.8 % in all, but 84 of 100 of those copied; with rows and levels off by 3 % each,
// 89.2 % and 61 of 100, with 1.0 % of the clean tables accused.
//
// Errors: [datafile.ErrData] for no rows, more than 2000, or a row that is incomplete.
func Check(rows []Row) (*printed.Report, error) {
	rep, err := check(rows)
	if err != nil {
		return nil, err
	}
	return rep.Report(), nil
}

func check(rows []Row) (*printed.Builder, error) {
	if err := usable(rows); err != nil {
		return nil, err
	}
	rep := printed.NewBuilder(len(rows))
	rep.Caution = devtime.Caution
	temps := checkTemperatures(rep, rows)
	checkTimes(rep, checkConditions(rep, rows, temps), temps)
	return rep, nil
}

func usable(rows []Row) error {
	if len(rows) == 0 || len(rows) > printed.MaxRows {
		return fmt.Errorf("%w: a table of %d rows, want 1 to %d", datafile.ErrData, len(rows), printed.MaxRows)
	}
	hasDilution := func(r Row) bool { s, _ := r.Dilution.Parts(); return s > 0 }
	for i, r := range rows {
		switch {
		case !(r.Time > 0 && r.Time < 1000*time.Hour):
			return fmt.Errorf("%w: row %d: time %v, want more than 0 and less than 1000 hours", datafile.ErrData, i+1, r.Time)
		case r.Index != 0 && !(r.Index >= plausible.LeastIndex && r.Index <= plausible.GreatestIndex):
			return fmt.Errorf("%w: row %d: index %v, want one such as 400", datafile.ErrData, i+1, r.Index)
		case r.Temperature != 0 && !printableTemperature(float64(r.Temperature)), r.Fahrenheit != 0 && !printableTemperature(r.Fahrenheit):
			return fmt.Errorf("%w: row %d: a temperature beyond measure", datafile.ErrData, i+1)
		case hasDilution(r) && !(r.Dilution.Factor() <= maxDilution):
			return fmt.Errorf("%w: row %d: dilution %v, want at most 1+%g", datafile.ErrData, i+1, r.Dilution, maxDilution-1)
		case (r.Index == 0) != (rows[0].Index == 0), (r.Temperature == 0) != (rows[0].Temperature == 0), (r.Fahrenheit == 0) != (rows[0].Fahrenheit == 0), hasDilution(r) != hasDilution(rows[0]):
			return fmt.Errorf("%w: row %d tells other things than row 1: each row has an index, a dilution, a temperature, or none has", datafile.ErrData, i+1)
		}
	}
	return nil
}
