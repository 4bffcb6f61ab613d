package reciprocity

import (
	"fmt"
	"math"

	"example.org/actinic/internal/check"
)

// BondExponent is the exponent that served the five films of Bond's
// measurements in Gainer's fit.
const BondExponent = 1.62

// The fits of [Additive]: of a and b, and of a for Bond's exponent.
const (
	KindAdditive    Kind = "additive"
	KindAdditive162 Kind = "additive b=1.62"
)

// Additive is the law that adds a power of the metered time to it,
//
//	adjusted = metered + a metered^b
//
// a is the correction at one second in seconds. There is no onset, and with b
// known one test exposure gives a. The local exponent runs toward b, which is
// p = 0.617 for b = 1.62, so the law should not be carried far past 1000 s.
//
// Source: P. Gainer's fit, with b = 1.62 and a from 0.046 to 0.169, to
// measurements by H. Bond published in 2003.
type Additive struct {
	domain
	a, b float64
}

// NewAdditive returns the law.
//
// Errors: [ErrInput] unless a >= 0 and b >= 1.
func NewAdditive(a, b float64) (Additive, error) {
	if !(a >= 0) || !check.Finite(a) || !(b >= 1) || !check.Finite(b) {
		return Additive{}, check.Errorf(ErrInput, "additive law with a = %v, b = %v; want a >= 0 and b >= 1", a, b)
	}
	return Additive{a: a, b: b}, nil
}

// AdditiveFrom returns the law through one test exposure, a metered and an
// adjusted time in seconds, for a known exponent b:
//
//	a = (adjusted - metered) / metered^b
//
// Errors: [ErrInput].
//
// Source: the law of [Additive], solved for a.
func AdditiveFrom(metered, adjusted, b float64) (Additive, error) {
	if _, err := seconds(metered); err != nil {
		return Additive{}, err
	}
	if !(adjusted >= metered) {
		return Additive{}, check.Errorf(ErrInput, "adjusted time %v s below the metered %v s", adjusted, metered)
	}
	return NewAdditive((adjusted-metered)/math.Pow(metered, b), b)
}

// A is the correction at one second.
func (l Additive) A() float64 { return l.a }

// B is the exponent.
func (l Additive) B() float64 { return l.b }

// Adjusted is the formula of [Additive].
func (l Additive) Adjusted(metered float64) (float64, error) {
	if l.b == 0 {
		return 0, unmade("NewAdditive")
	}
	if _, err := seconds(metered); err != nil {
		return 0, err
	}
	t := metered + l.a*math.Pow(metered, l.b)
	if math.IsInf(t, 0) {
		return 0, check.Errorf(ErrOutside, "metered time of %v s", metered)
	}
	return t, nil
}

// Metered is the inverse.
func (l Additive) Metered(adjusted float64) (float64, error) {
	if l.b == 0 {
		return 0, unmade("NewAdditive")
	}
	y, err := seconds(adjusted)
	if err != nil || l.a == 0 {
		return adjusted, err
	}
	la := math.Log(l.a)
	v := newton(y, func(v float64) (float64, float64) {
		u := la + (l.b-1)*v
		return v + softplus(u) - y, 1 + (l.b-1)*logistic(u)
	})
	return measurable(math.Exp(v))
}

// Exponent is (1 + a b t^(b-1)) / (1 + a t^(b-1)).
func (l Additive) Exponent(metered float64) (float64, error) {
	v, err := seconds(metered)
	if err == nil && l.b == 0 {
		err = unmade("NewAdditive")
	}
	if err != nil || l.a == 0 {
		return 1, err
	}
	return 1 + (l.b-1)*logistic(math.Log(l.a)+(l.b-1)*v), nil
}

// String is the law for people, with its constants and the times it holds for.
func (l Additive) String() string {
	return fmt.Sprintf("additive law, t + %.4g t^%.4g", l.a, l.b) + l.text()
}

func (l Additive) within(d domain) Law { l.domain = d; return l }

// MarshalText is the law as data, "additive a=0.1 b=1.62", see [ParseLaw].
//
// Errors: [ErrInput] for the zero law.
func (l Additive) MarshalText() ([]byte, error) { return marshalLaw(l) }

// UnmarshalText reads what MarshalText writes.
func (l *Additive) UnmarshalText(text []byte) error { return unmarshalLaw(text, l) }

// additiveForm is Additive as data and, with a and b to find, as a fit. Its working
// parameters are ln a and b.
type additiveForm struct{}

func (additiveForm) info() FormInfo {
	return FormInfo{Law: "additive", Formula: "t + a t^b", Constants: []ConstantInfo{aConstant, bConstant}}
}

func (additiveForm) read(l Law) (v values, rows []Reading, ok bool) {
	a, ok := l.(Additive)
	return values{"a": a.a, "b": a.b}, nil, ok
}

func (additiveForm) make(v values, _ []Reading) (Law, error) { return NewAdditive(v["a"], v["b"]) }

func (additiveForm) names() []string { return []string{"a", "b"} }

func (additiveForm) public(th []float64) (v, slope []float64) {
	a := math.Exp(th[0])
	return []float64{a, th[1]}, []float64{a, 1}
}

func (additiveForm) model(th []float64, x float64, g []float64) (y float64, ok bool) {
	if !(th[1] >= 1) {
		return 0, false
	}
	u := th[0] + (th[1]-1)*x
	if g != nil {
		g[0] = logistic(u)
		g[1] = g[0] * x
	}
	return softplus(u), true
}

func (additiveForm) law(th []float64) (Law, error) { return NewAdditive(math.Exp(th[0]), th[1]) }

func (additiveForm) solve(d *data) (solution, error) {
	if !d.fails() {
		return solution{}, errNoFailure()
	}
	return d.iterate(additiveForm{}.model,
		[]float64{math.Log(0.1), 1.5}, []float64{math.Log(0.01), 1.62}, []float64{0, 1.3}, []float64{math.Log(1e-3), 2})
}

func (additiveForm) nodes(d *data, at solution, like likelihood) []node {
	return gridNodes(d, additiveForm{}.model, at, []span{{math.Log(1e-7), math.Log(1e3)}, {1, 3}}, like)
}

// additive162Form is the fit of a for Bond's exponent.
type additive162Form struct{ additiveForm }

func (additive162Form) names() []string { return []string{"a"} }

func (additive162Form) public(th []float64) (v, slope []float64) {
	a := math.Exp(th[0])
	return []float64{a}, []float64{a}
}

func (additive162Form) model(th []float64, x float64, g []float64) (y float64, ok bool) {
	u := th[0] + (BondExponent-1)*x
	if g != nil {
		g[0] = logistic(u)
	}
	return softplus(u), true
}

func (additive162Form) law(th []float64) (Law, error) {
	return NewAdditive(math.Exp(th[0]), BondExponent)
}

func (additive162Form) solve(d *data) (solution, error) {
	if !d.fails() {
		return solution{}, errNoFailure()
	}
	return d.iterate(additive162Form{}.model, []float64{math.Log(0.1)}, []float64{math.Log(1e-3)}, []float64{0})
}

func (additive162Form) nodes(d *data, at solution, like likelihood) []node {
	return gridNodes(d, additive162Form{}.model, at, []span{{math.Log(1e-7), math.Log(1e3)}}, like)
}
