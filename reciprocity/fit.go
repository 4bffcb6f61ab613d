package reciprocity

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"time"

	"example.org/actinic/internal/check"
	"example.org/actinic/internal/lsq"
	"example.org/actinic/internal/uncert"
	"example.org/actinic/sensito"
)

// Reading is one test of a film: metered for one time, it came out right with
// another. SD is the standard deviation of the adjusted time in stops, 0 where
// not known. A test by aperture is made into one by [ByAperture], one by
// density by [FromDensity].
type Reading struct {
	Metered, Adjusted time.Duration
	SD                sensito.Stops
}

// ByAperture is the reading of a film that, exposed for the time t, came out
// right with the lens opened by s stops: it was then metered for t/2^s.
func ByAperture(t time.Duration, s sensito.Stops) Reading {
	return Reading{Metered: time.Duration(math.Round(float64(t) / s.Factor())), Adjusted: t}
}

// Kind names a law that can be fitted.
type Kind int

// The laws, simplest first, and what is fitted.
const (
	KindHolds       Kind = iota + 1 // [Holds]: nothing
	KindPower1s                     // [Power] with an onset of 1 s: p
	KindSmooth                      // [Smooth]: p
	KindAdditive162                 // [Additive] with b = 1.62: a
	KindPower                       // [Power]: p and onset
	KindAdditive                    // [Additive]: a and b
	KindCatenary                    // [Catenary] with the optimum as reference: a and optimum
	KindTwoBranch                   // [TwoBranch]: p and onset of each branch
)

var kindNames = [...]string{
	KindHolds: "holds", KindPower1s: "power from 1 s", KindSmooth: "(t+1)^p", KindAdditive162: "additive, 1.62",
	KindPower: "power", KindAdditive: "additive", KindCatenary: "catenary", KindTwoBranch: "two branches",
}

// String names the kind.
func (k Kind) String() string {
	if k > 0 && int(k) < len(kindNames) {
		return kindNames[k]
	}
	return fmt.Sprintf("Kind(%d)", int(k))
}

var kindParameters = [...][]string{
	KindHolds: nil, KindPower1s: {"p"}, KindSmooth: {"p"}, KindAdditive162: {"a"},
	KindPower: {"p", "onset_s"}, KindAdditive: {"a", "b"}, KindCatenary: {"a", "optimum_s"},
	KindTwoBranch: {"long_p", "long_onset_s", "short_p", "short_onset_s"},
}

// Parameter is a fitted constant of a law with its 95 % interval. The ends are
// NaN where the readings do not tell.
type Parameter struct {
	Name string
	sensito.Estimate
}

// Fitted is a law with the readings' account of it.
type Fitted struct {
	kind  Kind
	law   Law
	theta []float64 // working parameters, see model
	cov   []float64 // of theta, for weights taken as given
	chi2  float64   // weighted residual sum, in (natural logarithm)²
	// reading is the mean of 1/weight: the variance of a reading, before scale
	reading float64
	n       int
	known   bool
}

// rounding is the part of a sum of squares below which two residual sums count
// as equal.
const rounding = 4e-15

// steepest is the least local exponent allowed on a fitted short branch; 0
// would make the adjusted time stand still.
const steepest = 0.1

// Fit fits a law to readings by least squares of the logarithm of the adjusted
// time, weighted by 1/SD² where every reading has a standard deviation. The
// domain of the law is the range of the metered times.
//
// Onsets are found exactly, as the hinges of least residual. Where several
// laws fit equally well, as when a single reading lies beyond the onset, the
// mildest is taken: its onset is the last reading that did not fail, and the
// intervals are NaN. A fitted short branch is not steeper than adjusted ~
// metered^0.1.
//
// Errors: [ErrInput] for times that are not positive, standard deviations on
// some readings only, or fewer readings than constants; [ErrNoLaw] where the
// readings show no failure of this kind.
func Fit(kind Kind, readings []Reading) (*Fitted, error) {
	d, err := newData(readings)
	if err != nil {
		return nil, err
	}
	return d.fit(kind)
}

// data are readings as ln metered, ln(adjusted/metered), weights.
type data struct {
	x, y, w []float64
	known   bool
	lo, hi  time.Duration
}

func newData(readings []Reading) (*data, error) {
	n := len(readings)
	if n == 0 {
		return nil, check.Errorf(ErrInput, "no readings")
	}
	r := slices.Clone(readings)
	slices.SortStableFunc(r, func(a, b Reading) int { return cmp.Compare(a.Metered, b.Metered) })
	d := &data{
		x: make([]float64, n), y: make([]float64, n), w: make([]float64, n),
		known: r[0].SD > 0, lo: r[0].Metered, hi: r[n-1].Metered,
	}
	for i, q := range r {
		x, err := seconds(q.Metered.Seconds())
		if err != nil {
			return nil, err
		}
		a, err := seconds(q.Adjusted.Seconds())
		if err != nil {
			return nil, err
		}
		if !(q.SD >= 0) || math.IsInf(float64(q.SD), 0) {
			return nil, check.Errorf(ErrInput, "standard deviation of %v", float64(q.SD))
		}
		if d.known != (q.SD > 0) {
			return nil, check.Errorf(ErrInput, "standard deviations on some readings only: give all or none")
		}
		d.x[i], d.y[i], d.w[i] = x, a-x, 1
		if d.known {
			s := float64(q.SD) * math.Ln2
			d.w[i] = 1 / (s * s)
		}
	}
	return d, nil
}

func (d *data) fit(kind Kind) (*Fitted, error) {
	if kind < KindHolds || kind > KindTwoBranch {
		return nil, check.Errorf(ErrInput, "no law of kind %d", int(kind))
	}
	p := len(kindParameters[kind])
	if len(d.x) < p {
		return nil, check.Errorf(ErrInput, "%d readings for the %d constants of the law %q", len(d.x), p, kind)
	}
	f := &Fitted{kind: kind, n: len(d.x), known: d.known}
	var err error
	switch kind {
	case KindHolds:
		f.theta, f.cov = []float64{}, []float64{}
	case KindPower1s, KindSmooth, KindAdditive162:
		err = f.one(d)
	case KindPower:
		err = f.power(d)
	case KindAdditive, KindCatenary:
		err = f.two(d)
	case KindTwoBranch:
		err = f.branches(d)
	}
	if err != nil {
		return nil, err
	}
	law, err := f.build()
	if err != nil {
		return nil, check.Errorf(ErrNoLaw, "%v", err)
	}
	f.law = within{law, d.lo.Seconds(), d.hi.Seconds()}
	for i, x := range d.x {
		y, _ := f.model(x, nil)
		r := d.y[i] - y
		f.chi2 += d.w[i] * r * r
		f.reading += 1 / d.w[i] / float64(len(d.x))
	}
	return f, nil
}

// model is ln(adjusted/metered) at ln metered, with derivatives by theta. The
// working parameters are
//
//	power 1 s:  1/p - 1          smooth:    p           additive 1.62: ln a
//	power:      1/p - 1, ln onset
//	additive:   ln a, b          catenary:  a, ln optimum
//	branches:   1/p - 1, ln onset of the long, 1 - 1/p, ln onset of the short
func (f *Fitted) model(x float64, g []float64) (y float64, ok bool) {
	if g == nil {
		g = make([]float64, len(f.theta))
	}
	return model(f.kind, f.theta, x, g)
}

func model(kind Kind, th []float64, x float64, g []float64) (y float64, ok bool) {
	for i := range g {
		g[i] = 0
	}
	hinge := func(k int, h float64) float64 {
		if h > 0 {
			g[k], g[k+1] = h, -th[k]
			return th[k] * h
		}
		return 0
	}
	switch kind {
	case KindHolds:
	case KindPower1s:
		if x > 0 {
			g[0] = x
			y = th[0] * x
		}
	case KindSmooth:
		if !(th[0] > 0 && th[0] <= 1) {
			return 0, false
		}
		a, _ := Smooth{p: th[0]}.Adjusted(math.Exp(x))
		v := math.Log(a)
		y = v - x
		g[0] = -softplus(v) / (1 + (th[0]-1)*logistic(v))
	case KindAdditive162, KindAdditive:
		b := BondExponent
		if kind == KindAdditive {
			b = th[1]
			if !(b >= 1) {
				return 0, false
			}
		}
		u := th[0] + (b-1)*x
		y = softplus(u)
		g[0] = logistic(u)
		if kind == KindAdditive {
			g[1] = logistic(u) * x
		}
	case KindPower:
		y = hinge(0, x-th[1])
	case KindCatenary:
		if !(th[0] >= 0 && th[0] < 1) {
			return 0, false
		}
		z := th[0] * (x - th[1])
		y = lnCosh(z)
		t := math.Tanh(z)
		g[0], g[1] = t*(x-th[1]), -t*th[0]
	case KindTwoBranch:
		y = hinge(0, x-th[1])
		if h := th[3] - x; h > 0 {
			g[2], g[3] = h, th[2]
			y += th[2] * h
		}
	}
	return y, true
}

// build makes the law from theta.
func (f *Fitted) build() (Law, error) {
	th := f.theta
	switch f.kind {
	case KindPower1s:
		return NewPower(1, 1/(1+th[0]))
	case KindSmooth:
		return NewSmooth(th[0])
	case KindAdditive162:
		return NewAdditive(math.Exp(th[0]), BondExponent)
	case KindPower:
		return NewPower(math.Exp(th[1]), 1/(1+th[0]))
	case KindAdditive:
		return NewAdditive(math.Exp(th[0]), th[1])
	case KindCatenary:
		return NewCatenary(th[0], math.Exp(th[1]), math.Exp(th[1]))
	case KindTwoBranch:
		var s, l Branch
		if th[0] > 0 {
			l = Branch{math.Exp(th[1]), 1 / (1 + th[0])}
		}
		if th[2] > 0 {
			s = Branch{math.Exp(th[3]), 1 / (1 - th[2])}
		}
		return NewTwoBranch(s, l)
	}
	return Holds{}, nil
}

// lm runs the iteration from each start and keeps the best.
func (f *Fitted) lm(d *data, starts [][]float64) error {
	var w lsq.Workspace
	m := func(p, v, jac []float64) bool {
		k := len(p)
		for i, x := range d.x {
			y, ok := model(f.kind, p, x, jac[i*k:i*k+k])
			if !ok {
				return false
			}
			v[i] = y
		}
		return true
	}
	best := math.Inf(1)
	for _, s := range starts {
		r, err := w.Fit(m, d.y, d.w, s, lsq.Settings{})
		if err != nil || r.Status == lsq.IterationLimit || !(r.RSS < best) {
			continue
		}
		best = r.RSS
		f.theta = slices.Clone(r.Params)
		f.cov = slices.Clone(r.Cov)
	}
	if math.IsInf(best, 0) {
		return check.Errorf(ErrNoLaw, "no fit of the law %q", f.kind)
	}
	return nil
}

func (f *Fitted) one(d *data) error {
	switch f.kind {
	case KindPower1s:
		var sxx, sxy float64
		for i, x := range d.x {
			if x > 0 {
				sxx += d.w[i] * x * x
				sxy += d.w[i] * x * d.y[i]
			}
		}
		if !(sxx > 0) || !(sxy > 0) {
			return check.Errorf(ErrNoLaw, "no failure beyond 1 s")
		}
		f.theta, f.cov = []float64{sxy / sxx}, []float64{1 / sxx}
		return nil
	case KindSmooth:
		if !d.fails() {
			return check.Errorf(ErrNoLaw, "the adjusted times are not longer than the metered ones")
		}
		return f.lm(d, [][]float64{{0.9}, {0.6}})
	}
	if !d.fails() {
		return check.Errorf(ErrNoLaw, "the adjusted times are not longer than the metered ones")
	}
	return f.lm(d, [][]float64{{math.Log(0.1)}, {math.Log(1e-3)}, {0}})
}

// fails reports whether the readings, taken together, need more time.
func (d *data) fails() bool {
	var s float64
	for i, y := range d.y {
		s += d.w[i] * y
	}
	return s > 0
}

func (f *Fitted) two(d *data) error {
	if !d.fails() {
		return check.Errorf(ErrNoLaw, "the adjusted times are not longer than the metered ones")
	}
	if f.kind == KindAdditive {
		return f.lm(d, [][]float64{{math.Log(0.1), 1.5}, {math.Log(0.01), 1.62}, {0, 1.3}, {math.Log(1e-3), 2}})
	}
	var starts [][]float64
	lo, hi := d.x[0], d.x[len(d.x)-1]
	for _, q := range []float64{0, .25, .5, .75} {
		starts = append(starts, []float64{0.15, lo + q*(hi-lo)})
	}
	starts = append(starts, []float64{0.15, lo - 4})
	return f.lm(d, starts)
}

func (f *Fitted) power(d *data) error {
	h := fitHinge(d.x, d.y, d.w, math.Inf(-1), math.Inf(1))
	if !(h.a > 0) {
		return check.Errorf(ErrNoLaw, "no failure at long times")
	}
	f.theta = []float64{h.a, h.u}
	f.cov = slices.Clone(h.cov[:])
	return nil
}

func (f *Fitted) branches(d *data) error {
	n := len(d.x)
	neg := make([]float64, n) // the short end, mirrored
	ny, nw := make([]float64, n), make([]float64, n)
	for i := range d.x {
		neg[n-1-i], ny[n-1-i], nw[n-1-i] = -d.x[i], d.y[i], d.w[i]
	}
	step := max(1, n/32)
	var total float64
	for i, y := range d.y {
		total += d.w[i] * y * y
	}
	best := math.MaxFloat64
	var long, short hinge
	for s := 0; s <= n; s += step {
		// Readings before s belong to the short branch, the others to the
		// long; the onsets meet at most halfway between.
		lo, hi := math.Inf(-1), math.Inf(1)
		if s > 0 && s < n {
			lo = (d.x[s-1] + d.x[s]) / 2
			hi = lo
		}
		l := fitHinge(d.x[s:], d.y[s:], d.w[s:], lo, math.Inf(1))
		r := fitHinge(neg[n-s:], ny[n-s:], nw[n-s:], -hi, 1-steepest)
		rss := l.rss + r.rss
		if tie := 1e-9*best + rounding*total; rss < best-tie || rss <= best+tie && l.a+r.a < long.a+short.a {
			best, long, short = rss, l, r
		}
	}
	if !(long.a > 0) && !(short.a > 0) {
		return check.Errorf(ErrNoLaw, "no failure at either end")
	}
	f.theta = []float64{long.a, long.u, short.a, -short.u}
	c, s := long.cov, short.cov
	f.cov = []float64{
		c[0], c[1], 0, 0,
		c[2], c[3], 0, 0,
		0, 0, s[0], -s[1],
		0, 0, -s[2], s[3],
	}
	return nil
}

// hinge is y = a max(0, x - u).
type hinge struct {
	a, u, rss float64
	cov       [4]float64 // of a, u; NaN where the readings do not tell
}

// fitHinge finds the hinge of least weighted residual sum with u >= least and
// 0 <= a <= most. x must not fall. For each set of readings beyond the hinge
// the best line is known in closed form, so the search is exact and takes one
// pass. Among hinges that fit equally well the flattest wins.
func fitHinge(x, y, w []float64, least, most float64) hinge {
	n := len(x)
	nan := math.NaN()
	best := hinge{cov: [4]float64{nan, nan, nan, nan}}
	before := make([]float64, n+1) // residual sum of the readings below the hinge
	for i := range y {
		before[i+1] = before[i] + w[i]*y[i]*y[i]
	}
	best.rss = before[n]
	if n == 0 {
		return best
	}
	best.u = x[n-1]
	floor := rounding * best.rss
	var sw, sx, sy, sxx, sxy, syy float64 // sums over the active readings, about x[n-1]
	origin := x[n-1]
	try := func(k int, a, u float64) {
		if !(a > 0) || !(u >= least) {
			return
		}
		a = math.Min(a, most)
		v := u - origin
		// residual sum of the active readings for the line a (x - u)
		rss := syy - 2*a*(sxy-v*sy) + a*a*(sxx-2*v*sx+v*v*sw)
		rss = math.Max(rss, 0) + before[k]
		if tie := 1e-9*best.rss + floor; rss < best.rss-tie || rss <= best.rss+tie && a < best.a {
			best.a, best.u, best.rss = a, u, rss
		}
	}
	for k := n - 1; k >= 0; k-- {
		dx := x[k] - origin
		sw += w[k]
		sx += w[k] * dx
		sy += w[k] * y[k]
		sxx += w[k] * dx * dx
		sxy += w[k] * dx * y[k]
		syy += w[k] * y[k] * y[k]
		if k > 0 && x[k-1] == x[k] {
			continue
		}
		// u between the last reading before and the first of the active ones
		lo := least
		if k > 0 {
			lo = math.Max(lo, x[k-1])
		}
		if !(lo < x[k]) {
			continue
		}
		if det := sxx - sx*sx/sw; det > 1e-12*sxx {
			a := (sxy - sx*sy/sw) / det
			if a > most {
				a = most
			}
			if u := origin + sx/sw - sy/sw/a; u >= lo && u <= x[k] {
				try(k, a, u)
			}
		}
		if sy > 0 && !math.IsInf(most, 0) {
			if u := origin + sx/sw - sy/sw/most; u >= lo && u <= x[k] {
				try(k, most, u)
			}
		}
		if !math.IsInf(lo, 0) {
			v := lo - origin
			if q := sxx - 2*v*sx + v*v*sw; q > 0 {
				try(k, (sxy-v*sy)/q, lo)
			}
		}
	}
	if !(best.a > 0) {
		return best
	}
	// Covariance from the readings beyond the hinge.
	var saa, sau, suu float64
	for i := range x {
		if h := x[i] - best.u; h > 0 {
			saa += w[i] * h * h
			sau -= w[i] * h * best.a
			suu += w[i] * best.a * best.a
		}
	}
	if det := saa*suu - sau*sau; det > 1e-10*saa*suu && best.a < most {
		best.cov = [4]float64{suu / det, -sau / det, -sau / det, saa / det}
	}
	return best
}

// Kind is the law's kind.
func (f *Fitted) Kind() Kind { return f.kind }

// Law is the fitted law; its domain is the range of the readings.
func (f *Fitted) Law() Law { return f.law }

// Scatter is the standard deviation of a reading about the law in stops, and
// its degrees of freedom; NaN for none. For readings with standard deviations
// it is relative to them, near 1 where they are right.
func (f *Fitted) Scatter() (sd float64, dof int) {
	dof = f.n - len(f.theta)
	if dof <= 0 {
		return math.NaN(), 0
	}
	sd = math.Sqrt(f.chi2 / float64(dof))
	if !f.known {
		sd /= math.Ln2
	}
	return sd, dof
}

// scale is the factor on the covariance, and the half-width of 95 %.
func (f *Fitted) scale() (factor, quantile float64) {
	dof := f.n - len(f.theta)
	if f.known {
		if dof > 0 {
			return math.Max(1, f.chi2/float64(dof)), lsq.Normal95
		}
		return 1, lsq.Normal95
	}
	if dof <= 0 {
		return math.NaN(), math.NaN()
	}
	return f.chi2 / float64(dof), lsq.TwoSided95(dof)
}

// Parameters are the constants of the law with 95 % intervals.
func (f *Fitted) Parameters() []Parameter {
	names := kindParameters[f.kind]
	out := make([]Parameter, len(names))
	factor, q := f.scale()
	for i, name := range names {
		h := q * math.Sqrt(factor*f.cov[i*len(names)+i])
		e := sensito.Estimate{Value: f.theta[i], Low: f.theta[i] - h, High: f.theta[i] + h}
		switch {
		case f.kind == KindSmooth, f.kind == KindCatenary && i == 0, f.kind == KindAdditive && i == 1:
		case f.kind == KindTwoBranch && i == 2:
			e = e.Map(func(a float64) float64 { return 1 / (1 - math.Min(a, 1)) })
		case name == "p", name == "long_p":
			e = e.Map(func(a float64) float64 { return 1 / math.Max(1+a, 1) })
		default:
			e = e.Map(math.Exp)
		}
		out[i] = Parameter{name, e}
	}
	return out
}

// Covariance is that of the constants in the order and units of
// [Fitted.Parameters], to first order; NaN where the readings do not tell.
func (f *Fitted) Covariance() [][]float64 {
	n := len(f.theta)
	factor, _ := f.scale()
	names := kindParameters[f.kind]
	j := make([]float64, n) // derivative of each constant by its working parameter
	for i, name := range names {
		a := f.theta[i]
		switch {
		case name == "p" && f.kind != KindSmooth, name == "long_p":
			j[i] = -1 / ((1 + a) * (1 + a))
		case name == "short_p":
			j[i] = 1 / ((1 - a) * (1 - a))
		case f.kind == KindSmooth, f.kind == KindCatenary && i == 0, f.kind == KindAdditive && i == 1:
			j[i] = 1
		default:
			j[i] = math.Exp(a)
		}
	}
	c := make([][]float64, n)
	for i := range c {
		c[i] = make([]float64, n)
		for k := range c[i] {
			c[i][k] = factor * f.cov[i*n+k] * j[i] * j[k]
		}
	}
	return c
}

// Prediction is an adjusted time in seconds with the 95 % interval of a new
// reading there.
type Prediction struct {
	Adjusted     sensito.Estimate
	Extrapolated bool // the metered time lies outside the readings
}

// Predict is the adjusted time for a metered one, with the interval that a new
// reading would fall in: it holds the doubt about the law and the scatter of a
// reading (the mean one, where readings have different standard deviations).
//
// Errors: [ErrInput].
func (f *Fitted) Predict(metered time.Duration) (Prediction, error) {
	x, err := seconds(metered.Seconds())
	if err != nil {
		return Prediction{}, err
	}
	k := len(f.theta)
	g := make([]float64, k)
	y, _ := f.model(x, g)
	factor, q := f.scale()
	v := uncert.Variance(g, f.cov)
	h := q * math.Sqrt(factor*(v+f.reading))
	a := math.Exp(x + y)
	return Prediction{
		Adjusted:     sensito.Estimate{Value: a, Low: a * math.Exp(-h), High: a * math.Exp(h)},
		Extrapolated: outside(f.law, metered.Seconds()),
	}, nil
}

// Trial is one law that [Choose] tried. Score is infinite where it could not be
// fitted, and Err says why.
type Trial struct {
	Kind  Kind
	Score float64
	Err   error
}

// Choose fits several laws and picks one. Each is scored by the Bayesian
// information criterion,
//
//	chi² + k ln n
//
// with k constants fitted to n readings and chi² the residual sum over the
// readings' variances. Among the laws within 2 of the lowest score the one with
// the fewest constants is picked, the earlier [Kind] among equals: a law with
// more constants must earn them. sd is the standard deviation of readings that
// state none; a third-stop mark alone has 0.1 stop. Without kinds all laws are
// tried.
//
// Errors: [ErrInput] unless sd > 0 or every reading has its own; [ErrNoLaw]
// where no law could be fitted.
//
// Source: G. Schwarz, Annals of Statistics 6 (1978) 461; the margin of 2 is
// common practice.
func Choose(readings []Reading, sd sensito.Stops, kinds ...Kind) (best *Fitted, tried []Trial, err error) {
	r := slices.Clone(readings)
	for i := range r {
		if r[i].SD == 0 {
			if !(sd > 0) || math.IsInf(float64(sd), 0) {
				return nil, nil, check.Errorf(ErrInput, "readings without standard deviation, and %v given for them", float64(sd))
			}
			r[i].SD = sd
		}
	}
	d, err := newData(r)
	if err != nil {
		return nil, nil, err
	}
	if len(kinds) == 0 {
		for k := KindHolds; k <= KindTwoBranch; k++ {
			kinds = append(kinds, k)
		}
	}
	fits := make([]*Fitted, len(kinds))
	least := math.Inf(1)
	for i, k := range kinds {
		f, err := d.fit(k)
		t := Trial{Kind: k, Score: math.Inf(1), Err: err}
		if err == nil {
			fits[i] = f
			t.Score = f.chi2 + float64(len(f.theta))*math.Log(float64(f.n))
			least = math.Min(least, t.Score)
		}
		tried = append(tried, t)
	}
	for i, f := range fits {
		if f == nil || tried[i].Score > least+2 {
			continue
		}
		if best == nil || len(f.theta) < len(best.theta) || len(f.theta) == len(best.theta) && f.kind < best.kind {
			best = f
		}
	}
	if best == nil {
		return nil, tried, check.Errorf(ErrNoLaw, "none of %d laws could be fitted", len(kinds))
	}
	return best, tried, nil
}
