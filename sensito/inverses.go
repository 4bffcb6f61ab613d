package sensito

import (
	"math"
	"sync"
	"sync/atomic"
)

// inverses is the inverse of a curve for many densities: polynomials of the sixth
// degree over short parts of the segments, found by a bucket index, without a
// division and nearly without a branch. It is made when so many have been asked for
// that it would have paid.
type inverses struct {
	asked          atomic.Int64
	once           sync.Once
	parts          []sextic
	starts         []float64 // where the parts start in y, and +Inf
	buckets        []int32   // -1 where a part is not met, or two parts start
	y0, y1, yScale float64
}

// sextic is a part of the inverse: x at y plus Σ u[k] s^(k+1) for s = density - y. It
// fills a line of the cache.
type sextic struct {
	y, x float64
	u    [6]float64
}

const (
	// many is the number of densities for which the inverses are made: on a curve of
	// 31 knots making them takes as long as they save on so many.
	many = 1 << 14
	// probed is how far a part may be from the exact inverse in log H where it is
	// probed; elsewhere it is within 1e-12.
	probed = 1e-13
)

// prepare makes the inverses of c.
func (v *inverses) prepare(c *pieces) {
	k := 8
	if len(c.seg) > 2048 {
		k = 1 // nearly straight as they are
	}
	n := len(c.seg) * k
	v.parts, v.starts, v.buckets = make([]sextic, n), make([]float64, n+1), make([]int32, yBuckets(n)+1)
	met := make([]bool, n)
	for i, p := range c.seg {
		end := c.x1
		if i+1 < len(c.seg) {
			end = c.seg[i+1].x
		}
		for j := range k {
			a, b := (end-p.x)*float64(j)/float64(k), (end-p.x)*float64(j+1)/float64(k)
			q := i*k + j
			v.parts[q], met[q] = newSextic(&p, a, b)
			v.starts[q] = v.parts[q].y
		}
	}
	v.starts[n] = math.Inf(1)
	v.y0, v.y1 = c.y0, c.y1
	v.yScale = fill(v.buckets, n, c.y1, func(i int) float64 { return v.parts[i].y })
	crowded(v.buckets)
	for b, i := range v.buckets {
		// A density may lie in the bucket's part, the next, or by rounding the one
		// before.
		for j := max(i-1, 0); i >= 0 && j <= min(i+1, int32(n-1)); j++ {
			if !met[j] {
				v.buckets[b] = -1
			}
		}
	}
}

// newSextic returns the inverse of a segment from a to b, through its values at both
// ends and five points between them, and whether it is near enough elsewhere.
func newSextic(p *piece, a, b float64) (v sextic, met bool) {
	const n = 7
	v.x, v.y = p.x+a, p.y+p.at(a)
	// The segment about a.
	q := piece{m: p.m + a*(2*p.c2+3*p.c3*a), c2: p.c2 + 3*p.c3*a, c3: p.c3}
	rise := q.at(b - a)
	if !(rise > 0) {
		return v, false
	}
	// Newton's divided differences in σ = s/rise at Chebyshev's points in t.
	var at, d [n]float64
	for i := range n {
		t := (b - a) * (1 - math.Cos(math.Pi*float64(i)/(n-1))) / 2
		at[i], d[i] = q.at(t)/rise, t
	}
	for k := 1; k < n; k++ {
		for i := n - 1; i >= k; i-- {
			d[i] = (d[i] - d[i-1]) / (at[i] - at[i-k])
		}
	}
	// To powers of σ; the first point is 0.
	for k := n - 2; k >= 0; k-- {
		for i := k; i < n-1; i++ {
			d[i] -= at[k] * d[i+1]
		}
	}
	scale := 1.0
	for k := range v.u {
		scale *= rise
		v.u[k] = d[k+1] / scale
	}
	for i := range 2 * n {
		t := (b - a) * (float64(i) + 0.5) / (2 * n)
		if !(math.Abs(v.at(q.at(t))-t) <= probed) {
			return v, false
		}
	}
	return v, true
}

func (v *sextic) at(s float64) float64 {
	return s * (v.u[0] + s*(v.u[1]+s*(v.u[2]+s*(v.u[3]+s*(v.u[4]+s*v.u[5])))))
}

// all sets dst to the inverse at ys and returns the first that the index does not
// serve, or -1.
func (v *inverses) all(dst []LogH, ys []Density) int {
	dst = dst[:len(ys)]
	buckets, parts, starts := v.buckets, v.parts, v.starts
	y0, y1, scale := v.y0, v.y1, v.yScale
	last := uint(len(buckets) - 1)
	for j, d := range ys {
		y := float64(d)
		if !(y >= y0 && y <= y1) {
			return j
		}
		i := int(buckets[min(uint((y-y0)*scale), last)])
		if i < 0 {
			return j
		}
		if y >= starts[i+1] {
			i++
		}
		p := &parts[i]
		s := y - p.y
		t := s * s
		dst[j] = LogH(p.x + (s*(p.u[0]+s*p.u[1]) + s*t*((p.u[2]+s*p.u[3])+t*(p.u[4]+s*p.u[5]))))
	}
	return -1
}
