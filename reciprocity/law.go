package reciprocity

import (
	"fmt"
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
	// ErrOutside marks a question beyond what a table covers, or a time beyond
	// measure.
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
// The formulas go on beyond it; their results are then extrapolated.
type Law interface {
	Adjusted(metered float64) (float64, error)
	Metered(adjusted float64) (float64, error)
	Exponent(metered float64) (float64, error)
	Domain() (shortest, longest float64)
	String() string
}

// seconds checks a time and returns its logarithm.
func seconds(t float64) (float64, error) {
	if !(t > 0) || math.IsInf(t, 0) {
		return 0, check.Errorf(ErrInput, "time of %v s, want more than 0", t)
	}
	return math.Log(t), nil
}

// everywhere is the domain of a law that is stated without one.
type everywhere struct{}

// Domain is all positive times.
func (everywhere) Domain() (shortest, longest float64) { return 0, math.Inf(1) }

// Holds is the law without failure: adjusted and metered times are equal
// (R. Bunsen and H. E. Roscoe, 1862).
type Holds struct{ everywhere }

// Adjusted returns its argument.
func (Holds) Adjusted(metered float64) (float64, error) {
	_, err := seconds(metered)
	return metered, err
}

// Metered returns its argument.
func (Holds) Metered(adjusted float64) (float64, error) {
	_, err := seconds(adjusted)
	return adjusted, err
}

// Exponent is 1.
func (Holds) Exponent(metered float64) (float64, error) {
	_, err := seconds(metered)
	return 1, err
}

func (Holds) String() string { return "reciprocity holds" }

// Within returns the law with another domain: the metered times for which the
// caller vouches.
//
// Errors: [ErrInput] unless 0 <= shortest < longest.
func Within(l Law, shortest, longest time.Duration) (Law, error) {
	if l == nil || !(shortest >= 0 && longest > shortest) {
		return nil, check.Errorf(ErrInput, "domain from %v to %v", shortest, longest)
	}
	return within{l, shortest.Seconds(), longest.Seconds()}, nil
}

type within struct {
	Law
	lo, hi float64
}

func (w within) Domain() (shortest, longest float64) { return w.lo, w.hi }

func (w within) String() string {
	return fmt.Sprintf("%s, from %.4g s to %.4g s", w.Law, w.lo, w.hi)
}

// Correction is what a law asks for at one metered time. Use ByTime's time or
// ByAperture's stops, never both.
type Correction struct {
	Metered    time.Duration
	Adjusted   time.Duration // expose this long at the metered aperture
	ByTime     sensito.Stops // log2(Adjusted/Metered)
	ByAperture sensito.Stops // or keep the metered time and open up by this
	Exponent   float64
	// Extrapolated says that the metered time, or the one that the wider
	// aperture amounts to, lies outside the domain of the law.
	Extrapolated bool
}

// Correct applies a law to a metered time, by time and by aperture.
//
// For Schwarzschild's law with onset t0 the two are
//
//	by time      (1/p - 1) log2(t/t0)
//	by aperture  (1 - p)   log2(t/t0)
//
// so a film that needs one stop by aperture may need more than twice the time.
//
// Errors: [ErrInput] for a time that is not positive; those of the law.
func Correct(l Law, metered time.Duration) (Correction, error) {
	m := metered.Seconds()
	a, err := l.Adjusted(m)
	if err != nil {
		return Correction{}, err
	}
	d, err := duration(a)
	if err != nil {
		return Correction{}, err
	}
	e, err := l.Exponent(m)
	if err != nil {
		return Correction{}, err
	}
	open, beyond, err := aperture(l, m)
	if err != nil {
		return Correction{}, err
	}
	return Correction{
		Metered: metered, Adjusted: d,
		ByTime:     sensito.StopsOf(a / m),
		ByAperture: open, Exponent: e,
		Extrapolated: beyond || outside(l, m),
	}, nil
}

// Aperture is how far to open the lens when the film is exposed for the
// metered time t (in seconds) itself,
//
//	log2(t / Metered(t))
//
// for opening by s stops asks the film for what a metered time of t/2^s does,
// and that must be a time whose adjusted time is t.
//
// Errors: those of the law.
func Aperture(l Law, t float64) (sensito.Stops, error) {
	s, _, err := aperture(l, t)
	return s, err
}

func aperture(l Law, t float64) (s sensito.Stops, beyond bool, err error) {
	m, err := l.Metered(t)
	if err != nil {
		return 0, false, err
	}
	return sensito.StopsOf(t / m), outside(l, m), nil
}

func outside(l Law, metered float64) bool {
	lo, hi := l.Domain()
	const slack = 1e-9 // the ends themselves survive a round trip
	return !(metered >= lo*(1-slack) && metered <= hi*(1+slack))
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
		return 0, check.Errorf(ErrOutside, "a time of %.3g s is beyond measure", s)
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
