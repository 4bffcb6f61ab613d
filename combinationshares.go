package actinic

import (
	"math"
	"slices"
	"time"

	"example.org/actinic/sensito"
)

// share is the part that a measured curve has in the curve at a development.
type share struct {
	of     int // among the curves of the process
	weight float64
	fit    *sensito.Fitted // to its readings; nil where they are not stored
}

// shares returns the curves on either side of a development, or the one at it, with the
// part that each has in the curve there: as [devtime.Family], straight against the
// logarithm of time.
func (p *Process) shares(at time.Duration) []share {
	curves := p.data.Curves
	next := slices.IndexFunc(curves, func(c CurveData) bool { return c.Development >= at })
	var out []share
	switch {
	case next < 0:
		return nil
	case next == 0 || curves[next].Development == at:
		out = []share{{of: next, weight: 1}}
	default:
		a, b := float64(curves[next-1].Development), float64(curves[next].Development)
		w := math.Log(float64(at)/a) / math.Log(b/a)
		out = []share{{of: next - 1, weight: 1 - w}, {of: next, weight: w}}
	}
	for i := range out {
		c := &curves[out[i].of]
		if len(c.Readings) < leastReadings {
			continue
		}
		var base sensito.Base
		if len(c.Unexposed) > 0 {
			base = sensito.UnexposedBase(c.Unexposed...)
		}
		// What cannot be fitted again, as readings that were thinned out for print, has no
		// interval and is still a curve.
		if fit, err := sensito.Fit(c.Readings, base); err == nil {
			out[i].fit = fit
		}
	}
	return out
}

// leastReadings is how many readings [sensito.Fit] wants.
const leastReadings = 6

// between takes a measure of the curve of the combination, with the half-widths that the
// curves on either side give it. The value is NaN where the curve does not reach so far.
func (c *Combination) between(shares []share, name Trait, m sensito.Measure) sensito.Estimate {
	nan := math.NaN()
	v, err := m(c.Curve)
	if err != nil || math.IsNaN(v) {
		return sensito.Estimate{Value: nan, Low: nan, High: nan}
	}
	known, _ := name.find()
	down, up := 0.0, 0.0
	for _, s := range shares {
		e := s.stored(name, &c.Process.data.Curves[s.of])
		if s.fit != nil {
			if got, err := s.fit.Estimate(m); err == nil {
				e = got[0]
			}
		}
		d, u := e.Value-e.Low, e.High-e.Value
		if known.log {
			d, u = math.Log(e.Value/e.Low), math.Log(e.High/e.Value)
		}
		down += s.weight * s.weight * d * d
		up += s.weight * s.weight * u * u
	}
	down, up = math.Sqrt(down), math.Sqrt(up)
	if len(shares) == 0 {
		down, up = nan, nan
	}
	if known.log {
		return sensito.Estimate{Value: v, Low: v * math.Exp(-down), High: v * math.Exp(up)}
	}
	return sensito.Estimate{Value: v, Low: v - down, High: v + up}
}

// stored is the interval that the film's record has of a trait of a curve.
func (s share) stored(name Trait, c *CurveData) sensito.Estimate {
	switch {
	case name == TraitSpeed && c.SpeedLow > 0:
		return sensito.Estimate{Value: c.Speed.Value, Low: c.SpeedLow, High: c.SpeedHigh}
	case name == TraitGradient && c.Gradient != nil:
		return *c.Gradient
	}
	return sensito.Estimate{Value: math.NaN(), Low: math.NaN(), High: math.NaN()}
}
