package devtime

import (
	"encoding/json"
	"math"
	"time"

	"example.org/actinic/internal/check"
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
// Make one with [NewContrastTime], or from strips: [FitGrowth] gives the intervals
// that hold with and without an induction time; [FitContrast] and
// [FitContrastInduction] are the plain fits of one law.
//
// Source: F. Hurter and V. C. Driffield (1890), S. E. Sheppard and C. E. K.
// Mees, Investigations on the Theory of the Photographic Process (1907), as
// used with gamma infinity and a velocity constant by H. E. Ives, Airplane
// Photography (1920). The induction time is after A. H. Nietz, The Theory of
// Development (1922), from memory.
type ContrastTime struct {
	limit, rate, induction float64       // per minute, minutes
	cov                    [3][3]float64 // of limit, rate, induction
	scaled                 bool          // by the scatter of the strips
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
	if !(limit > 0) || !(ratePerMinute > 0) || !check.Finite(limit) || !check.Finite(ratePerMinute) || induction < 0 {
		return ContrastTime{}, check.Errorf(ErrInput,
			"limit %v, rate %v per minute, induction %v: want a positive limit and rate", limit, ratePerMinute, induction)
	}
	return ContrastTime{limit: limit, rate: ratePerMinute, induction: induction.Minutes(), last: Unbounded}, nil
}

// made refuses the zero value.
func (c ContrastTime) made() error {
	if !(c.limit > 0) {
		return check.Errorf(ErrInput, "no growth of contrast; make one with NewContrastTime or fit one")
	}
	return nil
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

// halfWidth is that of 95 % in standard deviations: Student's t where the scale of
// the strips is known from their scatter.
func (c *ContrastTime) halfWidth() float64 {
	if c.scaled {
		return lsq.TwoSided95(c.dof)
	}
	return lsq.Normal95
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
		return sensito.Exact(x)
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
		return sensito.Exact(c.induction)
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
	if err := c.made(); err != nil {
		return sensito.Estimate{}, err
	}
	if t < 0 {
		return sensito.Estimate{}, check.Errorf(ErrInput, "time %v", t)
	}
	g, sd := c.sd(t.Minutes())
	if c.free == 0 {
		return sensito.Exact(g), nil
	}
	h := c.halfWidth() * sd
	return sensito.Estimate{Value: g, Low: math.Max(g-h, 0), High: g + h}, nil
}

// Inside reports whether t lies within the times of the strips.
func (c ContrastTime) Inside(t time.Duration) bool { return t >= c.first && t <= c.last }

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
//
// Source: the law of [ContrastTime], solved for the time.
func (c ContrastTime) TimeFor(target float64) (Time, error) {
	if err := c.made(); err != nil {
		return Time{}, err
	}
	if !(target > 0) {
		return Time{}, check.Errorf(ErrInput, "target contrast %v, want more than 0", target)
	}
	if target >= c.limit {
		return Time{}, check.Errorf(ErrLimit,
			"contrast %.4g is asked for, and the limit of this film and process is %.4g; no time gives more", target, c.limit)
	}
	t := c.induction - math.Log1p(-target/c.limit)/c.rate
	value, ok := minutes(t)
	if !ok {
		return Time{}, check.Errorf(ErrLimit,
			"contrast %.4g is so near the limit %.6g that its time is beyond measure", target, c.limit)
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
	out.Low, out.High = c.band(t, target, q)
	return out, nil
}

// band is where the target lies within q standard deviations of the contrast about
// the time t in minutes.
func (c ContrastTime) band(t, target, q float64) (low, high time.Duration) {
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
		low, _ = minutes(x)
	} else {
		low, _ = minutes(start)
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
	high = Unbounded
	if fhi >= 0 {
		if x, err := root.Find(lower, prev, hi); err == nil {
			if d, ok := minutes(x); ok {
				high = d
			}
		}
	}
	return low, high
}

type contrastTimeJSON struct {
	Limit     float64    `json:"limit"`
	Rate      float64    `json:"rate_per_min"`
	Induction float64    `json:"induction_min"`
	Shortest  float64    `json:"shortest_s,omitempty"`
	Longest   float64    `json:"longest_s,omitempty"`
	Fit       *growthFit `json:"fit,omitempty"`
}

// growthFit is what a fit knows of its constants.
type growthFit struct {
	Free       int            `json:"constants"`
	DOF        int            `json:"degrees_of_freedom"`
	RSS        float64        `json:"residual_sum"`
	Scaled     bool           `json:"scaled"` // by the scatter of the strips
	Covariance *[3][3]float64 `json:"covariance,omitempty"`
}

// MarshalJSON writes the constants, the range of the strips in seconds, and what a
// fit knows of its constants.
//
// Errors: [ErrInput] for the zero law.
func (c ContrastTime) MarshalJSON() ([]byte, error) {
	if err := c.made(); err != nil {
		return nil, err
	}
	j := contrastTimeJSON{Limit: c.limit, Rate: c.rate, Induction: c.induction}
	if c.last != Unbounded {
		j.Shortest, j.Longest = c.first.Seconds(), c.last.Seconds()
	}
	if c.free > 0 {
		j.Fit = &growthFit{Free: c.free, DOF: c.dof, RSS: c.rss, Scaled: c.scaled}
		if !math.IsNaN(c.cov[0][0]) {
			j.Fit.Covariance = &c.cov
		}
	}
	return json.Marshal(j)
}

// UnmarshalJSON reads what MarshalJSON writes.
//
// Errors: [ErrInput]; those of the JSON.
func (c *ContrastTime) UnmarshalJSON(b []byte) error {
	var j contrastTimeJSON
	if err := json.Unmarshal(b, &j); err != nil {
		return err
	}
	v := ContrastTime{limit: j.Limit, rate: j.Rate, induction: j.Induction, last: Unbounded}
	if !(j.Limit > 0) || !(j.Rate > 0) || !check.Finite(j.Limit, j.Rate, j.Induction) || j.Fit == nil && !(j.Induction >= 0) {
		return check.Errorf(ErrInput,
			"limit %v, rate %v per minute, induction %v min", j.Limit, j.Rate, j.Induction)
	}
	if j.Longest != 0 {
		var ok1, ok2 bool
		v.first, ok1 = minutes(j.Shortest / 60)
		v.last, ok2 = minutes(j.Longest / 60)
		if !ok1 || !ok2 || !(v.first >= 0 && v.last > v.first) {
			return check.Errorf(ErrInput, "strips from %v s to %v s", j.Shortest, j.Longest)
		}
	}
	if f := j.Fit; f != nil {
		if f.Free != 2 && f.Free != 3 || f.DOF < 0 || !(f.RSS >= 0) {
			return check.Errorf(ErrInput, "a fit of %d constants with %d degrees of freedom", f.Free, f.DOF)
		}
		v.free, v.dof, v.rss, v.scaled = f.Free, f.DOF, f.RSS, f.Scaled
		if f.Covariance != nil {
			v.cov = *f.Covariance
		} else {
			v.cov[0][0] = math.NaN()
		}
	}
	*c = v
	return nil
}
