package corrections

import (
	"math"

	"example.org/actinic/internal/elementary"
)

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

// ground is what the laws of the grid are held to: the points with their roundings. rows are
// the rows of the table that the points are, block those that are slips by hypothesis.
type ground struct {
	points      []point
	rounds      []rounding
	rows, block []int
	x, back     []float64 // back is exp(-y k) of the greatest scatter
	edge        [][len(scatters)]cells
	floor       [][]float64 // of a slip, by rounding and row
	share       float64     // of each rounding in the prior
	// Of one law: its distances from the points and their powers, its factors; where it lies,
	// worked out once it is wanted.
	e, raised, factors, at []float64
	placed                 bool
}

func newGround(points []point, rounds []rounding, rows, block []int, prior float64) *ground {
	n := len(points)
	space := func() []float64 { return make([]float64, n) }
	g := &ground{points: points, rounds: rounds, rows: rows, block: block, x: space(), back: space(),
		e: space(), raised: space(), factors: space(), at: space(), share: prior * gridShare / float64(len(rounds)),
		edge: make([][len(scatters)]cells, len(rounds)), floor: make([][]float64, len(rounds))}
	for i, p := range points {
		g.x[i] = p.x
		g.back[i] = math.Exp(-max(min(p.y, 40), -40) * widest)
	}
	for k, r := range rounds {
		for j, sc := range scatters {
			g.edge[k][j] = edges(points, r, sc.sd)
		}
		g.floor[k] = space()
		for i, q := range r.slip {
			g.floor[k][i] = slipShare * q
		}
	}
	return g
}

// grid adds the laws of the grid.
//
// A law z gives the row the mass, soft at the edges only,
//
//	M = (1 - eps) (L((hi - z) k) - L((lo - z) k))
//
// L the logistic, and 0 off the grid of the rounding; the row's factor is M + eps q, and the
// probability of its slip under the law eps q / (M + eps q).
//
// Source: worked out here, after the mixture of Box and Tiao (Biometrika 55 (1968) 119-129,
// from memory).
//
// Without a scatter of the maker's the grid is too coarse: laws between its own are tried
// about those that go with a scatter of a twentieth of a stop.
func (s *sums) grid(points []point, rounds []rounding, rows, block []int, prior float64) {
	g := newGround(points, rounds, rows, block, prior)
	close := s.scattered(g)
	some := parts[:min(len(parts), max(1, mostBetween/max(1, len(close))))]
	for _, c := range close {
		s.between(g, c, some)
	}
}

// mostBetween bounds the laws between those of the grid. Where the cells are wide, as marks
// are, many are candidates, and the grid is fine enough.
const mostBetween = 3000

// A candidate is a law of the grid about which others lie that keep to the rounding.
type candidate struct {
	family, law int
	share       float64
	sum         float64 // of its weights under the least scatter of the grid
}

// nearby is the weight beside the greatest from which a law is a candidate.
const nearby = 1e-4

// scattered adds the laws of the grid under a scatter of the maker's, the wider ones on a
// quarter of it, and returns the candidates.
func (s *sums) scattered(g *ground) []candidate {
	var close []candidate
	top := 0.0
	for f, family := range families {
		number := -1
		family.laws(g.x, func(lawPrior float64, coarse bool, grown []float64) {
			number++
			for i, v := range grown {
				g.e[i] = min(max(v*g.back[i], 1e-18), 1e18)
			}
			g.placed = false
			w := lawPrior * family.weight * g.share
			for j := 1; j < len(scatters); j++ {
				share := w * scatters[j].weight
				if j >= 2 {
					if !coarse {
						continue
					}
					share *= 4
				}
				if sum := s.law(g, share, j); j == 1 && sum > top*nearby {
					top = max(top, sum)
					close = append(close, candidate{f, number, w * scatters[0].weight, sum})
				}
			}
		})
	}
	kept := close[:0]
	for _, c := range close {
		if c.sum >= top*nearby {
			kept = append(kept, c)
		}
	}
	return kept
}

// between adds the laws between those of the grid, about a candidate, without a scatter.
func (s *sums) between(g *ground, c candidate, parts [][3]float64) {
	z := g.raised // free until law needs it
	for _, part := range parts {
		families[c.family].near(g.x, c.law, part, z)
		for i, v := range z {
			g.e[i] = min(max((v-g.points[i].y)*widest, -40), 40)
		}
		elementary.Exp(g.e, g.e)
		g.placed = false
		s.law(g, c.share/float64(len(parts)), 0)
	}
}

// parts are parts of a step of the grid, none and others spread evenly: the additive recurrence of the
// generalised golden ratio in three dimensions (M. Roberts, from memory).
var parts = func() (out [32][3]float64) {
	const g = 1.2207440846057596
	for k := 1; k < len(out); k++ {
		for d := range out[k] {
			_, f := math.Modf(0.5 + float64(k)/math.Pow(g, float64(d+1)))
			out[k][d] = f - 0.5
		}
	}
	return out
}()

// raise computes exp((z-y) k) of a scatter from that of the widest, by powers.
func (g *ground) raise(scatter int) {
	for i, e := range g.e {
		e2 := e * e
		e4 := e2 * e2
		e8 := e4 * e4
		g.raised[i] = [...]float64{e8 * e8, e4, e2, e}[scatter]
	}
}

// place works out where the law lies.
func (g *ground) place() {
	if g.placed {
		return
	}
	elementary.Log(g.at, g.e)
	for i, p := range g.points {
		g.at[i] = g.at[i]/widest + p.y
	}
	g.placed = true
}

// negligible is the weight beside the greatest at which a hypothesis is passed over.
const negligible = 1e-9

// law adds one law under one scatter and all roundings, and returns its weight.
func (s *sums) law(g *ground, prior float64, scatter int) (sum float64) {
	g.raise(scatter)
	for k := range g.rounds {
		sum += s.rounded(g, prior, k, scatter)
	}
	return sum
}

func (s *sums) rounded(g *ground, w float64, k, scatter int) float64 {
	least := s.top * negligible
	c, floor := g.edge[k][scatter], g.floor[k]
	for i, v := range g.raised {
		f := (1-slipShare)*(1/(1+v*c.upper[i])-1/(1+v*c.lower[i])) + floor[i]
		g.factors[i] = f
		if w *= f; w < least {
			return 0
		}
	}
	if w == 0 {
		return 0
	}
	s.top = max(s.top, w)
	s.total += w
	s.byKind[g.rounds[k].kind] += w
	s.byScatter[scatter] += w
	g.place()
	for i, f := range g.factors {
		r := g.rows[i]
		s.slip(r, w*floor[i]/f, scatter)
		if g.block == nil {
			rest, z := w/f, g.at[i]
			s.rest[r] += rest
			s.first[r] += rest * z
			s.second[r] += rest * (z*z + scatters[scatter].sd*scatters[scatter].sd)
		}
	}
	s.shift(g.block, w, scatter)
	return w
}
