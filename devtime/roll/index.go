package roll

import (
	"math"
	"slices"
	"time"

	"example.org/actinic/devtime"
	"example.org/actinic/internal/figures"
	"example.org/actinic/sensito"
)

// index settles on the recommended index.
func (r *builder) index(develop time.Duration) {
	if r.Bracket != nil && r.Bracket.Index != nil {
		r.Index = &IndexRecord{*r.Bracket.Index, "bracket"}
		return
	}
	var points []devtime.Point
	for _, s := range r.Strips {
		p := devtime.Point{Time: figures.Seconds(s.DevelopmentS), Value: s.SpeedPointLogH}
		if s.SpeedPointLow != nil && s.SpeedPointHigh != nil {
			p.SD = sd(sensito.Estimate{Low: *s.SpeedPointLow, High: *s.SpeedPointHigh})
		}
		points = append(points, p)
	}
	if slices.ContainsFunc(points, func(p devtime.Point) bool { return p.SD == 0 }) {
		for i := range points {
			points[i].SD = 0
		}
	}
	if family, err := devtime.NewSpeedTime(points); err == nil && develop > 0 {
		if e, err := family.At(develop); err == nil {
			// The time is uncertain too: what its interval moves the speed point
			// by is added in quadrature.
			short, long := family.Range()
			move := 0.0
			if dev := r.Development; dev != nil && !math.IsNaN(dev.Low) {
				lo := max(figures.Seconds(dev.Low), short)
				hi := long
				if !math.IsInf(dev.High, 0) {
					hi = min(figures.Seconds(dev.High), long)
				}
				if a, err := family.At(lo); err == nil {
					if b, err := family.At(hi); err == nil {
						move = math.Abs(a.Value-b.Value) / 2
					}
				}
			}
			half := math.Hypot((e.High-e.Low)/2, move)
			e.Low, e.High = e.Value-half, e.Value+half
			r.Index = &IndexRecord{e.Map(func(h float64) float64 { return sensito.SpeedAt(sensito.LogH(h)) }), "curves"}
			return
		}
	}
	// No development to go by: the strip nearest to the target.
	best := &r.Strips[0]
	off := func(s *StripRecord) float64 {
		if s.AverageGradient == nil {
			return math.Inf(1)
		}
		return math.Abs(s.AverageGradient.Value - r.TargetAverageGradient)
	}
	for i := range r.Strips {
		if off(&r.Strips[i]) < off(best) {
			best = &r.Strips[i]
		}
	}
	h := sensito.Estimate{Value: best.SpeedPointLogH, Low: math.NaN(), High: math.NaN()}
	if best.SpeedPointLow != nil && best.SpeedPointHigh != nil {
		h.Low, h.High = *best.SpeedPointLow, *best.SpeedPointHigh
	}
	r.Index = &IndexRecord{h.Map(func(h float64) float64 { return sensito.SpeedAt(sensito.LogH(h)) }), "strip " + best.Strip}
}
