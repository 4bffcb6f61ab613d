package devtime

import (
	"cmp"
	"iter"
	"math"
	"slices"
	"sync"
	"time"

	"example.org/actinic/internal/check"
	"example.org/actinic/internal/elementary"
)

// growthGrid weighs laws on grids, one for each kind of law and each belief about the
// scatter and the error, so that each is as fine as what it weighs.
type growthGrid struct {
	t, y, v     []float64 // minutes, contrasts, variances of reading
	spread      float64   // of the scatter, before the strips
	first, last time.Duration
	most        [2]float64 // greatest weight, of the law of one rate and of many
	*growthMemory
}

// growthMemory is what a search needs, for the next one.
type growthMemory struct {
	cells []growthCell
	laid  growthLaid
}

var growthMemories = sync.Pool{New: func() any { return new(growthMemory) }}

// done gives the memory back.
func (g *growthGrid) done() {
	g.cells = g.cells[:0]
	growthMemories.Put(g.growthMemory)
	g.growthMemory = nil
}

type growthCell struct {
	growthNode           // its limit the likeliest
	sd, lnWeight float64 // of the limit
}

func newGrowthGrid(points []Point, known bool, first, last time.Duration) *growthGrid {
	g := &growthGrid{spread: processScatter, first: first, last: last, most: [2]float64{math.Inf(-1), math.Inf(-1)},
		growthMemory: growthMemories.Get().(*growthMemory)}
	var mean float64
	for _, p := range points {
		mean += p.Value / float64(len(points))
	}
	for _, p := range gather(points) {
		sd := p.SD
		if !known {
			sd = readError * mean
			g.spread = 2 * processScatter
		}
		g.t, g.y, g.v = append(g.t, p.Time.Minutes()), append(g.y, p.Value), append(g.v, sd*sd)
	}
	return g
}

// mostPoints is the number of strips above which neighbours in time are averaged.
const mostPoints = 64

// gather averages strips of neighbouring times where there are very many.
func gather(points []Point) []Point {
	n := len(points)
	if n <= mostPoints {
		return points
	}
	p := slices.Clone(points)
	slices.SortFunc(p, func(a, b Point) int { return cmp.Compare(a.Time, b.Time) })
	out := make([]Point, 0, mostPoints)
	for i := range mostPoints {
		part := p[i*n/mostPoints : (i+1)*n/mostPoints]
		var t, v, s float64
		for _, q := range part {
			t, v, s = t+q.Time.Minutes(), v+q.Value, s+q.SD*q.SD
		}
		k := float64(len(part))
		at, _ := minutes(t / k)
		out = append(out, Point{at, v / k, math.Sqrt(s) / k})
	}
	return out
}

// search weighs everything.
func (g *growthGrid) search() error {
	for _, tau := range scatters {
		z := tau / g.spread
		for _, e := range misreadings {
			noise := g.noise(tau, e.times)
			prior := e.prior * math.Exp(-z*z/2)
			g.patch(growthPatch{noise: noise, prior: prior * plainPrior})
			g.patch(growthPatch{noise: noise, prior: prior * inductionPrior, delayed: true})
			for _, m := range orders {
				g.patch(growthPatch{noise: noise, prior: prior * dispersedPrior / float64(len(orders)), order: m})
			}
		}
	}
	if math.IsInf(g.most[0], -1) {
		return check.Errorf(ErrNoLaw, "no growth of contrast fits the strips")
	}
	return g.grows()
}

// grows refuses strips whose likeliest law is a straight line or a constant.
func (g *growthGrid) grows() error {
	var best growthCell
	best.lnWeight = math.Inf(-1)
	for _, c := range g.cells {
		if c.order == 0 && c.lnWeight > best.lnWeight {
			best = c
		}
	}
	long := g.last.Minutes()
	switch {
	case best.rate*long < 1.05*slowest:
		return check.Errorf(ErrNoLaw,
			"contrast grows without bending up to %s, so it shows no limit; add a strip with a longer time", FormatTime(g.last))
	case best.rate*long > fastest/1.05:
		return check.Errorf(ErrNoLaw,
			"contrast does not grow from %s on; add strips with shorter times", FormatTime(g.first))
	}
	return nil
}

// growthNoise is what the strips are believed to differ by.
type growthNoise struct {
	w          []float64 // 1/variance
	syy, lnVar float64   // weighted sum of squares, logarithm of the variances' product
}

func (g *growthGrid) noise(tau, times float64) growthNoise {
	n := growthNoise{w: make([]float64, len(g.y))}
	for i, y := range g.y {
		v := g.v[i]*times*times + tau*tau*y*y
		n.w[i] = 1 / v
		n.syy += y * y / v
		n.lnVar += math.Log(v)
	}
	return n
}

// growthPatch is the grid of one kind of law under one belief.
type growthPatch struct {
	noise   growthNoise
	prior   float64
	delayed bool // with an induction time
	order   float64
}

// growthLaid is a grid laid out: rates, and for each of them induction times, as if they
// were one list of cells. Its memory serves all patches in turn.
type growthLaid struct {
	rates, inductions []float64
	left              []float64 // strip by strip, what is left of the limit at each rate
	later             []float64 // by how much less that is later, cell by cell
	spare             []float64
	sxx, sxy          []float64
	limit, lnWeight   []float64
	most              float64 // greatest of lnWeight
}

// patch lays a grid over all rates and induction times, and again over what counts,
// until it fits.
func (g *growthGrid) patch(p growthPatch) {
	slow, fast := math.Log(slowest/g.last.Minutes()), math.Log(fastest/g.last.Minutes())
	rate := span{slow, fast}
	delay := span{0, math.Min(4*inductionSpread, 0.98*g.first.Minutes())}
	steps, delays, top := rateSteps, 1, delay.hi
	if p.delayed {
		steps, delays = delayedRateSteps, inductionSteps
	}
	for range 10 {
		g.lay(&p, rate, delay, steps, delays)
		r, d, ok := g.laid.counts()
		if !ok {
			return
		}
		step, width := (rate.hi-rate.lo)/float64(steps-1), (delay.hi-delay.lo)/float64(delays)
		r = span{math.Max(r.lo-step, slow), math.Min(r.hi+step, fast)}
		d = span{math.Max(d.lo-width, 0), math.Min(d.hi+width, top)}
		settled := r.hi-r.lo > 0.7*(rate.hi-rate.lo) && (!p.delayed || d.hi-d.lo > 0.7*(delay.hi-delay.lo))
		rate = r
		if p.delayed {
			delay = d
		}
		if settled {
			break
		}
	}
	g.keep(p.order)
}

// counts is where there is weight: the logarithms of rates, and induction times.
func (l *growthLaid) counts() (r, d span, ok bool) {
	const counts = -12
	r, d = span{math.Inf(1), math.Inf(-1)}, span{math.Inf(1), math.Inf(-1)}
	n := len(l.inductions)
	for c, w := range l.lnWeight {
		if w > l.most+counts {
			v, u := l.rates[c/n], l.inductions[c%n]
			r, d = span{min(r.lo, v), max(r.hi, v)}, span{min(d.lo, u), max(d.hi, u)}
		}
	}
	return span{math.Log(r.lo), math.Log(r.hi)}, d, r.lo <= r.hi
}

// keep adds the cells with weight to those of all patches.
func (g *growthGrid) keep(order float64) {
	l, n := &g.laid, len(g.laid.inductions)
	class := growthNode{order: order}.class()
	g.most[class] = math.Max(g.most[class], l.most)
	for c, w := range l.lnWeight {
		if w > l.most-13 {
			g.thin()
			at := growthNode{limit: l.limit[c], rate: l.rates[c/n], induction: l.inductions[c%n], order: order}
			g.cells = append(g.cells, growthCell{at, 1 / math.Sqrt(l.sxx[c]), w})
		}
	}
}

// thin makes room, where there is none, by dropping cells that count nothing beside those
// found since.
func (g *growthGrid) thin() {
	n := cap(g.cells)
	if len(g.cells) < n {
		return
	}
	g.cells = slices.DeleteFunc(g.cells, func(c growthCell) bool { return !(c.lnWeight >= g.most[c.class()]+leastNode) })
	if len(g.cells) >= n/2 {
		g.cells = slices.Grow(g.cells, max(n, 8192))
	}
}

// leastNode is how far below the greatest weight a cell still counts.
const leastNode = -13

// span is a range.
type span struct{ lo, hi float64 }

// lay weighs the laws of a grid, the limit of each integrated out.
func (g *growthGrid) lay(p *growthPatch, rate, delay span, steps, delays int) {
	l, strips := &g.laid, len(g.t)
	n := steps * delays
	l.rates, l.inductions = grown(l.rates, steps), grown(l.inductions, delays)
	l.left, l.later, l.spare = grown(l.left, strips*steps), grown(l.later, n), grown(l.spare, n)
	l.sxx, l.sxy, l.limit, l.lnWeight = grown(l.sxx, n), grown(l.sxy, n), grown(l.limit, n), grown(l.lnWeight, n)
	step, width := (rate.hi-rate.lo)/float64(steps-1), (delay.hi-delay.lo)/float64(delays)
	for i := range l.rates {
		l.rates[i] = rate.lo + step*float64(i)
	}
	elementary.Exp(l.rates, l.rates)
	l.remains(g.t, p.order)
	l.inductions[0] = 0
	prior := p.prior * step
	if p.delayed {
		prior *= width * math.Sqrt(2/math.Pi) / inductionSpread
		for j := range l.inductions {
			l.inductions[j] = delay.lo + width*(float64(j)+0.5)
		}
		for c := range l.later {
			l.later[c] = l.rates[c/delays] * l.inductions[c%delays]
		}
		elementary.Exp(l.later, l.later)
	}
	clear(l.sxx)
	clear(l.sxy)
	for k, y := range g.y {
		w := p.noise.w[k]
		for i, left := range l.left[k*steps : (k+1)*steps] {
			if !p.delayed {
				x := 1 - left
				l.sxx[i] += x * x * w
				l.sxy[i] += x * y * w
				continue
			}
			later, sxx, sxy := l.later[i*delays:(i+1)*delays], l.sxx[i*delays:(i+1)*delays], l.sxy[i*delays:(i+1)*delays]
			for j, v := range later {
				x := 1 - left*v // a strip is later than an induction time
				sxx[j] += x * x * w
				sxy[j] += x * y * w
			}
		}
	}
	l.weigh(p, prior)
}

// remains fills in what is left of the limit at times t, as [growthNode.share] has it.
func (l *growthLaid) remains(t []float64, order float64) {
	n := len(l.rates)
	for k, t := range t {
		left := l.left[k*n : (k+1)*n]
		for i, r := range l.rates {
			left[i] = -r * t
		}
		if order > 0 {
			many := l.spare[:n]
			for i, r := range l.rates {
				many[i] = r * t / order
			}
			elementary.Log1p(left, many)
			for i := range left {
				left[i] *= -order
			}
		}
		elementary.Exp(left, left)
	}
}

// weigh works the weights out from the sums over strips.
func (l *growthLaid) weigh(p *growthPatch, prior float64) {
	believed := l.spare[:len(l.inductions)] // of each induction time
	for j, v := range l.inductions {
		z := v / inductionSpread
		believed[j] = -z * z / 2
	}
	elementary.Exp(believed, believed)
	for c, sxx := range l.sxx {
		l.limit[c] = l.sxy[c] / sxx
		l.lnWeight[c] = prior * believed[c%len(believed)] / l.limit[c] / math.Sqrt(sxx)
	}
	elementary.Log(l.lnWeight, l.lnWeight)
	l.most = math.Inf(-1)
	for c, limit := range l.limit {
		w := l.lnWeight[c] - (p.noise.syy-l.sxy[c]*limit)/2 - p.noise.lnVar/2
		if !(limit > 0) || math.IsInf(limit, 0) || w != w {
			w = math.Inf(-1)
		}
		l.lnWeight[c] = w
		l.most = math.Max(l.most, w)
	}
}

// grown returns s with n elements, of the old memory if that is large enough.
func grown(s []float64, n int) []float64 {
	if cap(s) < n {
		return make([]float64, n)
	}
	return s[:n]
}

// nodes spreads the limit of each cell of a class over its own doubt, in five places
// of Gauss and Hermite, and leaves out what counts nothing. Their weights add to 1;
// lnTotal is what the class has.
func (g *growthGrid) nodes(class int) (nodes []growthNode, lnTotal float64) {
	var total float64
	count := 0
	for n := range g.spreadOut(class) {
		count++
		total += n.weight
	}
	nodes = make([]growthNode, 0, min(count, nodesKept))
	var sum float64
	for n := range g.spreadOut(class) {
		if count <= nodesKept {
			n.weight /= total
			nodes = append(nodes, n)
			continue
		}
		// Of very many, nodes of equal weight, spread as the weights are.
		sum += n.weight
		for len(nodes) < nodesKept && sum >= total*(float64(len(nodes))+0.5)/nodesKept {
			n.weight = 1. / nodesKept
			nodes = append(nodes, n)
		}
	}
	return nodes, math.Log(total) + g.most[class]
}

// spreadOut gives the nodes of a class one by one, unnormalised.
func (g *growthGrid) spreadOut(class int) iter.Seq[growthNode] {
	places := [...]struct{ z, w float64 }{
		{0, 8. / 15}, {1.3556261799742659, 0.22207592200561265}, {-1.3556261799742659, 0.22207592200561265},
		{2.8569700138728057, 0.011257411327720688}, {-2.8569700138728057, 0.011257411327720688},
	}
	return func(yield func(growthNode) bool) {
		for _, c := range g.cells {
			if c.class() != class || !(c.lnWeight >= g.most[class]+leastNode) {
				continue
			}
			n, weight := c.growthNode, math.Exp(c.lnWeight-g.most[class])
			for _, p := range places {
				n.limit, n.weight = c.limit+p.z*c.sd, p.w*weight
				if n.limit > 0 && !math.IsInf(n.limit, 0) && n.weight > 1e-8 && !yield(n) {
					return
				}
			}
		}
	}
}
