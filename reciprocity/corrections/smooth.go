package corrections

import (
	"math"

	"example.org/actinic/internal/robust"
)

// Smooth curves begin at an onset, some with a knee, and bend from there on.
var (
	begins   = steps(-3, 5, 1)                // log2 of the onset, s
	knees    = [...]float64{0.03, 0.2}        // standard deviation of the slope there, stops a stop
	bendings = [...]float64{0.02, 0.06, 0.15} // how much they bend, in stops
)

// mostSmooth is the number of rows up to which smooth curves are weighed; the work goes
// with its third power, and so many rows need no curve beside the grid of laws.
const mostSmooth = 40

// smooth adds the curves that follow no law: nothing up to an onset, and from there on, at
// distances u and v, an integrated Wiener process,
//
//	K = knee² u v + a² v² (3u - v)/6 + diag(s² + w²/12),  v <= u
//
// Rows before the onset are held to their cells as by a law. The weights of no slip, of one and
// of two among the others come from one inverse ([robust.Curve]).
//
// Source: the covariance of an integrated Wiener process, as for smoothing splines (from
// memory).
func (s *sums) smooth(points []point, rounds []rounding, rows, block []int, prior float64) {
	if len(points) > mostSmooth {
		return
	}
	share := prior * smoothShare / float64(len(rounds)*len(begins)*len(knees)*len(bendings))
	for _, x0 := range begins {
		var before, after []int
		for i, p := range points {
			if p.x > x0 {
				after = append(after, i)
			} else {
				before = append(before, i)
			}
		}
		if len(after) < 2 {
			continue
		}
		b := begun{c: robust.NewCurve(len(after)), rows: pick(rows, after)}
		for _, i := range after {
			b.u = append(b.u, points[i].x-x0)
		}
		for _, r := range rounds {
			b.r = r.of(after)
			for j, sc := range scatters {
				w := share * sc.weight
				factors := unfailed(r, before, sc.sd)
				for _, f := range factors {
					w *= f
				}
				if w < s.top*negligible {
					continue
				}
				old := s.total
				s.begun(b, w, block, j)
				added := s.total - old
				for k, i := range before {
					s.slip(rows[i], added*slipShare*r.slip[i]/factors[k], j)
					if block == nil {
						s.rest[rows[i]] += added / factors[k]
						s.second[rows[i]] += added / factors[k] * sc.sd * sc.sd
					}
				}
			}
		}
	}
}

// unfailed are the factors of rows to which nothing has to be added.
func unfailed(r rounding, before []int, sd float64) (factors []float64) {
	k := scale(sd)
	for _, i := range before {
		f := slipShare * r.slip[i]
		if r.on[i] {
			f += (1 - slipShare) * (1/(1+math.Exp(-r.hi[i]*k)) - 1/(1+math.Exp(-r.lo[i]*k)))
		}
		factors = append(factors, f)
	}
	return factors
}

// begun is what curves from an onset are held to: the rows beyond it, at distances u.
type begun struct {
	c    *robust.Curve
	u    []float64
	r    rounding
	rows []int
}

// begun adds the curves from an onset under one scatter.
func (s *sums) begun(b begun, w float64, block []int, scatter int) {
	c, n, sd := b.c, b.c.N, scatters[scatter].sd
	for _, knee := range knees {
		for _, a := range bendings {
			for i, u := range b.u {
				c.Y[i] = b.r.middle[i]
				for k, v := range b.u[:i+1] {
					c.K[i*n+k] = robust.Begun(u, v, knee, a)
				}
				c.K[i*n+i] += sd*sd + b.r.width[i]*b.r.width[i]/12
				if !b.r.on[i] {
					c.K[i*n+i] += 1e6
				}
			}
			if c.Invert() {
				s.curve(math.Log(w), c, b.r, b.rows, block, scatter)
			}
		}
	}
}

// curve adds the hypotheses of no, one and two slips under one curve.
func (s *sums) curve(lw float64, c *robust.Curve, r rounding, rows, block []int, scatter int) {
	n := c.N
	off := 0
	l0 := lw + c.LogLikelihood()
	var space, more [mostSmooth]float64
	cell, gone := space[:n], more[:n] // the logarithms of a row's cell, and of what its slip changes but for the curve
	for i := range n {
		cell[i] = math.Log((1 - slipShare) * r.width[i])
		gone[i] = math.Log(slipShare*r.slip[i]) - cell[i]
		l0 += cell[i]
		if !r.on[i] {
			off++
		}
	}
	least := math.Log(s.top * negligible)
	add := func(l float64, a, b int) {
		if !(l > least) {
			return
		}
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
	for i := range n {
		z, v, lp := c.Without(i)
		if offI := isOff(r, i); off == offI {
			add(l0-lp+gone[i], i, -1)
			if block == nil {
				if w := math.Exp(l0 - lp - cell[i]); w > 0 {
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
			add(l0-both+gone[i]+gone[k], i, k)
		}
	}
}

func isOff(r rounding, i int) int {
	if r.on[i] {
		return 0
	}
	return 1
}
