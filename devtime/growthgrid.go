package devtime

import (
	"cmp"
	"math"
	"slices"
	"time"

	"example.org/actinic/internal/check"
)

// growthGrid weighs laws on grids, one for each kind of law and each belief about the
// scatter and the error, so that each is as fine as what it weighs.
type growthGrid struct {
	t, y, v     []float64 // minutes, contrasts, variances of reading
	spread      float64   // of the scatter, before the strips
	first, last time.Duration
	cells       []growthCell
	most        [2]float64 // greatest weight, of the law of one rate and of many
}

type growthCell struct {
	growthNode           // its limit the likeliest
	sd, lnWeight float64 // of the limit
}

func newGrowthGrid(points []Point, known bool, first, last time.Duration) *growthGrid {
	g := &growthGrid{spread: processScatter, first: first, last: last, most: [2]float64{math.Inf(-1), math.Inf(-1)}}
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
	cells   []growthCell
	most    float64
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
		p.lay(g, rate, delay, steps, delays)
		const counts = -12
		r, d := span{math.Inf(1), math.Inf(-1)}, span{math.Inf(1), math.Inf(-1)}
		for _, c := range p.cells {
			if c.lnWeight > p.most+counts {
				v := math.Log(c.rate)
				r = span{math.Min(r.lo, v), math.Max(r.hi, v)}
				d = span{math.Min(d.lo, c.induction), math.Max(d.hi, c.induction)}
			}
		}
		if !(r.lo <= r.hi) {
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
	for _, c := range p.cells {
		if c.lnWeight > p.most-13 {
			g.most[c.class()] = math.Max(g.most[c.class()], c.lnWeight)
			g.cells = append(g.cells, c)
		}
	}
}

// span is a range.
type span struct{ lo, hi float64 }

func (p *growthPatch) lay(g *growthGrid, rate, delay span, steps, delays int) {
	p.cells, p.most = p.cells[:0], math.Inf(-1)
	step, width := (rate.hi-rate.lo)/float64(steps-1), (delay.hi-delay.lo)/float64(delays)
	x, left := make([]float64, len(g.t)), make([]float64, len(g.t))
	for i := range steps {
		n := growthNode{rate: math.Exp(rate.lo + step*float64(i)), order: p.order}
		if !p.delayed {
			for k, t := range g.t {
				x[k] = n.share(t)
			}
			p.add(g, n, p.prior*step, x)
			continue
		}
		for k, t := range g.t {
			left[k] = math.Exp(-n.rate * t)
		}
		for j := range delays {
			n.induction = delay.lo + width*(float64(j)+0.5)
			later := math.Exp(n.rate * n.induction)
			for k, v := range left { // as share, for a strip is later than an induction time
				x[k] = 1 - v*later
			}
			z := n.induction / inductionSpread
			p.add(g, n, p.prior*step*width*math.Sqrt(2/math.Pi)/inductionSpread*math.Exp(-z*z/2), x)
		}
	}
}

// add weighs one law that has the parts x of its limit at the strips, the limit
// integrated out.
func (p *growthPatch) add(g *growthGrid, n growthNode, prior float64, x []float64) {
	var sxx, sxy float64
	for i, x := range x {
		sxx += x * x * p.noise.w[i]
		sxy += x * g.y[i] * p.noise.w[i]
	}
	n.limit = sxy / sxx
	if !(n.limit > 0) || math.IsInf(n.limit, 0) {
		return
	}
	c := growthCell{growthNode: n, sd: 1 / math.Sqrt(sxx)}
	c.lnWeight = math.Log(prior/n.limit*c.sd) - (p.noise.syy-sxy*n.limit)/2 - p.noise.lnVar/2
	if !(c.lnWeight > math.Inf(-1)) {
		return
	}
	p.most = math.Max(p.most, c.lnWeight)
	p.cells = append(p.cells, c)
}

// nodes spreads the limit of each cell of a class over its own doubt, in five places
// of Gauss and Hermite, and leaves out what counts nothing. Their weights add to 1;
// lnTotal is what the class has.
func (g *growthGrid) nodes(class int) (nodes []growthNode, lnTotal float64) {
	places := [...]struct{ z, w float64 }{
		{0, 8. / 15}, {1.3556261799742659, 0.22207592200561265}, {-1.3556261799742659, 0.22207592200561265},
		{2.8569700138728057, 0.011257411327720688}, {-2.8569700138728057, 0.011257411327720688},
	}
	const counts = -13
	most := g.most[class]
	count := 0
	for _, c := range g.cells {
		if c.class() == class && c.lnWeight >= most+counts {
			count++
		}
	}
	nodes = make([]growthNode, 0, count*len(places))
	var total float64
	for _, c := range g.cells {
		if c.class() != class || !(c.lnWeight >= most+counts) {
			continue
		}
		for _, p := range places {
			n := c.growthNode
			n.limit += p.z * c.sd
			n.weight = p.w * math.Exp(c.lnWeight-most)
			if n.limit > 0 && !math.IsInf(n.limit, 0) && n.weight > 1e-8 {
				nodes = append(nodes, n)
				total += n.weight
			}
		}
	}
	return thinGrowth(nodes, total), math.Log(total) + most
}
