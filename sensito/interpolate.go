package sensito

import (
	"math"
	"slices"

	"example.org/actinic/internal/check"
)

// Interpolated is a curve through the readings themselves: a cubic spline with a
// continuous second derivative wherever the readings rise smoothly, held to
// rising everywhere.
//
// Between steps of 0.15 it follows a smooth toe to a few 1e-4 in density. It
// adds nothing to the readings and takes no noise away: use [Fit] for readings
// with noise, unless the film's shape is unusual.
type Interpolated struct {
	base    Base
	level   float64   // base plus fog
	x, y, m []float64 // knots: log H, density, slope
	pieces            // the same, ready for evaluation
	raw, w  []float64 // densities before pooling, and their weights
	unit    float64   // variance of a reading of unit weight, 0 where not known

	inv *inverses // for many densities; nil where they are not worth while
}

// Falling says what becomes of readings whose density falls as exposure rises.
type Falling uint8

const (
	// RefuseFalling makes them an error: some density then belongs to several
	// exposures.
	RefuseFalling Falling = iota
	// PoolFalling replaces each falling run by its weighted mean (isotonic
	// regression), so that every density belongs to one exposure.
	PoolFalling
)

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
// negative standard deviation, no base plus fog) or [ErrFalls].
func Interpolate(readings []Reading, base Base, falls Falling) (*Interpolated, error) {
	if err := base.check(); err != nil {
		return nil, err
	}
	if !base.known() {
		return nil, check.Errorf(ErrInput, "base plus fog is not known; read an unexposed patch, or state it")
	}
	ps, known, err := gather(readings)
	if err != nil {
		return nil, err
	}
	if len(ps) < 2 {
		return nil, check.Errorf(ErrInput, "readings at %d exposure(s), want two or more", len(ps))
	}
	if err := plausible(ps, base, 0); err != nil {
		return nil, err
	}
	for i := 1; i < len(ps) && falls != PoolFalling; i++ {
		if ps[i].mean < ps[i-1].mean {
			return nil, check.Errorf(ErrFalls,
				"from %.3f at log H %.3f to %.3f at log H %.3f; check the readings, fit a smooth curve, or ask for falling readings to be pooled",
				ps[i-1].mean, ps[i-1].x, ps[i].mean, ps[i].x)
		}
	}
	c := &Interpolated{base: base, level: float64(base.mean())}
	var ss, n float64
	for _, p := range ps {
		c.x = append(c.x, p.x)
		c.raw = append(c.raw, p.mean)
		c.w = append(c.w, p.weight)
		ss += p.ss
		n += float64(p.n)
	}
	// The variance of a reading of unit weight: 1 where it is stated, from the
	// scatter of repeated readings otherwise, 0 where there is neither.
	switch d := n - float64(len(ps)); {
	case known:
		c.unit = 1
	case d > 0:
		c.unit = ss / d
	}
	c.y, c.m = slices.Clone(c.raw), make([]float64, len(c.x))
	c.settle()
	c.inv = new(inverses)
	return c, nil
}

// settle makes the densities rise, finds the slopes and readies the pieces.
func (c *Interpolated) settle() {
	pool(c.y, c.w)
	splineSlopes(c.x, c.y, c.m)
	c.pieces = newPieces(c.x, c.y, c.m, c.pieces)
}

// pool makes y rise by the pool-adjacent-violators rule with weights w. It leaves
// values that rise as they are.
func pool(y, w []float64) {
	if slices.IsSorted(y) {
		return
	}
	type block struct {
		v, w float64
		n    int
	}
	bs := make([]block, 0, len(y))
	for i, v := range y {
		bs = append(bs, block{v, w[i], 1})
		for k := len(bs) - 1; k > 0 && bs[k-1].v > bs[k].v; k-- {
			a, b := bs[k-1], bs[k]
			bs = append(bs[:k-1], block{(a.v*a.w + b.v*b.w) / (a.w + b.w), a.w + b.w, a.n + b.n})
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

// MarshalJSON refuses: keep the readings and the base, and interpolate again.
func (c *Interpolated) MarshalJSON() ([]byte, error) {
	return nil, check.Errorf(ErrInput, "a curve through readings is not stored; keep the readings and base plus fog, and interpolate again")
}

// empty reports whether there is no curve: nil, or the zero value.
func (c *Interpolated) empty() bool { return c == nil || len(c.seg) == 0 }

// errEmpty is what an empty curve answers.
var errEmpty = check.Errorf(ErrInput, "an empty curve; Interpolate and Fit make one")

// BaseFog returns base plus fog.
func (c *Interpolated) BaseFog() Density {
	if c.empty() {
		return Density(math.NaN())
	}
	return Density(c.level)
}

// Domain returns the exposures of the first and the last reading.
func (c *Interpolated) Domain() (lo, hi LogH) {
	if c.empty() {
		return LogH(math.NaN()), LogH(math.NaN())
	}
	return LogH(c.x[0]), LogH(c.x[len(c.x)-1])
}

// Density returns the density at x.
func (c *Interpolated) Density(x LogH) (Density, error) {
	if c.empty() {
		return 0, errEmpty
	}
	if v := float64(x); c.single && v >= c.x0 && v <= c.x1 { // as [pieces.values] does
		i := int(c.xs[min(uint((v-c.x0)*c.xScale), uint(len(c.xs)-1))])
		if v >= c.from[i+1] {
			i++
		}
		p := &c.seg[i]
		t := v - p.x
		return Density(p.y + t*(p.m+t*(p.c2+t*p.c3))), nil
	}
	p := c.at(float64(x))
	if p == nil {
		return 0, outside(x, LogH(c.x[0]), LogH(c.x[len(c.x)-1]))
	}
	t := float64(x) - p.x
	return Density(p.y + t*(p.m+t*(p.c2+t*p.c3))), nil
}

// Densities sets dst to the densities at xs, quicker than one at a time. dst must be
// as long as xs. At the first exposure outside the domain it stops with an error
// that wraps [ErrOutside]; what lies before is set.
func (c *Interpolated) Densities(dst []Density, xs []LogH) error {
	if c.empty() {
		return errEmpty
	}
	if len(dst) != len(xs) {
		return check.Errorf(ErrInput, "%d places for %d densities", len(dst), len(xs))
	}
	if i := c.values(dst, xs); i >= 0 {
		return outside(xs[i], LogH(c.x[0]), LogH(c.x[len(c.x)-1]))
	}
	return nil
}

// LogHs sets dst to the exposures that give the densities ds, within 1e-12 of those
// of [Interpolated.LogH] one at a time. dst must be as long as ds. At the first
// density that is not reached it stops with that error; what lies before is set. Once
// a curve has been asked for some 16,000 densities this way it takes memory, about that
// of the curve, to be twice as quick.
func (c *Interpolated) LogHs(dst []LogH, ds []Density) error {
	if c.empty() {
		return errEmpty
	}
	if len(dst) != len(ds) {
		return check.Errorf(ErrInput, "%d places for %d exposures", len(dst), len(ds))
	}
	v := c.inv
	if v != nil && v.asked.Add(int64(len(ds))) >= many {
		v.once.Do(func() { v.prepare(&c.pieces) })
	} else {
		v = nil
	}
	for i := 0; i < len(ds); i++ {
		if v != nil {
			n := v.all(dst[i:], ds[i:])
			if n < 0 {
				return nil
			}
			i += n
		}
		x, err := c.LogH(ds[i])
		if err != nil {
			return err
		}
		dst[i] = x
	}
	return nil
}

// Slope returns dD/dlog10 H at x.
func (c *Interpolated) Slope(x LogH) (float64, error) {
	if c.empty() {
		return 0, errEmpty
	}
	p := c.at(float64(x))
	if p == nil {
		return 0, outside(x, LogH(c.x[0]), LogH(c.x[len(c.x)-1]))
	}
	t := float64(x) - p.x
	return max(0, p.m+t*(2*p.c2+3*p.c3*t)), nil
}

// LogH returns the exposure that gives density d. Where the curve is level at
// exactly d it returns the greatest such exposure: the last before it rises.
func (c *Interpolated) LogH(d Density) (LogH, error) {
	if c.empty() {
		return 0, errEmpty
	}
	y, n := float64(d), len(c.y)
	if y >= c.y0 && y <= c.y1 { // as [pieces.inverse] does where nothing is in the way
		if i := int(c.ys[min(uint((y-c.y0)*c.yScale), uint(len(c.ys)-1))]); i >= 0 {
			if y >= c.starts[i+1] {
				i++
			}
			p := &c.parts[i]
			if s := y - p.y; p.smooth && s >= 0 {
				// part.step, written out.
				t := s * (p.u1 + s*(p.u2+s*p.u3))
				f := t*(p.m+t*(p.c2+t*p.c3)) - s
				q := 3 * p.c3 * t
				g := p.m + t*(2*p.c2+q)
				return LogH(p.x + (t - f*g/(g*g-f*(p.c2+q)))), nil
			}
		}
	}
	const rounding = 1e-12
	if !(y >= c.y[0]-rounding && y <= c.y[n-1]+rounding) {
		if math.IsNaN(y) {
			return 0, check.Errorf(ErrInput, "density is NaN")
		}
		return 0, notReached(c, d)
	}
	return LogH(c.inverse(min(max(y, c.y[0]), c.y[n-1]))), nil
}
