package printed

import (
	"fmt"
	"math"
	"slices"

	"example.org/actinic/internal/robust"
	"example.org/actinic/sensito/datafile"
)

// mostFree is the number of rows up to which a column is held against a smooth curve.
const mostFree = 60

// CheckFree checks a column that follows no stated law, but a smooth curve of x: Y is
// laid on a scale on which the straight line through most rows is zero and the range of the
// column is about four, and each row is weighed by the others as a value of an integrated
// Wiener process ([robust.Curve]), with several bendings and amounts of scatter; no row, one
// row or two rows may be slips. Where Additive is not set, logarithms of Y are taken. X
// must not repeat more than it varies; its order does not matter. Law and Words of the
// series are not used.
//
// A row is accused from a probability of 0.95 on (0.98 below 8 rows). Of 600 simulated
// columns of 8 to 13 rows (growth, S-curves, squares) 0.7 % [0.3, 1.7] were accused clean,
// and 83.0 % [79.8, 85.8] of slips of 50 % found in the right row (TestFreeStudy).
//
// Errors: [datafile.ErrData] as [CheckSeries], and for fewer than five rows or more than 60.
func CheckFree(s Series) (*Report, error) {
	s.Law = nil
	rep, err := s.begin()
	if err != nil {
		return nil, err
	}
	n := len(s.Y)
	if n < 5 || n > mostFree {
		return nil, fmt.Errorf("%w: %d rows, want 5 to %d of a column without a law", datafile.ErrData, n, mostFree)
	}
	f, ok := s.straighten()
	if !ok {
		return nil, fmt.Errorf("%w: every row is at %v, want different ones", datafile.ErrData, s.X[0])
	}
	p := f.weigh()
	rep.Law = "a smooth curve through the other rows"
	cut := 0.98
	if n >= 8 {
		cut = 0.95
	}
	for i := range n {
		if f.rest[i] > 0 {
			mean := f.first[i] / f.rest[i]
			sd := math.Sqrt(max(0, f.second[i]/f.rest[i]-mean*mean)) + f.width[i]/4
			rep.Implied[i] = f.back(i, mean)
			lo, hi := f.back(i, mean-1.96*sd), f.back(i, mean+1.96*sd)
			rep.Low[i], rep.High[i] = min(lo, hi), max(lo, hi)
		}
	}
	for i := range n {
		if p[i] < cut/2 {
			continue
		}
		g := s.finding(rep, i)
		g.Rule, g.Confidence, g.Probability = "the value that the other rows imply", Low, p[i]
		if p[i] >= cut {
			g.Confidence = High
		}
		rep.Add(g)
	}
	if s.Order != 0 {
		s.inOrder(rep)
	}
	return rep.Report(), nil
}

// free is a column on a scale of its own.
type free struct {
	x, y, width         []float64
	line                []float64 // what was taken off y, in its units
	unit                float64   // of the scale
	log                 bool
	rest, first, second []float64
}

// straighten takes off the straight line that most rows follow.
func (s *Series) straighten() (*free, bool) {
	n := len(s.Y)
	f := &free{x: make([]float64, n), y: make([]float64, n), width: make([]float64, n), line: make([]float64, n), log: !s.Additive,
		rest: make([]float64, n), first: make([]float64, n), second: make([]float64, n)}
	x := slices.Clone(s.X)
	if slices.Min(x) > 0 && slices.Max(x) > 20*slices.Min(x) { // times, distances
		for i := range x {
			x[i] = math.Log(x[i])
		}
	}
	lo, hi := slices.Min(x), slices.Max(x)
	if !(hi > lo) {
		return nil, false
	}
	y, r := make([]float64, n), make([]float64, n)
	for i, v := range s.Y {
		f.x[i] = 1 + 7*(x[i]-lo)/(hi-lo)
		if y[i] = v; f.log {
			y[i] = math.Log(v)
		}
	}
	robust.Bisquare(r, f.x, y, 1e-12)
	// The range as most rows have it: the middle four fifths, and a half more.
	sorted := slices.Clone(y)
	slices.Sort(sorted)
	span := 1.25 * (sorted[n-1-n/10] - sorted[n/10])
	for i := range y {
		span = max(span, 4*f.cell(s, i))
	}
	f.unit = max(span/4, 1e-300)
	for i := range y {
		f.line[i] = y[i] - r[i]
		f.y[i] = r[i] / f.unit
		f.width[i] = f.cell(s, i) / f.unit
	}
	return f, true
}

// cell is the width of the rounding of a row.
func (f *free) cell(s *Series, i int) float64 {
	if f.log {
		return s.step(i) / s.Y[i]
	}
	return s.step(i)
}

func (f *free) back(i int, z float64) float64 {
	v := f.line[i] + z*f.unit
	if f.log {
		return math.Exp(v)
	}
	return v
}

// weigh returns the probabilities of a slip.
func (f *free) weigh() []float64 {
	const share, wide = 0.02, 8.0
	n := len(f.y)
	p := make([]float64, n)
	total, top := 0.0, math.Inf(-1)
	c := robust.NewCurve(n)
	type term struct {
		l    float64
		a, b int
	}
	var terms []term
	type left struct {
		l, mean, variance float64
		i                 int
	}
	var rests []left
	slip := func(i int) float64 { return math.Log(share * min(f.width[i], 1) / wide) }
	for _, bend := range []float64{0.005, 0.02, 0.06, 0.2, 0.6} {
		for _, sc := range []struct{ sd, weight float64 }{{0.01, 0.4}, {0.04, 0.3}, {0.1, 0.2}, {0.25, 0.1}} {
			for i := range n {
				c.Y[i] = f.y[i]
				for k := range i + 1 {
					c.K[i*n+k] = robust.Wiener(f.x[i], f.x[k], bend)
				}
				c.K[i*n+i] += sc.sd*sc.sd + f.width[i]*f.width[i]/12
			}
			if !c.Invert() {
				continue
			}
			l0 := math.Log(sc.weight) + c.LogLikelihood()
			keep := func(i int) float64 { return math.Log((1 - share) * f.width[i]) }
			for i := range n {
				l0 += keep(i)
			}
			terms = append(terms, term{l0, -1, -1})
			for i := range n {
				mean, variance, l := c.Without(i)
				terms = append(terms, term{l0 - l - keep(i) + slip(i), i, -1})
				rests = append(rests, left{l0 - l - keep(i), mean, variance, i})
				for k := range i {
					if l, ok := c.WithoutTwo(i, k); ok {
						terms = append(terms, term{l0 - l - keep(i) - keep(k) + slip(i) + slip(k), i, k})
					}
				}
			}
		}
	}
	for _, t := range terms {
		top = max(top, t.l)
	}
	for _, t := range terms {
		w := math.Exp(t.l - top)
		total += w
		for _, i := range []int{t.a, t.b} {
			if i >= 0 {
				p[i] += w
			}
		}
	}
	best := make([]float64, n)
	for i := range best {
		best[i] = math.Inf(-1)
	}
	for _, r := range rests {
		best[r.i] = max(best[r.i], r.l)
	}
	for _, r := range rests {
		w := math.Exp(r.l - best[r.i])
		f.rest[r.i] += w
		f.first[r.i] += w * r.mean
		f.second[r.i] += w * (r.mean*r.mean + r.variance)
	}
	for i := range p {
		p[i] /= total
	}
	return p
}
