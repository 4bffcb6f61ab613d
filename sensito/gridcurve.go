package sensito

import (
	"math"
	"sort"

	"example.org/actinic/internal/check"
	"example.org/actinic/internal/filmfit"
)

// grid is a curve of the fit on its even grid, cubic between the points. Its domain
// is that of the readings, but it answers a little beyond it: neighbouring curves
// must, where a measure reaches just to the end.
type grid struct {
	c      *filmfit.Curve
	lo, hi float64

	// The speed point, which most measures ask for, once it was found.
	found bool
	point LogH
	none  error
}

// take lays another curve on the grid.
func (g *grid) take(c *filmfit.Curve) { g.c, g.found = c, false }

func (g *grid) BaseFog() Density      { return Density(g.c.Base) }
func (g *grid) Domain() (a, b LogH)   { return LogH(g.lo), LogH(g.hi) }
func (g *grid) end() float64          { return g.c.First + float64(len(g.c.Density)-1)*g.c.Step }
func (g *grid) beyond(x float64) bool { return !(x >= g.c.First && x <= g.hi+0.5) }

// cell returns the cell that holds x, and how far x lies in it.
func (g *grid) cell(x float64) (i int, t float64) {
	i = min(max(int((x-g.c.First)/g.c.Step), 0), len(g.c.Density)-2)
	return i, x - (g.c.First + float64(i)*g.c.Step)
}

// cubic returns the coefficients of a cell.
func (g *grid) cubic(i int) (y, m, c2, c3 float64) {
	d, r, h := g.c.Density, g.c.Rate, g.c.Step
	s := (d[i+1] - d[i]) / h
	return d[i], r[i], (3*s - 2*r[i] - r[i+1]) / h, (r[i] + r[i+1] - 2*s) / (h * h)
}

// at returns density and slope, straight on beyond the last point.
func (g *grid) at(x float64) (d, slope float64) {
	if e := g.end(); x > e {
		n := len(g.c.Density) - 1
		return g.c.Density[n] + g.c.Rate[n]*(x-e), g.c.Rate[n]
	}
	i, t := g.cell(x)
	y, m, c2, c3 := g.cubic(i)
	return y + t*(m+t*(c2+t*c3)), m + t*(2*c2+3*t*c3)
}

func (g *grid) Density(x LogH) (Density, error) {
	if g.beyond(float64(x)) {
		return 0, errBeyond
	}
	d, _ := g.at(float64(x))
	return Density(d), nil
}

func (g *grid) Slope(x LogH) (float64, error) {
	if g.beyond(float64(x)) {
		return 0, errBeyond
	}
	_, s := g.at(float64(x))
	return s, nil
}

// slopes sets dst to the slopes at exposures evenly from a to b, as Slope gives them.
func (g *grid) slopes(dst []float64, a, b LogH) bool {
	if g.beyond(float64(a)) || g.beyond(float64(b)) || float64(b) > g.end() {
		return false
	}
	last, m, c2, c3 := -1, 0.0, 0.0, 0.0
	for k := range dst {
		i, t := g.cell(float64(min(a+(b-a)*LogH(float64(k)/float64(len(dst)-1)), b)))
		if i != last {
			_, m, c2, c3 = g.cubic(i)
			last = i
		}
		dst[k] = m + t*(2*c2+3*t*c3)
	}
	return true
}

func (g *grid) LogH(d Density) (LogH, error) {
	if d != Density(g.c.Base)+SpeedPointDensity {
		return g.inverse(d)
	}
	if !g.found {
		g.found = true
		g.point, g.none = g.inverse(d)
	}
	return g.point, g.none
}

func (g *grid) inverse(d Density) (LogH, error) {
	y, n := float64(d), len(g.c.Density)
	if y > g.c.Density[n-1] {
		x := g.end() + (y-g.c.Density[n-1])/g.c.Rate[n-1]
		if !(g.c.Rate[n-1] > 0) || g.beyond(x) {
			return 0, errBeyond
		}
		return LogH(x), nil
	}
	if !(y >= g.c.Density[0]) {
		return 0, errBeyond
	}
	i := min(max(sort.SearchFloat64s(g.c.Density, y)-1, 0), n-2)
	y0, m, c2, c3 := g.cubic(i)
	lo, hi := 0.0, g.c.Step
	t := hi / 2
	if s := g.c.Density[i+1] - y0; s > 0 {
		t = hi * (y - y0) / s
	}
	for range 60 { // Newton's steps within a shrinking bracket
		f := y0 + t*(m+t*(c2+t*c3)) - y
		if f > 0 {
			hi = t
		} else {
			lo = t
		}
		next := t - f/(m+t*(2*c2+3*t*c3))
		if !(next > lo && next < hi) {
			next = lo + (hi-lo)/2
		}
		if math.Abs(next-t) < 1e-10 {
			t = next
			break
		}
		t = next
	}
	return LogH(g.c.First + float64(i)*g.c.Step + t), nil
}

// errBeyond is not seen by callers: a measure that meets it has no interval.
var errBeyond = check.Errorf(ErrNotReached, "beyond the curve")
