package plan

import (
	"math"
	"slices"
	"time"

	"example.org/actinic/internal/bracketfit"
	"example.org/actinic/internal/cholesky"
	"example.org/actinic/internal/optdesign"
)

// layout is what is exposed: strips of the same steps, and frames, as places among the
// settings that the camera has.
type layout struct {
	times  []float64 // minutes, of the strips
	steps  []int     // how often each step, the last the unexposed patch
	frames []int     // how often each frame, the last the unexposed one

	development, moves []float64 // by film, once they are known; they do not depend on frames
}

// designer has what a wish comes to.
type designer struct {
	Wish
	films   []film
	bracket series
	steps   series
	stops   []float64 // of the steps, from the metered tone, falling with the exposure value
	index   []float64 // log10 of what the frames are exposed as
	tones   []bracketfit.Tone
}

// How well it is known where midtone and highlight lie, as package roll takes it.
const midtoneSD, highlightStops, highlightSD = 0.3, 3, 1

func newDesigner(w Wish) (*designer, error) {
	w, err := w.filled()
	if err != nil {
		return nil, err
	}
	d := &designer{Wish: w}
	if d.films, err = w.films(); err != nil {
		return nil, err
	}
	below := float64(w.ShadowStopsBelowMeter)
	d.tones = []bracketfit.Tone{{Stops: -below}, {SD: midtoneSD}, {Stops: highlightStops, SD: highlightSD}}
	metered := float64(w.Light) + math.Log2(w.Index/100)
	// Coarse marks need a wider range for as many exposures.
	reach := w.reach()
	for d.bracket = seriesFor(w.Camera, w.Light, metered-reach, metered+reach); distinct(d.bracket.settings) < leastDistinct && reach < widestReach; {
		reach += 0.5
		d.bracket = seriesFor(w.Camera, w.Light, metered-reach, metered+reach)
	}
	d.steps = seriesFor(w.Camera, w.Light, metered-w.mostLight(), metered+w.leastLight())
	if distinct(d.bracket.settings) < leastDistinct {
		return nil, unreached("the bracket", &d.bracket, metered-reach, metered+reach)
	}
	if distinct(d.steps.settings) < leastDistinct {
		return nil, unreached("the strips", &d.steps, metered-w.mostLight(), metered+w.leastLight())
	}
	for _, s := range d.steps.settings {
		d.stops = append(d.stops, metered-s.ev())
	}
	for _, s := range d.bracket.settings {
		d.index = append(d.index, math.Log10(s.exposedAs(w.Light)))
	}
	return d, nil
}

// leastDistinct is how many distinct exposures a fit needs, of strips and of a bracket, so
// that a lack of fit can be seen.
const leastDistinct = 6

// How many exposures are spread over the whole range, whatever is best for the films of the
// guess: a film of another form shows between them.
const frameOfSteps, frameOfBracket = 6, 4

// widestReach is how far a bracket goes at most for enough exposures, in stops.
const widestReach = 4

// Places is at how many places an unexposed frame is read: it is alike all over, so that
// errors of reading average out.
const Places = 4

// mostUnexposed is how many unexposed frames a bracket has: the fit has 20 readings of them
// at most one by one.
const mostUnexposed = 20 / Places

// stepInformation is that of all steps, the unexposed patch last, for a film's curve.
func (d *designer) stepInformation(c *bracketfit.Film) []cholesky.Matrix {
	var out []cholesky.Matrix
	at := -math.Log10(d.Index)
	for _, st := range d.stops {
		out = append(out, c.PatchInformation(at+st*stop, d.DensitySD, float64(d.Scatter)))
	}
	return append(out, bracketfit.UnexposedInformation(0, d.DensitySD/math.Sqrt(Places)))
}

// frameInformation is that of all frames of the bracket, the unexposed one last.
func (d *designer) frameInformation(c *bracketfit.Film) []cholesky.Matrix {
	var out []cholesky.Matrix
	for _, e := range d.index {
		out = append(out, c.FrameInformation(d.tones, e, d.DensitySD, float64(d.Scatter)))
	}
	return append(out, bracketfit.UnexposedInformation(len(d.tones)-1, d.DensitySD/math.Sqrt(Places)))
}

// speedWeight is what the speed point of a strip, in log10 H, counts beside the logarithm of
// its gradient: the index comes from the bracket, and the strips say how it moves.
const speedWeight = 1

// designSteps chooses the steps of a strip.
func (d *designer) designSteps(n int) ([]int, error) {
	var scs []optdesign.Scenario
	for _, f := range d.films {
		c := f.target
		_, ln := c.Gradient()
		point := c.Point()
		for j := range point {
			point[j] *= speedWeight
		}
		scs = append(scs, optdesign.Scenario{Weight: 1, Prior: bracketfit.WeakInformation(), Info: d.stepInformation(&c), Wanted: [][]float64{ln, point}})
	}
	p, err := optdesign.New(optdesign.Variance, scs)
	if err != nil {
		return nil, err
	}
	fixed := make([]int, len(d.stops)+1)
	spread(fixed[:len(d.stops)], d.stops, frameOfSteps)
	fixed[len(d.stops)] = 1
	got, err := p.Exact(n, min(leastDistinct+3, n), fixed)
	if err != nil {
		return nil, err
	}
	return whole(got.N), nil
}

func whole(n []float64) []int {
	out := make([]int, len(n))
	for i, v := range n {
		out[i] = int(math.Round(v))
	}
	return out
}

// covariance is what a strip's steps leave open of the constants of its curve.
func (d *designer) covariance(c *bracketfit.Film, steps []int) cholesky.Matrix {
	m := bracketfit.WeakInformation()
	for i, info := range d.stepInformation(c) {
		for j, v := range info.A {
			m.A[j] += float64(steps[i]) * v
		}
	}
	l := cholesky.New(m.N)
	if _, ok := m.Factor(l); !ok {
		return cholesky.New(0)
	}
	return l.Inverse()
}

// before is what is known of a film's curve before its bracket is read: what the strips say
// of the development for the target.
func (d *designer) before(f *film, l *layout) (cholesky.Matrix, bool) {
	shape := func(minutes float64) (bracketfit.Shape, bool) {
		c := f.at(minutes)
		cov := d.covariance(&c, l.steps)
		s := bracketfit.Shape{Constants: c.Constants}
		for i := range cov.N {
			for j := range cov.N {
				s.Cov[i][j] = cov.At(i, j)
			}
		}
		return s, cov.N > 0
	}
	times := slices.Sorted(slices.Values(l.times))
	k, _ := slices.BinarySearch(times, f.time)
	var s bracketfit.Shape
	ok := true
	switch {
	case len(times) == 0:
		return f.target.Before(cholesky.New(0), d.tones, true), true
	case k == 0:
		s, ok = shape(times[0])
	case k == len(times):
		s, ok = shape(times[k-1])
	default:
		a, ok1 := shape(times[k-1])
		b, ok2 := shape(times[k])
		s, ok = *bracketfit.Between(&a, &b, math.Log(f.time/times[k-1])/math.Log(times[k]/times[k-1])), ok1 && ok2
	}
	cov := cholesky.New(len(s.Constants))
	for i := range cov.N {
		for j := range cov.N {
			cov.Add(i, j, s.Cov[i][j])
		}
	}
	return f.target.Before(cov, d.tones, true), ok
}

// problem is that of the bracket, the strips' layout given.
func (d *designer) problem(l *layout) (*optdesign.Problem, error) {
	var scs []optdesign.Scenario
	for i := range d.films {
		f := &d.films[i]
		before, ok := d.before(f, l)
		if !ok {
			continue
		}
		scs = append(scs, optdesign.Scenario{Weight: 1, Prior: before, Info: d.frameInformation(&f.target),
			Wanted: [][]float64{f.target.IndexGradient(len(d.tones) - 1)}})
	}
	p, err := optdesign.New(optdesign.Variance, scs)
	if err == nil {
		p.AtMost(len(d.index), mostUnexposed)
	}
	return p, err
}

// designFrames chooses n frames of the bracket.
func (d *designer) designFrames(p *optdesign.Problem, n int) ([]int, error) {
	fixed := make([]int, len(d.index)+1)
	spread(fixed[:len(d.index)], d.index, frameOfBracket)
	fixed[len(d.index)] = 1
	// Repeats are worth little more than neighbours, which show a lack of fit.
	got, err := p.Exact(n, min(max(leastDistinct+2, 3*n/5), n, len(fixed)), fixed)
	if err != nil {
		return nil, err
	}
	return whole(got.N), nil
}

// evenFrames is the plain plan: frames in even steps over the range, and one unexposed.
func (d *designer) evenFrames(n int) []int {
	out := make([]int, len(d.index)+1)
	spread(out[:len(d.index)], d.index, n-1)
	out[len(d.index)] = 1
	return out
}

// evenSteps is the plain strip: even steps over its range, and one unexposed patch.
func (d *designer) evenSteps(n int) []int {
	out := make([]int, len(d.stops)+1)
	spread(out[:len(d.stops)], d.stops, n-1)
	out[len(d.stops)] = 1
	return out
}

// spread puts n readings at the places nearest to even ones.
func spread(out []int, at []float64, n int) {
	lo, hi := slices.Min(at), slices.Max(at)
	for k := range n {
		want := lo + (hi-lo)*(float64(k)+0.5)/float64(n)
		if n > 1 {
			want = lo + (hi-lo)*float64(k)/float64(n-1)
		}
		best := 0
		for i, v := range at {
			if math.Abs(v-want) < math.Abs(at[best]-want)-1e-9 {
				best = i
			}
		}
		out[best]++
	}
}

// evenTimes are developments in even steps of their logarithm from the guess over span to
// the guess times span.
func (d *designer) evenTimes(n int, span float64) []float64 {
	out := make([]float64, n)
	for k := range out {
		out[k] = rounded(d.Development.Minutes() * math.Pow(span, 2*float64(k)/float64(n-1)-1))
	}
	return out
}

// rounded is a development to a quarter of a minute, short ones to five seconds.
func rounded(minutes float64) float64 {
	if minutes < 4 {
		return math.Round(12*minutes) / 12
	}
	return math.Round(4*minutes) / 4
}

func duration(minutes float64) time.Duration {
	return time.Duration(math.Round(minutes*60)) * time.Second
}
