package timetable

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"example.org/actinic/devtime"
	"example.org/actinic/internal/plausible"
	"example.org/actinic/internal/robust"
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
	checkTimes(rep, rows, temps)
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

// checkTemperatures looks at the temperatures by themselves, and returns them with
// NaN in place of those that cannot be.
func checkTemperatures(rep *printed.Builder, rows []Row) []float64 {
	temps := make([]float64, len(rows))
	var step float64 = 1
	for _, r := range rows {
		if c := float64(r.Temperature); c != math.Round(c) {
			step = min(step, 0.1)
		}
	}
	for i, r := range rows {
		c := r.Temperature
		temps[i] = float64(c)
		if c == 0 && r.Fahrenheit != 0 {
			c = devtime.FromFahrenheit(r.Fahrenheit)
			if temps[i] = float64(c); c < coldest || c > hottest {
				temps[i] = math.NaN()
				rep.Add(printed.Finding{Row: i + 1, Column: "temperature_f", Printed: printed.Plain(r.Fahrenheit), Unit: "°F", Confidence: printed.High,
					Rule: fmt.Sprintf("baths of development are between %g and %g °F", coldest.Fahrenheit(), hottest.Fahrenheit())})
			}
			continue
		}
		if c == 0 {
			continue
		}
		// What it should be: by the other column, or as Fahrenheit.
		implied := math.NaN()
		if f := r.Fahrenheit; f != 0 {
			implied = float64(devtime.FromFahrenheit(f))
		} else if c < coldest || c > hottest {
			if f := devtime.FromFahrenheit(float64(c)); f >= coldest && f <= hottest {
				implied = float64(f)
			} else if t := 10 * c; t >= coldest && t <= hottest {
				implied = float64(t)
			} else if t := c / 10; t >= coldest && t <= hottest {
				implied = float64(t)
			}
		}
		f := printed.Finding{Row: i + 1, Column: "temperature_c", Printed: printed.Plain(float64(c)), Unit: "°C", Confidence: printed.High}
		switch {
		case c < coldest || c > hottest:
			f.Rule = fmt.Sprintf("baths of development are between %g and %g °C", float64(coldest), float64(hottest))
		case !math.IsNaN(implied) && math.Abs(float64(c)-implied) > step/2+1e-9:
			f.Rule = "the two columns of temperature agree"
		default:
			continue
		}
		if !math.IsNaN(implied) {
			f.Implied = printed.Plain(math.Round(implied*10) / 10)
			f.Deviation = float64(c) - implied
			switch {
			case math.Abs(float64(devtime.FromFahrenheit(float64(c)))-implied) < 0.6:
				f.Slip = printed.SlipFahrenheit
			case math.Abs(float64(c)/implied-10) < 0.1, math.Abs(implied/float64(c)-10) < 0.1:
				f.Slip = printed.SlipDecimal
			case i > 0 && rows[i-1].Temperature == c:
				f.Slip = printed.SlipCopied
			default:
				f.Slip = printed.SlipOf(float64(c), implied, 0, printed.Plain(float64(c)))
			}
		}
		temps[i] = implied
		rep.Add(f)
	}
	return temps
}

// checkTimes looks at the times.
func checkTimes(rep *printed.Builder, rows []Row, temps []float64) {
	n := len(rows)
	times := make([]time.Duration, n)
	for i, r := range rows {
		times[i] = r.Time
	}
	step := stepOf(times)
	var use []int
	for i := range rows {
		if !math.IsNaN(temps[i]) {
			use = append(use, i)
		}
	}
	law, sh := developmentLaw(rows, temps, use, step)
	rep.Law = law
	finding := func(i int, at float64) printed.Finding {
		var implied time.Duration
		if minutes := math.Exp(at); minutes < 60000 {
			implied = time.Duration(minutes * float64(time.Minute)).Round(time.Second)
		}
		read := rows[i].Time.Minutes()
		above := 0.0
		if i > 0 {
			above = rows[i-1].Time.Minutes()
		}
		f := printed.Finding{Row: i + 1, Column: "time", Printed: rows[i].printed(), Unit: "percent"}
		if implied > 0 {
			f.Implied = devtime.FormatTime(implied)
			f.Deviation = 100 * (read/implied.Minutes() - 1)
			f.Slip = printed.SlipOf(read, implied.Minutes(), above, rows[i].text, devtime.FormatTime(rows[i].Time), printed.Plain(read))
		}
		return f
	}
	probability, implied := make([]float64, n), make([]float64, n)
	for i := range rows {
		implied[i] = math.NaN()
	}
	broken := make([]bool, n)
	for s, i := range use {
		probability[i], implied[i] = sh.Probability[s], sh.Implied[s]
		rep.Implied[i] = math.Exp(sh.Implied[s])
	}
	order := disorder(rows, temps, use)
	for _, o := range order {
		broken[o.long], broken[o.short] = true, true
	}
	for _, i := range use {
		p := probability[i]
		if p < printed.RemarkedFrom {
			continue
		}
		f := finding(i, implied[i])
		f.Rule, f.Confidence = "the time that the other rows imply", printed.Low
		if p >= printed.AccusedFrom {
			f.Confidence = printed.High
		}
		rep.Add(f)
	}
	// Of the pairs out of order, the row that stands in most of them is named.
	left := slices.DeleteFunc(order, func(o outOfOrder) bool { return rep.Has(o.long+1, "time") || rep.Has(o.short+1, "time") })
	for len(left) > 0 {
		count := map[int]int{}
		for _, o := range left {
			count[o.long]++
			count[o.short]++
		}
		worst := -1
		for _, i := range use {
			if count[i] > 0 && (worst < 0 || count[i] > count[worst] || count[i] == count[worst] && probability[i] > probability[worst]) {
				worst = i
			}
		}
		f := finding(worst, implied[worst])
		f.Confidence = printed.Low
		for _, o := range left {
			if o.long != worst && o.short != worst {
				continue
			}
			if f.Rule == "" {
				f.Rule = o.rule(worst)
			}
			if d := rows[o.short].Time - rows[o.long].Time; d > step && d.Minutes() > 0.1*rows[o.long].Time.Minutes() {
				f.Confidence = printed.High
			}
		}
		rep.Add(f)
		left = slices.DeleteFunc(left, func(o outOfOrder) bool { return o.long == worst || o.short == worst })
	}
	remarkBands(rep, rows, temps, use, step)
	if step >= 15*time.Second {
		for i, r := range rows {
			if r.Time%step == 0 || rep.Has(i+1, "time") {
				continue
			}
			f := finding(i, implied[i])
			f.Rule = fmt.Sprintf("the other times are in steps of %s", devtime.FormatTime(step))
			f.Confidence = printed.Low
			rep.Add(f)
		}
	}
}

// developmentLaw finds the law of a table and the rows that do not follow it.
func developmentLaw(rows []Row, temps []float64, use []int, step time.Duration) (string, robust.Shifts) {
	if len(use) < printed.FewRows {
		sh := robust.Shifts{Probability: make([]float64, len(use)), Implied: make([]float64, len(use))}
		for s := range sh.Implied {
			sh.Implied[s] = math.NaN()
		}
		return "none: too few rows to imply each other", sh
	}
	y := make([]float64, len(use))
	for s, i := range use {
		y[s] = math.Log(rows[i].Time.Minutes())
	}
	var ei, dil, tc []float64
	for _, i := range use {
		r := rows[i]
		if r.Index > 0 {
			ei = append(ei, math.Log2(r.Index))
		}
		if s, _ := r.Dilution.Parts(); s > 0 {
			dil = append(dil, math.Log(r.Dilution.Factor()))
		}
		tc = append(tc, temps[i]-20)
	}
	l := robust.Linear{
		Z:     make([][]float64, len(use)),
		Share: 0.02,
		// How well makers keep to any law, in ln of time.
		Scatter: []float64{0, 0.015, 0.03, 0.06, 0.12},
	}
	var strict, loose []float64
	term := func(values []float64, mean, sd, sdLoose float64) {
		for s := range use {
			l.Z[s] = append(l.Z[s], values[s])
		}
		l.Mean = append(l.Mean, mean)
		strict, loose = append(strict, sd), append(loose, sdLoose)
	}
	ones := make([]float64, len(use))
	for s := range ones {
		ones[s] = 1
	}
	term(ones, math.Log(8), 1, 1)
	centre := func(x []float64) (levels []float64, at float64) {
		levels = slices.Compact(slices.Sorted(slices.Values(x)))
		return levels, robust.Median(x)
	}
	steps := func(x, levels []float64, sd float64) {
		if len(levels) < 3 || len(levels) > 40 {
			return
		}
		for _, v := range levels {
			is := make([]float64, len(x))
			for s := range x {
				if x[s] == v {
					is[s] = 1
				}
			}
			term(is, 0, 0, sd)
		}
	}
	minus := func(x []float64, at float64) []float64 {
		out := make([]float64, len(x))
		for i, v := range x {
			out[i] = v - at
		}
		return out
	}
	var says []func(c []float64) string
	shown := func(at int, of func(v float64) string) {
		says = append(says, func(c []float64) string { return of(c[at]) })
	}
	if len(ei) > 0 {
		levels, at := centre(ei)
		if len(levels) > 1 {
			shown(len(l.Mean), func(v float64) string { return fmt.Sprintf("by %.2f a stop of index", math.Exp(v)) })
			term(minus(ei, at), 0.31, 0.12, 0.12)
			steps(ei, levels, 0.05)
		}
	}
	if len(dil) > 0 {
		levels, at := centre(dil)
		if len(levels) > 1 {
			shown(len(l.Mean), func(v float64) string { return fmt.Sprintf("as the dilution to the power %.2f", v) })
			term(minus(dil, at), 0.8, 0.35, 0.35)
			steps(dil, levels, 0.05)
		}
	}
	if rows[0].Temperature != 0 || rows[0].Fahrenheit != 0 {
		levels, _ := centre(tc)
		if len(levels) > 1 {
			shown(len(l.Mean), func(v float64) string { return fmt.Sprintf("with temperature by a Q10 of %.2f", math.Exp(-10*v)) })
			term(tc, -0.092, 0.04, 0.04)
			if len(levels) > 2 {
				bend := make([]float64, len(tc))
				for s, v := range tc {
					bend[s] = v * v / 25
				}
				term(bend, 0, 0, 0.05)
			}
		}
	}
	l.SD = [][]float64{strict, loose}
	// The rounding is relative to the true time, for which the printed one stands
	// at first.
	noise := make([]float64, len(use))
	mid := math.Exp(robust.Median(y))
	set := func(at func(s int) float64) {
		for s := range noise {
			t := min(max(at(s), mid/4), mid*4)
			noise[s] = step.Minutes() / math.Sqrt(12) / max(t, step.Minutes())
		}
	}
	set(func(s int) float64 { return math.Exp(y[s]) })
	var sh robust.Shifts
	for range 2 {
		var ok bool
		if sh, ok = l.Shifts(y, noise); !ok {
			// Nothing can be implied; logic alone remains.
			sh = robust.Shifts{Probability: make([]float64, len(use)), Implied: make([]float64, len(use))}
			for s := range y {
				sh.Implied[s] = math.NaN()
			}
			return "none: the rows do not allow one", sh
		}
		set(func(s int) float64 {
			if sh.Probability[s] > 0.5 {
				return math.Exp(sh.Implied[s])
			}
			return math.Exp(y[s])
		})
	}
	var words []string
	for _, f := range says {
		words = append(words, f(sh.Coefficients))
	}
	law := "one time for all rows"
	if len(words) > 0 {
		law = "development time goes " + strings.Join(words, ", ")
	}
	return fmt.Sprintf("%s; printed in steps of %s", law, devtime.FormatTime(step)), sh
}

// outOfOrder is a pair of rows of which long should not be shorter than short.
type outOfOrder struct {
	long, short int
	why         string
}

func (o outOfOrder) rule(of int) string {
	other := o.long
	if of == o.long {
		other = o.short
	}
	return fmt.Sprintf("times %s (see row %d)", o.why, other+1)
}

// disorder finds all pairs out of order. Rounding keeps order, so there are none
// in a table that follows any law.
func disorder(rows []Row, temps []float64, use []int) []outOfOrder {
	var out []outOfOrder
	for _, a := range use {
		for _, b := range use {
			if a == b || rows[a].Time >= rows[b].Time {
				continue
			}
			ra, rb := rows[a], rows[b]
			da, db := 1.0, 1.0
			if s, _ := ra.Dilution.Parts(); s > 0 {
				da, db = ra.Dilution.Factor(), rb.Dilution.Factor()
			}
			if !(ra.Index >= rb.Index && da >= db && temps[a] <= temps[b]) {
				continue
			}
			var why []string
			if temps[a] < temps[b] {
				why = append(why, "fall as temperature rises")
			}
			if da > db {
				why = append(why, "rise with dilution")
			}
			if ra.Index > rb.Index {
				why = append(why, "rise with index")
			}
			if why == nil {
				if a > b {
					continue // two times for the same: once
				}
				why = append(why, "of the same conditions are the same")
			}
			out = append(out, outOfOrder{a, b, strings.Join(why, " and ")})
			if len(out) > 1e5 {
				return out
			}
		}
	}
	return out
}

// remarkBands remarks on pairs of rows that differ in one thing only and by more
// or less than is usual, whatever their rounding.
func remarkBands(rep *printed.Builder, rows []Row, temps []float64, use []int, step time.Duration) {
	half := step.Minutes() / 2
	for s, i := range use {
		if rep.Has(i+1, "time") {
			continue
		}
		for _, k := range use[:s] {
			if rep.Has(k+1, "time") {
				continue
			}
			a, b := rows[k], rows[i]
			same := 0
			if a.Index == b.Index {
				same++
			}
			da, db := 1.0, 1.0
			if p, _ := a.Dilution.Parts(); p > 0 {
				da, db = a.Dilution.Factor(), b.Dilution.Factor()
			}
			if da == db {
				same++
			}
			if temps[i] == temps[k] {
				same++
			}
			if same != 2 {
				continue
			}
			ta, tb := a.Time.Minutes(), b.Time.Minutes()
			lo := math.Log(max(tb-half, half/2) / (ta + half))
			hi := math.Log((tb + half) / max(ta-half, half/2))
			var per float64
			var what string
			var least, greatest float64
			switch {
			case temps[i] != temps[k]:
				per, what, least, greatest = (temps[k]-temps[i])/10, "Q10", math.Log(leastQ10), math.Log(greatestQ10)
			case a.Index != b.Index:
				per, what, least, greatest = math.Log2(b.Index/a.Index), "change a stop of index", math.Log(leastPush), math.Log(greatestPush)
			default:
				per, what, least, greatest = math.Log(db/da), "exponent of dilution", leastExponent, greatestExponent
			}
			lo, hi = lo/per, hi/per
			if lo > hi {
				lo, hi = hi, lo
			}
			if hi >= least && lo <= greatest {
				continue
			}
			v := math.Log(tb/ta) / per
			if what != "exponent of dilution" {
				v, least, greatest = math.Exp(v), math.Exp(least), math.Exp(greatest)
			}
			f := printed.Finding{Row: i + 1, Column: "time", Printed: b.printed(), Unit: "percent", Confidence: printed.Low}
			f.Rule = fmt.Sprintf("with row %d a %s of %.2f, usual are %.1f to %.1f", k+1, what, v, least, greatest)
			if at := rep.Implied[i]; at > 0.01 && at < 60000 {
				f.Implied = devtime.FormatTime(time.Duration(at * float64(time.Minute)).Round(time.Second))
				f.Deviation = 100 * (tb/at - 1)
			}
			rep.Add(f)
			break
		}
	}
}

// Compare compares two printings of one table row by row, such as two
// codes that print the same law or a copy and its original. Rows with the same
// conditions belong together; findings are about the first table. A difference
// is a finding of high confidence, for one of the two has slipped, though they
// cannot tell which.
//
// Errors: as [Check].
func Compare(rows, other []Row) (*printed.Report, error) {
	rep, err := check(rows)
	if err != nil {
		return nil, err
	}
	if err := usable(other); err != nil {
		return nil, fmt.Errorf("the other printing: %w", err)
	}
	type condition struct {
		index, dilution, temperature float64
	}
	of := func(r Row) condition {
		at := r.Temperature
		if at == 0 && r.Fahrenheit != 0 {
			at = devtime.FromFahrenheit(r.Fahrenheit)
		}
		c := condition{r.Index, 0, math.Round(float64(at) * 10)}
		if s, _ := r.Dilution.Parts(); s > 0 {
			c.dilution = r.Dilution.Factor()
		}
		return c
	}
	at := map[condition]int{}
	for i, r := range other {
		at[of(r)] = i
	}
	matched := 0
	for i, r := range rows {
		k, ok := at[of(r)]
		if !ok {
			continue
		}
		matched++
		o := other[k]
		if o.Time == r.Time || rep.Has(i+1, "time") {
			continue
		}
		f := printed.Finding{Row: i + 1, Column: "time", Rule: "the two printings agree", Printed: r.printed(), Implied: o.printed(),
			Deviation: 100 * (r.Time.Minutes()/o.Time.Minutes() - 1), Unit: "percent", Confidence: printed.High}
		above := 0.0
		if i > 0 {
			above = rows[i-1].Time.Minutes()
		}
		f.Slip = printed.SlipOf(r.Time.Minutes(), o.Time.Minutes(), above, r.text)
		rep.Add(f)
	}
	if matched == 0 {
		return nil, fmt.Errorf("%w: the two printings have no row in common", datafile.ErrData)
	}
	rep.Law += fmt.Sprintf("; and %d rows of another printing", matched)
	return rep.Report(), nil
}

// stepOf is the step that printed times are rounded to. A coarser step makes each
// time that is a multiple of it likelier, in proportion, and each that is not a
// slip, with a chance of 0.03.
func stepOf(times []time.Duration) time.Duration {
	best, top := time.Second, math.Inf(-1)
	for _, s := range []time.Duration{time.Minute, 30 * time.Second, 15 * time.Second, 10 * time.Second, 5 * time.Second, time.Second} {
		score := 0.0
		for _, t := range times {
			if t%s == 0 {
				score += math.Log(s.Seconds())
			} else {
				score += math.Log(0.03)
			}
		}
		if score > top {
			best, top = s, score
		}
	}
	return best
}
