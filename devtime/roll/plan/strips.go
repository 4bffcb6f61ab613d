package plan

import (
	"math"
	"slices"

	"example.org/actinic/internal/optdesign"
)

// What strips of one time differ by beside their readings, as a part of the contrast, as
// package devtime takes it; and what is known of the growth before.
const (
	processScatter  = 0.02
	inductionSpread = 1.0 // minutes
	growthSpread    = 0.7 // of the logarithms of limit and rate
)

// candidateTimes are those that strips are chosen from, in minutes: from 0.4 to 2.4 times
// the guess.
func (d *designer) candidateTimes() []float64 {
	var out []float64
	for k := -5; k <= 5; k++ {
		out = append(out, rounded(d.Development.Minutes()*math.Exp2(float64(k)/4)))
	}
	return slices.Compact(out)
}

// designTimes chooses the developments of n strips for the time that gives the target, by
// the growth of contrast
//
//	ln G = ln L + ln(1 - e^(-k (t - t0)))
//
// of each film, with strips on either side of any of them.
func (d *designer) designTimes(n int, steps []int) ([]float64, error) {
	at := d.candidateTimes()
	gradient := func(f *film, t float64) (g []float64, slope float64) {
		e := math.Exp(-f.rate * t)
		x := f.rate * e / (1 - e)
		return []float64{1, x * t, -x}, x * t
	}
	var scs []optdesign.Scenario
	for i := range d.films {
		f := &d.films[i]
		g, slope := gradient(f, f.time)
		for j := range g {
			g[j] /= -slope
		}
		prior := optdesign.Reading([]float64{1, 0, 0}, growthSpread)
		for _, more := range []struct {
			g  []float64
			sd float64
		}{{[]float64{0, 1, 0}, growthSpread}, {[]float64{0, 0, 1}, inductionSpread}} {
			for j, v := range optdesign.Reading(more.g, more.sd).A {
				prior.A[j] += v
			}
		}
		s := optdesign.Scenario{Weight: 1, Prior: prior, Wanted: [][]float64{g}}
		for _, t := range at {
			c := f.at(t)
			_, ln := c.Gradient()
			sd := math.Sqrt(d.covariance(&c, steps).Quadratic(ln))
			g, _ := gradient(f, t)
			s.Info = append(s.Info, optdesign.Reading(g, math.Hypot(sd, processScatter)))
		}
		scs = append(scs, s)
	}
	p, err := optdesign.New(optdesign.Variance, scs)
	if err != nil {
		return nil, err
	}
	fixed := make([]int, len(at))
	fixed[nearest(at, d.Development.Minutes()/1.68)]++
	fixed[nearest(at, d.Development.Minutes()*1.68)]++
	got, err := p.Exact(n, min(n, 4), fixed)
	if err != nil {
		return nil, err
	}
	var out []float64
	for i, k := range got.N {
		for range int(math.Round(k)) {
			out = append(out, at[i])
		}
	}
	return out, nil
}

func nearest(at []float64, v float64) int {
	best := 0
	for i, x := range at {
		if math.Abs(math.Log(x/v)) < math.Abs(math.Log(at[best]/v)) {
			best = i
		}
	}
	return best
}

// mostStripFrames is the film that strips may take: three rolls of 36.
const mostStripFrames = 108

// everyThird film is looked at while numbers of strips and frames are tried.
const everyThird = 3

// stepsTried are the lengths of strips that are tried, the unexposed frames with them.
var stepsTried = []int{9, 11, 13}

// designStrips chooses how many strips of how many frames for the wanted half-width of the
// development, for the least film; where it is not reached, the sharpest. All that was
// tried is put into the plan.
func (d *designer) designStrips(p *Plan) (*layout, error) {
	strips := []int{4, 5, 6, 7, 8}
	if d.Strips > 0 {
		strips = []int{d.Strips}
	}
	var best *layout
	least := math.Inf(1)
	for _, n := range stepsTried {
		steps, err := d.designSteps(n)
		if err != nil {
			return nil, err
		}
		for _, k := range strips {
			if k*n > mostStripFrames && best != nil {
				continue
			}
			times, err := d.designTimes(k, steps)
			if err != nil {
				return nil, err
			}
			l := &layout{times: times, steps: steps}
			half := median(d.developmentHalfWidths(l, everyThird))
			p.Choices = append(p.Choices, Choice{k, n, half})
			met, was := half <= d.DevelopmentHalfWidth, least <= d.DevelopmentHalfWidth
			if best == nil || met && !was || met == was && (met && k*n < total(best.steps)*len(best.times) || !met && half < least) {
				best, least = l, half
			}
		}
	}
	return best, nil
}
