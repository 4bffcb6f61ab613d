package corrections

import (
	"math"
)

// The weights of the two families of laws: those of a grid, and any smooth curve.
const gridShare, smoothShare = 0.6, 0.4

// shiftShare is how likely a block of rows beside equal times is shifted.
const shiftShare = 0.004

// weighed is what the rows of a table say about each other.
type weighed struct {
	p []float64 // probability of a slip
	// implied and sd are what the others say of a row, in stops of correction, NaN where
	// they say nothing; slips are the probabilities of the shifts.
	implied, sd []float64
	shifted     []float64 // probability that the row is in a shifted block
	rounding    kind      // the likeliest, and its least scatter's weight
	steady      float64   // weight of the least scatter
	width, mass []float64 // of the likeliest rounding
}

// sums collects weights of hypotheses.
type sums struct {
	total       float64
	p, shifted  []float64
	rest, first []float64 // of the weights without a row, and of these times what they imply
	second      []float64
	byKind      [kinds]float64
	byScatter   [len(scatters)]float64
	top         float64
}

// weigh weighs, for the points of a table in the order of their times, the hypotheses that
// no row or any rows are slips, over roundings, scatters of the maker, a grid of laws and
// smooth curves, and blocks of shifted rows.
func weigh(points []point) weighed {
	n := len(points)
	s := &sums{p: make([]float64, n), shifted: make([]float64, n), rest: make([]float64, n), first: make([]float64, n),
		second: make([]float64, n)}
	all := make([]int, n)
	for i := range all {
		all[i] = i
	}
	rounds := roundings(points)
	s.grid(points, rounds, all, nil, 1)
	s.smooth(points, rounds, all, nil, 1)
	for _, sh := range shifts(points) {
		moved, block := sh.apply(points)
		if len(moved) < 3 {
			continue
		}
		var rows []int
		for i := range points {
			if i != sh.from {
				rows = append(rows, i)
			}
		}
		// The roundings are those of the table; only where the rows stand has changed.
		again := roundingsLike(rounds, moved)
		s.grid(moved, again, rows, block, shiftShare)
		s.smooth(moved, again, rows, block, shiftShare)
	}
	return s.weighed(points, rounds)
}

// roundingsLike are the roundings of the same kinds for other points.
func roundingsLike(rounds []rounding, points []point) []rounding {
	var out []rounding
	for _, r := range roundings(points) {
		for _, o := range rounds {
			if o.kind == r.kind {
				out = append(out, r)
				break
			}
		}
	}
	return out
}

func (s *sums) weighed(points []point, rounds []rounding) weighed {
	n := len(points)
	out := weighed{p: make([]float64, n), shifted: make([]float64, n), implied: make([]float64, n), sd: make([]float64, n)}
	for i := range n {
		out.p[i], out.shifted[i] = s.p[i]/s.total, s.shifted[i]/s.total
		out.implied[i] = s.first[i] / s.rest[i]
		out.sd[i] = math.Sqrt(max(0, s.second[i]/s.rest[i]-out.implied[i]*out.implied[i]))
	}
	for k, w := range s.byKind {
		if w > s.byKind[out.rounding] {
			out.rounding = kind(k)
		}
	}
	out.steady = s.byScatter[0] / s.total
	for _, r := range rounds {
		if r.kind == out.rounding {
			out.width, out.mass = r.width, r.slip
		}
	}
	return out
}

// cells are the edges of the cells of a rounding for one scatter: exp(-(edge-y) k).
type cells struct{ upper, lower []float64 }

func edges(points []point, r rounding, sd float64) cells {
	c := cells{make([]float64, len(points)), make([]float64, len(points))}
	k := scale(sd)
	for i, p := range points {
		c.upper[i], c.lower[i] = math.Exp(-min(r.hi[i]-p.y, 600/k)*k), math.Exp(min(p.y-r.lo[i], 600/k)*k)
		if math.IsInf(r.lo[i], -1) {
			c.lower[i] = math.Inf(1)
		}
		if !r.on[i] {
			c.upper[i], c.lower[i] = math.Inf(1), math.Inf(1)
		}
	}
	return c
}

// grid adds the laws of the grid. rows are the rows of the table that the points are, block
// those that are slips by hypothesis.
//
// A law z gives the row the mass, soft at the edges only,
//
//	M = (1 - eps) (L((hi - z) k) - L((lo - z) k))
//
// L the logistic, and 0 off the grid; the row's factor is M + eps q, and the probability of
// its slip under the law eps q / (M + eps q).
//
// Source: worked out here, after the mixture of Box and Tiao (Biometrika 55 (1968) 119-129,
// from memory).
func (s *sums) grid(points []point, rounds []rounding, rows, block []int, prior float64) {
	n := len(points)
	x, back := make([]float64, n), make([]float64, n)
	for i, p := range points {
		x[i] = p.x
		back[i] = math.Exp(-max(min(p.y, 40), -40) * widest)
	}
	edge := make([][len(scatters)]cells, len(rounds))
	floor := make([][]float64, len(rounds))
	for k, r := range rounds {
		for j, sc := range scatters {
			edge[k][j] = edges(points, r, sc.sd)
		}
		floor[k] = make([]float64, n)
		for i, q := range r.slip {
			floor[k][i] = slipShare * q
		}
	}
	e, factors := make([]float64, n), make([]float64, n)
	raised := [len(scatters)][]float64{}
	for j := range raised {
		raised[j] = make([]float64, n)
	}
	perReading := prior * gridShare / float64(len(rounds))
	for _, f := range families {
		f.laws(x, func(lawPrior float64, coarse bool, grown []float64) {
			for i, g := range grown {
				e[i] = min(max(g*back[i], 1e-18), 1e18)
				e2 := e[i] * e[i]
				e4 := e2 * e2
				e8 := e4 * e4
				raised[0][i], raised[1][i], raised[2][i], raised[3][i] = e8*e8, e4, e2, e[i]
			}
			for j := range scatters {
				w := lawPrior * f.weight * scatters[j].weight * perReading
				if j >= 2 {
					if !coarse {
						continue
					}
					w *= 4
				}
				for k := range rounds {
					s.law(w, raised[j], edge[k][j], floor[k], factors, e, points, rows, block, rounds[k].kind, j)
				}
			}
		})
	}
}

// negligible is the weight beside the greatest at which a hypothesis is passed over.
const negligible = 1e-9

// law adds one law under one rounding and scatter.
func (s *sums) law(w float64, raised []float64, c cells, floor, factors, e []float64, points []point, rows, block []int,
	k kind, scatter int) {
	least := s.top * negligible
	for i, g := range raised {
		m := (1 - slipShare) * (1/(1+g*c.upper[i]) - 1/(1+g*c.lower[i]))
		f := m + floor[i]
		factors[i] = f
		if w *= f; w < least {
			return
		}
	}
	if w == 0 {
		return
	}
	s.top = max(s.top, w)
	s.total += w
	s.byKind[k] += w
	s.byScatter[scatter] += w
	for i, f := range factors {
		r := rows[i]
		s.p[r] += w * floor[i] / f
		if block == nil {
			rest := w / f
			z := math.Log(e[i])/widest + points[i].y
			s.rest[r] += rest
			s.first[r] += rest * z
			s.second[r] += rest * (z*z + scatters[scatter].sd*scatters[scatter].sd)
		}
	}
	for _, r := range block {
		s.p[r] += w
		s.shifted[r] += w
	}
}
