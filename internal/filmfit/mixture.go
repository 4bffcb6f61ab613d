package filmfit

import (
	"math"
	"slices"
	"sync"
)

// Mixture is the curve as the readings leave it: components that count by weight.
type Mixture struct {
	X     []float64 // exposures of the readings, rising
	Parts []Part
}

// Part is a component with its weight and the doubt under which it was fitted.
type Part struct {
	Component
	Weight float64
	Doubt  int // index among the doubts weighed
}

// leastWeight is what a component must count to be kept.
const leastWeight = 5e-4

var workers = sync.Pool{New: func() any { return new(worker) }}

// mix weighs the parts and drops the least of them.
func mix(x []float64, parts []Part, chances []float64) Mixture {
	share(parts, chances)
	parts = slices.DeleteFunc(parts, func(p Part) bool { return !(p.Weight >= leastWeight) })
	sum := 0.0
	for _, p := range parts {
		sum += p.Weight
	}
	for i := range parts {
		parts[i].Weight /= sum
	}
	return Mixture{slices.Clone(x), parts}
}

// Heaviest returns the component of the greatest weight.
func (m *Mixture) Heaviest() *Part {
	best := 0
	for i, p := range m.Parts {
		if p.Weight > m.Parts[best].Weight {
			best = i
		}
	}
	return &m.Parts[best]
}

// on readies a worker to trace curves over the exposures x.
func (w *worker) on(x []float64) {
	w.Tablet.set(x)
	w.size()
}

// Knots are points of the mean curve from the first reading to the last.
type Knots struct {
	Base                        float64
	X, Density, Rate, Departure []float64
}

// Mean returns the mean curve.
func (m *Mixture) Mean() Knots {
	w := workers.Get().(*worker)
	defer workers.Put(w)
	k := Knots{X: points(m.X)}
	n := len(k.X)
	memory := make([]float64, 3*n)
	k.Density, k.Rate, k.Departure = memory[:n:n], memory[n:2*n:2*n], memory[2*n:]
	w.on(k.X)
	for i := range m.Parts {
		p := &m.Parts[i]
		if w.along(&p.Component, p.Weight, k.Density, k.Rate, k.Departure) {
			k.Base += p.Weight * p.Constants[Base]
		}
	}
	return k
}

// Normal is what one component says of a measure: normal about Value, or Student's t
// with Freedom degrees of freedom.
type Normal struct{ Weight, Value, SD, Freedom float64 }

// move is how far, in standard deviations, the neighbouring curves lie from which a
// measure's derivative is taken.
const move = 0.3

// jumps is the part of a measure's variance that may come from directions in which it
// moves one way only, as where it jumps to another part of the curve. Beyond it the
// first order says nothing.
const jumps = 0.3

// below is how far under the first reading the curves given to a measure begin.
const below = 0.6

// Spread returns what the components say of k measures. take works all of them out
// on a curve, NaN where one cannot be taken.
func (m *Mixture) Spread(k int, take func(c *Curve, out []float64)) [][]Normal {
	w := workers.Get().(*worker)
	defer workers.Put(w)
	w.on(m.X)
	out := make([][]Normal, k)
	for i := range out {
		out[i] = make([]Normal, 0, len(m.Parts))
	}
	mid, up, down, sum := make([]float64, k), make([]float64, k), make([]float64, k), make([]float64, k)
	rough := make([]float64, k)
	skip := int((gridBelow - below) / gridStep)
	for i := range m.Parts {
		p := &m.Parts[i]
		n, g := len(p.Constants), w.basis.m
		w.jd, w.js = grown(w.jd, g*n), grown(w.js, g*n)
		if !w.trace(&p.Component, &w.mid, w.jd, w.js) {
			continue
		}
		w.mid.cut(skip)
		take(&w.mid, mid)
		clear(sum)
		clear(rough)
		for z := range n {
			dir := p.Directions[z*n : z*n+z+1]
			if !w.shift(dir, n, skip) {
				continue
			}
			take(&w.up, up)
			take(&w.down, down)
			for j := range k {
				d := up[j] - down[j]
				switch {
				case d == d:
					if bow := up[j] + down[j] - 2*mid[j]; math.Abs(bow) > 0.9*math.Abs(d) {
						rough[j] += bow * bow
					}
					d /= 2 * move
				case up[j] == up[j]:
					d = (up[j] - mid[j]) / move
				default:
					d = (down[j] - mid[j]) / move
				}
				sum[j] += d * d
			}
		}
		for j := range k {
			sd := math.Sqrt(sum[j])
			if rough[j] > jumps*sum[j]*(2*move)*(2*move) {
				sd = math.NaN()
			}
			out[j] = append(out[j], Normal{p.Weight, mid[j], sd, p.Freedom})
		}
	}
	return out
}

// cut drops the first grid points.
func (c *Curve) cut(n int) {
	c.First += float64(n) * c.Step
	c.Density, c.Rate = c.Density[n:], c.Rate[n:]
}

// unfelt is a move of the curve, in density and slope, that no measure feels beside
// the noise of readings.
const unfelt = 1e-6

// shift sets up and down to the curve mid moved either way along a direction of the
// constants. It reports false for a direction that hardly moves it.
func (w *worker) shift(dir []float64, n, skip int) bool {
	g := len(w.mid.Density)
	up, down := &w.up, &w.down
	up.First, up.Step, up.Base = w.mid.First, w.mid.Step, w.mid.Base+move*dir[0]
	down.First, down.Step, down.Base = w.mid.First, w.mid.Step, w.mid.Base-move*dir[0]
	up.Density, up.Rate = grown(up.Density, g), grown(up.Rate, g)
	down.Density, down.Rate = grown(down.Density, g), grown(down.Rate, g)
	far := math.Abs(dir[0])
	for i := range g {
		jd, js := w.jd[(i+skip)*n:][:len(dir)], w.js[(i+skip)*n:][:len(dir)]
		d, s := 0.0, 0.0
		for j, v := range dir {
			d += v * jd[j]
			s += v * js[j]
		}
		d, s = d*move, s*move
		up.Density[i], up.Rate[i] = w.mid.Density[i]+d, w.mid.Rate[i]+s
		down.Density[i], down.Rate[i] = w.mid.Density[i]-d, w.mid.Rate[i]-s
		far = max(far, math.Abs(d), math.Abs(s))
	}
	return far > unfelt
}

// Interval returns the quantiles at 2.5 and 97.5 % of a measure, NaN where more than
// a fiftieth of the weight does not have it.
func Interval(parts []Normal) (low, high float64) {
	var total float64
	lo, hi, start := math.Inf(1), math.Inf(-1), 0.0
	use := make([]Normal, 0, len(parts))
	for _, p := range parts {
		if !(p.SD >= 0) || p.Value-p.Value != 0 || math.IsInf(p.SD, 0) {
			continue
		}
		use = append(use, p)
		total += p.Weight
		start += p.Weight * p.Value
		lo, hi = min(lo, p.Value-40*p.SD), max(hi, p.Value+40*p.SD)
	}
	if !(total >= 0.98) {
		return math.NaN(), math.NaN()
	}
	// Newton's steps within a shrinking bracket.
	at := func(q float64) float64 {
		a, b := lo, hi
		c := start / total
		for range 60 {
			sum, steep := -q*total, 0.0
			for _, p := range use {
				v, d := p.below(c)
				sum += p.Weight * v
				steep += p.Weight * d
			}
			if sum < 0 {
				a = c
			} else {
				b = c
			}
			next := c - sum/steep
			if !(next > a && next < b) {
				next = a + (b-a)/2
			}
			if far := math.Abs(next - c); far < 1e-11*(hi-lo) || b-a < 1e-11*(hi-lo) {
				return next
			}
			c = next
		}
		return c
	}
	return at(0.025), at(0.975)
}

// below is the probability below v, and its density there. Student's t is taken to a
// normal deviate (D. L. Wallace, Ann. Math. Stat. 30 (1959) 1124-1130, from memory), which
// is within 0.002 in probability from two degrees of freedom on.
func (p Normal) below(v float64) (probability, density float64) {
	if !(p.SD > 0) {
		if v < p.Value {
			return 0, 0
		}
		return 1, 0
	}
	t := (v - p.Value) / p.SD
	steep := 1.0 // d z/d t
	if n := p.Freedom; !math.IsInf(n, 0) {
		s := t * t / n
		k := (8*n + 1) / (8*n + 3)
		z := math.Sqrt(n*math.Log1p(s)) * k
		steep = k
		if z > 0 {
			steep = k * k * math.Abs(t) / ((1 + s) * z)
		}
		t = math.Copysign(z, t)
	}
	return 0.5 * math.Erfc(-t/math.Sqrt2), math.Exp(-t*t/2) / math.Sqrt(2*math.Pi) * steep / p.SD
}
