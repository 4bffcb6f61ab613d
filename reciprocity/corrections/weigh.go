package corrections

import (
	"math"
)

// The weights of the laws of a grid, of any smooth curve, and of broken ones.
const gridShare, smoothShare, brokenShare = 0.61, 0.34, 0.05

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
	marked      float64   // weight of the marks of times against them and third stops
	least       []float64 // share of it in the probability of each row
	width, mass []float64 // of the likeliest rounding
}

// sums collects weights of hypotheses.
type sums struct {
	total       float64
	p, shifted  []float64
	least       []float64 // of p, under the least scatter
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
	s := &sums{p: make([]float64, n), shifted: make([]float64, n), least: make([]float64, n), rest: make([]float64, n),
		first: make([]float64, n), second: make([]float64, n)}
	all := make([]int, n)
	for i := range all {
		all[i] = i
	}
	rounds := roundings(points)
	s.grid(points, rounds, all, nil, 1)
	s.smooth(points, rounds, all, nil, 1)
	s.broken(points, rounds, all, nil, brokenShare)
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

// slip adds to the weight of a slip in a row.
func (s *sums) slip(row int, w float64, scatter int) {
	if s.p[row] += w; scatter == 0 {
		s.least[row] += w
	}
}

// shift adds to the weight of a shifted block.
func (s *sums) shift(block []int, w float64, scatter int) {
	for _, r := range block {
		s.slip(r, w, scatter)
		s.shifted[r] += w
	}
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
	out := weighed{p: make([]float64, n), shifted: make([]float64, n), least: make([]float64, n), implied: make([]float64, n),
		sd: make([]float64, n)}
	for i := range n {
		if s.p[i] > 0 {
			out.least[i] = s.least[i] / s.p[i]
		}
		out.p[i], out.shifted[i] = min(s.p[i]/s.total, 1), s.shifted[i]/s.total
		out.implied[i] = s.first[i] / s.rest[i]
		out.sd[i] = math.Sqrt(max(0, s.second[i]/s.rest[i]-out.implied[i]*out.implied[i]))
	}
	for k, w := range s.byKind {
		if w > s.byKind[out.rounding] {
			out.rounding = kind(k)
		}
	}
	out.steady = s.byScatter[0] / s.total
	if both := s.byKind[marks] + s.byKind[thirds]; both > 0 {
		out.marked = s.byKind[marks] / both
	}
	for _, r := range rounds {
		if r.kind == out.rounding {
			out.width, out.mass = r.width, r.slip
		}
	}
	return out
}
