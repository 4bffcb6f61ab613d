package optdesign

import (
	"math"

	"example.org/actinic/internal/check"
)

// Design is an answer.
type Design struct {
	N     []float64 // readings at each candidate
	Value float64   // of the criterion
	// Short is by how much the value may lie above the least there is, by the equivalence
	// theorem; 0 for exact designs, of which nobody knows.
	Short float64
}

const (
	mostSteps   = 4000
	exchangeGap = 10   // steps of multiplication between exchanges
	settled     = 1e-6 // of the value
	roughly     = 1e-3 // where whole numbers begin
)

// Best gives the best design of so many readings in all, not in whole numbers. By
// convexity no design is better by more than
//
//	max_i d_i total - sum_i n_i d_i,   d_i = -dvalue/dn_i
//
// and the search ends where that is a millionth of the value (of 1, for a determinant).
// Weights are multiplied by the root of d_i (by d_i for a determinant), and between two
// candidates exchanged along a line.
//
// The error wraps [ErrProblem] for a total that is not above 0, or candidates that do not
// determine what is wanted.
func (p *Problem) Best(total float64) (*Design, error) { return p.best(total, settled) }

func (p *Problem) best(total, settled float64) (*Design, error) {
	if !(total > 0) || math.IsInf(total, 0) {
		return nil, check.Errorf(ErrProblem, "%v readings", total)
	}
	n, d := make([]float64, p.candidates), make([]float64, p.candidates)
	for i := range n {
		n[i] = total / float64(p.candidates)
	}
	s := p.newState()
	out := &Design{}
	for step := 0; ; step++ {
		v := p.slopes(s, n, d)
		most, mean := 0, 0.0
		for i, x := range d {
			mean += n[i] * x
			if x > d[most] {
				most = i
			}
		}
		scale := math.Abs(v)
		if p.criterion == Determinant {
			scale = 1
		}
		out.Value, out.Short = v, math.Max(d[most]*total-mean, 0)
		if out.Short <= settled*scale || step == mostSteps {
			break
		}
		if step%exchangeGap == exchangeGap-1 {
			p.along(s, n, d, most)
			continue
		}
		sum := 0.0
		for i, x := range d {
			if p.criterion == Variance {
				x = math.Sqrt(x)
			}
			if n[i] *= x; n[i] < 1e-12*total {
				n[i] = 0
			}
			sum += n[i]
		}
		for i := range n {
			n[i] *= total / sum
		}
	}
	if !p.determined(s, n) {
		return nil, check.Errorf(ErrProblem, "the candidates do not determine what is wanted")
	}
	out.N = n
	return out, nil
}

// along moves readings to the candidate that brings most from each that has some, the one
// that brings least first, as far as it helps.
func (p *Problem) along(s *state, n, d []float64, to int) {
	for range 3 {
		from := -1
		for i, x := range n {
			if i != to && x > 0 && (from < 0 || d[i] < d[from]) {
				from = i
			}
		}
		if from < 0 {
			return
		}
		a, b := n[from], n[to]
		at := func(x float64) float64 {
			n[from], n[to] = a-x, b+x
			return p.value(s, n)
		}
		const golden = 0.3819660112501051
		lo, hi := 0.0, a
		x1, x2 := lo+golden*(hi-lo), hi-golden*(hi-lo)
		v1, v2 := at(x1), at(x2)
		for hi-lo > 1e-4*a {
			if v1 <= v2 {
				hi, x2, v2 = x2, x1, v1
				x1 = lo + golden*(hi-lo)
				v1 = at(x1)
			} else {
				lo, x1, v1 = x1, x2, v2
				x2 = hi - golden*(hi-lo)
				v2 = at(x2)
			}
		}
		x, v := (lo+hi)/2, at((lo+hi)/2)
		for _, end := range []float64{0, a} {
			if w := at(end); w <= v {
				x, v = end, w
			}
		}
		at(x)
		p.slopes(s, n, d)
	}
}

// Exact gives a good design of whole numbers: total readings on at least distinct different
// candidates, and no fewer at each than fixed says (nil for none), which count in total. It
// starts from the best weights, and exchanges one reading after another for another as long
// as the value falls. No exchange of one reading makes it better; whether another design is
// better is not known.
//
// The error wraps [ErrProblem]: fewer readings than fixed, more distinct ones than the others
// and the candidates allow, or readings too few to determine what is wanted.
func (p *Problem) Exact(total, distinct int, fixed []int) (*Design, error) {
	n := make([]float64, p.candidates)
	have := 0
	if fixed != nil && len(fixed) != p.candidates {
		return nil, check.Errorf(ErrProblem, "%d fixed numbers for %d candidates", len(fixed), p.candidates)
	}
	for i, f := range fixed {
		if f < 0 {
			return nil, check.Errorf(ErrProblem, "%d readings", f)
		}
		n[i] = float64(f)
		have += f
	}
	fresh := 0
	for i, x := range n {
		if x == 0 && !p.full(i, 0) {
			fresh++
		}
	}
	if total < have || total < 1 || distinct > used(n)+min(total-have, fresh) {
		return nil, check.Errorf(ErrProblem, "%d readings on %d different of %d candidates, %d fixed", total, distinct, p.candidates, have)
	}
	best, err := p.best(float64(total), roughly)
	if err != nil {
		return nil, err
	}
	// The share that is most behind its weight is next; of distinct ones the best unused.
	s, d := p.newState(), make([]float64, p.candidates)
	for ; have < total; have++ {
		need := distinct - used(n)
		at := -1
		behind := func(i int) float64 { return best.N[i] - n[i] }
		if need >= total-have {
			p.slopes(s, best.N, d)
			behind = func(i int) float64 {
				if n[i] > 0 {
					return math.Inf(-1)
				}
				return d[i]
			}
		}
		for i := range n {
			if !p.full(i, n[i]) && (at < 0 || behind(i) > behind(at)) {
				at = i
			}
		}
		if at < 0 {
			return nil, check.Errorf(ErrProblem, "the candidates take %d readings, %d are wanted", have, total)
		}
		n[at]++
	}
	return p.exchange(s, n, distinct, fixed)
}

func used(n []float64) int {
	k := 0
	for _, x := range n {
		if x > 0 {
			k++
		}
	}
	return k
}

// exchange moves single readings while the value falls.
func (p *Problem) exchange(s *state, n []float64, distinct int, fixed []int) (*Design, error) {
	v := p.value(s, n)
	for range 200 {
		from, to, least := -1, -1, v*(1-math.Copysign(1e-9, v))
		if math.IsInf(v, 1) {
			least = v
		}
		for i := range n {
			if n[i] == 0 || fixed != nil && n[i] <= float64(fixed[i]) {
				continue
			}
			for j := range n {
				if j == i || p.full(j, n[j]) || n[i] == 1 && n[j] > 0 && used(n) <= distinct {
					continue
				}
				n[i]--
				n[j]++
				if w := p.value(s, n); w < least {
					from, to, least = i, j, w
				}
				n[i]++
				n[j]--
			}
		}
		if from < 0 {
			break
		}
		n[from]--
		n[to]++
		v = least
	}
	if !p.determined(s, n) {
		return nil, check.Errorf(ErrProblem, "the readings do not determine what is wanted")
	}
	return &Design{N: n, Value: v}, nil
}
