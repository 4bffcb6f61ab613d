package sensito

import (
	"math"
	"math/rand/v2"
	"slices"

	"example.org/actinic/internal/check"
)

// MeteredExposure is the exposure on the film, times the speed set on the meter,
// that a metered mid tone gets: Hg = 8/S lx·s, ten times Hm = 0.80/S of the speed
// point, that is 3.32 stops above it (after ANSI PH3.49; 0.65 K = 8.125 is the
// factor from memory).
const MeteredExposure = 8.0

// FieldIndexAt returns the index at which a tone metered and placed below stops
// under the meter reading falls on the exposure m:
//
//	EI = 8 / (H 2^below)
//
// With four stops below it is 2/3 stop under the fixed-density speed by
// construction, since the standards put the speed point 3.32 stops below. No
// flare is allowed for.
//
// Derived: a meter set to EI gives the metered tone 8/EI lux seconds.
func FieldIndexAt(m LogH, below Stops) Speed {
	return Speed{MeteredExposure / (m.LuxSeconds() * below.Factor()), EI, Field}
}

// BracketReading is a patch on one frame of a bracket.
type BracketReading struct {
	Index   float64 // the exposure index set for the frame
	Density Density // density of the patch, base plus fog included
	SD      float64 // its standard deviation; 0 where not known
}

// FieldIndex returns the index of a field test: the one at which the patch, placed
// in every frame the same number of stops below the meter reading, has density
// target, usually 0.10 above base plus fog. A higher index gives less exposure.
//
// Densities are interpolated against -log10 of the index by [Interpolate], with
// readings that fall pooled. The interval is from readings and targets drawn
// again with their standard deviations (targetSD is that of base plus fog), if
// every reading has one; otherwise, and from fewer than two draws, its ends are NaN.
//
// Errors wrap [ErrInput] (fewer than two indexes, an index that is not positive)
// and [ErrNotReached], with the frames that are missing.
func FieldIndex(frames []BracketReading, target Density, targetSD float64, s Sampling) (Estimate, error) {
	if !(targetSD >= 0) || !check.Finite(targetSD) {
		return Estimate{}, check.Errorf(ErrInput, "standard deviation of the target is %v, want 0 or more", targetSD)
	}
	rs := make([]Reading, len(frames))
	known := true
	for i, f := range frames {
		if !(f.Index > 0) || !check.Finite(f.Index) {
			return Estimate{}, check.Errorf(ErrInput, "frame %d has index %v, want more than 0", i+1, f.Index)
		}
		rs[i] = Reading{LogH(-math.Log10(f.Index)), f.Density, f.SD}
		known = known && f.SD > 0
	}
	c, err := Interpolate(rs, StatedBase(0), PoolFalling)
	if err != nil {
		return Estimate{}, err
	}
	at := func(c *Interpolated, target Density) (float64, error) {
		x, err := c.LogH(target)
		if err != nil {
			lo, hi := c.Domain()
			d0, _ := c.Density(lo)
			d1, _ := c.Density(hi)
			more := "higher"
			if d1 < target {
				more = "lower"
			}
			return 0, check.Errorf(ErrNotReached,
				"density %.3f is not between %.3f at EI %.4g and %.3f at EI %.4g; expose frames at %s indexes",
				float64(target), float64(d0), math.Pow(10, -float64(lo)), float64(d1), math.Pow(10, -float64(hi)), more)
		}
		return math.Pow(10, -float64(x)), nil
	}
	v, err := at(c, target)
	if err != nil {
		return Estimate{}, err
	}
	e := Estimate{v, math.NaN(), math.NaN()}
	if !known {
		return e, nil
	}
	rng := rand.New(rand.NewPCG(s.Seed, 1))
	draws := make([]float64, 0, s.draws())
	again := slices.Clone(rs)
	for range cap(draws) {
		for i, r := range rs {
			again[i].Density = r.Density + Density(r.SD*rng.NormFloat64())
		}
		c, err := Interpolate(again, StatedBase(0), PoolFalling)
		if err != nil {
			return Estimate{}, err
		}
		aim := target + Density(targetSD*rng.NormFloat64())
		w, err := at(c, aim)
		if err != nil { // beyond the frames: count it at the end it left by
			lo, hi := c.Domain()
			w = math.Pow(10, -float64(hi))
			if d, _ := c.Density(lo); d > aim {
				w = math.Pow(10, -float64(lo))
			}
		}
		draws = append(draws, w)
	}
	if len(draws) < 2 {
		return e, nil // no interval is told from one
	}
	slices.Sort(draws)
	e.Low, e.High = quantile(draws, 0.025), quantile(draws, 0.975)
	return e, nil
}
