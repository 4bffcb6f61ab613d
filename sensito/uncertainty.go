package sensito

import (
	"math"
	"math/rand/v2"
	"slices"

	"example.org/actinic/internal/check"
	"example.org/actinic/internal/filmfit"
)

// Sampling says how an interval is drawn: Draws repetitions from a generator with
// the given Seed. The zero value draws 2000. The same input gives the same
// interval.
type Sampling struct {
	Draws int
	Seed  uint64
}

func (s Sampling) draws() int {
	if s.Draws <= 0 {
		return 2000
	}
	return s.Draws
}

// Estimate returns measures of the mean curve with their 95 % intervals: the 2.5 and
// 97.5 % quantiles of the mixture of what each of the fit's components says, to first
// order in its constants (JCGM 100:2008, clause 5.2), normal where the deviations of
// the readings are known and Student's t where they are not. An interval need not lie
// evenly about its value.
//
// A measure that fails on the mean curve gives its error. The interval's ends are NaN
// where the measure cannot be taken on the neighbouring curves; those are not held
// to the exposures of the readings.
func (f *Fitted) Estimate(measures ...Measure) ([]Estimate, error) {
	out, err := f.values(measures)
	if err != nil {
		return nil, err
	}
	lo, hi := f.Domain()
	g := &grid{lo: float64(lo), hi: float64(hi)}
	said := f.weighed.Spread(len(measures), func(c *filmfit.Curve, v []float64) {
		g.take(c)
		for i, m := range measures {
			x, err := m(g)
			if err != nil {
				x = math.NaN()
			}
			v[i] = x
		}
	})
	for i := range out {
		e := &out[i]
		e.Low, e.High = filmfit.Interval(said[i])
		if e.Low > e.Value {
			e.Low = e.Value
		}
		if e.High < e.Value {
			e.High = e.Value
		}
	}
	return out, nil
}

// Estimate returns measures of the interpolated curve with 95 % intervals from
// readings drawn again with their standard deviations, pooled where they fall.
// The ends are NaN where the readings have no standard deviation and are not
// repeated, or where more than one draw in fifty could not be measured. A base
// plus fog from unexposed readings is drawn too.
//
// Interpolation keeps all the noise of the readings, so these intervals are wider
// than those of [Fitted.Estimate].
func (c *Interpolated) Estimate(s Sampling, measures ...Measure) ([]Estimate, error) {
	if c.empty() {
		return nil, errEmpty
	}
	out := make([]Estimate, len(measures))
	for i, m := range measures {
		if m == nil {
			return nil, check.Errorf(ErrInput, "measure %d is nil", i+1)
		}
		v, err := m(c)
		if err != nil {
			return nil, err
		}
		out[i] = Estimate{v, math.NaN(), math.NaN()}
	}
	if !(c.unit > 0) {
		return out, nil
	}
	var sumW float64
	for _, w := range c.w {
		sumW += w
	}
	rng := rand.New(rand.NewPCG(s.Seed, 3))
	again := *c
	again.pieces, again.inv = pieces{}, nil // memory of its own: c stays as it is
	again.y, again.m = make([]float64, len(c.y)), make([]float64, len(c.m))
	draws := make([][]float64, len(measures))
	for range s.draws() {
		for i := range again.y {
			again.y[i] = c.raw[i] + math.Sqrt(c.unit/c.w[i])*rng.NormFloat64()
		}
		again.settle()
		if !c.base.stated {
			sd := math.Sqrt(c.unit * float64(len(c.w)) / sumW / float64(len(c.base.densities)))
			again.level = c.level + sd*rng.NormFloat64()
		}
		for i, m := range measures {
			if v, err := m(&again); err == nil && check.Finite(v) {
				draws[i] = append(draws[i], v)
			}
		}
	}
	for i, v := range draws {
		if len(v) < s.draws()-s.draws()/50 || len(v) < 2 {
			continue
		}
		slices.Sort(v)
		out[i].Low, out[i].High = quantile(v, 0.025), quantile(v, 0.975)
	}
	return out, nil
}

// quantile returns the p quantile of sorted values, linear between order
// statistics.
func quantile(sorted []float64, p float64) float64 {
	h := p * float64(len(sorted)-1)
	i := min(int(h), len(sorted)-2)
	return sorted[i] + (h-float64(i))*(sorted[i+1]-sorted[i])
}
