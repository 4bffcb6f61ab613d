package reciprocity

import (
	"fmt"
	"math"

	"example.org/actinic/internal/check"
)

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
type TwoBranch struct {
	everywhere
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
		if !(short.P >= 1) || math.IsInf(short.P, 0) {
			return none, check.Errorf(ErrInput, "short branch: exponent p of %v, want at least 1; a value below 1 may be its inverse", short.P)
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

func (l TwoBranch) String() string {
	end := func(b Branch, name, side string) string {
		if b.Onset == 0 {
			return "no " + name + " failure"
		}
		return fmt.Sprintf("%s p = %.4g %s %.4g s", name, b.P, side, b.Onset)
	}
	return "two branches, " + end(l.short, "short", "below") + ", " + end(l.long, "long", "above")
}
