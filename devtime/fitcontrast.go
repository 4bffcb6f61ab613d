package devtime

import (
	"math"
	"time"

	"example.org/actinic/internal/check"
	"example.org/actinic/internal/elementary"
	"example.org/actinic/internal/root"
)

// FitContrast fits limit and rate, with no induction time, to two strips or
// more at two times or more.
//
// Two times are met exactly. For times t and 2t, with contrasts g1 and g2,
//
//	rate = ln(g1 / (g2 - g1)) / t,   limit = g1² / (2 g1 - g2)
//
// which needs g1 < g2 < 2 g1; in general the ratio g2/g1 must lie between 1 and
// t2/t1. More strips are fitted by least squares, weighted by 1/SD² where every
// strip has a standard deviation. The covariance then comes from those standard
// deviations, enlarged where the strips scatter more than they allow, and the intervals then by
// Student's t; without
// them it comes from the scatter alone, and there is none for two strips.
//
// Errors: [ErrInput] for fewer than two times, values that are not finite and
// positive, or standard deviations on some strips only; [ErrNoLaw] where
// contrast does not grow, or grows in proportion to time so that it shows no
// limit (add a longer time).
//
// Source: the law of [ContrastTime]; its solution for two times is worked out here.
func FitContrast(points []Point) (ContrastTime, error) { return fitContrast(points, 2) }

// FitContrastInduction fits limit, rate and induction time to three strips or
// more at three times or more; three times are met exactly. Otherwise it is
// like [FitContrast].
//
// A negative induction time means that the first strips are denser than the
// law without induction has them; [ContrastTime.Warnings] then says so. It is
// no property of a developer.
func FitContrastInduction(points []Point) (ContrastTime, error) { return fitContrast(points, 3) }

// profile is the residual problem with limit (and induction) eliminated: for a
// given rate they are found by linear least squares.
type profile struct {
	u, y, w []float64 // times over the longest, contrasts, weights
	free    int
	a, c    float64 // y ~ a - c exp(-k u); with no induction a = c
	rss     float64
	f       []float64
	step    float64
}

// slope returns, for rate k, half the fall of the residual sum with ln k, and
// leaves the linear parameters and step.
func (p *profile) slope(k float64) float64 {
	n := len(p.u)
	f, u, y, w := p.f[:n], p.u[:n], p.y[:n], p.w[:n]
	for i, u := range u {
		f[i] = -k * u
	}
	elementary.Exp(f, f)
	// Sums over the basis and the column of the derivative, d = u e.
	var sw, sf, sff, sy, sfy, sd, sdd, sfd, sdy float64
	for i, e := range f {
		x, d := 1-e, u[i]*e
		wf, wd := w[i]*x, w[i]*d
		sff += wf * x
		sfy += wf * y[i]
		sfd += wf * d
		sdd += wd * d
		sdy += wd * y[i]
		sw += w[i]
		sf += wf
		sy += w[i] * y[i]
		sd += wd
	}
	if p.free == 2 {
		p.a = sfy / sff
		p.c = p.a
	} else {
		sff -= sf * sf / sw
		sfy -= sf * sy / sw
		sfd -= sf * sd / sw
		sdd -= sd * sd / sw
		p.c = sfy / sff
		p.a = (sy-p.c*sf)/sw + p.c
	}
	var s float64
	p.rss = 0
	for i, e := range f {
		r := y[i] - (p.a - p.c) - p.c*(1-e)
		wr := w[i] * r
		p.rss += wr * r
		s += wr * u[i] * e
	}
	// The step of Gauss and Newton in k, with the linear parameters following.
	p.step = s / (p.c * (sdd - sfd*sfd/sff))
	return s * p.c * k
}

func fitContrast(points []Point, free int) (ContrastTime, error) {
	var none ContrastTime
	n := len(points)
	if n < free {
		return none, check.Errorf(ErrInput, "%d strips, want %d or more", n, free)
	}
	var stack [4 * 16]float64
	buf := stack[:]
	if n > 16 {
		buf = make([]float64, 4*n)
	}
	p := profile{u: buf[:n], y: buf[n : 2*n], w: buf[2*n : 3*n], f: buf[3*n : 4*n], free: free}
	known, first, last, err := checkPoints(points, free)
	if err != nil {
		return none, err
	}
	long := last.Minutes()
	for i, q := range points {
		p.u[i] = q.Time.Minutes() / long
		p.y[i] = q.Value
		p.w[i] = 1
		if known {
			p.w[i] = 1 / (q.SD * q.SD)
		}
	}
	k, ok := p.solve()
	if !ok {
		if k == 0 {
			return none, check.Errorf(ErrNoLaw,
				"contrast grows without bending up to %s, so it shows no limit; add a strip with a longer time", FormatTime(last))
		}
		return none, check.Errorf(ErrNoLaw,
			"contrast does not grow from %s on; add strips with shorter times", FormatTime(first))
	}
	if free == 2 && n == 2 {
		// The closed form, where the times are as 1 to 2.
		i, j := 0, 1
		if points[0].Time > points[1].Time {
			i, j = 1, 0
		}
		if g1, g2 := p.y[i], p.y[j]; points[j].Time == 2*points[i].Time {
			k = math.Log(g1/(g2-g1)) / p.u[i]
			p.a = g1 * g1 / (2*g1 - g2)
			p.c = p.a
			p.rss = 0
		}
	}
	c := ContrastTime{
		limit: p.a, rate: k / long,
		free: free, dof: n - free, rss: p.rss,
		first: first, last: last,
	}
	if free == 3 {
		c.induction = math.Log(p.c/p.a) / k * long
	}
	scale := 1.0
	switch s := c.rss / float64(max(c.dof, 1)); {
	case known:
		if c.dof > 0 && s > 1 { // the strips scatter more than is stated
			c.scaled, scale = true, s
		}
	case c.dof == 0:
		c.scaled, scale = true, math.NaN()
	default:
		c.scaled, scale = true, s
	}
	if !c.covariance(points, p.w, scale) {
		return none, check.Errorf(ErrNoLaw,
			"the strips do not determine limit and rate; add times that differ more")
	}
	return c, nil
}

// checkPoints refuses strips that no growth can be fitted to, and finds whether they
// have standard deviations and the ends of their times.
func checkPoints(points []Point, times int) (known bool, first, last time.Duration, err error) {
	if len(points) < times {
		return false, 0, 0, check.Errorf(ErrInput, "%d strips, want %d or more", len(points), times)
	}
	known = points[0].SD > 0
	first, last = points[0].Time, points[0].Time
	for i, q := range points {
		if !(q.Time > 0) {
			return false, 0, 0, check.Errorf(ErrInput, "strip %d has the time %v, want more than 0", i+1, q.Time)
		}
		if !(q.Value > 0) || !check.Finite(q.Value) {
			return false, 0, 0, check.Errorf(ErrInput,
				"strip %d has the contrast %v, want more than 0", i+1, q.Value)
		}
		if !(q.SD >= 0) || !check.Finite(q.SD) {
			return false, 0, 0, check.Errorf(ErrInput, "strip %d has the standard deviation %v", i+1, q.SD)
		}
		if known != (q.SD > 0) {
			return false, 0, 0, check.Errorf(ErrInput, "standard deviations on some strips only: give all or none")
		}
		first, last = min(first, q.Time), max(last, q.Time)
	}
	if d := distinct(points, times); d < times {
		return false, 0, 0, check.Errorf(ErrInput, "strips at %d different times, want %d or more", d, times)
	}
	return known, first, last, nil
}

func distinct(points []Point, enough int) int {
	n := 0
	for i, q := range points {
		seen := false
		for _, o := range points[:i] {
			if o.Time == q.Time {
				seen = true
				break
			}
		}
		if !seen {
			if n++; n >= enough {
				return n
			}
		}
	}
	return n
}

// Rates, in units of one over the longest time, between which a minimum counts:
// below, the readings are a straight line, above, a constant.
const least, most = 1e-4, 400.0

// solve finds the rate, in units of one over the longest time, at which the
// profiled residual sum is least. Without success it returns 0 where the sum
// keeps falling toward a straight line, and infinity where it keeps falling
// toward a constant.
func (p *profile) solve() (float64, bool) {
	if k, ok := p.quick(1.5); ok {
		return k, true
	}
	lo := 1.5
	slo := p.slope(lo)
	if math.IsNaN(slo) {
		return 0, false
	}
	hi, shi := lo, slo
	for slo <= 0 { // the minimum lies at a lower rate
		if lo < least {
			return 0, false
		}
		hi, shi = lo, slo
		lo /= 2
		slo = p.slope(lo)
	}
	for shi > 0 {
		if hi > most {
			return math.Inf(1), false
		}
		lo = hi
		hi *= 2
		shi = p.slope(hi)
	}
	k, err := root.Find(p.slope, lo, hi)
	if err != nil {
		return 0, false
	}
	p.slope(k)
	if !(p.a > 0) || !(p.c > 0) || !check.Finite(p.a) {
		return math.Inf(1), false
	}
	return k, true
}

// quick follows the steps of Gauss and Newton while they shrink. It succeeds only
// at a minimum: where the slope changes sign from one side to the other.
func (p *profile) quick(k float64) (float64, bool) {
	for range 12 {
		p.slope(k)
		next := min(max(k+p.step, k/3), 3*k)
		if !(next > least && next < most) {
			return 0, false
		}
		done := math.Abs(next-k) <= 1e-12*k // what is left is far smaller, and rounding
		k = next
		if done {
			if !(p.slope(k*0.99) > 0 && p.slope(k*1.01) < 0) {
				return 0, false
			}
			p.slope(k)
			return k, p.a > 0 && p.c > 0 && !math.IsInf(p.a, 0)
		}
	}
	return 0, false
}

// covariance fills cov with scale times the inverse of J'WJ.
func (c *ContrastTime) covariance(points []Point, w []float64, scale float64) bool {
	p := c.free
	var m [3][3]float64
	for i, q := range points {
		var d [3]float64
		_, d = c.gradient(q.Time.Minutes())
		for j := 0; j < p; j++ {
			for k := 0; k <= j; k++ {
				m[j][k] += w[i] * d[j] * d[k]
			}
		}
	}
	var s [3]float64
	for j := 0; j < p; j++ {
		s[j] = math.Sqrt(m[j][j])
		if !(s[j] > 0) {
			return false
		}
	}
	// Cholesky of the matrix scaled to a unit diagonal, then its inverse.
	var l, inv [3][3]float64
	for j := 0; j < p; j++ {
		for k := 0; k <= j; k++ {
			v := m[j][k] / (s[j] * s[k])
			for i := 0; i < k; i++ {
				v -= l[j][i] * l[k][i]
			}
			if j != k {
				l[j][k] = v / l[k][k]
				continue
			}
			if !(v > 1e-14) {
				return false
			}
			l[j][j] = math.Sqrt(v)
		}
	}
	for j := 0; j < p; j++ {
		inv[j][j] = 1 / l[j][j]
		for i := j + 1; i < p; i++ {
			var v float64
			for k := j; k < i; k++ {
				v -= l[i][k] * inv[k][j]
			}
			inv[i][j] = v / l[i][i]
		}
	}
	for j := 0; j < p; j++ {
		for k := 0; k <= j; k++ {
			var v float64
			for i := j; i < p; i++ {
				v += inv[i][j] * inv[i][k]
			}
			v *= scale / (s[j] * s[k])
			c.cov[j][k], c.cov[k][j] = v, v
		}
	}
	return true
}
