package timetable

import (
	"fmt"
	"strings"
)

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
