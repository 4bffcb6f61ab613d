package timetable

import (
	"fmt"
	"math"
	"time"

	"example.org/actinic/devtime"
	"example.org/actinic/sensito/printed"
)

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
