package filmfit

import (
	"cmp"
	"math"
	"slices"
)

// Prior weights of the doubts against none, and how far a stated deviation is trusted:
// like an estimate with so many degrees of freedom.
const (
	leakPrior  = 0.02 // all leaks together; a leak raises, which doubles it
	driftPrior = 0.05
	// Where no deviation is stated, little speaks against a drift but its prior.
	unseenDriftPrior = 0.1
	growsPrior       = 0.25 // where no deviation is stated
	trust            = 10
	driftBy          = 0.8
)

// A doubt is fitted if its probability to first order is worth it; of a kind, so many
// at most.
const (
	worthFitting = 0.01
	mostOfKind   = 4
)

// wildPrior is the prior weight of each of n readings being wild: a seventh of all
// strips have one, and among many readings each a hundredth.
func wildPrior(n int) float64 { return max(0.01, 1/(7*float64(n))) }

// hypothesis is a doubt with its components.
type hypothesis struct {
	doubt   Doubt
	lnPrior float64
	cs      []Component
	ln      float64 // logarithm of prior times marginal likelihood
}

// hypothesise fits all components under a doubt.
func (w *worker) hypothesise(d *Data, doubt Doubt, lnPrior float64) (h hypothesis, ok bool) {
	h = hypothesis{doubt: doubt, lnPrior: lnPrior, cs: w.all(d, doubt)}
	h.cs = slices.DeleteFunc(h.cs, func(c Component) bool {
		return doubt.Leak > 0 && !(c.Constants[len(c.Constants)-1] > 0) // a leak adds light
	})
	if len(h.cs) == 0 {
		return h, false
	}
	var ws []float64
	for _, c := range h.cs {
		ws = append(ws, c.LnWeight)
	}
	h.ln = logSum(ws) + lnPrior
	if d.Known {
		// The deviations may be a little wrong: exp(-c/2) becomes (1 + c/trust)^-n.
		top := heaviest(h.cs)
		nu := max(d.count()-4, 1)
		c := top.ChiSquare
		for _, i := range doubt.Wild { // the reading's part under its own doubt
			c += w.wildChi(&top, i)
		}
		h.ln += c/2 - (trust+nu)/2*math.Log1p(c/trust)
	}
	return h, true
}

// wildChi is what wild reading i still adds to a component's chi square.
func (w *worker) wildChi(c *Component, i int) float64 {
	w.law, w.tau = c.Toe, c.Departure
	w.weigh(c.Noise)
	if !w.eval(c.Constants, w.f, w.jac, w.root) {
		return 0
	}
	r := (w.data.Y[i] - w.f[i]) * w.root[i]
	return r * r
}

// suspicion is a doubt's Bayes factor to first order, given a component.
type suspicion struct {
	doubt Doubt
	ln    float64 // logarithm of the Bayes factor times the prior
}

// suspect returns the doubts, beyond those of w's, that a component's residuals make
// worth fitting, the likeliest first.
func (w *worker) suspect(d *Data, from Doubt, c *Component) (out []suspicion) {
	w.begin(d, from)
	w.law, w.tau = c.Toe, c.Departure
	w.weigh(c.Noise)
	if _, ok := w.objective(c.Constants, c.Noise); !ok {
		return nil
	}
	n, wide := w.n, w.wide()
	// test takes a shift of the rows where u is not 0.
	proj := make([]float64, n)
	test := func(rows []int, doubt Doubt, lnPrior float64, oneSided bool) {
		clear(proj)
		var uu, ue float64
		for _, i := range rows {
			r := w.root[i]
			uu += r * r
			ue += r * w.res[i]
			for j, v := range w.jac[i*wide:][:n] {
				proj[j] += r * v
			}
		}
		for z := range n { // less what the constants take up
			s := 0.0
			for j, v := range c.Directions[z*n : z*n+z+1] {
				s += v * proj[j]
			}
			uu -= s * s
		}
		if !(uu > 0) {
			return
		}
		v, a2 := 1/uu, ShiftSD*ShiftSD
		s := ue * v
		if oneSided && !(s > 0) {
			return
		}
		gain := s * s / v * a2 / (a2 + v)
		if math.IsInf(c.Freedom, 0) {
			// As hypothesise believes stated deviations.
			nu := max(d.count()-4, 1)
			gain = (trust + nu) * (math.Log1p(c.ChiSquare/trust) - math.Log1p(max(c.ChiSquare-gain, 0)/trust))
		} else {
			nu := c.Freedom
			gain = (nu + 1) * -math.Log1p(-min(gain/(nu+1), 0.999))
		}
		out = append(out, suspicion{doubt, gain/2 - math.Log1p(a2/v)/2 + lnPrior})
	}
	for i := range d.Y {
		if slices.Contains(from.Wild, i) || i < from.Leak {
			continue
		}
		h := from
		h.Wild = append(slices.Clone(from.Wild), i)
		test([]int{i}, h, math.Log(wildPrior(len(d.Y))), false)
	}
	if from.Leak == 0 && len(from.Wild) == 0 {
		most := min(len(d.Y)-4, max(3, len(d.Y)/2))
		var rows []int
		for j := 1; j <= most; j++ {
			rows = append(rows, j-1)
			if j > 1 {
				h := from
				h.Leak = j
				test(rows, h, math.Log(2*leakPrior/float64(most-1)), true)
			}
		}
	}
	slices.SortFunc(out, func(a, b suspicion) int { return cmp.Compare(b.ln, a.ln) })
	wild, leaks := 0, 0
	return slices.DeleteFunc(out, func(s suspicion) bool {
		if s.doubt.Leak > from.Leak {
			leaks++
			return !(s.ln > math.Log(worthFitting)) || leaks > mostOfKind
		}
		wild++
		return !(s.ln > math.Log(worthFitting)) || wild > mostOfKind
	})
}
