package reciprocity

import (
	"cmp"
	"encoding/json"
	"math"
	"slices"
	"sync"
	"time"

	"example.org/actinic/internal/check"
	"example.org/actinic/internal/lsq"
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

// Kind names a law that can be fitted, in the words of [Form]: the law, and a
// constant that is not fitted but fixed. [Kinds] lists them.
type Kind string

// A fitter is what the file of a law tells of its fit. The working parameters are
// those in which the readings' account of the law is most nearly even.
type fitter interface {
	// names are the constants that are found, as in the law's form, and public
	// their values for working parameters, with the derivative of each by its own;
	// 0 for a constant that is missing.
	names() []string
	public(th []float64) (v, slope []float64)
	// model is ln(adjusted/metered) at ln metered; g, where not nil, gets the
	// derivatives by the working parameters. It is false outside the law's bounds.
	model(th []float64, x float64, g []float64) (y float64, ok bool)
	// solve finds the working parameters of least squares.
	solve(d *data) (solution, error)
	// law makes the law from working parameters.
	law(th []float64) (Law, error)
	// nodes are working parameters that the readings allow, see gridNodes.
	nodes(d *data, at solution, like likelihood) []node
}

// Kinds lists the laws that can be fitted, simplest first.
func Kinds() []Kind {
	var out []Kind
	for _, r := range registry {
		if r.fit != nil {
			out = append(out, r.kind)
		}
	}
	return out
}

func (k Kind) fitter() (fitter, error) {
	for _, r := range registry {
		if r.fit != nil && r.kind == k {
			return r.fit, nil
		}
	}
	return nil, check.Errorf(ErrInput, "no fit of a law %q", clip(string(k)))
}

// String is the kind's text.
func (k Kind) String() string { return string(k) }

// MarshalText is the kind's text.
//
// Errors: [ErrInput] for a kind that is not one of [Kinds].
func (k Kind) MarshalText() ([]byte, error) {
	_, err := k.fitter()
	return []byte(k), err
}

// UnmarshalText reads the text of one of [Kinds].
//
// Errors: [ErrInput].
func (k *Kind) UnmarshalText(text []byte) error {
	_, err := Kind(text).fitter()
	if err == nil {
		*k = Kind(text)
	}
	return err
}

// Parameter is a fitted constant of a law with its 95 % interval, named as in
// [Form]. The value is 0, and the ends are NaN, for a branch that the readings do
// not show; the ends are NaN too where the readings do not tell.
type Parameter struct {
	Name string
	sensito.Estimate
}

// String prints name and estimate, "p = 0.8 (0.7 to 0.9)".
func (p Parameter) String() string { return p.Name + " = " + p.Estimate.String() }

type parameterJSON struct {
	Name string           `json:"name"`
	Is   sensito.Estimate `json:"estimate"`
}

// MarshalJSON writes the members name and estimate.
func (p Parameter) MarshalJSON() ([]byte, error) {
	return json.Marshal(parameterJSON{p.Name, p.Estimate})
}

// UnmarshalJSON reads what MarshalJSON writes.
func (p *Parameter) UnmarshalJSON(b []byte) error {
	var j parameterJSON
	err := json.Unmarshal(b, &j)
	if err == nil {
		*p = Parameter{j.Name, j.Is}
	}
	return err
}

// solution is a fit in working parameters.
type solution struct {
	theta []float64
	cov   []float64 // for weights taken as given; NaN where the readings do not tell
}

// Fitted is a law with the readings' account of it. Make one with [Fit] or [Choose];
// the zero Fitted answers with an error. It is safe for concurrent use.
type Fitted struct {
	kind Kind
	fit  fitter
	law  Law
	d    *data
	solution
	chi2 float64 // weighted residual sum, in (natural logarithm)²
	// reading is the mean of 1/weight: the variance of a reading, before scale
	reading float64
	shares  []share // by Choose: what the laws have of the belief
	once    sync.Once
	post    posterior
}

// Fit fits a law to readings by least squares of the logarithm of the adjusted
// time, weighted by 1/SD² where every reading has a standard deviation. The
// domain of the law is the range of the metered times.
//
// Onsets are found exactly, as the hinges of least residual. Where several
// laws fit equally well, as when a single reading lies beyond the onset, the
// mildest is taken: its onset is the last reading that did not fail, and the
// intervals of its constants are NaN. A fitted short branch is not steeper than
// adjusted ~ metered^0.1.
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
		if !(q.SD >= 0) || !check.Finite(q.SD) {
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
	fit, err := kind.fitter()
	if err != nil {
		return nil, err
	}
	n := len(d.x)
	if p := len(fit.names()); n < p {
		return nil, check.Errorf(ErrInput, "%d readings for the %d constants of the law %q", n, p, kind)
	}
	f := &Fitted{kind: kind, fit: fit, d: d}
	if f.solution, err = fit.solve(d); err != nil {
		return nil, err
	}
	law, err := fit.law(f.theta)
	if err != nil {
		return nil, check.Errorf(ErrNoLaw, "%v", err)
	}
	f.law = law
	if d.lo < d.hi { // readings at one time have no range
		if f.law, err = Within(law, d.lo, d.hi); err != nil {
			return nil, err
		}
	}
	f.chi2 = d.chi2(fit.model, f.theta)
	for _, w := range d.w {
		f.reading += 1 / w / float64(n)
	}
	return f, nil
}

type model func(th []float64, x float64, g []float64) (y float64, ok bool)

// chi2 is the weighted residual sum; infinite outside the bounds of the model.
func (d *data) chi2(m model, th []float64) float64 {
	var s float64
	for i, x := range d.x {
		y, ok := m(th, x, nil)
		if !ok {
			return math.Inf(1)
		}
		r := d.y[i] - y
		s += d.w[i] * r * r
	}
	return s
}

// iterate runs the iteration from each start and keeps the best.
func (d *data) iterate(fit model, starts ...[]float64) (solution, error) {
	var w lsq.Workspace
	m := func(p, v, jac []float64) bool {
		k := len(p)
		for i, x := range d.x {
			y, ok := fit(p, x, jac[i*k:i*k+k])
			if !ok {
				return false
			}
			v[i] = y
		}
		return true
	}
	var s solution
	best := math.Inf(1)
	for _, start := range starts {
		r, err := w.Fit(m, d.y, d.w, start, lsq.Settings{})
		if err != nil || r.Status == lsq.IterationLimit || !(r.RSS < best) {
			continue
		}
		best = r.RSS
		s = solution{slices.Clone(r.Params), slices.Clone(r.Cov)}
	}
	if math.IsInf(best, 0) {
		return s, check.Errorf(ErrNoLaw, "the iteration finds no constants")
	}
	return s, nil
}

// fails reports whether the readings, taken together, need more time.
func (d *data) fails() bool {
	var s float64
	for i, y := range d.y {
		s += d.w[i] * y
	}
	return s > 0
}

func errNoFailure() error {
	return check.Errorf(ErrNoLaw, "the adjusted times are not longer than the metered ones")
}

// flatBelow is the readings with those of shorter times at no failure.
func (d *data) flatBelow(x float64) *data { return d.flat(func(v float64) bool { return v < x }) }

// flatAbove is the readings with those of longer times at no failure.
func (d *data) flatAbove(x float64) *data { return d.flat(func(v float64) bool { return v > x }) }

func (d *data) flat(drop func(x float64) bool) *data {
	c := *d
	c.y = slices.Clone(d.y)
	for i, x := range d.x {
		if drop(x) {
			c.y[i] = 0
		}
	}
	return &c
}

func (f *Fitted) check() error {
	if f == nil || f.fit == nil {
		return check.Errorf(ErrInput, "no fit; make one with Fit or Choose")
	}
	return nil
}

// Kind is the law's kind; empty for the zero Fitted.
func (f *Fitted) Kind() Kind {
	if f == nil {
		return ""
	}
	return f.kind
}

// Law is the fitted law, of its own type; its domain is the range of the readings.
// It is nil for the zero Fitted.
func (f *Fitted) Law() Law {
	if f == nil {
		return nil
	}
	return f.law
}

// Form is the fitted law as data, to be published. Its readings are not in it.
//
// Errors: [ErrInput] for the zero Fitted.
func (f *Fitted) Form() (Form, error) {
	if err := f.check(); err != nil {
		return Form{}, err
	}
	return FormOf(f.law)
}

// Scatter is the standard deviation of a reading about the law in stops, and
// its degrees of freedom; NaN for none. For readings with standard deviations
// it is relative to them, near 1 where they are right.
func (f *Fitted) Scatter() (sd float64, dof int) {
	if f.check() != nil {
		return math.NaN(), 0
	}
	dof = len(f.d.x) - len(f.theta)
	if dof <= 0 {
		return math.NaN(), 0
	}
	sd = math.Sqrt(f.chi2 / float64(dof))
	if !f.d.known {
		sd /= math.Ln2
	}
	return sd, dof
}

// Parameters are the constants of the law with 95 % intervals, which are the
// readings' account of each and need not be even about the value. Standard
// deviations that the scatter shows to be too small are enlarged, with Student's t
// for the degrees of freedom.
//
// TestOnsetStudy asks how often: of 1000 films a row of eight to seventeen readings,
// the intervals of onsets and exponents, of one branch and two, hold the truth 95.8 to
// 98.1 times in a hundred where the standard deviation is what is stated (± 1.2), 92.8
// to 96.0 where none is, and 92.7 to 95.4 where readings scatter by twice of it.
func (f *Fitted) Parameters() []Parameter {
	if f.check() != nil {
		return nil
	}
	names := f.fit.names()
	v, _ := f.fit.public(f.theta)
	out := make([]Parameter, len(names))
	post := f.posterior()
	for i, name := range names {
		e := sensito.Estimate{Value: v[i], Low: math.NaN(), High: math.NaN()}
		if told := f.cov[i*len(names)+i]; v[i] != 0 && !math.IsNaN(told) {
			e = post.interval(e.Value, func(th []float64) float64 {
				v, _ := f.fit.public(th)
				return v[i]
			})
		}
		out[i] = Parameter{name, e}
	}
	return out
}

// Covariance is that of the constants in the order and units of
// [Fitted.Parameters], to first order; NaN where the readings do not tell.
func (f *Fitted) Covariance() [][]float64 {
	if f.check() != nil {
		return nil
	}
	n := len(f.theta)
	_, j := f.fit.public(f.theta)
	factor := f.likelihood().scale
	c := make([][]float64, n)
	for i := range c {
		c[i] = make([]float64, n)
		for k := range c[i] {
			c[i][k] = factor * f.cov[i*n+k] * j[i] * j[k]
		}
	}
	return c
}

type fittedJSON struct {
	Kind       Kind        `json:"kind"`
	Law        Form        `json:"law"`
	Parameters []Parameter `json:"parameters"`
	Scatter    *float64    `json:"scatter,omitempty"`
	DOF        int         `json:"degrees_of_freedom"`
	Weights    []Weight    `json:"weights,omitempty"`
}

// MarshalJSON writes the fit's kind, law, constants and scatter. A fit is not read
// back: fit the readings again, or read its law, see [Form].
//
// Errors: [ErrInput] for the zero Fitted.
func (f *Fitted) MarshalJSON() ([]byte, error) {
	form, err := f.Form()
	if err != nil {
		return nil, err
	}
	j := fittedJSON{Kind: f.kind, Law: form, Parameters: f.Parameters(), Weights: f.Weights()}
	sd, dof := f.Scatter()
	if j.DOF = dof; dof > 0 {
		j.Scatter = &sd
	}
	return json.Marshal(j)
}

// UnmarshalJSON is an error: see MarshalJSON.
func (f *Fitted) UnmarshalJSON([]byte) error {
	return check.Errorf(ErrInput, "a fit is not read back; fit the readings again, or read its law as a Form")
}
