package corrections

import (
	"cmp"
	"math"
	"slices"
)

// Broken curves: failure begins somewhere, its slope is drawn anew for each stretch of the
// metered time, and the correction never falls. They stand for makers whose tables follow no
// law and are no smooth curves either.
const (
	stretch      = 3.3 // stops, in which the slope stays
	steepest     = 0.6 // stops a stop
	brokenSlopes = 12
	brokenStarts = 2    // places of the first knot
	brokenGrid   = 0.03 // stops
	brokenCells  = 240
	finest       = 0.02 // stops, the least scatter that the grid can tell
	finer3       = 3    // cells of the masses to one of the grid
)

// chain sums over broken curves: the weight of having come to a correction, and with it that of
// a slip in each row so far, goes from stretch to stretch. A row of state has a weight for each
// row of the table and at the end that of all.
type chain struct {
	x           []float64   // of the rows, rising
	order       []int       // which of the points they are
	mass        [][]float64 // by row and correction
	slip        []float64
	state, next []float64
	width       int
}

// unlikely is the share of a rounding, under the laws and the smooth curves, below which broken
// curves are not tried with it.
const unlikely = 1e-6

// broken adds the broken curves.
func (s *sums) broken(points []point, rounds []rounding, rows, block []int, prior float64) {
	n := len(points)
	if n > mostSmooth {
		return
	}
	c := &chain{width: n + 1, slip: make([]float64, n), mass: make([][]float64, n)}
	for i := range points {
		c.order = append(c.order, i)
	}
	// Those of the short end fall.
	slices.SortStableFunc(c.order, func(a, b int) int { return cmp.Compare(points[a].x, points[b].x) })
	of := make([]int, n)
	for k, i := range c.order {
		c.x = append(c.x, points[i].x)
		of[k] = rows[i]
	}
	c.state, c.next = make([]float64, brokenCells*c.width), make([]float64, brokenCells*c.width)
	for i := range c.mass {
		c.mass[i] = make([]float64, finer3*brokenCells)
	}
	for _, r := range rounds {
		if s.byKind[r.kind] < unlikely*s.total {
			continue // under no other curves are the rows so rounded
		}
		for j, sc := range scatters {
			c.read(r, max(sc.sd, finest))
			w := prior * sc.weight / float64(len(rounds)) / (2 * brokenStarts)
			for k := range brokenStarts {
				phase := float64(k) / brokenStarts
				s.curves(c.from(phase, false), w, r.kind, j, of, block)
				s.curves(c.from(phase, true), w, r.kind, j, of, block)
			}
		}
	}
}

// read computes the masses of the rows for a rounding and a scatter.
func (c *chain) read(r rounding, sd float64) {
	k := scale(sd)
	for at, i := range c.order {
		c.slip[at] = slipShare * r.slip[i]
		m := c.mass[at]
		clear(m)
		if !r.on[i] {
			continue
		}
		const step = brokenGrid / finer3
		from := 0
		if !math.IsInf(r.lo[i], -1) {
			from = max(0, int((r.lo[i]-12/k)/step))
		}
		to := min(len(m)-1, int((r.hi[i]+12/k)/step))
		for at := from; at <= to; at++ {
			y := float64(at) * step
			v := 1 / (1 + math.Exp((y-r.hi[i])*k))
			if !math.IsInf(r.lo[i], -1) {
				v -= 1 / (1 + math.Exp((y-r.lo[i])*k))
			}
			m[at] = (1 - slipShare) * max(v, 0)
		}
	}
}

// take takes up row i at a correction, in units of the masses.
func (c *chain) take(v []float64, i int, at float64) {
	m := 0.0
	if k := int(at + 0.5); k < len(c.mass[i]) {
		m = c.mass[i][k]
	}
	q := c.slip[i]
	f := m + q
	all := v[len(v)-1]
	for a := range i {
		v[a] *= f
	}
	v[i] = all * q
	v[len(v)-1] = all * f
}

// lost is the weight beside the greatest at which a place is passed over.
const lost = 1e-4

// from sums over the curves whose first knot lies at a part of a stretch before the first row,
// at any correction there, or, late, at none behind it.
func (c *chain) from(phase float64, late bool) []float64 {
	n, w := len(c.x), c.width
	clear(c.state)
	x0 := c.x[0] - stretch*phase
	i := 0
	if late {
		x0 = c.x[0] + 1.5*stretch*(1-phase)
		c.state[n] = 1
		for ; i < n && c.x[i] <= x0; i++ {
			c.take(c.state[:w], i, 0)
		}
	} else {
		const cells = 3 / brokenGrid
		for k := range int(cells) {
			c.state[k*w+n] = 1 / cells
		}
	}
	var space [mostSmooth + 1]float64
	v := space[:w]
	for i < n {
		from := i
		for i < n && c.x[i] <= x0+stretch {
			i++
		}
		top := 0.0
		for k := range brokenCells {
			top = max(top, c.state[k*w+n])
		}
		clear(c.next)
		for k := range brokenCells {
			here := c.state[k*w : k*w+w]
			if here[n] <= top*lost {
				continue
			}
			for b := range brokenSlopes {
				slope := steepest * (float64(b) + 0.5) / brokenSlopes
				to := float64(k) + slope*stretch/brokenGrid
				cell := int(to)
				if cell+1 >= brokenCells {
					break
				}
				copy(v, here)
				for j := from; j < i; j++ {
					c.take(v, j, finer3*(float64(k)+slope*(c.x[j]-x0)/brokenGrid))
				}
				f := (to - float64(cell)) / brokenSlopes
				one, two := c.next[cell*w:cell*w+w], c.next[(cell+1)*w:(cell+1)*w+w]
				for q, u := range v {
					one[q] += u * (1./brokenSlopes - f)
					two[q] += u * f
				}
			}
		}
		c.state, c.next = c.next, c.state
		x0 += stretch
	}
	out := make([]float64, w)
	for k := range brokenCells {
		for q, u := range c.state[k*w : k*w+w] {
			out[q] += u
		}
	}
	return out
}

// curves adds what a chain has summed.
func (s *sums) curves(sum []float64, w float64, k kind, scatter int, rows, block []int) {
	n := len(sum) - 1
	total := w * sum[n]
	s.top = max(s.top, total)
	s.total += total
	s.byKind[k] += total
	s.byScatter[scatter] += total
	for i, u := range sum[:n] {
		s.slip(rows[i], w*u, scatter)
	}
	s.shift(block, total, scatter)
}
