package filmfit

import (
	"math"
	"slices"
)

// Redrawer fits readings drawn again about a curve that is known: the components that
// counted, each from where it was, with the noise held.
//
// A draw moves a component's constants hardly further than its curve is straight in them.
// So each starts where the first order takes it, by the derivatives where it was fitted,
// which are kept; there the curve and its derivatives are worked out once, for the step of
// Gauss and Newton that is nearly always the last.
type Redrawer struct {
	w       worker
	data    Data
	anchors []anchor
	one     Curve
	parts   []Part // one for each anchor, in their memory
}

// anchor is a component as it was fitted.
type anchor struct {
	part    *Part
	doubt   Doubt
	values  []float64 // densities at the readings
	rows    []float64 // derivatives of the residuals, in standard deviations
	factor  []float64 // of the normal matrix
	root    []float64 // square roots of the weights
	lnRoots float64
}

// worthRedrawing is what a component must count to be fitted again.
const worthRedrawing = 0.02

// NewRedrawer readies it for a strip. Y and Base of its data are its own, to be set.
func NewRedrawer(d *Data, of *Weighed) *Redrawer {
	r := &Redrawer{data: *d}
	r.data.Y, r.data.Base = slices.Clone(d.Y), slices.Clone(d.Base)
	r.data.Known, r.data.Pure = true, 0
	w := &r.w
	w.begin(&r.data, Doubt{})
	for i := range of.Parts {
		p := &of.Parts[i]
		if p.Weight < worthRedrawing {
			continue
		}
		a := anchor{part: p, doubt: of.Doubts[p.Doubt]}
		w.suppose(a.doubt)
		w.law, w.tau = p.Toe, p.Departure
		w.weigh(p.Noise)
		if _, ok := w.objective(p.Constants, p.Noise); !ok {
			continue
		}
		w.normal(p.Constants, p.Noise)
		if !factor(w.a, w.n) {
			continue
		}
		a.values, a.rows, a.factor = slices.Clone(w.f), slices.Clone(w.jac), slices.Clone(w.a)
		a.root, a.lnRoots = slices.Clone(w.root), w.lnRoots
		if a.doubt.Leak > 0 {
			for j := range a.doubt.Leak {
				a.values[j] += p.Constants[w.n-1]
			}
		}
		r.anchors = append(r.anchors, a)
	}
	return r.Another()
}

// Another returns one for the same strip, for use beside r.
func (r *Redrawer) Another() *Redrawer {
	out := &Redrawer{data: r.data, anchors: r.anchors, parts: make([]Part, len(r.anchors))}
	out.data.Y, out.data.Base = slices.Clone(r.data.Y), slices.Clone(r.data.Base)
	out.w.begin(&out.data, Doubt{})
	return out
}

// Data returns the readings to be set before Mean.
func (r *Redrawer) Data() (y, base []float64) { return r.data.Y, r.data.Base }

// Mean sets out to the mean curve of the readings.
func (r *Redrawer) Mean(out *Curve) bool {
	w := &r.w
	w.priors(&r.data)
	sum, most, n := 0.0, math.Inf(-1), 0
	for i := range r.anchors {
		a, q := &r.anchors[i], &r.parts[n]
		c, ok := w.again(a, q)
		if !ok {
			continue
		}
		q.Toe, q.Departure = a.part.Toe, a.part.Departure
		q.LnWeight = w.lnRoots - c/2
		for j := range w.n {
			q.LnWeight -= math.Log(w.l[j*w.n+j] * w.prior.sd[j])
		}
		most = max(most, q.LnWeight)
		n++
	}
	out.Base = 0
	for i := range r.parts[:n] {
		p := &r.parts[i]
		p.Weight = math.Exp(temper * (p.LnWeight - most))
		sum += p.Weight
	}
	for i := range r.parts[:n] {
		p := &r.parts[i]
		if !w.trace(&p.Component, &r.one, nil, nil) {
			return false
		}
		if i == 0 {
			out.First, out.Step = r.one.First, r.one.Step
			out.Density, out.Rate = grown(out.Density, len(r.one.Density)), grown(out.Rate, len(r.one.Rate))
			clear(out.Density)
			clear(out.Rate)
		}
		v := p.Weight / sum
		out.Base += v * r.one.Base
		for j := range r.one.Density {
			out.Density[j] += v * r.one.Density[j]
			out.Rate[j] += v * r.one.Rate[j]
		}
	}
	return n > 0
}

// again fits a component from its anchor, into the constants of q. It returns the least c,
// and leaves the factor of the normal matrix in l.
func (w *worker) again(a *anchor, q *Part) (c float64, ok bool) {
	w.suppose(a.doubt)
	w.law, w.tau = a.part.Toe, a.part.Departure
	from, sigma := a.part.Constants, a.part.Noise
	for _, part := range [...]float64{1, shorter} {
		q.Constants = append(q.Constants[:0], from...)
		if c, ok = w.near(a, q.Constants, part); ok {
			return c, true
		}
	}
	copy(q.Constants, from)
	if c, ok = w.minimise(q.Constants, sigma); !ok {
		return 0, false
	}
	copy(w.l, w.a)
	return c, factor(w.l, w.n)
}

// near is minimise for readings near those of the anchor, from whose constants th starts
// a part of the way that the first order goes.
// It reports false where they are not so near: where c does not fall. The factor of the
// normal matrix is left in l.
func (w *worker) near(a *anchor, th []float64, part float64) (c float64, ok bool) {
	n, sigma := w.n, a.part.Noise
	if a.doubt.Grows { // with the densities
		w.weigh(sigma)
	} else {
		copy(w.root, a.root)
		w.lnRoots = a.lnRoots
	}
	from := w.straight(a, th, part)
	last := math.Inf(1)
	for range mostSteps {
		if c, ok = w.objective(th, sigma); !ok || !(c < last) {
			return 0, false
		}
		w.normal(th, sigma)
		copy(w.l, w.a)
		if !factor(w.l, n) {
			return 0, false
		}
		copy(w.step, w.grad)
		solve(w.l, w.step, n)
		gain, long := 0.0, 0.0
		for j, s := range w.step {
			gain += w.grad[j] * s
			long = max(long, math.Abs(s))
		}
		if !(long < longestStep) {
			return 0, false
		}
		for j, s := range w.step {
			th[j] += s
		}
		if gain < nearEnough {
			return c - gain, c-gain < from
		}
		last = c
	}
	return 0, false
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
	if r := w.doubt.Drift; r > 0 {
		s := 1 / math.Sqrt(1-r*r)
		for i := len(w.res) - 1; i > 0; i-- {
			w.res[i] = (w.res[i] - r*w.res[i-1]) * s
		}
	}
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
