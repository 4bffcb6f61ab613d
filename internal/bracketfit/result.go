package bracketfit

import (
	"math"
)

// result averages the mixture.
func (b *Bracket) result(m *mixture, found []Finding, order []int) *Result {
	q := m.q
	r := &Result{Findings: found, PNone: m.pNone(), Density: make([]float64, len(b.Tones))}
	var d [pForm]float64
	mean := make([]float64, q.np)
	for _, c := range m.parts {
		w := c.weight
		r.LogIndex += w * (c.index + b.Tones[0].Stops*stop)
		r.Scatter += w * c.view.scatter / stop
		r.ReadSD += w * c.view.scale * usualSD
		for j, v := range c.p {
			mean[j] += w * v
		}
		for t, tone := range b.Tones {
			x := -c.index + (tone.Stops-b.Tones[0].Stops)*stop
			if t > 0 {
				x += c.p[pForm+t-1]
			}
			v, _ := net(c.p, x, &d)
			e, _ := q.departs.at(x - c.p[pToe])
			v += e
			r.Density[t] += w * (c.p[pBase] + v)
		}
	}
	r.BaseFog = mean[pBase]
	if m.known {
		r.ReadSD = 0
	}
	shift := b.Tones[0].Stops * stop
	for _, c := range m.parts {
		e := c.index + shift - r.LogIndex
		r.SD += c.weight * (c.sd*c.sd + e*e)
	}
	r.SD = math.Sqrt(r.SD)
	r.Low, r.High = m.quantile(0.025)+shift, m.quantile(0.975)+shift
	trusting, weight := 0.0, 0.0
	for _, c := range m.parts {
		if c.hypothesis == (hypothesis{-1, -1}) {
			trusting += c.weight * (c.index + shift)
			weight += c.weight
		}
	}
	r.Trusting = math.NaN()
	if weight > 0 {
		r.Trusting = trusting / weight
	}
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, g := range b.Readings {
		if g.Tone == 0 {
			lo, hi = math.Min(lo, b.LogIndex[g.Frame]), math.Max(hi, b.LogIndex[g.Frame])
		}
	}
	r.Outside = !(r.LogIndex >= lo && r.LogIndex <= hi)
	b.diagnose(r, m, order)
	r.Shape = m.shape(mean)
	return r
}

// diagnose fills residuals and frame errors under the likeliest hypothesis.
func (b *Bracket) diagnose(r *Result, m *mixture, order []int) {
	c := m.likeliest(nil)
	s := m.q.newState()
	copy(s.p, c.p)
	m.q.curves(s)
	r.Residuals = make([]float64, len(b.Readings)+len(b.Unexposed))
	for i, k := range order {
		r.Residuals[k] = s.res[i]
	}
	r.FrameOff = make([]float64, len(b.LogIndex))
	for f := range r.FrameOff {
		r.FrameOff[f] = m.q.frameOff(s, &c.view, f)
	}
}

// quantile of the mixture of normal distributions, by bisection.
func (m *mixture) quantile(p float64) float64 {
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, c := range m.parts {
		lo, hi = math.Min(lo, c.index-9*c.sd), math.Max(hi, c.index+9*c.sd)
	}
	for range 200 {
		mid := lo + (hi-lo)/2
		if !(hi-lo > 1e-9) {
			break
		}
		sum := 0.0
		for _, c := range m.parts {
			sum += c.weight * 0.5 * math.Erfc((c.index-mid)/(c.sd*math.Sqrt2))
		}
		if sum < p {
			lo = mid
		} else {
			hi = mid
		}
	}
	return lo + (hi-lo)/2
}

// shape averages the constants and their covariance over the mixture.
func (m *mixture) shape(mean []float64) Shape {
	var s Shape
	copy(s.Constants[:], mean[:pForm])
	for _, c := range m.parts {
		for i := range pForm {
			for j := range pForm {
				s.Cov[i][j] += c.weight * (c.cov.At(i, j) + (c.p[i]-mean[i])*(c.p[j]-mean[j]))
			}
		}
	}
	return s
}
