package reciprocity

import (
	"fmt"
	"math"

	"example.org/actinic/internal/check"
)

// KindCatenary is the fit of [Catenary] with the optimum as reference: of a and
// the optimum.
const KindCatenary Kind = "catenary"

// Catenary is the law of Kron and Halm, which covers both ends: a film works
// best at one intensity, and needs more exposure above and below it,
//
//	I t = H0 ½ [(I/I0)^a + (I/I0)^-a]
//
// In times, with the optimum at the metered time t0 = H0/I0,
//
//	K(t) = ½ [(t/t0)^a + (t/t0)^-a] = cosh(a ln(t/t0))
//	adjusted = metered K(metered) / K(reference)
//
// The reference is the metered time at which the law is to say nothing: a film
// speed was measured there, and without it every exposure would gain a
// constant. The local exponent is
//
//	1 + a tanh(a ln(metered/t0))
//
// from 1 - a at very short to 1 + a at very long times, so that Schwarzschild's
// p runs to 1/(1+a) < 1 in weak light, and to 1/(1-a) > 1 in strong: Kron's
// printed limits. Below about 1e-5 s the failure of real films levels off, and
// the law is an extrapolation. a was fixed over the densities of one emulsion,
// while I0 depends on emulsion, temperature and development, and its unit on
// the author (Kron: metre-Hefner-candles).
//
// Sources: E. Kron, Jahrbuch für Photographie 28 (1914) 6-10; the catenary form
// (J. Halm 1915) from memory.
type Catenary struct {
	domain
	a, t0, ref float64
	u, k       float64 // ln t0, ln K(ref)
}

// NewCatenary returns the law with its constant a, the optimum time and the
// reference time, in seconds.
//
// Errors: [ErrInput] unless 0 <= a < 1 and the times are positive.
func NewCatenary(a, optimum, reference float64) (Catenary, error) {
	u, err := seconds(optimum)
	if err != nil {
		return Catenary{}, err
	}
	r, err := seconds(reference)
	if err != nil {
		return Catenary{}, err
	}
	if !(a >= 0 && a < 1) {
		return Catenary{}, check.Errorf(ErrInput, "catenary constant a of %v, want from 0 to below 1", a)
	}
	return Catenary{a: a, t0: optimum, ref: reference, u: u, k: lnCosh(a * (r - u))}, nil
}

// A is the constant a.
func (l Catenary) A() float64 { return l.a }

// Optimum is the metered time of least failure, in seconds.
func (l Catenary) Optimum() float64 { return l.t0 }

// Adjusted is the formula of [Catenary].
func (l Catenary) Adjusted(metered float64) (float64, error) {
	if l.t0 == 0 {
		return 0, unmade("NewCatenary")
	}
	v, err := seconds(metered)
	if err != nil {
		return 0, err
	}
	return measurable(metered * math.Exp(lnCosh(l.a*(v-l.u))-l.k))
}

// Metered is the inverse.
func (l Catenary) Metered(adjusted float64) (float64, error) {
	if l.t0 == 0 {
		return 0, unmade("NewCatenary")
	}
	y, err := seconds(adjusted)
	if err != nil {
		return 0, err
	}
	v := newton(y+l.k, func(v float64) (float64, float64) {
		z := l.a * (v - l.u)
		return v + lnCosh(z) - l.k - y, 1 + l.a*math.Tanh(z)
	})
	return measurable(math.Exp(v))
}

// Exponent is 1 + a tanh(a ln(metered/t0)).
func (l Catenary) Exponent(metered float64) (float64, error) {
	if l.t0 == 0 {
		return 0, unmade("NewCatenary")
	}
	v, err := seconds(metered)
	if err != nil {
		return 0, err
	}
	return 1 + l.a*math.Tanh(l.a*(v-l.u)), nil
}

// String is the law for people, with its constants and the times it holds for.
func (l Catenary) String() string {
	return fmt.Sprintf("catenary, a = %.4g, optimum %.4g s, reference %.4g s", l.a, l.t0, l.ref) + l.text()
}

func (l Catenary) within(d domain) Law { l.domain = d; return l }

// MarshalText is the law as data, "catenary a=0.2 optimum_s=0.1 reference_s=0.1",
// see [ParseLaw].
//
// Errors: [ErrInput] for the zero law.
func (l Catenary) MarshalText() ([]byte, error) { return marshalLaw(l) }

// UnmarshalText reads what MarshalText writes.
func (l *Catenary) UnmarshalText(text []byte) error { return unmarshalLaw(text, l) }

// catenaryForm is Catenary as data and as a fit, whose working parameters are a
// and ln optimum.
type catenaryForm struct{}

func twoEnded() []ConstantInfo {
	a := aConstant
	a.Most = 1
	return []ConstantInfo{a, optimumConstant, referenceConstant}
}

func (catenaryForm) info() FormInfo {
	return FormInfo{Law: "catenary",
		Formula:   "t cosh(a ln(t/optimum_s)) / cosh(a ln(reference_s/optimum_s))",
		Constants: twoEnded()}
}

func (catenaryForm) read(l Law) (v values, rows []Reading, ok bool) {
	c, ok := l.(Catenary)
	return values{"a": c.a, "optimum_s": c.t0, "reference_s": c.ref}, nil, ok
}

func (catenaryForm) make(v values, _ []Reading) (Law, error) {
	return NewCatenary(v["a"], v["optimum_s"], v["reference_s"])
}

func (catenaryForm) names() []string { return []string{"a", "optimum_s"} }

func (catenaryForm) public(th []float64) (v, slope []float64) {
	optimum := math.Exp(th[1])
	return []float64{th[0], optimum}, []float64{1, optimum}
}

func (catenaryForm) model(th []float64, x float64, g []float64) (y float64, ok bool) {
	if !(th[0] >= 0 && th[0] < 1) {
		return 0, false
	}
	z := th[0] * (x - th[1])
	if g != nil {
		t := math.Tanh(z)
		g[0], g[1] = t*(x-th[1]), -t*th[0]
	}
	return lnCosh(z), true
}

func (catenaryForm) law(th []float64) (Law, error) {
	return NewCatenary(th[0], math.Exp(th[1]), math.Exp(th[1]))
}

func (catenaryForm) solve(d *data) (solution, error) {
	if !d.fails() {
		return solution{}, errNoFailure()
	}
	lo, hi := d.x[0], d.x[len(d.x)-1]
	starts := [][]float64{{0.15, lo - 4}}
	for _, q := range []float64{0, .25, .5, .75} {
		starts = append(starts, []float64{0.15, lo + q*(hi-lo)})
	}
	return d.iterate(catenaryForm{}.model, starts...)
}

func (catenaryForm) nodes(d *data, at solution, like likelihood) []node {
	lo, hi := d.x[0], d.x[len(d.x)-1]
	return gridNodes(d, catenaryForm{}.model, at, []span{{0, 0.99}, {lo - 12, hi + 3}}, like)
}

// lnCosh is ln cosh z without overflow.
func lnCosh(z float64) float64 {
	z = math.Abs(z)
	if z < 0.5 { // ln cosh z = ½ ln(1 + sinh² z), exact for small z
		s := math.Sinh(z)
		return 0.5 * math.Log1p(s*s)
	}
	return z + math.Log1p(math.Exp(-2*z)) - math.Ln2
}
