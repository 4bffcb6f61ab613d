package devtime

import (
	"math"
	"time"

	"example.org/actinic/internal/check"
	"example.org/actinic/internal/elementary"
	"example.org/actinic/internal/lsq"
	"example.org/actinic/internal/root"
	"example.org/actinic/sensito"
)

// Point is one strip of a time series: what was measured at a development
// time, and its standard deviation (0 where not known).
type Point struct {
	Time  time.Duration
	Value float64
	SD    float64
}

// ContrastTime is the growth of contrast with development time,
//
//	g(t) = limit (1 - exp(-rate (t - induction)))   and 0 for t <= induction
//
// The contrast may be gamma, average gradient, contrast index or ISO ΔD, as
// long as it is the same measure throughout. The law is one of a homogeneous
// reaction of the first order in a bath that stays the same: agitated,
// unexhausted, at one temperature and dilution. It says nothing of fog.
//
// Make one with [FitContrast], [FitContrastInduction] or [NewContrastTime].
//
// Source: F. Hurter and V. C. Driffield (1890), S. E. Sheppard and C. E. K.
// Mees, Investigations on the Theory of the Photographic Process (1907), as
// used with gamma infinity and a velocity constant by H. E. Ives, Airplane
// Photography (1920). The induction time is after A. H. Nietz, The Theory of
// Development (1922), from memory.
type ContrastTime struct {
	limit, rate, induction float64       // per minute, minutes
	cov                    [3][3]float64 // of limit, rate, induction
	quantile               float64       // half-width of 95 % in standard deviations
	free                   int           // parameters fitted: 0, 2 or 3
	dof                    int
	rss                    float64
	first, last            time.Duration
}

// NewContrastTime returns the law with known constants, taken as exact.
//
// Errors: [ErrInput] unless limit and ratePerMinute are above 0 and induction
// is at least 0.
func NewContrastTime(limit, ratePerMinute float64, induction time.Duration) (ContrastTime, error) {
	if !(limit > 0) || !(ratePerMinute > 0) || math.IsInf(limit, 0) || math.IsInf(ratePerMinute, 0) || induction < 0 {
		return ContrastTime{}, check.Errorf(ErrInput, "limit %v, rate %v per minute, induction %v: want a positive limit and rate", limit, ratePerMinute, induction)
	}
	return ContrastTime{limit: limit, rate: ratePerMinute, induction: induction.Minutes(), last: Unbounded}, nil
}

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
// deviations, enlarged where the strips scatter more than they allow; without
// them it comes from the scatter alone, and there is none for two strips.
//
// Errors: [ErrInput] for fewer than two times, values that are not finite and
// positive, or standard deviations on some strips only; [ErrNoLaw] where
// contrast does not grow, or grows in proportion to time so that it shows no
// limit (add a longer time).
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
	known := points[0].SD > 0
	first, last := points[0].Time, points[0].Time
	for i, q := range points {
		if !(q.Time > 0) {
			return none, check.Errorf(ErrInput, "strip %d has the time %v, want more than 0", i+1, q.Time)
		}
		if !(q.Value > 0) || math.IsInf(q.Value, 0) {
			return none, check.Errorf(ErrInput, "strip %d has the contrast %v, want more than 0", i+1, q.Value)
		}
		if !(q.SD >= 0) || math.IsInf(q.SD, 0) {
			return none, check.Errorf(ErrInput, "strip %d has the standard deviation %v", i+1, q.SD)
		}
		if known != (q.SD > 0) {
			return none, check.Errorf(ErrInput, "standard deviations on some strips only: give all or none")
		}
		first, last = min(first, q.Time), max(last, q.Time)
	}
	if d := distinct(points, free); d < free {
		return none, check.Errorf(ErrInput, "strips at %d different times, want %d or more", d, free)
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
			return none, check.Errorf(ErrNoLaw, "contrast grows without bending up to %s, so it shows no limit; add a strip with a longer time", FormatTime(last))
		}
		return none, check.Errorf(ErrNoLaw, "contrast does not grow from %s on; add strips with shorter times", FormatTime(first))
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
	if known {
		c.quantile = lsq.Normal95
		if c.dof > 0 {
			scale = math.Max(1, c.rss/float64(c.dof))
		}
	} else {
		c.quantile = math.NaN() // found when asked for: it is slow
		scale = c.rss / float64(max(c.dof, 1))
		if c.dof == 0 {
			scale = math.NaN()
		}
	}
	if !c.covariance(points, p.w, scale) {
		return none, check.Errorf(ErrNoLaw, "the strips do not determine limit and rate; add times that differ more")
	}
	return c, nil
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
	if !(p.a > 0) || !(p.c > 0) || math.IsInf(p.a, 0) {
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

// gradient is the contrast at t minutes and its derivatives with respect to
// limit, rate and induction.
func (c *ContrastTime) gradient(t float64) (g float64, d [3]float64) {
	x := t - c.induction
	if !(x > 0) {
		return 0, d
	}
	f := -math.Expm1(-c.rate * x)
	d[0] = f
	d[1] = c.limit * x * (1 - f)
	d[2] = -c.limit * c.rate * (1 - f)
	return c.limit * f, d
}

func (c *ContrastTime) halfWidth() float64 {
	if c.free > 0 && math.IsNaN(c.quantile) {
		return lsq.TwoSided95(c.dof)
	}
	return c.quantile
}

// sd is the standard deviation of the contrast at t minutes.
func (c *ContrastTime) sd(t float64) (g, sd float64) {
	g, d := c.gradient(t)
	var v float64
	for j := 0; j < c.free; j++ {
		for k := 0; k < c.free; k++ {
			v += d[j] * d[k] * c.cov[j][k]
		}
	}
	return g, math.Sqrt(math.Max(v, 0))
}

// positive is an interval on the logarithm, for what cannot be negative.
func (c *ContrastTime) positive(x, variance float64) sensito.Estimate {
	if c.free == 0 {
		return sensito.Exactly(x)
	}
	f := math.Exp(c.halfWidth() * math.Sqrt(variance) / x)
	return sensito.Estimate{Value: x, Low: x / f, High: x * f}
}

// Limit is the contrast that the longest development approaches (gamma
// infinity). Its interval is taken on the logarithm.
func (c ContrastTime) Limit() sensito.Estimate { return c.positive(c.limit, c.cov[0][0]) }

// RatePerMinute is the velocity constant of development, per minute. Its
// interval is taken on the logarithm.
func (c ContrastTime) RatePerMinute() sensito.Estimate { return c.positive(c.rate, c.cov[1][1]) }

// InductionMinutes is the time before anything is seen, in minutes; exactly 0
// where it was not fitted.
func (c ContrastTime) InductionMinutes() sensito.Estimate {
	if c.free < 3 {
		return sensito.Exactly(c.induction)
	}
	h := c.halfWidth() * math.Sqrt(c.cov[2][2])
	return sensito.Estimate{Value: c.induction, Low: c.induction - h, High: c.induction + h}
}

// Covariance is that of limit, rate per minute and induction minutes, in this
// order; rows of what was not fitted are 0. It is NaN where two strips without
// standard deviations leave nothing to judge by. Limit and rate are strongly
// and negatively correlated: use them together.
func (c ContrastTime) Covariance() [3][3]float64 { return c.cov }

// Scatter is the residual sum of squares, weighted where the strips had
// standard deviations, and its degrees of freedom.
func (c ContrastTime) Scatter() (rss float64, dof int) { return c.rss, c.dof }

// Range is the shortest and longest time of the strips. A law with known
// constants has the range 0 to [Unbounded].
func (c ContrastTime) Range() (shortest, longest time.Duration) { return c.first, c.last }

// Reach is the longest time of the strips counted from the induction time in
// units of 1/rate: rate (last - induction). Below about 1.5 (78 % of the
// limit) the strips do not pin the limit down.
func (c ContrastTime) Reach() float64 {
	if c.free == 0 {
		return math.Inf(1)
	}
	return c.rate * (c.last.Minutes() - c.induction)
}

// Warnings says what the fit cannot be trusted for; nil where all is well.
func (c ContrastTime) Warnings() []Warning {
	var w []Warning
	if c.Reach() < shortReach {
		w = append(w, ShortSeries)
	}
	if c.induction < 0 {
		w = append(w, NegativeInduction)
	}
	return w
}

const shortReach = 1.5

// At is the contrast after time t, with its interval. It is 0 up to the
// induction time. Beyond [ContrastTime.Range] it extrapolates; see
// [ContrastTime.Inside].
//
// Errors: [ErrInput] for a negative time.
func (c ContrastTime) At(t time.Duration) (sensito.Estimate, error) {
	if t < 0 || c.limit == 0 {
		return sensito.Estimate{}, check.Errorf(ErrInput, "time %v", t)
	}
	g, sd := c.sd(t.Minutes())
	if c.free == 0 {
		return sensito.Exactly(g), nil
	}
	h := c.halfWidth() * sd
	return sensito.Estimate{Value: g, Low: math.Max(g-h, 0), High: g + h}, nil
}

// Inside reports whether t lies within the times of the strips.
func (c ContrastTime) Inside(t time.Duration) bool { return t >= c.first && t <= c.last }

// Time is a development time with its 95 % interval. High is [Unbounded] where
// the readings allow that the contrast is never reached. Low and High are
// negative where nothing is known of the error. Extrapolated says that Value
// lies outside the times of the strips.
type Time struct {
	Value, Low, High time.Duration
	Extrapolated     bool
}

// Seconds is the same in seconds: +Inf stands for [Unbounded], NaN for an
// unknown end.
func (t Time) Seconds() sensito.Estimate {
	f := func(d time.Duration) float64 {
		switch {
		case d == Unbounded:
			return math.Inf(1)
		case d < 0:
			return math.NaN()
		}
		return d.Seconds()
	}
	return sensito.Estimate{Value: f(t.Value), Low: f(t.Low), High: f(t.High)}
}

// String prints the time with its interval, for example "7:02 (6:40 to 7:26)".
func (t Time) String() string {
	s := FormatTime(t.Value.Round(time.Second))
	if t.Low < 0 || t.High < 0 {
		return s
	}
	high := "no end"
	if t.High != Unbounded {
		high = FormatTime(t.High.Round(time.Second))
	}
	return s + " (" + FormatTime(t.Low.Round(time.Second)) + " to " + high + ")"
}

// TimeFor is the time that gives the target contrast,
//
//	t = induction - ln(1 - target/limit) / rate
//
// Its interval holds the times at which the target lies within the 95 % band
// of the fitted contrast. Near the limit the band may never leave the target
// below it; the interval then has no upper end.
//
// Errors: [ErrInput] unless the target is above 0; [ErrLimit], naming the
// limit, for a target at or beyond it.
func (c ContrastTime) TimeFor(target float64) (Time, error) {
	if !(target > 0) || c.limit == 0 {
		return Time{}, check.Errorf(ErrInput, "target contrast %v, want more than 0", target)
	}
	if target >= c.limit {
		return Time{}, check.Errorf(ErrLimit, "contrast %.4g is asked for, and the limit of this film and process is %.4g; no time gives more", target, c.limit)
	}
	t := c.induction - math.Log1p(-target/c.limit)/c.rate
	value, ok := minutes(t)
	if !ok {
		return Time{}, check.Errorf(ErrLimit, "contrast %.4g is so near the limit %.6g that its time is beyond measure", target, c.limit)
	}
	out := Time{Value: value, Low: value, High: value}
	if c.free == 0 {
		return out, nil
	}
	out.Extrapolated = !c.Inside(value)
	q := c.halfWidth()
	if math.IsNaN(q) || math.IsNaN(c.cov[0][0]) {
		out.Low, out.High = -1, -1
		return out, nil
	}
	edge := func(sign float64) func(float64) float64 {
		return func(x float64) float64 {
			g, sd := c.sd(x)
			return g + sign*q*sd - target
		}
	}
	// Below t: where the upper edge of the band comes down to the target.
	upper := edge(1)
	lo, flo := t, upper(t)
	start := math.Max(c.induction, 0)
	for i := 0; flo > 0 && i < 60; i++ {
		lo = start + (lo-start)*0.8
		flo = upper(lo)
	}
	if x, err := root.Find(upper, lo, t); err == nil {
		out.Low, _ = minutes(x)
	} else {
		out.Low, _ = minutes(start)
	}
	// Above t: where the lower edge comes up to it, if ever.
	lower := edge(-1)
	hi, fhi := t, lower(t)
	prev := hi
	for i := 0; fhi < 0 && i < 60; i++ {
		prev = hi
		hi = c.induction + (hi-c.induction)*1.1
		fhi = lower(hi)
	}
	out.High = Unbounded
	if fhi >= 0 {
		if x, err := root.Find(lower, prev, hi); err == nil {
			if d, ok := minutes(x); ok {
				out.High = d
			}
		}
	}
	return out, nil
}

// minutes turns minutes into a Duration; false when it does not fit.
func minutes(m float64) (time.Duration, bool) {
	ns := m * float64(time.Minute)
	if !(ns < math.MaxInt64/2) {
		return Unbounded, false
	}
	return time.Duration(math.Round(ns)), true
}
