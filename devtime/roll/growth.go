package roll

import (
	"slices"
	"time"

	"example.org/actinic/devtime"
	"example.org/actinic/internal/figures"
)

// family fits the growth of the average gradient.
func (r *builder) family() (law devtime.ContrastTime, ok bool) {
	var points []devtime.Point
	for _, s := range r.Strips {
		if s.AverageGradient == nil {
			continue
		}
		points = append(points, devtime.Point{Time: figures.Seconds(s.DevelopmentS), Value: s.AverageGradient.Value, SD: sd(*s.AverageGradient)})
	}
	if slices.ContainsFunc(points, func(p devtime.Point) bool { return p.SD == 0 }) {
		for i := range points {
			points[i].SD = 0
		}
	}
	times := len(slices.CompactFunc(slices.Clone(points), func(a, b devtime.Point) bool { return a.Time == b.Time }))
	if times < 2 {
		r.warn("Strips of two development times at least are needed for the growth of contrast; there are %d.", times)
		return law, false
	}
	law, err := devtime.FitContrast(points)
	if times > 3 || err != nil && times == 3 {
		// An induction time is taken where the strips insist: one more constant
		// must lower the residual sum by what one in twenty would by chance.
		with, err2 := devtime.FitContrastInduction(points)
		if err2 == nil && with.InductionMinutes().Value > 0 {
			a, da := law.Scatter()
			b, db := with.Scatter()
			insist := a-b > 3.84
			if points[0].SD == 0 {
				insist = db > 0 && (a-b)/(b/float64(db)) > 10
			}
			if err != nil || da > 0 && insist {
				law, err = with, nil
			}
		}
	}
	if err != nil {
		r.warn("The strips show no growth of contrast to go by: %v.", figures.Bare(err))
		return law, false
	}
	r.ContrastTime = &ContrastTimeRecord{law.Limit(), law.RatePerMinute(), law.InductionMinutes(), law}
	for _, w := range law.Warnings() {
		r.warn("%v", w)
	}
	return law, true
}

// develop finds the time for the target; 0 where there is none.
func (r *builder) develop(law devtime.ContrastTime, ok bool) time.Duration {
	if !ok {
		return 0
	}
	t, err := law.TimeFor(r.TargetAverageGradient)
	if err != nil {
		r.warn("No development gives an average gradient of %.2f: %v.", r.TargetAverageGradient, figures.Bare(err))
		return 0
	}
	e := t.Seconds()
	r.Development = &e
	short, long := law.Range()
	switch {
	case t.Extrapolated:
		r.warn("The time for the target, %s, lies outside the strips (%s to %s): develop a strip near it before relying on it.",
			devtime.FormatTime(t.Value.Round(time.Second)), devtime.FormatTime(short), devtime.FormatTime(long))
	case t.Value < devtime.EvenTime:
		r.warn("The time for the target is under five minutes, where development risks being uneven: dilute the developer further or work cooler, and test again.")
	}
	return t.Value
}
