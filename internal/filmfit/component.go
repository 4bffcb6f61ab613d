package filmfit

import "math"

// Component is the fit of one toe with departures of one size.
type Component struct {
	Toe       Toe
	Departure float64 // standard deviation of the departure's ln slope

	Constants []float64
	// Directions holds, row by row, moves of the constants by one standard
	// deviation each, independent of one another.
	Directions []float64

	LnWeight   float64 // unnormalised
	Noise      float64 // standard deviation of unit weight
	Freedom    float64 // degrees of freedom of Noise; +Inf where it is known
	ChiSquare  float64 // of the readings, in units of Noise
	Parameters float64 // effective number of constants
}

// A noise that is not stated has the prior of noiseFreedom degrees of freedom about
// the start of the data.
const noiseFreedom = 0.2

// fit fits a component from th, which it moves.
func (w *worker) fit(law Toe, tau float64, th []float64, sigma *float64, rounds int) (out Component, ok bool) {
	w.law, w.tau = law, tau
	n := w.n
	d := w.data
	if d.Known {
		rounds = 1
	}
	count := d.count() - float64(len(w.doubt.Wild))
	var c, lndet, used float64
	for range rounds {
		if c, ok = w.minimise(th, *sigma); !ok {
			return out, false
		}
		copy(w.l, w.a)
		if !factor(w.l, n) {
			return out, false
		}
		out.Directions = grown(out.Directions, n*n)
		inverse(out.Directions, w.l, n)
		lndet, used = 0, float64(n)
		for j := range n {
			lndet += 2 * math.Log(w.l[j*n+j])
			v := 0.0
			for i := j; i < n; i++ {
				u := out.Directions[i*n+j]
				v += u * u
			}
			used -= v / (w.prior.sd[j] * w.prior.sd[j])
		}
		out.Noise, out.Freedom, out.ChiSquare, out.Parameters = *sigma, math.Inf(1), w.misfit, used
		if d.Known {
			break
		}
		out.Freedom = max(count-used, 0) + noiseFreedom
		s2 := (w.misfit**sigma**sigma + noiseFreedom*d.UnitSD*d.UnitSD) / out.Freedom
		*sigma = math.Sqrt(max(s2, d.Least*d.Least))
	}
	out.Toe, out.Departure = law, tau
	out.Constants = append([]float64(nil), th...)
	out.LnWeight = math.Log(toeChances[law]) - c/2 - lndet/2 + w.lnRoots
	for _, s := range w.prior.sd[:n] {
		out.LnWeight -= math.Log(s)
	}
	if !d.Known {
		r := d.UnitSD / out.Noise
		out.LnWeight += -noiseFreedom*math.Log(out.Noise) - noiseFreedom*r*r/2 - math.Log(2*out.Freedom)/2
	}
	return out, out.LnWeight-out.LnWeight == 0
}

// departures are the sizes of the departure, in the order in which they are fitted: the
// first from the last toe's, the others from it.
var departures = [...]float64{0.5, 0.02, 1.5}

// closest is the size that stands for the closed form.
const closest = 0.02

// all fits every component that settles.
func (w *worker) all(d *Data, h Doubt) []Component {
	w.begin(d, h)
	out := make([]Component, 0, int(Toes)*len(departures))
	w.th, w.first = grown(w.th, w.n), grown(w.first, w.n)
	th := w.th
	copy(w.first, w.prior.mean)
	if h.Leak > 0 {
		w.first[w.n-1] = 0
	}
	for law := range Toes {
		copy(th, w.first)
		sigma := 1.0
		if !d.Known {
			sigma = max(d.UnitSD, d.Least)
		}
		best, widest := math.Inf(-1), math.Inf(-1)
		for i, tau := range departures {
			if tau > departures[0] && widest < best-hopeless {
				break // wilder still would count for nothing
			}
			if i > 0 {
				copy(th, w.first)
			}
			for j := closed; j < w.constants(); j++ {
				th[j] /= 2
			}
			rounds := 2
			if i == 0 {
				rounds = 4
			}
			c, ok := w.fit(law, tau, th, &sigma, rounds)
			if !ok {
				continue
			}
			out = append(out, c)
			best = max(best, c.LnWeight)
			if i == 0 {
				widest = c.LnWeight
				copy(w.first, th) // what comes next starts from here
			}
		}
	}
	return out
}

// hopeless is how far, in ln weight, the departure of 0.5 must lie behind the best for
// that of 1.5 to be left out: it then lies twice as far behind.
const hopeless = 3
