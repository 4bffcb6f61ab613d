package reciprocity

import (
	"fmt"
	"math"

	"example.org/actinic/internal/check"
)

// KindSmooth is the fit of [Smooth]: of p.
const KindSmooth Kind = "smooth"

// Smooth is the astronomers' form of Schwarzschild's law, which fails little by
// little around one second instead of from an onset. The relative speed of the
// film after the actual time t in seconds is (t+1)^(p-1), so that
//
//	adjusted (adjusted + 1)^(p-1) = metered
//
// The time inside the bracket is the actual, not the metered one. For long
// times it runs into Power with p and an onset of one second.
//
// Source: the form is that of the encyclopedia article on reciprocity in
// photography, after Schwarzschild.
type Smooth struct {
	domain
	p float64
}

// NewSmooth returns the law with Schwarzschild's p.
//
// Errors: [ErrInput] unless 0 < p <= 1.
func NewSmooth(p float64) (Smooth, error) {
	if !(p > 0 && p <= 1) {
		return Smooth{}, check.Errorf(ErrInput, "exponent p of %v, want above 0 and at most 1", p)
	}
	return Smooth{p: p}, nil
}

// P is Schwarzschild's exponent.
func (l Smooth) P() float64 { return l.p }

// RelativeSpeed is (t+1)^(p-1) for the actual time t in seconds.
//
// Errors: [ErrInput].
func (l Smooth) RelativeSpeed(actual float64) (float64, error) {
	if l.p == 0 {
		return 0, unmade("NewSmooth")
	}
	_, err := seconds(actual)
	return math.Exp((l.p - 1) * math.Log1p(actual)), err
}

// Adjusted solves the formula of [Smooth].
func (l Smooth) Adjusted(metered float64) (float64, error) {
	if l.p == 0 {
		return 0, unmade("NewSmooth")
	}
	x, err := seconds(metered)
	if err != nil {
		return 0, err
	}
	return measurable(math.Exp(l.lnAdjusted(x)))
}

// lnAdjusted is the logarithm of the adjusted time for that of the metered one.
func (l Smooth) lnAdjusted(x float64) float64 {
	return newton(x, func(v float64) (float64, float64) {
		return v + (l.p-1)*softplus(v) - x, 1 + (l.p-1)*logistic(v)
	})
}

// Metered is adjusted (adjusted + 1)^(p-1).
func (l Smooth) Metered(adjusted float64) (float64, error) {
	if l.p == 0 {
		return 0, unmade("NewSmooth")
	}
	if _, err := seconds(adjusted); err != nil {
		return 0, err
	}
	return measurable(adjusted * math.Exp((l.p-1)*math.Log1p(adjusted)))
}

// Exponent is 1/(1 + (p-1) t/(1+t)) at the actual time t.
func (l Smooth) Exponent(metered float64) (float64, error) {
	t, err := l.Adjusted(metered)
	if err != nil {
		return 0, err
	}
	return 1 / (1 + (l.p-1)*(t/(1+t))), nil
}

// String is the law for people, with its constants and the times it holds for.
func (l Smooth) String() string { return fmt.Sprintf("(t+1)^p law, p = %.4g", l.p) + l.text() }

func (l Smooth) within(d domain) Law { l.domain = d; return l }

// MarshalText is the law as data, "smooth p=0.86", see [ParseLaw].
//
// Errors: [ErrInput] for the zero law.
func (l Smooth) MarshalText() ([]byte, error) { return marshalLaw(l) }

// UnmarshalText reads what MarshalText writes.
func (l *Smooth) UnmarshalText(text []byte) error { return unmarshalLaw(text, l) }

// smoothForm is Smooth as data and as a fit, whose working parameter is p.
type smoothForm struct{}

func (smoothForm) info() FormInfo {
	return FormInfo{Law: "smooth", Formula: "adjusted (adjusted + 1)^(p-1) = t", Constants: []ConstantInfo{pConstant}}
}

func (smoothForm) read(l Law) (v values, rows []Reading, ok bool) {
	s, ok := l.(Smooth)
	return values{"p": s.p}, nil, ok
}

func (smoothForm) make(v values, _ []Reading) (Law, error) { return NewSmooth(v["p"]) }

func (smoothForm) names() []string { return []string{"p"} }

func (smoothForm) public(th []float64) (v, slope []float64) { return []float64{th[0]}, []float64{1} }

func (smoothForm) model(th []float64, x float64, g []float64) (y float64, ok bool) {
	if !(th[0] > 0 && th[0] <= 1) {
		return 0, false
	}
	v := Smooth{p: th[0]}.lnAdjusted(x)
	if g != nil {
		g[0] = -softplus(v) / (1 + (th[0]-1)*logistic(v))
	}
	return v - x, true
}

func (smoothForm) law(th []float64) (Law, error) { return NewSmooth(th[0]) }

func (smoothForm) solve(d *data) (solution, error) {
	if !d.fails() {
		return solution{}, errNoFailure()
	}
	return d.iterate(smoothForm{}.model, []float64{0.9}, []float64{0.6})
}

func (smoothForm) nodes(d *data, at solution, like likelihood) []node {
	return gridNodes(d, smoothForm{}.model, at, []span{{0.02, 1}}, like)
}

// softplus is ln(1 + e^v).
func softplus(v float64) float64 {
	if v > 0 {
		return v + math.Log1p(math.Exp(-v))
	}
	return math.Log1p(math.Exp(v))
}

// logistic is its derivative.
func logistic(v float64) float64 { return 1 / (1 + math.Exp(-v)) }
