package filmfit

import (
	"cmp"
	"math"
	"slices"
)

// Weighed is what a strip says, all things considered.
type Weighed struct {
	Mixture
	Doubts  []Doubt   // that were weighed; the first is none
	Chances []float64 // their probabilities
	// Departure is the logarithm of the Bayes factor for a departure from the closed
	// form, under the likeliest doubt.
	Departure float64
	Plain     Mixture // what the readings would say if they were taken as they are
}

// Fit weighs the components, and the doubts about the readings that their residuals
// raise.
func Fit(d *Data) (Weighed, bool) {
	w := workers.Get().(*worker)
	defer workers.Put(w)
	none, ok := w.hypothesise(d, Doubt{}, 0)
	if !ok {
		return Weighed{}, false
	}
	hs := []hypothesis{none}
	if w.drifts(d, none) {
		prior := driftPrior
		if !d.Known {
			prior = unseenDriftPrior
		}
		if h, ok := w.hypothesise(d, Doubt{Drift: driftBy}, math.Log(prior)); ok {
			hs = append(hs, h)
		}
	}
	if !d.Known && len(d.Y) <= mostDoubted {
		if h, ok := w.hypothesise(d, Doubt{Grows: true}, math.Log(growsPrior)); ok {
			hs = append(hs, h)
		}
	}
	from := 0
	for i := range hs { // the noise that explains the readings best is doubted first
		if hs[i].ln > hs[from].ln {
			from = i
		}
	}
	if from != 0 { // a wild reading can pass for another noise
		hs = w.raise(d, hs, 0)
	}
	for range max(len(d.Y)/5, 1) {
		hs = w.raise(d, hs, from)
		best := 0
		for i := range hs {
			if hs[i].ln > hs[best].ln {
				best = i
			}
		}
		if best == from || hs[best].doubt.Leak > 0 || len(d.Y) > mostDoubted {
			break
		}
		from = best
	}
	return judge(d, hs), true
}

// drifts reports whether the residuals of neighbours go together enough to think of it:
// constants that were fitted make them go apart. Where the noise is not stated a drift
// hides in the curve and leaves small residuals, so there it is always thought of.
func (w *worker) drifts(d *Data, h hypothesis) bool {
	if len(d.Y) < leastDrifting || len(d.Y) > mostDoubted {
		return false
	}
	if !d.Known {
		return len(d.Y) >= leastUnseen
	}
	top := heaviest(h.cs)
	w.begin(d, h.doubt)
	w.law, w.tau = top.Toe, top.Departure
	w.weigh(top.Noise)
	if _, ok := w.objective(top.Constants, top.Noise); !ok {
		return false
	}
	var one, all float64
	for i, r := range w.res {
		all += r * r
		if i > 0 {
			one += r * w.res[i-1]
		}
	}
	return one > togetherness*all
}

// leastDrifting is how many readings can show a drift, and togetherness the
// correlation of neighbouring residuals from which it is weighed.
const (
	leastDrifting = 10
	leastUnseen   = 15 // where no deviation is stated
	togetherness  = 0
)

func heaviest(cs []Component) Component {
	return slices.MaxFunc(cs, func(a, b Component) int { return cmp.Compare(a.LnWeight, b.LnWeight) })
}

// mostDoubted is how many readings a strip may have to be doubted one by one: among
// many, one wild one does no harm.
const mostDoubted = 100

// raise adds the doubts beyond hypothesis from.
func (w *worker) raise(d *Data, hs []hypothesis, from int) []hypothesis {
	if len(d.Y) > mostDoubted {
		return hs
	}
	h := &hs[from]
	top := heaviest(h.cs)
	lnPrior := h.lnPrior
	doubt := h.doubt
	for _, s := range w.suspect(d, doubt, &top) {
		prior := lnPrior + math.Log(wildPrior(len(d.Y)))
		if s.doubt.Leak > doubt.Leak {
			prior = lnPrior + math.Log(2*leakPrior/float64(min(len(d.Y)-4, max(3, len(d.Y)/2))-1))
		}
		if slices.ContainsFunc(hs, func(o hypothesis) bool { return same(o.doubt, s.doubt) }) {
			continue
		}
		if next, ok := w.hypothesise(d, s.doubt, prior); ok {
			hs = append(hs, next)
		}
	}
	return hs
}

// same reports whether two doubts are one.
func same(a, b Doubt) bool {
	if a.Leak != b.Leak || a.Grows != b.Grows || a.Drift != b.Drift || len(a.Wild) != len(b.Wild) {
		return false
	}
	for _, i := range a.Wild {
		if !slices.Contains(b.Wild, i) {
			return false
		}
	}
	return true
}

// share sets the weights of parts, which lie doubt by doubt: each doubt has its chance, and
// its parts share that by their likelihood.
func share(parts []Part, chances []float64) {
	total := 0.0
	for from, to := 0, 0; from < len(parts); from = to {
		most, sum := math.Inf(-1), 0.0
		for to = from; to < len(parts) && parts[to].Doubt == parts[from].Doubt; to++ {
			most = max(most, parts[to].LnWeight)
		}
		for i := from; i < to; i++ {
			parts[i].Weight = math.Exp(parts[i].LnWeight - most)
			sum += parts[i].Weight
		}
		chance := chances[parts[from].Doubt]
		total += chance
		for i := from; i < to; i++ {
			parts[i].Weight *= chance / sum
		}
	}
	for i := range parts {
		parts[i].Weight /= total
	}
}

// judge makes one mixture of all hypotheses.
func judge(d *Data, hs []hypothesis) Weighed {
	var lns []float64
	best := 0
	for i := range hs {
		lns = append(lns, hs[i].ln)
		if hs[i].ln > hs[best].ln {
			best = i
		}
	}
	total := logSum(lns)
	out := Weighed{Departure: adequacy(hs[best].cs)}
	var parts []Part
	for i := range hs {
		h := &hs[i]
		out.Doubts = append(out.Doubts, h.doubt)
		out.Chances = append(out.Chances, math.Exp(h.ln-total))
		for _, c := range h.cs {
			parts = append(parts, Part{Component: c, Doubt: i})
		}
	}
	if len(hs) > 1 {
		out.Plain = mix(d.X, slices.Clone(parts[:len(hs[0].cs)]), out.Chances)
	}
	out.Mixture = mix(d.X, parts, out.Chances)
	return out
}

// adequacy returns the logarithm of the Bayes factor for a departure from the closed
// form: the mean marginal likelihood of the components with departures of notable
// size over that of those with hardly any.
//
// All components have to be there, so it is taken before the least are dropped.
func adequacy(cs []Component) float64 {
	var with, without []float64
	for _, c := range cs {
		if c.Departure > closest {
			with = append(with, c.LnWeight)
		} else {
			without = append(without, c.LnWeight)
		}
	}
	sizes := float64(len(departures) - 1)
	return logSum(with) - math.Log(sizes) - logSum(without)
}

func logSum(vs []float64) float64 {
	top := math.Inf(-1)
	for _, v := range vs {
		top = max(top, v)
	}
	if math.IsInf(top, -1) {
		return top
	}
	sum := 0.0
	for _, v := range vs {
		sum += math.Exp(v - top)
	}
	return top + math.Log(sum)
}
