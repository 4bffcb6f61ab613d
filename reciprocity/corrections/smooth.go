package corrections

import (
	"math"
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
// The inverse gives the weights of no slip, of one and of two in closed form (C. E.
// Rasmussen and C. K. I. Williams, Gaussian Processes for Machine Learning, 2006, section
// 5.4.2, for leaving one out; from memory).
func (s *sums) smooth(points []point, rounds []rounding, rows, block []int, prior float64) {
	n := len(points)
	if n > mostSmooth {
		return
	}
	base := math.Inf(1)
	for _, p := range points {
		base = min(base, p.x-1)
	}
	c := newCurve(n)
	for _, r := range rounds {
		for _, a := range bendings {
			for j, sc := range scatters {
				w := prior * smoothShare / float64(len(rounds)) / float64(len(bendings)) * sc.weight
				for i, p := range points {
					c.y[i] = r.middle[i]
					for k := range i + 1 {
						u, v := p.x-base, points[k].x-base
						if v > u {
							u, v = v, u
						}
						c.k[i*n+k] = 0.25 + 0.0625*u*v + a*a*v*v*(3*u-v)/6
					}
					c.k[i*n+i] += sc.sd*sc.sd + r.width[i]*r.width[i]/12
					if !r.on[i] {
						c.k[i*n+i] += 1e6
					}
				}
				if c.invert() {
					s.curve(math.Log(w), c, r, rows, block, j)
				}
			}
		}
	}
}

// curve adds the hypotheses of no, one and two slips under one curve.
func (s *sums) curve(lw float64, c *curve, r rounding, rows, block []int, scatter int) {
	n := c.n
	off := 0
	l0 := lw - 0.5*c.logDet - 0.5*float64(n)*math.Log(2*math.Pi)
	for i := range n {
		l0 += -0.5*c.y[i]*c.b[i] + math.Log((1-slipShare)*r.width[i])
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
				s.p[rows[i]] += w
			}
		}
		for _, i := range block {
			s.p[i] += w
			s.shifted[i] += w
		}
	}
	if off == 0 {
		add(l0, -1, -1)
	}
	gone := func(i int) float64 { // what a row's slip changes, but for the curve
		return math.Log(slipShare*r.slip[i]) - math.Log((1-slipShare)*r.width[i])
	}
	for i := range n {
		cii := c.inv[i*n+i]
		lp := -0.5*c.b[i]*c.b[i]/cii + 0.5*math.Log(cii) - 0.5*math.Log(2*math.Pi)
		if offI := isOff(r, i); off == offI {
			add(l0-lp+gone(i), i, -1)
			if block == nil {
				if w := math.Exp(l0 - lp - math.Log((1-slipShare)*r.width[i])); w > 0 {
					z, v := c.y[i]-c.b[i]/cii, 1/cii
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
			ckk, cik := c.inv[k*n+k], c.inv[i*n+k]
			det := cii*ckk - cik*cik
			if !(det > 0) {
				continue
			}
			bi, bk := c.b[i], c.b[k]
			lp := -0.5*(ckk*bi*bi-2*cik*bi*bk+cii*bk*bk)/det + 0.5*math.Log(det) - math.Log(2*math.Pi)
			add(l0-lp+gone(i)+gone(k), i, k)
		}
	}
}

func isOff(r rounding, i int) int {
	if r.on[i] {
		return 0
	}
	return 1
}

// curve is a covariance with its inverse.
type curve struct {
	n         int
	k, inv, l []float64
	y, b      []float64
	logDet    float64
}

func newCurve(n int) *curve {
	return &curve{n: n, k: make([]float64, n*n), inv: make([]float64, n*n), l: make([]float64, n*n), y: make([]float64, n), b: make([]float64, n)}
}

// invert takes the lower triangle of k apart (Cholesky), and sets inv, b = inv y and the
// logarithm of the determinant.
func (c *curve) invert() bool {
	n, l := c.n, c.l
	c.logDet = 0
	for i := range n {
		for k := range i + 1 {
			v := c.k[i*n+k]
			for j := range k {
				v -= l[i*n+j] * l[k*n+j]
			}
			if i == k {
				if !(v > 0) {
					return false
				}
				l[i*n+i] = math.Sqrt(v)
				c.logDet += math.Log(v)
			} else {
				l[i*n+k] = v / l[k*n+k]
			}
		}
	}
	// The inverse of l, row by row, in the upper triangle of k's room.
	li := c.k
	for i := range n {
		li[i*n+i] = 1 / l[i*n+i]
		for k := range i {
			v := 0.0
			for j := k; j < i; j++ {
				v -= l[i*n+j] * li[j*n+k]
			}
			li[i*n+k] = v / l[i*n+i]
		}
	}
	for i := range n {
		for k := range i + 1 {
			v := 0.0
			for j := i; j < n; j++ {
				v += li[j*n+i] * li[j*n+k]
			}
			c.inv[i*n+k], c.inv[k*n+i] = v, v
		}
	}
	for i := range n {
		c.b[i] = 0
		for k := range n {
			c.b[i] += c.inv[i*n+k] * c.y[k]
		}
	}
	return true
}
