package sensito

import (
	"math"
	"math/rand/v2"
	"runtime"
	"slices"
	"sync"
	"sync/atomic"

	"example.org/actinic/internal/check"
	"example.org/actinic/internal/filmfit"
	"example.org/actinic/internal/lsq"
)

// Resample returns measures of the mean curve with 95 % intervals from curves drawn out of all
// that the readings leave likely: of each component as many as it counts, each fitted again to
// readings and priors that are moved by errors such as they have ([filmfit.Sampler]). The ends
// are the quantiles at 2.5 and 97.5 % of the measures of those curves. Where the noise was
// found from the readings, the ends are drawn out in the ratio of Student's t to the normal.
//
// It is the check of [Fitted.Estimate], and makes no use of linearity of the measures. A draw
// costs a fit of one component, begun where the first order takes it. The ends are NaN where
// more than one draw in fifty could not be fitted or measured.
func (f *Fitted) Resample(s Sampling, measures ...Measure) ([]Estimate, error) {
	out, err := f.values(measures)
	if err != nil {
		return nil, err
	}
	// Each part has a stream of its own, so that the interval does not depend on how many
	// processors share them.
	parts := f.weighed.Parts
	drawn := make([][][]float64, len(parts))
	ends := make([]int, len(parts)+1) // of the draws that go to the parts
	sum := 0.0
	for k, p := range parts {
		sum += p.Weight
		ends[k+1] = int(math.Round(float64(s.draws()) * sum))
	}
	var wg sync.WaitGroup
	var next atomic.Int64
	for range min(runtime.GOMAXPROCS(0), len(parts)) {
		wg.Add(1)
		go func() {
			defer wg.Done()
			sampler := filmfit.NewSampler(f.data, &f.weighed)
			for k := int(next.Add(1)) - 1; k < len(parts); k = int(next.Add(1)) - 1 {
				drawn[k] = f.drawn(sampler, k, ends[k+1]-ends[k], rand.New(rand.NewPCG(s.Seed, uint64(k)+1<<32)), measures)
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
		e.Low = e.Value - stretch*max(e.Value-quantile(v, 0.025), 0)
		e.High = e.Value + stretch*max(quantile(v, 0.975)-e.Value, 0)
	}
	return out, nil
}

// drawn draws n curves of a part and measures them; a measure that a curve has not is left out.
func (f *Fitted) drawn(sampler *filmfit.Sampler, part, n int, rng *rand.Rand, measures []Measure) [][]float64 {
	out := make([][]float64, len(measures))
	if n == 0 || !sampler.Begin(part) {
		return out
	}
	for i := range out {
		out[i] = make([]float64, 0, min(n, 1<<16))
	}
	again := grid{lo: f.mean.x[0], hi: f.mean.x[len(f.mean.x)-1]}
	for range n {
		c, ok := sampler.Next(rng)
		if !ok {
			continue
		}
		again.take(c)
		for i, m := range measures {
			if v, err := m(&again); err == nil && check.Finite(v) {
				out[i] = append(out[i], v)
			}
		}
	}
	return out
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
