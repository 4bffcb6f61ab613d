package sensito

import (
	"math"
	"slices"
	"sort"
)

// Interpolated is a curve through the readings themselves: a cubic spline with a
// continuous second derivative wherever the readings rise smoothly, held to
// rising everywhere.
//
// Between steps of 0.15 it follows a smooth toe to a few 1e-4 in density. It
// adds nothing to the readings and takes no noise away: use [Fit] for readings
// with noise, unless the film's shape is unusual.
type Interpolated struct {
	base    Density
	x, y, m []float64 // knots: log H, density, slope
	sd      []float64 // standard deviation of the knots' densities, 0 where not known
}

// Interpolation says how [Interpolate] treats what readings leave open. The zero
// value takes base plus fog from Unexposed, which must then not be empty.
type Interpolation struct {
	// BaseFog is the stated base plus fog, used if Unexposed is empty.
	BaseFog Density
	// Unexposed are densities of patches that got no light; their mean is base plus fog.
	Unexposed []Density
	// Pool replaces readings that fall as exposure rises by the weighted mean
	// of the run (isotonic regression). Without it such readings are refused.
	Pool bool
}

// Interpolate returns the curve through readings in any order. Readings at the
// same exposure (within 1e-9 in log H) are averaged, weighted by 1/SD² where all
// of them have one. A first and last reading is needed at least, three or more
// to be of use.
//
// The slopes at the knots are those of the not-a-knot cubic spline; where such a
// slope would make the curve fall it is limited to three times the smaller of
// the neighbouring secants, which keeps a cubic monotone (F. N. Fritsch and R.
// E. Carlson, SIAM J. Numer. Anal. 17 (1980) 238-246; J. M. Hyman, SIAM J. Sci.
// Stat. Comput. 4 (1983) 645-654). There, and only there, the second derivative
// has a jump.
//
// Errors wrap [ErrInput] (fewer than two exposures, a value that is not finite, a
// negative standard deviation) or [ErrFalls].
func Interpolate(readings []Reading, o Interpolation) (*Interpolated, error) {
	base, err := baseFog(o.Unexposed, o.BaseFog)
	if err != nil {
		return nil, err
	}
	rs, err := gather(readings)
	if err != nil {
		return nil, err
	}
	if len(rs) < 2 {
		return nil, errf(ErrInput, "readings at %d exposure(s), want two or more", len(rs))
	}
	for i := 1; i < len(rs); i++ {
		if rs[i].Density < rs[i-1].Density && !o.Pool {
			return nil, errf(ErrFalls, "from %.3f at log H %.3f to %.3f at log H %.3f; check the readings, fit a smooth curve, or ask for falling readings to be pooled",
				float64(rs[i-1].Density), float64(rs[i-1].LogH), float64(rs[i].Density), float64(rs[i].LogH))
		}
	}
	c := &Interpolated{base: base}
	for _, r := range rs {
		c.x = append(c.x, float64(r.LogH))
		c.y = append(c.y, float64(r.Density))
		c.sd = append(c.sd, r.SD)
	}
	if o.Pool {
		pool(c.y, c.sd)
	}
	c.m = make([]float64, len(c.x))
	splineSlopes(c.x, c.y, c.m)
	return c, nil
}

// gather sorts readings by exposure and averages those that share one.
func gather(readings []Reading) ([]Reading, error) {
	rs := slices.Clone(readings)
	for i, r := range rs {
		switch {
		case !finite(float64(r.LogH)):
			return nil, errf(ErrInput, "reading %d has log H %v", i+1, float64(r.LogH))
		case !finite(float64(r.Density)):
			return nil, errf(ErrInput, "reading %d has density %v", i+1, float64(r.Density))
		case !(r.SD >= 0) || math.IsInf(r.SD, 0):
			return nil, errf(ErrInput, "reading %d has standard deviation %v, want 0 (not known) or more", i+1, r.SD)
		}
	}
	slices.SortStableFunc(rs, func(a, b Reading) int {
		switch {
		case a.LogH < b.LogH:
			return -1
		case a.LogH > b.LogH:
			return 1
		}
		return 0
	})
	out := rs[:0]
	for i := 0; i < len(rs); {
		j := i + 1
		for j < len(rs) && rs[j].LogH-rs[i].LogH <= 1e-9 {
			j++
		}
		out = append(out, mean(rs[i:j]))
		i = j
	}
	return out, nil
}

// mean averages readings of one exposure.
func mean(rs []Reading) Reading {
	if len(rs) == 1 {
		return rs[0]
	}
	known := true
	for _, r := range rs {
		known = known && r.SD > 0
	}
	var sw, sd, ss float64
	for _, r := range rs {
		w := 1.0
		if known {
			w = 1 / (r.SD * r.SD)
		}
		sw += w
		sd += w * float64(r.Density)
	}
	m := sd / sw
	out := Reading{LogH: rs[0].LogH, Density: Density(m)}
	if known {
		out.SD = 1 / math.Sqrt(sw)
		return out
	}
	for _, r := range rs {
		d := float64(r.Density) - m
		ss += d * d
	}
	n := float64(len(rs))
	out.SD = math.Sqrt(ss / (n - 1) / n)
	return out
}

// baseFog returns the mean of the unexposed densities, or the stated value.
func baseFog(unexposed []Density, stated Density) (Density, error) {
	if len(unexposed) == 0 {
		if !finite(float64(stated)) || !(stated >= 0) {
			return 0, errf(ErrInput, "base plus fog is %v, want 0 or more", float64(stated))
		}
		return stated, nil
	}
	var sum Density
	for i, d := range unexposed {
		if !finite(float64(d)) || !(d >= 0) {
			return 0, errf(ErrInput, "unexposed reading %d is %v, want 0 or more", i+1, float64(d))
		}
		sum += d
	}
	return sum / Density(len(unexposed)), nil
}

// pool makes y rise by the pool-adjacent-violators rule. Weights are 1/sd² where
// every standard deviation is known, equal otherwise.
func pool(y, sd []float64) {
	w := make([]float64, len(y))
	known := !slices.ContainsFunc(sd, func(s float64) bool { return !(s > 0) })
	type block struct {
		v, w float64
		n    int
	}
	var bs []block
	for i, v := range y {
		w[i] = 1
		if known {
			w[i] = 1 / (sd[i] * sd[i])
		}
		bs = append(bs, block{v, w[i], 1})
		for len(bs) > 1 && bs[len(bs)-2].v > bs[len(bs)-1].v {
			a, b := bs[len(bs)-2], bs[len(bs)-1]
			bs = append(bs[:len(bs)-2], block{(a.v*a.w + b.v*b.w) / (a.w + b.w), a.w + b.w, a.n + b.n})
		}
	}
	i := 0
	for _, b := range bs {
		for range b.n {
			y[i] = b.v
			i++
		}
	}
}

// splineSlopes sets m to the knot slopes of the not-a-knot cubic spline through
// (x, y), limited so that every segment is monotone.
func splineSlopes(x, y, m []float64) {
	n := len(x)
	sec := func(i int) float64 { return (y[i+1] - y[i]) / (x[i+1] - x[i]) }
	switch n {
	case 2:
		m[0], m[1] = sec(0), sec(0)
		return
	case 3: // the parabola
		h0, h1 := x[1]-x[0], x[2]-x[1]
		c := (sec(1) - sec(0)) / (h0 + h1)
		m[0], m[1], m[2] = sec(0)-c*h0, sec(0)+c*h0, sec(1)+c*h1
	default:
		notAKnot(x, y, m)
	}
	for i := range m {
		lim := math.Inf(1)
		if i > 0 {
			lim = min(lim, 3*sec(i-1))
		}
		if i < n-1 {
			lim = min(lim, 3*sec(i))
		}
		m[i] = max(0, min(m[i], lim))
	}
}

// notAKnot solves the tridiagonal system for the slopes of the C2 cubic whose
// third derivative is continuous at the second and the last but one knot (C. de
// Boor, A Practical Guide to Splines, 2001, chapter IV). The system is solved as
// the tridiagonal one it is, so that time and memory grow with n only; gonum's
// spline of this kind fills a dense matrix.
func notAKnot(x, y, m []float64) {
	n := len(x)
	a, b, c := make([]float64, n), make([]float64, n), make([]float64, n)
	h := func(i int) float64 { return x[i+1] - x[i] }
	s := func(i int) float64 { return (y[i+1] - y[i]) / h(i) }
	b[0], c[0] = h(1), h(0)+h(1)
	m[0] = ((h(0)+2*c[0])*h(1)*s(0) + h(0)*h(0)*s(1)) / c[0]
	for i := 1; i < n-1; i++ {
		a[i], b[i], c[i] = h(i), 2*(h(i-1)+h(i)), h(i-1)
		m[i] = 3 * (h(i)*s(i-1) + h(i-1)*s(i))
	}
	a[n-1], b[n-1] = h(n-2)+h(n-3), h(n-3)
	m[n-1] = (h(n-2)*h(n-2)*s(n-3) + (2*a[n-1]+h(n-2))*h(n-3)*s(n-2)) / a[n-1]
	for i := 1; i < n; i++ {
		w := a[i] / b[i-1]
		b[i] -= w * c[i-1]
		m[i] -= w * m[i-1]
	}
	m[n-1] /= b[n-1]
	for i := n - 2; i >= 0; i-- {
		m[i] = (m[i] - c[i]*m[i+1]) / b[i]
	}
}

// BaseFog returns base plus fog.
func (c *Interpolated) BaseFog() Density { return c.base }

// Domain returns the exposures of the first and the last reading.
func (c *Interpolated) Domain() (lo, hi LogH) { return LogH(c.x[0]), LogH(c.x[len(c.x)-1]) }

// segment returns the index of the segment that holds x.
func (c *Interpolated) segment(x float64) (int, error) {
	n := len(c.x)
	if !(x >= c.x[0] && x <= c.x[n-1]) {
		return 0, outside(LogH(x), LogH(c.x[0]), LogH(c.x[n-1]))
	}
	return min(max(sort.SearchFloat64s(c.x, x)-1, 0), n-2), nil
}

// Density returns the density at x.
func (c *Interpolated) Density(x LogH) (Density, error) {
	i, err := c.segment(float64(x))
	if err != nil {
		return 0, err
	}
	d, _ := c.hermite(i, float64(x))
	return Density(d), nil
}

// Slope returns dD/dlog10 H at x.
func (c *Interpolated) Slope(x LogH) (float64, error) {
	i, err := c.segment(float64(x))
	if err != nil {
		return 0, err
	}
	_, g := c.hermite(i, float64(x))
	return max(0, g), nil
}

// hermite evaluates segment i and its slope at x.
func (c *Interpolated) hermite(i int, x float64) (d, g float64) {
	h := c.x[i+1] - c.x[i]
	t := x - c.x[i]
	s := (c.y[i+1] - c.y[i]) / h
	c2 := (3*s - 2*c.m[i] - c.m[i+1]) / h
	c3 := (c.m[i] + c.m[i+1] - 2*s) / (h * h)
	return c.y[i] + t*(c.m[i]+t*(c2+t*c3)), c.m[i] + t*(2*c2+3*c3*t)
}

// LogH returns the exposure that gives density d. Where the curve is level at
// exactly d it returns the greatest such exposure: the last before it rises.
func (c *Interpolated) LogH(d Density) (LogH, error) {
	y, n := float64(d), len(c.y)
	if !(y >= c.y[0] && y <= c.y[n-1]) {
		if math.IsNaN(y) {
			return 0, errf(ErrInput, "density is NaN")
		}
		return 0, notReached(c, d)
	}
	i := sort.Search(n, func(i int) bool { return c.y[i] > y }) - 1 // the last knot at or below
	i = min(max(i, 0), n-2)
	lo, hi := c.x[i], c.x[i+1]
	// Newton steps kept within the bracket: the segment is monotone.
	x := lo + (hi-lo)*(y-c.y[i])/(c.y[i+1]-c.y[i])
	if !finite(x) {
		return LogH(hi), nil
	}
	for range 60 {
		v, g := c.hermite(i, x)
		v -= y
		if v > 0 {
			hi = x
		} else {
			lo = x
		}
		next := x - v/g
		if !(next > lo && next < hi) {
			next = (lo + hi) / 2
		}
		if math.Abs(next-x) <= 1e-14*(1+math.Abs(x)) {
			return LogH(next), nil
		}
		x = next
	}
	return LogH(x), nil
}
