package timetable

import (
	"math"
	"time"
)

// What a printed time says of a slip beside what the other rows imply.
const (
	// offStepClean is how often a maker prints a time off the step of a table, offStepSlip how
	// often a slip makes one.
	offStepClean, offStepSlip = 0.03, 0.3
	// copyShare is how likely a slip repeats a neighbour; slipDensity is how likely it is at
	// any one place, in ln of time.
	copyShare, slipDensity = 0.1, 0.6
)

// evidence is, for each row of use, ln of how much more likely its time is printed by a slip than
// by a maker, whatever the law: it is off the step of the table, or it repeats a neighbour.
// Where short times have a finer step, as books print them, none of the two shortest is off.
func evidence(rows []Row, use []int, step time.Duration) []float64 {
	out := make([]float64, len(use))
	off := 0
	for _, i := range use {
		if rows[i].Time%step != 0 {
			off++
		}
	}
	single := off <= max(1, len(use)/8)
	for s, i := range use {
		shorter := 0
		for _, k := range use {
			if rows[k].Time < rows[i].Time && rows[k].Time%step == 0 {
				shorter++
			}
		}
		if single && rows[i].Time%step != 0 && rows[i].high == 0 && shorter > 1 {
			out[s] += math.Log(offStepSlip / offStepClean)
		}
		repeats := s > 0 && rows[use[s-1]].Time == rows[i].Time || s+1 < len(use) && rows[use[s+1]].Time == rows[i].Time
		if wide := step.Seconds() / rows[i].Time.Seconds(); repeats && wide < 1 {
			out[s] += math.Log1p(copyShare / (slipDensity * wide))
		}
	}
	return out
}
