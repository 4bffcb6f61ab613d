package bracketfit

import (
	"math"

	"example.org/actinic/internal/cholesky"
)

// log2 is one stop in log10 H.
const stop = 0.301029995663981195

// row is one reading as the fit sees it: density y at log exposure x, before the
// offset of its tone.
type row struct {
	frame int // -1 for an unexposed patch
	tone  int
	x, y  float64
	sd    float64
	far   float64 // doubt of the curve there, as a standard deviation of y
}

// problem is a set of rows with a Gaussian prior of the constants.
type problem struct {
	rows   []row
	frames int
	np     int             // constants: the form's, then an offset for each tone but the first
	mean   []float64       // of the prior
	prec   cholesky.Matrix // its precision; zero rows where nothing is known
	first  []float64       // where to start, apart from base and toe

	departs *departure // of the curve from the form
}

// view is how a hypothesis sees the rows.
type view struct {
	scatter  float64 // of a frame's exposure, in log10 H
	wildRow  []bool
	wildFram []bool
	scale    float64 // of every reading's standard deviation
}

// How far a wild patch and a wild frame may be off, as standard deviations.
const (
	wildDensity = 0.15
	wildStops   = 0.6
)

// state is a fit in progress and its memory.
type state struct {
	p        []float64
	a, l     cholesky.Matrix
	rhs      []float64
	jac      []float64 // rows × np
	slope    []float64
	res      []float64
	acc      []float64
	old, try []float64
	many     many
	w        []float64 // 1/variance of each row under the view
	logDetD  float64   // of the variances
	logDetV  float64
	objectiv float64
}

func (q *problem) newState() *state {
	n := q.np
	return &state{
		p: make([]float64, n), a: cholesky.New(n), l: cholesky.New(n), rhs: make([]float64, n),
		jac: make([]float64, len(q.rows)*n), slope: make([]float64, len(q.rows)), res: make([]float64, len(q.rows)),
		acc: make([]float64, n), w: make([]float64, len(q.rows)), old: make([]float64, n), try: make([]float64, n),
	}
}

// curves fills residuals, slopes and derivatives at s.p.
func (q *problem) curves(s *state) {
	n := q.np
	form := formOf(s.p)
	s.many.size(len(q.rows))
	for i, r := range q.rows {
		s.many.x[i] = r.x
		if r.tone > 0 {
			s.many.x[i] += s.p[pForm+r.tone-1]
		}
	}
	form.all(&s.many)
	for i, r := range q.rows {
		j := s.jac[i*n : i*n+n]
		clear(j)
		if r.frame < 0 {
			j[pBase], s.slope[i], s.res[i] = 1, 0, r.y-s.p[pBase]
			continue
		}
		form.derivatives(&s.many, i, j)
		v, slope := s.many.v[i], s.many.slope[i]
		if q.departs != nil {
			e, es := q.departs.at(s.many.x[i] - form.toe)
			v, slope = v+e, slope+es
			j[pToe] = -slope
		}
		if r.tone > 0 {
			j[pForm+r.tone-1] = slope
		}
		s.slope[i], s.res[i] = slope, r.y-s.p[pBase]-v
	}
}

func (q *problem) variance(i int, v *view) float64 {
	w := q.rows[i].sd * v.scale
	w = w*w + q.rows[i].far*q.rows[i].far
	if v.wildRow[i] {
		w += wildDensity * wildDensity
	}
	return w
}

func (v *view) frameScatter(f int) float64 {
	if v.wildFram[f] {
		return wildStops * stop
	}
	return v.scatter
}

// weigh fills in what a view makes of the rows.
func (q *problem) weigh(s *state, v *view) {
	s.logDetD = 0
	for i := range q.rows {
		variance := q.variance(i, v)
		s.w[i] = 1 / variance
		s.logDetD += math.Log(variance)
	}
}

// normal fills the normal matrix and right side at s.p, after weigh, with the scatter of each
// frame integrated at the slopes there, the objective and ln det V.
//
//	V_f = diag(sd²) + F² s s'     (Sherman and Morrison for its inverse)
func (q *problem) normal(s *state, v *view) {
	q.curves(s)
	n := q.np
	copy(s.a.A, q.prec.A)
	clear(s.rhs)
	s.objectiv, s.logDetV = 0, s.logDetD
	for i := range n {
		for j := range n {
			s.rhs[i] += q.prec.At(i, j) * (q.mean[j] - s.p[j])
		}
		s.objectiv += s.rhs[i] * (q.mean[i] - s.p[i])
	}
	for i := 0; i < len(q.rows); {
		f := q.rows[i].frame
		j := i
		clear(s.acc)
		ss, sr := 0.0, 0.0 // s' D^-1 s, s' D^-1 r
		for ; j < len(q.rows) && q.rows[j].frame == f; j++ {
			w := s.w[j]
			r, jac, slope := s.res[j], s.jac[j*n:j*n+n], s.slope[j]
			s.objectiv += w * r * r
			ss += w * slope * slope
			sr += w * slope * r
			for a, ja := range jac {
				if ja == 0 {
					continue
				}
				wj := w * ja
				s.rhs[a] += wj * r
				s.acc[a] += wj * slope
				out := s.a.A[a*n : a*n+a+1]
				for b, jb := range jac[:len(out)] {
					out[b] += wj * jb
				}
			}
		}
		i = j
		if f < 0 {
			continue
		}
		F := v.frameScatter(f)
		if F == 0 {
			continue
		}
		c := F * F / (1 + F*F*ss)
		s.logDetV += math.Log1p(F * F * ss)
		s.objectiv -= c * sr * sr
		for a, v := range s.acc {
			if v == 0 { // the base, and other tones
				continue
			}
			v *= c
			s.rhs[a] -= v * sr
			out := s.a.A[a*n : a*n+a+1]
			for b, u := range s.acc[:len(out)] {
				out[b] -= v * u
			}
		}
	}
	for a := range n {
		for b := a + 1; b < n; b++ {
			s.a.A[a*n+b] = s.a.A[b*n+a]
		}
	}
}

// Longest steps of an iteration: beyond them the form is another.
var longest = [pForm]float64{0.2, 0.5, 0.4, 0.7, 0.7, 0.9}

// settled is the squared step, in standard deviations, at which an iteration ends:
// the constants are then within a hundredth of their standard deviation.
const settled = 1e-4

// fit iterates from s.p. It returns ln L without the prior of the hypothesis,
//
//	ln L = -½ (objective + ln det V + ln det A)
//
// and ok false where the readings do not determine the constants.
func (q *problem) fit(s *state, v *view) (logL float64, ok bool) {
	q.weigh(s, v)
	q.normal(s, v)
	for range 40 {
		if _, ok := s.a.Factor(s.l); !ok {
			return 0, false
		}
		step := s.try
		copy(step, s.rhs)
		s.l.Solve(step)
		size, cut := 0.0, 1.0
		for i, d := range step {
			size += d * s.rhs[i]
			most := 0.3
			if i < pForm {
				most = longest[i]
			}
			if a := math.Abs(d); a*cut > most {
				cut = most / a
			}
		}
		if !(size > settled) {
			break
		}
		copy(s.old, s.p)
		was := s.objectiv + s.logDetV
		for try := 0; ; try++ {
			for i := range s.p {
				s.p[i] = s.old[i] + cut*step[i]
			}
			q.clamp(s.p)
			q.normal(s, v)
			if s.objectiv+s.logDetV <= was+settled || try == 5 {
				break
			}
			cut *= 0.4
		}
		if math.Abs(was-s.objectiv-s.logDetV) < settled {
			break // along a valley that the readings do not tell from its neighbourhood
		}
	}
	logDetA, ok := s.a.Factor(s.l)
	logL = -0.5 * (s.objectiv + s.logDetV + logDetA)
	return logL, ok && logL-logL == 0
}

// clamp keeps the constants where the form can be computed.
func (q *problem) clamp(p []float64) {
	p[pLnGamma] = math.Min(math.Max(p[pLnGamma], math.Log(0.01)), math.Log(20))
	p[pLnWidth] = math.Min(math.Max(p[pLnWidth], math.Log(0.01)), math.Log(3))
	p[pLnShoulder] = math.Min(math.Max(p[pLnShoulder], math.Log(0.15)), math.Log(30))
	p[pLnSharpness] = math.Min(math.Max(p[pLnSharpness], math.Log(0.5)), math.Log(60))
}

// begin puts a start into s.p: the prior's constants, the mean of the unexposed
// patches, and the toe and gamma of a search with capped residuals.
func (q *problem) begin(s *state) {
	p := s.p
	copy(p, q.first)
	sum, n, least := 0.0, 0.0, math.Inf(1)
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, r := range q.rows {
		if r.frame < 0 {
			sum += r.y
			n++
			continue
		}
		least, lo, hi = math.Min(least, r.y), math.Min(lo, r.x), math.Max(hi, r.x)
	}
	switch {
	case n > 0:
		p[pBase] = sum / n
	case !(q.prec.At(pBase, pBase) > 0):
		p[pBase] = least - 0.01
	}
	gammas := []float64{0.5, 0.75, 1, 1.4, 2}
	if q.prec.At(pLnGamma, pLnGamma) > 100 {
		gammas = []float64{1}
	}
	const places = 31
	s.many.size(len(q.rows))
	for i, r := range q.rows {
		s.many.x[i] = r.x
	}
	best := math.Inf(1)
	toe, lnG := lo, p[pLnGamma]
	g0 := p[pLnGamma]
	for _, g := range gammas {
		p[pLnGamma] = g0 + math.Log(g)
		for k := range places {
			p[pToe] = lo - 0.6 + (hi-lo+0.9)*float64(k)/(places-1)
			c, form := 0.0, formOf(p)
			form.all(&s.many)
			for i, r := range q.rows {
				if r.frame < 0 {
					continue
				}
				e := min(math.Abs(r.y-p[pBase]-s.many.v[i]), 0.3)
				c += e * e
			}
			if c < best {
				best, toe, lnG = c, p[pToe], p[pLnGamma]
			}
		}
	}
	p[pToe], p[pLnGamma] = toe, lnG
}
