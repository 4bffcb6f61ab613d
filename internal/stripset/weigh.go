package stripset

import (
	"math"
	"slices"

	"example.org/actinic/internal/cholesky"
)

// set is the strips with what was found so far set aside.
type set struct {
	u      []float64
	strips []Strip
	out    [][measures]bool // measures that are set aside
	apart2 []bool           // strips that were in a finding of order

	g gauss // the memory of gaussian
	m cholesky.Matrix
	r []float64
}

func newSet(strips []Strip) *set {
	s := &set{strips: slices.Clone(strips), out: make([][measures]bool, len(strips)), apart2: make([]bool, len(strips))}
	for _, st := range strips {
		s.u = append(s.u, math.Log(st.Minutes/10))
	}
	return s
}

// apart sets a finding aside: the measure is not looked at again, exchanged strips
// are exchanged, a strip of a wrong time is out.
func (s *set) apart(f Finding) {
	switch f.Kind {
	case Fog:
		s.out[f.Strip][Base] = true
	case Slower:
		s.out[f.Strip][Speed] = true
	case Contrast:
		s.out[f.Strip][LnGradient] = true
	case Swapped:
		s.u[f.Strip], s.u[f.Other] = s.u[f.Other], s.u[f.Strip]
		s.apart2[f.Strip], s.apart2[f.Other] = true, true
	case Time:
		for a := range measures {
			s.out[f.Strip][a] = true
		}
	}
}

func (s *set) has(i, a int) bool {
	return !s.out[i][a] && s.strips[i].Value[a] == s.strips[i].Value[a]
}

// hypothesis with its probability.
type hypothesis struct {
	Finding
	logL float64
	p    float64
}

// How far each measure may be off, as standard deviations, and the prior share of
// each hypothesis over all strips.
var (
	off   = [measures]float64{Base: 0.12, Speed: 0.3, LnGradient: 0.2}
	share = [measures]float64{Base: 0.02, Speed: 0.02, LnGradient: 0.01}
	kinds = [measures]Kind{Base: Fog, Speed: Slower, LnGradient: Contrast}
)

const (
	shareSwap = 0.02
	shareTime = 0.01
	// Times tried for a wrong label: places, how far beyond the others and how near
	// the written one in u.
	timePlaces = 19
	timeBeyond = 0.7
	timeNear   = 0.08
	sameTime   = 1e-9
)

// weigh returns the hypotheses with their probabilities, "all is well" first; ok is
// false where there is nothing to weigh.
func (s *set) weigh() (hs []hypothesis, ok bool) {
	n := float64(len(s.strips))
	sums := map[Finding]*hypothesis{}
	var order []Finding
	put := func(f Finding, size, logL float64) {
		h := sums[f]
		if h == nil {
			h = &hypothesis{Finding: f, logL: logL}
			h.Size = size
			sums[f] = h
			order = append(order, f)
			return
		}
		if logL > h.logL {
			h.Size = size
		}
		h.logL = logAdd(h.logL, logL)
	}
	for _, f := range factors {
		g, ok := s.gaussian(s.u, f.f)
		if !ok {
			return nil, false
		}
		lp := math.Log(f.prior)
		inv := g.l.Inverse()
		put(Finding{Other: -1}, 0, g.logL+lp)
		for k, e := range g.rows {
			if e.measure == Base && len(s.strips) < 3 {
				continue
			}
			shift, gain := g.shift(k, inv.At(k, k), off[e.measure])
			if e.measure == Base { // fog only adds
				if !(shift > 0) {
					continue
				}
				gain += math.Ln2
			}
			put(Finding{Kind: kinds[e.measure], Strip: e.strip, Other: -1}, shift, g.logL+gain+lp+math.Log(share[e.measure]/n))
		}
		s.swaps(f.f, lp, put)
		if len(s.strips) > 2 {
			s.times(f.f, lp, put)
		}
	}
	top := math.Inf(-1)
	for _, f := range order {
		top = math.Max(top, sums[f].logL)
	}
	sum := 0.0
	for _, f := range order {
		h := *sums[f]
		h.p = math.Exp(h.logL - top)
		sum += h.p
		hs = append(hs, h)
	}
	for i := range hs {
		hs[i].p /= sum
		hs[i].Probability = hs[i].p
	}
	return hs, true
}

// swaps tries each two strips of different times exchanged.
func (s *set) swaps(f, lp float64, put func(Finding, float64, float64)) {
	n := len(s.strips)
	pairs := float64(n*(n-1)) / 2
	u := slices.Clone(s.u)
	for i := range n {
		for k := i + 1; k < n; k++ {
			if math.Abs(u[i]-u[k]) < sameTime || s.apart2[i] || s.apart2[k] {
				continue
			}
			u[i], u[k] = u[k], u[i]
			if g, ok := s.gaussian(u, f); ok {
				put(Finding{Kind: Swapped, Strip: i, Other: k}, 0, g.logL+lp+math.Log(shareSwap/pairs))
			}
			u[i], u[k] = u[k], u[i]
		}
	}
}

// times tries other times for each strip.
func (s *set) times(f, lp float64, put func(Finding, float64, float64)) {
	u := slices.Clone(s.u)
	lo, hi := slices.Min(u)-timeBeyond, slices.Max(u)+timeBeyond
	n := float64(len(u))
	at := make([]float64, 0, timePlaces)
	for i := range u {
		if s.apart2[i] {
			continue
		}
		was := u[i]
		at = at[:0]
		for k := range timePlaces {
			if v := lo + (hi-lo)*float64(k)/(timePlaces-1); math.Abs(v-was) > timeNear {
				at = append(at, v)
			}
		}
		for _, v := range at {
			u[i] = v
			if g, ok := s.gaussian(u, f); ok {
				put(Finding{Kind: Time, Strip: i, Other: -1}, 10*math.Exp(v), g.logL+lp+math.Log(shareTime/n/float64(len(at))))
			}
		}
		u[i] = was
	}
}

type entry struct{ strip, measure int }

// gauss is the density of the measures under one set of times and one scatter.
type gauss struct {
	rows []entry
	logL float64
	l    cholesky.Matrix // factor of M
	z    []float64       // M^-1 (y - X m)
}

// gaussian gives the density of y under X m with covariance S + scatter + X P X'. What it
// returns holds until the next.
func (s *set) gaussian(u []float64, f float64) (g *gauss, ok bool) {
	g = &s.g
	g.rows = g.rows[:0]
	for i := range s.strips {
		for a := range measures {
			if s.has(i, a) {
				g.rows = append(g.rows, entry{i, a})
			}
		}
	}
	n := len(g.rows)
	if n == 0 {
		return g, false
	}
	if s.m.N != n {
		s.m, g.l, s.r, g.z = cholesky.New(n), cholesky.New(n), make([]float64, n), make([]float64, n)
	}
	m, r := s.m, s.r
	clear(m.A)
	for a, e := range g.rows {
		x := [3]float64{1, u[e.strip], u[e.strip] * u[e.strip]}
		r[a] = s.strips[e.strip].Value[e.measure]
		for k, pr := range priors[e.measure] {
			r[a] -= pr[0] * x[k]
		}
		for b, h := range g.rows[:a+1] {
			if h.strip == e.strip {
				m.Add(a, b, s.strips[e.strip].Cov[e.measure][h.measure])
			}
			if h.measure != e.measure {
				continue
			}
			v := u[h.strip]
			for k, y := range [3]float64{1, v, v * v} {
				sd := priors[e.measure][k][1]
				m.Add(a, b, x[k]*y*sd*sd)
			}
		}
		p := f * process[e.measure]
		m.Add(a, a, p*p)
	}
	logDet, ok := m.Factor(g.l)
	if !ok {
		return g, false
	}
	copy(g.z, r)
	g.l.Solve(g.z)
	g.logL = -0.5 * logDet
	for i, z := range g.z {
		g.logL -= 0.5 * r[i] * z
	}
	return g, true
}

// shift gives the departure of row k if it may be off by sd a, and the gain in ln L;
// kk is element k, k of M^-1.
//
//	v = 1/(e' M^-1 e),  s = v e' M^-1 (y - X m),  s A²/(A² + v)
//
// Source: G. E. P. Box and G. C. Tiao, Biometrika 55 (1968) 119-129 (from memory).
func (g *gauss) shift(k int, kk, a float64) (size, gain float64) {
	v := 1 / kk
	s := v * g.z[k]
	part := a * a / (a*a + v)
	return s * part, 0.5*math.Log(v/(v+a*a)) + 0.5*s*s/v*part
}

// judge names the finding, if there is one.
func (s *set) judge(hs []hypothesis) (Finding, bool) {
	of := make([]float64, len(s.strips))
	most, in := -1, 0.0
	for _, h := range hs[1:] {
		if h.p > 0.5 {
			return h.Finding, true
		}
		of[h.Strip] += h.p
		if h.Other >= 0 {
			of[h.Other] += h.p
		}
	}
	for i, p := range of {
		if p > in {
			most, in = i, p
		}
	}
	if hs[0].p >= 0.5 || most < 0 {
		return Finding{}, false
	}
	return Finding{Kind: Unlike, Strip: most, Other: -1, Probability: in}, true
}

func logAdd(a, b float64) float64 {
	if a < b {
		a, b = b, a
	}
	return a + math.Log1p(math.Exp(b-a))
}
