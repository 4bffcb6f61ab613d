package sensito

import (
	"math"
	"math/rand/v2"
	"runtime"
	"slices"
	"sync"

	"example.org/actinic/internal/check"
	"example.org/actinic/internal/filmfit"
	"example.org/actinic/internal/lsq"
)

// Resample returns measures of the mean curve with 95 % intervals by the parametric
// bootstrap: readings are drawn about the mean curve with their noise, each set is
// fitted again by the components that count, from where they were, and measured. The
// ends are the quantiles at 2.5 and 97.5 %, reflected about the value: the basic
// interval (A. C. Davison and D. V. Hinkley, Bootstrap Methods and their Application,
// 1997, 5.2). Where the noise was found from the readings, the ends are drawn out in
// the ratio of Student's t to the normal.
//
// It is the slow check of [Fitted.Estimate]: it makes no use of linearity, but holds
// the mean curve for the truth, so that it is blind to what the priors hide. A draw costs
// a fit of two to ten components, each begun where the first order takes it. The ends are
// NaN where more than one draw in fifty could not be fitted or measured.
func (f *Fitted) Resample(s Sampling, measures ...Measure) ([]Estimate, error) {
	out, err := f.values(measures)
	if err != nil {
		return nil, err
	}
	// A fixed number of parts, each with a stream of its own, so that the interval
	// does not depend on how many processors share them.
	const parts = 32
	drawn := make([][][]float64, parts)
	first := filmfit.NewRedrawer(f.data, &f.weighed)
	var wg sync.WaitGroup
	next := make(chan int, parts)
	for p := range parts {
		next <- p
	}
	close(next)
	for range min(runtime.GOMAXPROCS(0), parts) {
		wg.Add(1)
		go func() {
			defer wg.Done()
			r := first.Another()
			for p := range next {
				n := s.draws()*(p+1)/parts - s.draws()*p/parts
				drawn[p] = f.redraw(r, n, rand.New(rand.NewPCG(s.Seed, uint64(p)+1<<32)), measures)
			}
		}()
	}
	wg.Wait()
	stretch := f.student()
	for i := range out {
		var v []float64
		for _, d := range drawn {
			v = append(v, d[i]...)
		}
		e := &out[i]
		if len(v) < s.draws()-s.draws()/50 || len(v) < 2 {
			continue
		}
		slices.Sort(v)
		e.Low = e.Value - stretch*max(quantile(v, 0.975)-e.Value, 0)
		e.High = e.Value + stretch*max(e.Value-quantile(v, 0.025), 0)
	}
	return out, nil
}

// values takes the measures on the mean curve, with no interval.
func (f *Fitted) values(measures []Measure) ([]Estimate, error) {
	if f.empty() {
		return nil, errEmpty
	}
	out := make([]Estimate, len(measures))
	for i, m := range measures {
		if m == nil {
			return nil, check.Errorf(ErrInput, "measure %d is nil", i+1)
		}
		v, err := m(f)
		if err != nil {
			return nil, err
		}
		out[i] = Estimate{v, math.NaN(), math.NaN()}
	}
	return out, nil
}

// student is how much wider Student's t is than the normal, 1 for a known noise.
func (f *Fitted) student() float64 {
	p := f.weighed.Heaviest()
	if math.IsInf(p.Freedom, 0) {
		return 1
	}
	return lsq.TwoSided95(max(int(p.Freedom+0.5), 1)) / lsq.Normal95
}

// redraw fits n sets of readings drawn about the mean curve, and measures them.
func (f *Fitted) redraw(r *filmfit.Redrawer, n int, rng *rand.Rand, measures []Measure) [][]float64 {
	noise := f.weighed.Heaviest().Noise
	y, base := r.Data()
	draws := make([][]float64, len(measures))
	for i := range draws {
		draws[i] = make([]float64, 0, min(n, 1<<16))
	}
	var one filmfit.Curve
	again := grid{c: &one, lo: f.mean.x[0], hi: f.mean.x[len(f.mean.x)-1]}
	for range n {
		for i, x := range f.data.X {
			d, _ := f.Density(LogH(x))
			y[i] = float64(d) + noise/math.Sqrt(f.data.W[i])*rng.NormFloat64()
		}
		if !f.data.Held {
			for i := range base {
				base[i] = f.mean.level + noise/math.Sqrt(f.data.BaseW)*rng.NormFloat64()
			}
		}
		if !r.Mean(&one) {
			continue
		}
		again.take(&one)
		for i, m := range measures {
			if v, err := m(&again); err == nil && check.Finite(v) {
				draws[i] = append(draws[i], v)
			}
		}
	}
	return draws
}
