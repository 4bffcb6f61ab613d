package corrections

import (
	"math"

	"example.org/actinic/internal/robust"
)

// bendings are how much a smooth curve bends, in stops.
var bendings = [...]float64{0.02, 0.06, 0.2}

// mostSmooth is the number of rows up to which smooth curves are weighed; the work goes
// with its third power, and so many rows need no curve beside the grid of laws.
const mostSmooth = 40

// smooth adds the curves that follow no law: an integrated Wiener process, with
// u = x - (min x - 1), v and V the lesser and the greater of u and u',
//
//	K = 0.25 + 0.0625 u u' + a² v² (3V - v)/6 + diag(s² + w²/12)
//
// The weights of no slip, of one and of two come from one inverse ([robust.Curve]).
//
// Source: the covariance of an integrated Wiener process, as for smoothing splines (from
// memory).
func (s *sums) smooth(points []point, rounds []rounding, rows, block []int, prior float64) {
	n := len(points)
	if n > mostSmooth {
		return
	}
	base := math.Inf(1)
	for _, p := range points {
		base = min(base, p.x-1)
	}
	c := robust.NewCurve(n)
	for _, r := range rounds {
		for _, a := range bendings {
			for j, sc := range scatters {
				w := prior * smoothShare / float64(len(rounds)) / float64(len(bendings)) * sc.weight
				for i, p := range points {
					c.Y[i] = r.middle[i]
					for k := range i + 1 {
						c.K[i*n+k] = robust.Wiener(p.x-base, points[k].x-base, a)
					}
					c.K[i*n+i] += sc.sd*sc.sd + r.width[i]*r.width[i]/12
					if !r.on[i] {
						c.K[i*n+i] += 1e6
					}
				}
				if c.Invert() {
					s.curve(math.Log(w), c, r, rows, block, j)
				}
			}
		}
	}
}

// curve adds the hypotheses of no, one and two slips under one curve.
func (s *sums) curve(lw float64, c *robust.Curve, r rounding, rows, block []int, scatter int) {
	n := c.N
	off := 0
	l0 := lw + c.LogLikelihood()
	for i := range n {
		l0 += math.Log((1 - slipShare) * r.width[i])
		if !r.on[i] {
			off++
		}
	}
	add := func(l float64, a, b int) {
		w := math.Exp(l)
		if !(w > s.top*negligible) || math.IsInf(w, 1) {
			return
		}
		s.top = max(s.top, w)
		s.total += w
		s.byKind[r.kind] += w
		s.byScatter[scatter] += w
		for _, i := range []int{a, b} {
			if i >= 0 {
				s.slip(rows[i], w, scatter)
			}
		}
		s.shift(block, w, scatter)
	}
	if off == 0 {
		add(l0, -1, -1)
	}
	gone := func(i int) float64 { // what a row's slip changes, but for the curve
		return math.Log(slipShare*r.slip[i]) - math.Log((1-slipShare)*r.width[i])
	}
	for i := range n {
		z, v, lp := c.Without(i)
		if offI := isOff(r, i); off == offI {
			add(l0-lp+gone(i), i, -1)
			if block == nil {
				if w := math.Exp(l0 - lp - math.Log((1-slipShare)*r.width[i])); w > 0 {
					if !r.on[i] {
						v = max(0, v-1e6)
					}
					s.rest[rows[i]] += w
					s.first[rows[i]] += w * z
					s.second[rows[i]] += w * (z*z + v)
				}
			}
		}
		for k := range i {
			if off != isOff(r, i)+isOff(r, k) {
				continue
			}
			both, ok := c.WithoutTwo(i, k)
			if !ok {
				continue
			}
			add(l0-both+gone(i)+gone(k), i, k)
		}
	}
}

func isOff(r rounding, i int) int {
	if r.on[i] {
		return 0
	}
	return 1
}
