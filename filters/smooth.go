package filters

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"
)

// A prior says how a smooth unknown of about 1 varies: values at two nodes go
// together by the Matérn covariance of order 3/2,
//
//	size² (1 + √3 d/length) exp(-√3 d/length)
//
// at the distance d in nm.
type prior struct {
	size, length float64
	weight       float64 // of this prior among others, by what it says of the readings
}

// Sizes tried, as powers of ten: the unknown is about 1, so its spread is not
// sought below a third of that; readings of nothing but noise would have it vanish,
// and its interval too.
const leastSize, greatestSize, sizeStep = -0.5, 2, 0.1

// Lengths tried where none is asked for, in nm: from less than a sharp band of a
// sensitizing dye to twice a broad one.
var lengths = []float64{8, 15, 25, 40, 60, 90}

func matern(nm []float64, length float64) *mat.SymDense {
	k := mat.NewSymDense(len(nm), nil)
	for i := range nm {
		for j := i; j < len(nm); j++ {
			d := math.Sqrt(3) * math.Abs(nm[i]-nm[j]) / length
			k.SetSym(i, j, (1+d)*math.Exp(-d))
		}
		k.SetSym(i, i, 1+1e-10)
	}
	return k
}

// A smoother is the readings seen through one length of the prior.
type smoother struct {
	s       *system
	length  float64
	k       *mat.SymDense
	wk, wkw mat.Dense
	ones    *mat.VecDense
}

func newSmoother(s *system, length float64) *smoother {
	m, _ := s.w.Dims()
	o := &smoother{s: s, length: length, k: matern(s.nm, length), ones: mat.NewVecDense(m, slices.Repeat([]float64{1}, m))}
	o.wk.Mul(s.w, o.k)
	o.wkw.Mul(&o.wk, s.w.T())
	return o
}

// readings returns the covariance of the readings under a size, factorized.
func (o *smoother) readings(size float64) (*mat.Cholesky, bool) {
	m := len(o.s.sd)
	c := mat.NewSymDense(m, nil)
	for i := range m {
		for j := i; j < m; j++ {
			c.SetSym(i, j, size*size*(o.wkw.At(i, j)+o.wkw.At(j, i))/2)
		}
		c.SetSym(i, i, c.At(i, i)+o.s.sd[i]*o.s.sd[i])
	}
	if o.s.shared != nil {
		c.AddSym(c, o.s.shared)
	}
	var ch mat.Cholesky
	ok := ch.Factorize(c)
	return &ch, ok
}

// evidence returns the logarithm of the probability of the readings under a size.
func (o *smoother) evidence(size float64) (float64, bool) {
	ch, ok := o.readings(size)
	if !ok {
		return 0, false
	}
	var u mat.VecDense
	if err := ch.SolveVecTo(&u, o.ones); err != nil {
		return 0, false
	}
	return -(mat.Dot(o.ones, &u) + ch.LogDet()) / 2, true
}

// priors returns the smoothers of the lengths, and the priors that the readings
// leave probable, best first, with weights that sum to 1.
func (s *system) priors(lengths []float64) (map[float64]*smoother, []prior) {
	smoothers := map[float64]*smoother{}
	var all []prior
	for _, l := range lengths {
		smoothers[l] = newSmoother(s, l)
		for p := leastSize; p <= greatestSize+1e-9; p += sizeStep {
			size := math.Pow(10, p)
			if e, ok := smoothers[l].evidence(size); ok {
				all = append(all, prior{size, l, e})
			}
		}
	}
	if len(all) == 0 {
		return nil, nil
	}
	slices.SortStableFunc(all, func(a, b prior) int {
		switch {
		case a.weight > b.weight:
			return -1
		case a.weight < b.weight:
			return 1
		}
		return 0
	})
	best, sum, n := all[0].weight, 0.0, 0
	for i := range all {
		w := math.Exp(all[i].weight - best)
		if w < 0.003 {
			break
		}
		all[i].weight, sum, n = w, sum+w, n+1
	}
	all = all[:n]
	for i := range all {
		all[i].weight /= sum
	}
	return smoothers, all
}

// A posterior is what the readings leave of the unknown, without regard to its sign.
type posterior struct {
	mean       *mat.VecDense
	cov        *mat.Dense
	known      []float64 // part of the prior variance that was removed
	resolution *mat.Dense
}

func newPosterior(n int) posterior {
	return posterior{mat.NewVecDense(n, nil), mat.NewDense(n, n, nil), make([]float64, n), mat.NewDense(n, n, nil)}
}

func (o *smoother) posterior(p prior) (posterior, error) {
	n := len(o.s.nm)
	out := newPosterior(n)
	ch, ok := o.readings(p.size)
	if !ok {
		return out, errIndistinct
	}
	var wk, gain mat.Dense // W K and C⁻¹ W K
	wk.Scale(p.size*p.size, &o.wk)
	if err := ch.SolveTo(&gain, &wk); err != nil {
		return out, errIndistinct
	}
	out.mean.MulVec(gain.T(), o.ones)
	out.resolution.Mul(gain.T(), o.s.w)
	out.cov.Mul(wk.T(), &gain)
	for i := range n {
		prior := p.size * p.size * o.k.At(i, i)
		out.known[i] = min(max(out.cov.At(i, i)/prior, 0), 1)
		for j := range n {
			out.cov.Set(i, j, p.size*p.size*o.k.At(i, j)-out.cov.At(i, j))
		}
	}
	return out, nil
}

var errIndistinct = invalid("no smooth film has these speeds, or several readings are the same in all but rounding: " +
	"see whether each LogSpeed is that of its filter")

// average returns the mixture of what several priors leave: their means differ, and
// that is uncertainty too.
func (s *system) average(smoothers map[float64]*smoother, priors []prior) (posterior, error) {
	n := len(s.nm)
	all := newPosterior(n)
	each := make([]posterior, len(priors))
	var scaled mat.Dense
	for k, p := range priors {
		var err error
		if each[k], err = smoothers[p.length].posterior(p); err != nil {
			return all, err
		}
		all.mean.AddScaledVec(all.mean, p.weight, each[k].mean)
		scaled.Scale(p.weight, each[k].cov)
		all.cov.Add(all.cov, &scaled)
		scaled.Scale(p.weight, each[k].resolution)
		all.resolution.Add(all.resolution, &scaled)
		for i, v := range each[k].known {
			all.known[i] += p.weight * v
		}
	}
	for k, p := range priors {
		var d mat.VecDense
		d.SubVec(each[k].mean, all.mean)
		scaled.Outer(p.weight, &d, &d)
		all.cov.Add(all.cov, &scaled)
	}
	return all, nil
}
