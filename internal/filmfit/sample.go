package filmfit

import (
	"math"
	"math/rand/v2"
	"slices"
)

// A Sampler draws curves of a part as the readings leave them likely: readings, base plus fog and
// the prior means are moved by errors such as they have, and the part is fitted to these. Where
// densities are straight in the constants these are draws from the posterior distribution; no
// measure of the curve has to be straight in them.
//
// A draw moves the constants hardly further than the curve is straight in them. So each starts
// where the first order takes it, by the derivatives where the part was fitted, which are kept.
//
// Source: randomised maximum likelihood (J. M. Bardsley, A. Solonen, H. Haario and M. Laine,
// SIAM J. Sci. Comput. 36 (2014) A1895-A1910, from memory).
type Sampler struct {
	w     worker
	of    *Weighed
	read  *Data // as they were read
	data  Data  // moved
	means []float64
	anchor
	th  []float64
	out Curve
}

// anchor is a part as it was fitted.
type anchor struct {
	part   *Part
	doubt  Doubt
	values []float64 // densities at the readings
	rows   []float64 // derivatives of the residuals, in standard deviations
	factor []float64 // of the normal matrix
	root   []float64 // square roots of the weights
}

// NewSampler readies it for a strip and what was found of it.
func NewSampler(d *Data, of *Weighed) *Sampler {
	s := &Sampler{of: of, read: d, data: *d}
	s.data.Y, s.data.Base = slices.Clone(d.Y), slices.Clone(d.Base)
	s.data.Known, s.data.Pure = true, 0
	s.w.begin(&s.data, Doubt{})
	s.means = slices.Clone(s.w.prior.mean)
	return s
}

// Begin goes to a part of the mixture. It reports false where the part has no curve.
func (s *Sampler) Begin(part int) bool {
	w, p := &s.w, &s.of.Parts[part]
	copy(s.data.Y, s.read.Y)
	copy(s.data.Base, s.read.Base)
	copy(w.prior.mean, s.means)
	s.part, s.doubt = p, s.of.Doubts[p.Doubt]
	w.suppose(s.doubt)
	w.law, w.tau = p.Toe, p.Departure
	w.weigh(p.Noise)
	if _, ok := w.objective(p.Constants, p.Noise); !ok {
		return false
	}
	w.normal(p.Constants, p.Noise)
	if !factor(w.a, w.n) {
		return false
	}
	a := &s.anchor
	a.values, a.rows, a.factor = append(a.values[:0], w.f...), append(a.rows[:0], w.jac...), append(a.factor[:0], w.a...)
	a.root = append(a.root[:0], w.root...)
	for j := range a.doubt.Leak {
		a.values[j] += p.Constants[w.n-1]
	}
	return true
}

// Next draws a curve, which is the sampler's until the next one. It reports false where the
// moved readings have none.
func (s *Sampler) Next(rng *rand.Rand) (*Curve, bool) {
	w := &s.w
	s.move(rng)
	if !s.fit() {
		return nil, false
	}
	p, ok := w.point(s.th)
	if !ok {
		return nil, false
	}
	w.whole(&p, &s.out)
	return &s.out, true
}

// move moves all that the fit goes by.
func (s *Sampler) move(rng *rand.Rand) {
	r := s.doubt.Drift
	e := 0.0
	for i, y := range s.read.Y {
		n := rng.NormFloat64()
		if i > 0 && r > 0 {
			n = r*e + math.Sqrt(1-r*r)*n
		}
		e = n
		s.data.Y[i] = y + e/s.root[i]
	}
	if !s.data.Held {
		for i, b := range s.read.Base {
			s.data.Base[i] = b + s.part.Noise/math.Sqrt(s.data.BaseW)*rng.NormFloat64()
		}
	}
	for j := range s.part.Constants {
		s.w.prior.mean[j] = s.means[j] + s.w.prior.sd[j]*rng.NormFloat64()
	}
}

// fit fits the part to what was moved, into th.
func (s *Sampler) fit() bool {
	w := &s.w
	s.th = append(s.th[:0], s.part.Constants...)
	from := w.straight(&s.anchor, s.th, 1)
	c, ok := w.objective(s.th, s.part.Noise)
	if !ok || !(c < from) {
		s.th = append(s.th[:0], s.part.Constants...)
		w.straight(&s.anchor, s.th, shorter)
		if c, ok = w.objective(s.th, s.part.Noise); !ok {
			return false
		}
	}
	_, ok = w.descend(s.th, c, s.part.Noise, nearEnough)
	return ok
}

// nearEnough is how far c may still be from its least, as the last step has it, for that step to
// be taken unseen.
const nearEnough = 0.1

// shorter is the part of the first order's way that is tried where all of it leads astray.
const shorter = 0.3

// straight moves th, the constants of the anchor, a part of the way to where the first
// order has the least c. It returns c at the anchor.
func (w *worker) straight(a *anchor, th []float64, part float64) (from float64) {
	n, wide := w.n, w.wide()
	for i, f := range a.values {
		w.res[i] = (w.data.Y[i] - f) * w.root[i]
	}
	independent(w.res, w.doubt.Drift)
	clear(w.step)
	for i, r := range w.res {
		from += r * r
		for j, v := range a.rows[i*wide:][:n] {
			w.step[j] += v * r
		}
	}
	if !w.data.Held {
		for _, b := range w.data.Base {
			v, e := w.data.BaseW/(a.part.Noise*a.part.Noise), b-th[Base]
			w.step[Base] += v * e
			from += v * e * e
		}
	}
	for j := range n {
		e := (w.prior.mean[j] - th[j]) / w.prior.sd[j]
		w.step[j] += e / w.prior.sd[j]
		from += e * e
	}
	solve(a.factor, w.step, n)
	for j, s := range w.step {
		th[j] += part * max(-longestStep, min(s, longestStep))
	}
	return from
}
