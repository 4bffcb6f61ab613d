package reciprocity

import (
	"math"
	"time"

	"example.org/actinic/internal/check"
	"example.org/actinic/sensito"
)

// Errors that callers may want to tell apart with errors.Is.
var (
	// ErrInput marks input that no law can use: not finite, not positive, too
	// few, out of order.
	ErrInput = check.Sentinel("reciprocity: unusable input")
	// ErrOutside marks a time beyond measure.
	ErrOutside = check.Sentinel("reciprocity: outside the range of the law")
	// ErrNoLaw marks readings that do not follow the law to be fitted.
	ErrNoLaw = check.Sentinel("reciprocity: readings do not follow the law")
)

// Law is a law of reciprocity failure. Times are in seconds and positive; other
// times are an error that wraps [ErrInput].
//
// Metered is the time for which the light would be right if reciprocity held,
// H0/E for the wanted exposure H0 at the illuminance E; Adjusted is the time
// that really gives the same density at that illuminance. Adjusted rises with
// Metered throughout, and the two methods undo each other.
//
// Exponent is d ln adjusted / d ln metered at a metered time: 1 where
// reciprocity holds, 1/p where Schwarzschild's p does, more than 1 where long
// exposures fail and less than 1 where short ones do.
//
// Domain is the range of metered times in which the law was stated or fitted.
// Every law goes on beyond it, a formula by itself and a table along its last
// line; the results are then extrapolated, see [Correct].
type Law interface {
	Adjusted(metered float64) (float64, error)
	Metered(adjusted float64) (float64, error)
	Exponent(metered float64) (float64, error)
	Domain() (shortest, longest float64)
	String() string
}

// seconds checks a time and returns its logarithm.
func seconds(t float64) (float64, error) {
	if !(t > 0) || !check.Finite(t) {
		return 0, check.Errorf(ErrInput, "time of %v s, want more than 0", t)
	}
	return math.Log(t), nil
}

// measurable refuses a result that is beyond what a float64 holds.
func measurable(t float64) (float64, error) {
	if !(t > 0) || !check.Finite(t) {
		return 0, check.Errorf(ErrOutside, "the time is beyond measure")
	}
	return t, nil
}

// usable refuses a law that is not there.
func usable(l Law) error {
	if l == nil {
		return check.Errorf(ErrInput, "no law")
	}
	return nil
}

// unmade is what a law's zero value answers with.
func unmade(maker string) error {
	return check.Errorf(ErrInput, "a law without constants; make one with %s", maker)
}

// domain is the range of metered times in seconds that a law was stated or fitted
// for; the zero domain is all times.
type domain struct{ lo, hi float64 }

// Domain is the range of metered times in seconds: all of them, unless [Within]
// or a fit says otherwise.
func (d domain) Domain() (shortest, longest float64) {
	if d == (domain{}) {
		return 0, math.Inf(1)
	}
	return d.lo, d.hi
}

func (d domain) stated() domain { return d }

// text is the end of a law's String.
func (d domain) text() string {
	if d == (domain{}) {
		return ""
	}
	return ", from " + secondsText(d.lo) + " to " + secondsText(d.hi)
}

// ranged is a law that can be given another domain and stays of its own type.
type ranged interface{ within(d domain) Law }

// Within returns the law with another domain: the metered times for which the
// caller vouches. A law of this package stays of its own type, so that
// Within(power, ...).(Power) is the same law.
//
// Errors: [ErrInput] unless 0 <= shortest < longest, or for no law.
func Within(l Law, shortest, longest time.Duration) (Law, error) {
	if err := usable(l); err != nil {
		return nil, err
	}
	if !(shortest >= 0 && longest > shortest) {
		return nil, check.Errorf(ErrInput, "domain from %v to %v", shortest, longest)
	}
	d := domain{shortest.Seconds(), longest.Seconds()}
	if r, ok := l.(ranged); ok {
		return r.within(d), nil
	}
	return foreign{l, d}, nil
}

// foreign is a law from elsewhere with another domain.
type foreign struct {
	Law
	d domain
}

func (f foreign) Domain() (shortest, longest float64) { return f.d.Domain() }

func (f foreign) String() string { return f.Law.String() + f.d.text() }

func (f foreign) within(d domain) Law { return foreign{f.Law, d} }

// Unwrap is the law from elsewhere inside one that [Within] gave a domain; a law
// of this package is returned as it is.
func Unwrap(l Law) Law {
	if f, ok := l.(foreign); ok {
		return f.Law
	}
	return l
}

// Effective is the metered time that several exposures of the same scene add
// up to, each failing by itself:
//
//	sum of Metered(t_i)
//
// Ten exposures of a tenth of a second are not one of a second. The sum takes
// each exposure as alone. That is right for exposures far apart; for many
// flashes in quick succession it is not: above a critical rate the film
// answers as to one exposure at the average illuminance over the whole time
// (J. H. Webb 1933, from memory), and between the two no simple law holds.
//
// Errors: [ErrInput] for no exposures or times that are not positive; those of
// the law.
func Effective(l Law, exposures ...time.Duration) (time.Duration, error) {
	if len(exposures) == 0 {
		return 0, check.Errorf(ErrInput, "no exposures")
	}
	if err := usable(l); err != nil {
		return 0, err
	}
	var sum float64
	for _, t := range exposures {
		m, err := l.Metered(t.Seconds())
		if err != nil {
			return 0, err
		}
		sum += m
	}
	return duration(sum)
}

// Repeats is how many exposures of the given length add up to a metered time,
// rounded to the nearest whole number but at least 1, and the stops by which
// they then exceed it. The limits of [Effective] apply.
//
// Errors: as [Effective].
func Repeats(l Law, each, metered time.Duration) (n int, over sensito.Stops, err error) {
	if err := usable(l); err != nil {
		return 0, 0, err
	}
	m, err := l.Metered(each.Seconds())
	if err != nil {
		return 0, 0, err
	}
	if _, err := seconds(metered.Seconds()); err != nil {
		return 0, 0, err
	}
	want := metered.Seconds() / m
	if want > 1e9 {
		return 0, 0, check.Errorf(ErrOutside, "%.3g exposures of %v", want, each)
	}
	n = max(int(math.Round(want)), 1)
	return n, sensito.StopsOf(float64(n) / want), nil
}

func duration(s float64) (time.Duration, error) {
	ns := s * 1e9
	if !(ns < math.MaxInt64/2) {
		return 0, check.Errorf(ErrOutside, "a time of %.3g years is beyond measure", s/(365.25*86400))
	}
	return time.Duration(math.Round(ns)), nil
}

// newton solves g(v) = 0 from a start from which the iteration is monotone: to
// the right of the root of a convex rising function, to the left of the root
// of a concave one.
func newton(v float64, g func(v float64) (value, slope float64)) float64 {
	for range 100 {
		f, s := g(v)
		d := f / s
		v -= d
		if !(math.Abs(d) > 1e-16*math.Max(1, math.Abs(v))) {
			break
		}
	}
	return v
}
