package filmfit

import "math"

// Weighed is what a strip says, all things considered.
type Weighed struct {
	Mixture
	Doubts []Doubt // that were weighed; the first is none
	// Departure is the logarithm of the Bayes factor for a departure from the closed
	// form, under the likeliest doubt.
	Departure float64
}

// Fit weighs the components under no doubt.
func Fit(d *Data) (Weighed, bool) {
	w := workers.Get().(*worker)
	defer workers.Put(w)
	cs := w.all(d, Doubt{})
	if len(cs) == 0 {
		return Weighed{}, false
	}
	var parts []Part
	for _, c := range cs {
		parts = append(parts, Part{Component: c})
	}
	return Weighed{mix(d.X, parts), []Doubt{{}}, adequacy(cs)}, true
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
