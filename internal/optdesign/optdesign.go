// Package optdesign finds which readings to take so that what is wanted comes out
// sharpest: optimal designs on a finite set of candidates.
//
// A reading at candidate i brings the information I_i (for a reading of standard
// deviation s with gradient f, f f'/s²). Readings add, and with what was known before,
//
//	M = P + sum n_i I_i,   variance of the wanted quantity = c' M^-1 c
//
// What I and c are depends on constants that are not known yet, so the criterion is the
// mean over scenarios of them. [Problem.Best] gives the weights of the best design without
// regard to whole numbers, [Problem.Exact] counts, [Problem.After] what one more reading
// would do.
//
// Sources: V. V. Fedorov, Theory of Optimal Experiments (1972), for exchange and the
// equivalence theorem; S. D. Silvey, D. M. Titterington and B. Torsney, An algorithm for
// optimal designs on a design space, Communications in Statistics A 7 (1978) 1379-1389,
// for the multiplication of weights (both from memory).
package optdesign

import (
	"math"

	"example.org/actinic/internal/check"
	"example.org/actinic/internal/cholesky"
)

// ErrProblem wraps what is wrong with a problem.
var ErrProblem = check.Sentinel("optdesign: unusable problem")

// Criterion says what is to be small.
type Criterion uint8

const (
	// Variance is the mean of c' M^-1 c over scenarios and wanted quantities: c-optimality,
	// and the linear one for several c.
	Variance Criterion = iota
	// Determinant is the mean of -ln det M: D-optimality.
	Determinant
)

// Scenario is what the readings bring if the unknown constants are as supposed.
type Scenario struct {
	Weight float64           // how likely; those of all scenarios are made to sum to 1
	Prior  cholesky.Matrix   // information that is there before; N = 0 for none
	Info   []cholesky.Matrix // of one reading at each candidate
	Wanted [][]float64       // gradients of the wanted quantities; not looked at by Determinant
}

// Problem is a set of scenarios with the same candidates and constants.
type Problem struct {
	criterion  Criterion
	scenarios  []Scenario
	candidates int
	constants  int
	most       map[int]int
	ridge      []float64 // by scenario, what keeps a design that lacks a direction solvable
}

// Reading is the information of a reading of standard deviation sd with a gradient.
func Reading(gradient []float64, sd float64) cholesky.Matrix {
	m := cholesky.New(len(gradient))
	for i, a := range gradient {
		for j, b := range gradient {
			m.Add(i, j, a*b/(sd*sd))
		}
	}
	return m
}

// New checks the scenarios. The error wraps [ErrProblem]: none, other numbers of candidates
// or constants, weights that are not above 0, values that are not finite, no wanted
// quantity.
func New(criterion Criterion, scenarios []Scenario) (*Problem, error) {
	bad := func(format string, args ...any) (*Problem, error) {
		return nil, check.Errorf(ErrProblem, format, args...)
	}
	if len(scenarios) == 0 || len(scenarios[0].Info) == 0 || criterion > Determinant {
		return bad("%d scenarios, want one at least, with candidates", len(scenarios))
	}
	p := &Problem{criterion: criterion, candidates: len(scenarios[0].Info), constants: scenarios[0].Info[0].N}
	if p.constants == 0 {
		return bad("no constants")
	}
	sum := 0.0
	for k, s := range scenarios {
		if !(s.Weight > 0) || math.IsInf(s.Weight, 0) {
			return bad("scenario %d has weight %v", k+1, s.Weight)
		}
		sum += s.Weight
		if len(s.Info) != p.candidates || criterion == Variance && len(s.Wanted) == 0 {
			return bad("scenario %d has %d candidates and %d wanted quantities, the first %d candidates", k+1, len(s.Info), len(s.Wanted), p.candidates)
		}
		most := 0.0
		for i, m := range s.Info {
			if m.N != p.constants || len(m.A) != m.N*m.N || !check.Finite(m.A...) {
				return bad("scenario %d: information of candidate %d", k+1, i+1)
			}
			for j := range m.N {
				most = math.Max(most, m.At(j, j))
			}
		}
		if s.Prior.N != 0 && (s.Prior.N != p.constants || len(s.Prior.A) != p.constants*p.constants || !check.Finite(s.Prior.A...)) {
			return bad("scenario %d: information before", k+1)
		}
		for _, c := range s.Wanted {
			if len(c) != p.constants || !check.Finite(c...) {
				return bad("scenario %d: gradient %v of a wanted quantity", k+1, c)
			}
		}
		p.ridge = append(p.ridge, ridge*most)
	}
	for _, s := range scenarios {
		s.Weight /= sum
		p.scenarios = append(p.scenarios, s)
	}
	return p, nil
}

// ridge is the information that each constant is given of that of the strongest
// candidate: a best design may leave a constant open that the wanted quantity does not
// need. Weighed against an answer to three or four digits it is nothing.
const ridge = 1e-9

// state is the memory of an evaluation.
type state struct{ m, l cholesky.Matrix }

func (p *Problem) newState() *state {
	return &state{cholesky.New(p.constants), cholesky.New(p.constants)}
}

// factor puts M of a scenario and its factor into s; ok is false where it is singular.
func (p *Problem) factor(s *state, k int, n []float64) (logDet float64, ok bool) {
	sc := &p.scenarios[k]
	a := s.m.A
	if sc.Prior.N > 0 {
		copy(a, sc.Prior.A)
	} else {
		clear(a)
	}
	for i, w := range n {
		if w == 0 {
			continue
		}
		for j, v := range sc.Info[i].A {
			a[j] += w * v
		}
	}
	total := 0.0
	for _, w := range n {
		total += w
	}
	for j := range p.constants {
		a[j*p.constants+j] += p.ridge[k] * total
	}
	return s.m.Factor(s.l)
}

// Value is the criterion of a design of n_i readings at each candidate, which need not be
// whole numbers; +Inf where they do not determine what is wanted.
func (p *Problem) Value(n []float64) float64 {
	s := p.newState()
	if !p.determined(s, n) {
		return math.Inf(1)
	}
	return p.value(s, n)
}

// determined reports whether what is wanted is known from readings and what was before, and not from the ridge
// alone: of ten times the ridge the one hardly notices, and the other falls to a tenth, a determinant by ln 10.
func (p *Problem) determined(s *state, n []float64) bool {
	for k, sc := range p.scenarios {
		one := Problem{criterion: p.criterion, constants: p.constants, scenarios: p.scenarios[k : k+1], ridge: []float64{p.ridge[k]}}
		v := one.value(s, n)
		one.ridge[0] *= 10
		w := one.value(s, n)
		known := w >= v/2
		if p.criterion == Determinant {
			known = v-w < sc.Weight
		}
		if !known || math.IsInf(v, 0) {
			return false
		}
	}
	return true
}

func (p *Problem) value(s *state, n []float64) float64 {
	sum := 0.0
	z := make([]float64, p.constants)
	for k, sc := range p.scenarios {
		logDet, ok := p.factor(s, k, n)
		if !ok {
			return math.Inf(1)
		}
		if p.criterion == Determinant {
			sum -= sc.Weight * logDet
			continue
		}
		for _, c := range sc.Wanted {
			copy(z, c)
			s.l.Solve(z)
			for j, v := range z {
				sum += sc.Weight * v * c[j]
			}
		}
	}
	return sum
}

// slopes fills into d by how much the criterion falls with each candidate's reading,
// -dvalue/dn_i, and returns the criterion.
func (p *Problem) slopes(s *state, n, d []float64) float64 {
	clear(d)
	sum := 0.0
	z := make([]float64, p.constants)
	for k, sc := range p.scenarios {
		logDet, ok := p.factor(s, k, n)
		if !ok {
			return math.Inf(1)
		}
		if p.criterion == Determinant {
			sum -= sc.Weight * logDet
			inv := s.l.Inverse()
			for i, m := range sc.Info {
				t := 0.0
				for j, v := range m.A {
					t += v * inv.A[j]
				}
				d[i] += sc.Weight * t
			}
			continue
		}
		for _, c := range sc.Wanted {
			copy(z, c)
			s.l.Solve(z)
			for j, v := range z {
				sum += sc.Weight * v * c[j]
			}
			for i, m := range sc.Info {
				// Nothing is below 0 but by rounding, where a candidate tells nothing.
				d[i] += sc.Weight * math.Max(m.Quadratic(z), 0)
			}
		}
	}
	return sum
}

// AtMost keeps exact designs from taking more than n readings at a candidate. Weights and
// their best value are not held to it.
func (p *Problem) AtMost(candidate, n int) {
	if p.most == nil {
		p.most = map[int]int{}
	}
	p.most[candidate] = n
}

// full reports whether a candidate has as many readings as it may have.
func (p *Problem) full(candidate int, n float64) bool {
	most, ok := p.most[candidate]
	return ok && n >= float64(most)
}

// Candidates is how many there are.
func (p *Problem) Candidates() int { return p.candidates }

// After gives the criterion after one more reading at each candidate, of a design that
// stands already: the best next place is where it is least. For one reading of gradient f
//
//	c' M^-1 c - (c' M^-1 f)²/(1 + f' M^-1 f)
func (p *Problem) After(n []float64) []float64 {
	s := p.newState()
	value := p.Value
	if p.determined(s, n) { // and by one reading more
		value = func(n []float64) float64 { return p.value(s, n) }
	}
	out := make([]float64, p.candidates)
	next := append([]float64(nil), n...)
	for i := range out {
		next[i]++
		out[i] = value(next)
		next[i] = n[i]
	}
	return out
}
