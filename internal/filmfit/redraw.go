package filmfit

import "math"

// Redrawer fits readings drawn again about a curve that is known: the components that
// counted, each from where it was, with the noise held.
type Redrawer struct {
	w     worker
	data  Data
	of    *Weighed
	th    []float64
	one   Curve
	parts []Part
}

// worthRedrawing is what a component must count to be fitted again.
const worthRedrawing = 0.02

// NewRedrawer readies it for a strip. Y and Base of its data are its own, to be set.
func NewRedrawer(d *Data, of *Weighed) *Redrawer {
	r := &Redrawer{data: *d, of: of}
	r.data.Y = append([]float64(nil), d.Y...)
	r.data.Base = append([]float64(nil), d.Base...)
	r.data.Known, r.data.Pure = true, 0
	return r
}

// Data returns the readings to be set before Mean.
func (r *Redrawer) Data() (y, base []float64) { return r.data.Y, r.data.Base }

// Mean sets out to the mean curve of the readings.
func (r *Redrawer) Mean(out *Curve) bool {
	r.parts = r.parts[:0]
	sum, most := 0.0, math.Inf(-1)
	for i := range r.of.Parts {
		p := &r.of.Parts[i]
		if p.Weight < worthRedrawing {
			continue
		}
		w := &r.w
		w.begin(&r.data, r.of.Doubts[p.Doubt])
		w.law, w.tau = p.Toe, p.Departure
		r.th = append(r.th[:0], p.Constants...)
		c, ok := w.minimise(r.th, p.Noise)
		if !ok {
			continue
		}
		copy(w.l, w.a)
		if !factor(w.l, w.n) {
			continue
		}
		q := Part{Component: Component{Toe: p.Toe, Departure: p.Departure}}
		if len(r.parts) < cap(r.parts) { // the memory of an earlier draw
			q.Constants = r.parts[:len(r.parts)+1][len(r.parts)].Constants
		}
		q.Constants = append(q.Constants[:0], r.th...)
		q.LnWeight = w.lnRoots - c/2
		for j := range w.n {
			q.LnWeight -= math.Log(w.l[j*w.n+j] * w.prior.sd[j])
		}
		most = max(most, q.LnWeight)
		r.parts = append(r.parts, q)
	}
	out.Base = 0
	for i := range r.parts {
		p := &r.parts[i]
		p.Weight = math.Exp(temper * (p.LnWeight - most))
		sum += p.Weight
	}
	for i := range r.parts {
		p := &r.parts[i]
		if !r.w.trace(&p.Component, &r.one, nil, nil) {
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
	return len(r.parts) > 0
}
