package plan

import (
	"cmp"
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
//
// Source: the law of [devtime.ContrastTime], in logarithms.
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

// nearlyBest is by how much wider a half-width may be than the least, for less film, where
// the wanted one is not reached.
const nearlyBest = 1.05

// designStrips chooses how many strips of how many frames for the wanted half-width of the
// development, for the least film; where it is not reached, the least film that comes near
// the sharpest. All that was tried is put into the plan.
func (d *designer) designStrips(p *Plan) (*layout, error) {
	strips := []int{4, 5, 6, 7, 8}
	if d.Strips > 0 {
		strips = []int{d.Strips}
	}
	var tried []*layout
	for _, n := range stepsTried {
		steps, err := d.designSteps(n)
		if err != nil {
			return nil, err
		}
		for _, k := range strips {
			if k*n > mostStripFrames && len(tried) > 0 {
				continue
			}
			times, err := d.designTimes(k, steps)
			if err != nil {
				return nil, err
			}
			l := &layout{times: times, steps: steps}
			tried = append(tried, l)
			p.Choices = append(p.Choices, Choice{k, n, median(d.developmentHalfWidths(l, everyThird))})
		}
	}
	enough := d.DevelopmentHalfWidth
	least := slices.MinFunc(p.Choices, func(a, b Choice) int { return cmp.Compare(a.DevelopmentHalfWidth, b.DevelopmentHalfWidth) })
	if least.DevelopmentHalfWidth > enough {
		enough = nearlyBest * least.DevelopmentHalfWidth
	}
	best := -1
	for i, c := range p.Choices {
		if c.DevelopmentHalfWidth <= enough && (best < 0 || c.Strips*c.FramesEach < p.Choices[best].Strips*p.Choices[best].FramesEach) {
			best = i
		}
	}
	return d.bestTimes(tried[max(best, 0)]), nil
}

// bestTimes holds the developments of the design to even ones over several spans, by what
// the fit of the growth of contrast makes of them: it knows more laws than the design.
func (d *designer) bestTimes(l *layout) *layout {
	best, least := l, median(d.developments(l))
	for _, span := range []float64{1.5, 1.75, 2} {
		try := &layout{times: d.evenTimes(len(l.times), span), steps: l.steps}
		if half := median(d.developments(try)); half < least {
			best, least = try, half
		}
	}
	return best
}
