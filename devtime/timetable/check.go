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
// dilution of 0.8 (0.45 to 1.15), a Q10 of 2.5 (1.7 to 3.7). A push may steepen with the
// index, a dilution count for less the thinner it is, and the law bend with temperature. The
// noise floor is the rounding of the table itself; a scatter about the law, and steps from
// index to index or dilution to dilution that are not quite regular, are allowed as far as the
// table as a whole shows them. The hypotheses that no row, one row or two rows are slips are
// weighed against each other, the likeliest put aside, and the rest weighed again, so that
// several bad rows do not hide each other.
//
// A time off the step of all others, unless it is among the shortest, and one that repeats a
// neighbour's, are likelier slips for that.
//
// A row is accused with high confidence where it is a slip with odds above a cut-off that goes
// by the number of rows (0.13 for 4 and 5 rows, 0.45 for 8 and 9, 0.6 for others up to 16, where
// the other rows keep to their rounding, and 3.3 times as much where they are scattered; beyond
// 16 rows 19), or where it breaks the order of times by more than a step of the rounding
// and a tenth, and by more than the other rows stand about their law; no remark on the row
// softens that. A lesser suspicion, a Q10, push or exponent outside the usual band, and a
// time off the table's own step are remarks. A dilution or index that has lost a zero is
// named there, not as a fault of the time. Fewer than three rows imply nothing about each
// other; logic alone remains.
//
// The study (go test ./devtime/timetable -run SlipStudy -v -tables 300) draws tables whose
// laws are not these, but for the push: Arrhenius and two agents of different coefficients, a
// push that steepens, a dilution that saturates; quarter, half and whole minutes; one slip each.
// Accused in the right row, percent with 95 % intervals (Wilson), in 300 tables each; clean
// tables accused, of 600 each, without a scatter of the maker's and with one of a tenth of a
// stop, and with steps that grow with the time:
//
//	rows              4-5            6-7            8-9            10-12          13-16
//	25 %              24 [19, 29]    41 [36, 47]    76 [71, 81]    97 [94, 98]    98 [96, 99]
//	50 %              66 [60, 71]    83 [79, 87]    96 [93, 98]    99 [97, 100]   100 [99, 100]
//	100 %             92 [89, 95]    98 [95, 99]    100 [99, 100]  100 [99, 100]  100 [99, 100]
//	swapped digits    86 [82, 90]    93 [90, 95]    98 [96, 99]    100 [99, 100]  100 [99, 100]
//	copied neighbour  83 [78, 86]    87 [82, 90]    97 [95, 99]    99 [97, 100]   99 [97, 100]
//	rows shifted      64 [58, 69]    64 [58, 69]    88 [84, 92]    91 [87, 94]    97 [94, 98]
//	clean             0.0 [0.0, 0.6] 0.0 [0.0, 0.6] 0.0 [0.0, 0.6] 0.0 [0.0, 0.6] 0.0 [0.0, 0.6]
//	clean, scatter    1.5 [0.8, 2.8] 0.5 [0.2, 1.5] 1.7 [0.9, 3.0] 0.5 [0.2, 1.5] 1.2 [0.6, 2.4]
//	steps by length   0.0 [0.0, 0.6] 0.0 [0.0, 0.6] 0.0 [0.0, 0.6] 0.0 [0.0, 0.6] 0.2 [0.0, 0.9]
//	and scatter       0.8 [0.4, 1.9] 1.8 [1.0, 3.3] 2.0 [1.1, 3.5] 1.8 [1.0, 3.3] 1.2 [0.6, 2.4]
//
// Swapped digits, copies and shifts change the time by a quarter or more. Of what is
// printed at 95 % and above, 97 to 100 % is right where 15 of 100 tables hold a slip; below
// that the probability is cautious up to 7 rows and about right beyond.
//
// By makers who follow no formula (TestSlipStudyOfMakers: another factor for each stop of push,
// another exponent between each two dilutions, another slope of temperature below 20 °C), 25 %
// slips are found in 63 [57, 68] of 100 tables of 8 and 9 rows and 90 [86, 93] of 10 to 12, 50 %
// in 95 [92, 97] and 98 [96, 99], 100 % in all but 1 of 600; clean tables with a scatter are
// accused in 1.5 [0.8, 2.8] and 1.8 [1.0, 3.3] of 100, in steps by length and with a scatter in
// 2.0 [1.1, 3.5] and 1.0 [0.5, 2.2], and none without.
//
// An observer that is told the laws of the study, the ranges of their constants, the steps and
// both scatters bounds what can be found (TestBound, -tables 250, 8 and 9 rows): it finds 25 %
// slips in 93 [89, 96] of 100 where it is told their size, and in 86 [81, 90] told only that
// there is one of up to 16 times.
//
// On tables of the checker's own law, 8 to 30 rows, with slips of more than 15 %
// (TestDevelopmentStudy, 500 tables): all found in the right row, 99.5 % with another seed;
// with a scatter of 2 %, 97 of 100; with rows and levels off by 3 % each, 90 of 100. None of
// the 1100 clean ones was accused.
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
