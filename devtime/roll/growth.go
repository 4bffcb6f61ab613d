package roll

import (
	"cmp"
	"math"
	"slices"
	"time"

	"example.org/actinic/devtime"
	"example.org/actinic/internal/figures"
	"example.org/actinic/internal/plausible"
	"example.org/actinic/sensito"
)

// points are the strips' average gradients. written takes them at the developments on
// their labels and leaves none out.
func (r *builder) points(written bool) (points []devtime.Point) {
	for i := range r.Strips {
		s := &r.Strips[i]
		if s.AverageGradient == nil || !written && !s.takes("contrast") {
			continue
		}
		t := s.Taken()
		if written {
			t = s.DevelopmentS
		}
		points = append(points, devtime.Point{Time: figures.Seconds(t), Value: s.AverageGradient.Value, SD: sd(*s.AverageGradient)})
	}
	// A strip whose gradient is not determined tells nothing beside those that are.
	if slices.ContainsFunc(points, func(p devtime.Point) bool { return p.SD > 0 }) {
		points = slices.DeleteFunc(points, func(p devtime.Point) bool { return p.SD == 0 })
	}
	return sorted(points)
}

func sorted(points []devtime.Point) []devtime.Point {
	slices.SortStableFunc(points, func(a, b devtime.Point) int { return cmp.Compare(a.Time, b.Time) })
	return points
}

func timesOf(points []devtime.Point) int {
	return len(slices.CompactFunc(slices.Clone(points), func(a, b devtime.Point) bool { return a.Time == b.Time }))
}

// growth fits the growth of the average gradient and finds the time for the target.
func (r *builder) growth() {
	points := r.points(false)
	if n := timesOf(points); n < 2 {
		r.warn("Strips of two development times at least are needed for the growth of contrast; there are %d.", n)
		return
	}
	law, err := devtime.FitGrowth(points)
	if err != nil {
		r.warn("The strips show no growth of contrast to go by: %v.", figures.Bare(err))
		return
	}
	short, long := law.Range()
	r.ContrastTime = &ContrastTimeRecord{law.Limit(), law.RatePerMinute(), law.InductionMinutes(), law.NoInduction(),
		short.Seconds(), long.Seconds(), law}
	for _, w := range law.Warnings() {
		r.warn("%v", w)
	}
	if timesOf(points) == 2 {
		r.warn("Two developments go with any growth of contrast, so that a wrong time on a label would not be noticed: see that both are right, or develop a strip for a third time.")
	}
	r.develop()
	r.effectOfOrder()
}

// farOutside is the factor beyond the shortest and the longest strip from which a time is
// no answer: no law of growth was ever tried so far from its strips.
const farOutside = 3

// develop finds the time for the target.
func (r *builder) develop() {
	law := r.ContrastTime.Growth
	at, err := law.TimeFor(r.TargetAverageGradient)
	if err != nil {
		r.warn("No development gives an average gradient of %.2f: %v.", r.TargetAverageGradient, figures.Bare(err))
		return
	}
	e, t := at.Seconds(), at.Value
	short, long := law.Range()
	least := max(plausible.LeastDevelopment.Seconds(), short.Seconds()/farOutside)
	most := min(plausible.LongestDevelopment.Seconds(), long.Seconds()*farOutside)
	if !(e.Value >= least && e.Value <= most) {
		r.warn("The growth of contrast would reach the target at %.3g s, which nobody can develop by these strips: it lies far outside them and is left out. Develop strips on either side of the target.", e.Value)
		return
	}
	r.Development = &e
	switch {
	case at.Extrapolated:
		r.warn("The time for the target, %s, lies outside the strips (%s to %s): develop a strip near it before relying on it.",
			devtime.FormatTime(t.Round(time.Second)), devtime.FormatTime(short), devtime.FormatTime(long))
	case t < devtime.EvenTime:
		r.warn("The time for the target is under five minutes, where development risks being uneven: dilute the developer further or work cooler, and test again.")
	}
}

// effectOfOrder says in the findings of order what the development would have been
// with the strips as they are labelled.
func (r *builder) effectOfOrder() {
	if r.Development == nil {
		return
	}
	for i := range r.Findings {
		f := &r.Findings[i]
		if f.What != Order || f.Effect != nil {
			continue
		}
		with := sensito.Estimate{Value: math.NaN(), Low: math.NaN(), High: math.NaN()}
		if law, err := devtime.FitGrowth(r.points(true)); err == nil {
			if t, err := law.TimeFor(r.TargetAverageGradient); err == nil {
				with = t.Seconds()
			}
		}
		f.Effect = &Effect{"development_for_target_s", with, *r.Development}
	}
}
