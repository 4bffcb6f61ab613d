package sensito

import (
	"math"

	"example.org/actinic/internal/check"
)

// piece is one segment of a monotone piecewise cubic in its local variable t =
// x - piece.x.
type piece struct{ x, y, m, c2, c3 float64 }

func (p *piece) at(t float64) float64 { return t * (p.m + t*(p.c2+t*p.c3)) }

// part is a part of a segment as the inverse sees it: the cubic about the part's
// own start, and the start of the inverse u(s) = t for s = y - part.y, the cubic
// with the right values and slopes at both ends.
type part struct {
	piece
	u1, u2, u3  float64
	width, rise float64
	smooth      bool // one step from u(s) meets the last digits
}

// pieces evaluates a curve both ways. Segments are found by a bucket index instead
// of a search: bucket k holds the last segment, or part, that starts at or before
// the bucket's start.
type pieces struct {
	seg            []piece
	parts          []part
	from           []float64 // where the segments start, and +Inf
	starts         []float64 // where the parts start in y, and +Inf
	xs, ys         []int32
	x0, x1, xScale float64
	y0, y1, yScale float64
	single         bool // no bucket of x holds two starts
}

// partsOf is how many parts a segment has for the inverse; curves of very many
// knots, whose segments are nearly straight, have one.
func partsOf(segments int) int {
	if segments > 4096 {
		return 1
	}
	return 4
}

// yBuckets is how many buckets of y serve so many parts: parts in the toe and the
// shoulder rise little, so there must be many for most to hold one start at most.
func yBuckets(parts int) int {
	if parts > 4096 {
		return 2 * parts
	}
	return 16 * parts
}

// crowded marks buckets that hold more than one start by the complement of their
// entry.
func crowded(buckets []int32) {
	for b := range buckets {
		if b+1 == len(buckets) || buckets[b+1]-buckets[b] > 1 {
			buckets[b] = ^buckets[b]
		}
	}
}

// newPieces readies the cubic through knots (x, y) with slopes m, reusing the
// memory of old.
func newPieces(x, y, m []float64, old pieces) pieces {
	n := len(x) - 1
	k := partsOf(n)
	c := old
	if len(c.seg) != n {
		c = pieces{seg: make([]piece, n), parts: make([]part, n*k), from: make([]float64, n+1), xs: make([]int32, 4*n+1),
			ys: make([]int32, yBuckets(n*k)+1), starts: make([]float64, n*k+1)}
	}
	copy(c.from, x)
	c.from[n] = math.Inf(1)
	for i := range c.seg {
		h := x[i+1] - x[i]
		s := (y[i+1] - y[i]) / h
		p := piece{x[i], y[i], m[i], (3*s - 2*m[i] - m[i+1]) / h, (m[i] + m[i+1] - 2*s) / (h * h)}
		c.seg[i] = p
		for j := range k {
			a, b := h*float64(j)/float64(k), h*float64(j+1)/float64(k)
			q := part{piece: piece{p.x + a, p.y + p.at(a), p.m + a*(2*p.c2+3*p.c3*a), p.c2 + 3*p.c3*a, p.c3}, width: b - a}
			end := p.y + p.at(b)
			if j == k-1 {
				end = y[i+1]
			}
			q.rise = max(end-q.y, 0)
			q.ready()
			c.parts[i*k+j] = q
		}
	}
	c.x0, c.x1, c.y0, c.y1 = x[0], x[n], y[0], y[n]
	c.xScale = fill(c.xs, len(c.seg), x[n], func(i int) float64 { return c.seg[i].x })
	c.yScale = fill(c.ys, len(c.parts), y[n], func(i int) float64 { return c.parts[i].y })
	for i, p := range c.parts {
		c.starts[i] = p.y
	}
	c.starts[len(c.parts)] = math.Inf(1)
	crowded(c.ys)
	c.single = true
	for b := 1; b < len(c.xs); b++ {
		c.single = c.single && c.xs[b]-c.xs[b-1] <= 1
	}
	return c
}

// ready makes the start of the inverse and tries it.
func (p *part) ready() {
	if !(p.rise > 0) {
		return
	}
	t := p.width
	r := t / p.rise
	a, b := min(1/p.m, 3*r), min(1/(p.m+t*(2*p.c2+3*p.c3*t)), 3*r)
	if !(a > 0) || !(b > 0) {
		a, b = r, r
	}
	p.u1, p.u2, p.u3 = a, (3*r-2*a-b)/p.rise, (a+b-2*r)/(p.rise*p.rise)
	p.smooth = true
	for _, f := range [...]float64{0.08, 0.25, 0.5, 0.75, 0.92} {
		s := f * p.rise
		t := p.step(s)
		// A step of third order more: nothing may be left for it to do.
		again := t - (p.at(t)-s)/(p.m+t*(2*p.c2+3*p.c3*t))
		if !(math.Abs(again-t) <= 1e-15*p.width) {
			p.smooth = false
			return
		}
	}
}

// step is u(s) and one of Halley's steps, of third order.
func (p *part) step(s float64) float64 {
	t := s * (p.u1 + s*(p.u2+s*p.u3))
	f := t*(p.m+t*(p.c2+t*p.c3)) - s
	g := p.m + t*(2*p.c2+3*p.c3*t)
	return t - f*g/(g*g-f*(p.c2+3*p.c3*t))
}

// fill makes the buckets over n rising starts and an end, and returns buckets per
// unit.
func fill(buckets []int32, n int, end float64, start func(int) float64) float64 {
	k := len(buckets) - 1
	first := start(0)
	scale := float64(k) / (end - first)
	if !(scale > 0) || !check.Finite(scale) {
		for b := range buckets {
			buckets[b] = 0
		}
		return 0
	}
	i := 0
	for b := range buckets {
		at := first + float64(b)/scale
		for i < n-1 && start(i+1) <= at {
			i++
		}
		buckets[b] = int32(i)
	}
	return scale
}

// at returns the segment that holds x, nil outside.
func (c *pieces) at(x float64) *piece {
	if !(x >= c.x0-sameExposure && x <= c.x1+sameExposure) {
		return nil
	}
	return &c.seg[c.find(x)]
}

// find returns the segment that holds x, the first or last beyond the ends.
func (c *pieces) find(x float64) int {
	b := min(max(int((x-c.x0)*c.xScale), 0), len(c.xs)-1)
	i := int(c.xs[b])
	for i+1 < len(c.seg) && x >= c.from[i+1] {
		i++
	}
	for i > 0 && x < c.from[i] { // rounding put it into the next bucket
		i--
	}
	return i
}

// values sets dst to the curve at x and returns the first that lies outside, or -1.
func (c *pieces) values(dst []Density, x []LogH) int {
	dst = dst[:len(x)]
	lo, hi, x0, scale := c.x0-sameExposure, c.x1+sameExposure, c.x0, c.xScale
	xs, from, seg := c.xs, c.from, c.seg
	if !c.single {
		for j, x := range x {
			p := c.at(float64(x))
			if p == nil {
				return j
			}
			dst[j] = Density(p.y + p.at(float64(x)-p.x))
		}
		return -1
	}
	for j, x := range x {
		x := float64(x)
		if !(x >= lo && x <= hi) {
			return j
		}
		i := int(xs[min(uint((x-x0)*scale), uint(len(xs)-1))])
		// The bucket's own segment, the next, or by rounding the one before;
		// the last has no next that starts.
		if x >= from[i+1] {
			i++
		}
		p := &seg[i]
		t := x - p.x
		dst[j] = Density(p.y + t*(p.m+t*(p.c2+t*p.c3)))
	}
	return -1
}

// inverse returns x for a y between the first and the last knot: the greatest x
// where the curve is level.
func (c *pieces) inverse(y float64) float64 {
	parts, starts := c.parts, c.starts
	i := int(c.ys[min(uint(max(y-c.y0, 0)*c.yScale), uint(len(c.ys)-1))])
	if i < 0 { // a crowded bucket
		for i = ^i; y >= starts[i+1]; {
			i++
		}
	} else if y >= starts[i+1] {
		i++
	}
	for y < starts[i] && i > 0 { // rounding put it into the next bucket
		i--
	}
	p := &parts[i]
	if p.smooth {
		return p.x + p.step(y-p.y)
	}
	return p.x + p.bisect(y-p.y)
}

// bisect solves the monotone part for a rise of s, by Newton's steps held to a
// shrinking bracket.
func (p *part) bisect(s float64) float64 {
	if !(p.rise > 0) || s >= p.rise {
		return p.width
	}
	lo, hi := 0.0, p.width
	t := p.width * s / p.rise
	for range 80 {
		f := p.at(t) - s
		if f > 0 {
			hi = t
		} else {
			lo = t
		}
		next := t - f/(p.m+t*(2*p.c2+3*p.c3*t))
		if !(next > lo && next < hi) {
			next = lo + (hi-lo)/2
		}
		if next == t || hi-lo <= 1e-16*p.width {
			return next
		}
		t = next
	}
	return t
}
