package reciprocity

import (
	"fmt"
	"math"

	"example.org/actinic/internal/check"
)

// KindTwoBranch is the fit of [TwoBranch]: of p and onset of each branch.
const KindTwoBranch Kind = "two-branch"

// Branch is one end of a [TwoBranch] law: the onset in seconds and
// Schwarzschild's p beyond it, below 1 on the long branch, above 1 on the
// short. The zero Branch does not fail.
type Branch struct {
	Onset, P float64
}

// TwoBranch is a law with a long and a short branch, each with its own onset
// and exponent, and no failure between the onsets:
//
//	adjusted = long.Onset  (metered/long.Onset)^(1/long.P)    above long.Onset
//	adjusted = metered                                        between
//	adjusted = short.Onset (metered/short.Onset)^(1/short.P)  below short.Onset
//
// It is continuous and rises throughout. It is for films that are flat over
// several decades and fail steeply at the ends, which the catenary, symmetric
// and failing from its optimum on, cannot follow: a catenary that fails by a
// stop four decades from its optimum has lost a third of a stop two decades
// from it.
//
// At the short end lengthening the time leaves the region of failure, so the
// correction by time is less than the one by aperture; at the long end it is
// more.
//
// Source: two laws of [Power], put together here.
type TwoBranch struct {
	domain
	short, long Branch
}

// NewTwoBranch returns the law. Either branch may be zero.
//
// Errors: [ErrInput] unless the onsets are positive, short at most long, and
// 0 < long.P <= 1 <= short.P.
func NewTwoBranch(short, long Branch) (TwoBranch, error) {
	var none TwoBranch
	if (long != Branch{}) {
		if _, err := NewPower(long.Onset, long.P); err != nil {
			return none, fmt.Errorf("long branch: %w", err)
		}
	}
	if (short != Branch{}) {
		if _, err := seconds(short.Onset); err != nil {
			return none, fmt.Errorf("short branch: %w", err)
		}
		if !(short.P >= 1) || !check.Finite(short.P) {
			return none, check.Errorf(ErrInput,
				"short branch: exponent p of %v, want at least 1; a value below 1 may be its inverse", short.P)
		}
		if (long != Branch{}) && !(short.Onset <= long.Onset) {
			return none, check.Errorf(ErrInput, "short onset %v s above long onset %v s", short.Onset, long.Onset)
		}
	}
	return TwoBranch{short: short, long: long}, nil
}

// Short is the branch of short times.
func (l TwoBranch) Short() Branch { return l.short }

// Long is the branch of long times.
func (l TwoBranch) Long() Branch { return l.long }

// Adjusted is the formula of [TwoBranch].
func (l TwoBranch) Adjusted(metered float64) (float64, error) {
	if l.short.Onset > 0 && metered < l.short.Onset {
		return branched(metered, l.short.Onset, 1/l.short.P, false)
	}
	if l.long.Onset > 0 {
		return branched(metered, l.long.Onset, 1/l.long.P, true)
	}
	return branched(metered, 0, 1, true)
}

// Metered is the inverse; both branches keep their onset.
func (l TwoBranch) Metered(adjusted float64) (float64, error) {
	if l.short.Onset > 0 && adjusted < l.short.Onset {
		return branched(adjusted, l.short.Onset, l.short.P, false)
	}
	if l.long.Onset > 0 {
		return branched(adjusted, l.long.Onset, l.long.P, true)
	}
	return branched(adjusted, 0, 1, true)
}

// Exponent is 1/P of the branch in which the time lies, 1 between them.
func (l TwoBranch) Exponent(metered float64) (float64, error) {
	if _, err := seconds(metered); err != nil {
		return 0, err
	}
	switch {
	case l.short.Onset > 0 && metered < l.short.Onset:
		return 1 / l.short.P, nil
	case l.long.Onset > 0 && metered > l.long.Onset:
		return 1 / l.long.P, nil
	}
	return 1, nil
}

// String is the law for people, with its constants and the times it holds for.
func (l TwoBranch) String() string {
	end := func(b Branch, name, side string) string {
		if b.Onset == 0 {
			return "no " + name + " failure"
		}
		return fmt.Sprintf("%s p = %.4g %s %.4g s", name, b.P, side, b.Onset)
	}
	return "two branches, " + end(l.short, "short", "below") + ", " + end(l.long, "long", "above") + l.text()
}

func (l TwoBranch) within(d domain) Law { l.domain = d; return l }

// MarshalText is the law as data, "two-branch onset_s=2 p=0.8 short_onset_s=0.001
// short_p=1.5" on one line, without the constants of a branch that does not fail;
// see [ParseLaw].
func (l TwoBranch) MarshalText() ([]byte, error) { return marshalLaw(l) }

// UnmarshalText reads what MarshalText writes.
func (l *TwoBranch) UnmarshalText(text []byte) error { return unmarshalLaw(text, l) }

// twoBranchForm is TwoBranch as data and as a fit. Its working parameters are
// 1/p - 1 and ln onset of the long branch, 1 - 1/p and ln onset of the short; a
// branch that does not fail has 0 for the first.
type twoBranchForm struct{}

func (twoBranchForm) info() FormInfo {
	return FormInfo{Law: "two-branch",
		Formula: "power above onset_s, and short_onset_s (t/short_onset_s)^(1/short_p) below short_onset_s",
		Constants: []ConstantInfo{onsetConstant.optional(), pConstant.optional(),
			shortOnsetConstant.optional(), shortPConstant.optional()}}
}

func (twoBranchForm) read(l Law) (v values, rows []Reading, ok bool) {
	b, ok := l.(TwoBranch)
	v = values{}
	if b.long != (Branch{}) {
		v["onset_s"], v["p"] = b.long.Onset, b.long.P
	}
	if b.short != (Branch{}) {
		v["short_onset_s"], v["short_p"] = b.short.Onset, b.short.P
	}
	return v, nil, ok
}

func (twoBranchForm) make(v values, _ []Reading) (Law, error) {
	return NewTwoBranch(Branch{v["short_onset_s"], v["short_p"]}, Branch{v["onset_s"], v["p"]})
}

func (twoBranchForm) names() []string { return []string{"p", "onset_s", "short_p", "short_onset_s"} }

func (twoBranchForm) public(th []float64) (v, slope []float64) {
	v, slope = make([]float64, 4), make([]float64, 4)
	if th[0] > 0 {
		p, onset := 1/(1+th[0]), math.Exp(th[1])
		v[0], v[1], slope[0], slope[1] = p, onset, -p*p, onset
	}
	if th[2] > 0 {
		p, onset := 1/(1-th[2]), math.Exp(th[3])
		v[2], v[3], slope[2], slope[3] = p, onset, p*p, onset
	}
	return v, slope
}

func (twoBranchForm) model(th []float64, x float64, g []float64) (y float64, ok bool) {
	if g != nil {
		clear(g)
	}
	if h := x - th[1]; h > 0 {
		y = th[0] * h
		if g != nil {
			g[0], g[1] = h, -th[0]
		}
	}
	if h := th[3] - x; h > 0 {
		y += th[2] * h
		if g != nil {
			g[2], g[3] = h, th[2]
		}
	}
	return y, true
}

func (twoBranchForm) law(th []float64) (Law, error) {
	v, _ := twoBranchForm{}.public(th)
	return NewTwoBranch(Branch{v[3], v[2]}, Branch{v[1], v[0]})
}

// steepest is the least local exponent allowed on a fitted short branch; 0
// would make the adjusted time stand still.
const steepest = 0.1

// mirrored is the short end turned round, so that it is a hinge like the long one.
func (d *data) mirrored() *data {
	n := len(d.x)
	m := &data{x: make([]float64, n), y: make([]float64, n), w: make([]float64, n), known: d.known}
	for i := range d.x {
		m.x[n-1-i], m.y[n-1-i], m.w[n-1-i] = -d.x[i], d.y[i], d.w[i]
	}
	return m
}

func (twoBranchForm) solve(d *data) (solution, error) {
	n := len(d.x)
	neg := d.mirrored()
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
		r := fitHinge(neg.x[n-s:], neg.y[n-s:], neg.w[n-s:], -hi, 1-steepest)
		rss := l.rss + r.rss
		if tie := 1e-9*best + rounding*total; rss < best-tie || rss <= best+tie && l.a+r.a < long.a+short.a {
			best, long, short = rss, l, r
		}
	}
	if !(long.a > 0) && !(short.a > 0) {
		return solution{}, check.Errorf(ErrNoLaw, "no failure at either end")
	}
	c, s := long.cov, short.cov
	return solution{
		[]float64{long.a, long.u, short.a, -short.u},
		[]float64{
			c[0], c[1], 0, 0,
			c[2], c[3], 0, 0,
			0, 0, s[0], -s[1],
			0, 0, -s[2], s[3],
		},
	}, nil
}

// nodes are pairs of one node of each branch, which no reading ties together but
// that the short onset is not above the long one.
func (twoBranchForm) nodes(d *data, at solution, like likelihood) []node {
	branch := func(d *data, a, u, va, vau, vu, most float64) []node {
		if !(a > 0) {
			return []node{{theta: []float64{0, 0}, weight: 1}}
		}
		box := hingeBox(d.x)
		box[0].hi = most
		at := solution{[]float64{a, u}, []float64{va, vau, vau, vu}}
		// Readings of the other end count as if they did not fail there.
		return thin(gridNodes(d, powerForm{}.model, at, box, like), 400)
	}
	split := math.Inf(-1)
	if at.theta[2] > 0 {
		split = at.theta[3]
	}
	th, c := at.theta, at.cov
	long := branch(d.flatBelow(split), th[0], th[1], c[0], c[1], c[5], 1.5)
	split = math.Inf(1)
	if th[0] > 0 {
		split = th[1]
	}
	short := branch(d.flatAbove(split).mirrored(), th[2], -th[3], c[10], -c[11], c[15], 1-steepest)
	var out []node
	for i := range long {
		// Each with forty of the other, spread over all of them.
		for k := range 40 {
			j := (i*7 + k*len(short)/40) % len(short)
			l, s := long[i], short[j]
			if l.theta[0] > 0 && s.theta[0] > 0 && -s.theta[1] > l.theta[1] {
				continue
			}
			out = append(out, node{[]float64{l.theta[0], l.theta[1], s.theta[0], -s.theta[1]}, l.weight * s.weight, l.delta + s.delta})
			if len(short) == 1 {
				break
			}
		}
	}
	return out
}
