package scan

import (
	"math"
	"time"

	"example.org/actinic/internal/check"
)

// Counted is the signal of a place in one of several exposures.
type Counted struct {
	Signal   float64       // counts above the dark frame
	Time     time.Duration // of the exposure, above 0
	Variance float64       // of the signal, above 0
}

// Join returns the counts in a second from several exposures of one place, and their
// standard deviation, by least squares:
//
//	rate = sum(t S/v) / sum(t²/v),     sd = 1/sqrt(sum(t²/v))
//
// Exposures that clip there are left out by the caller. The error wraps [ErrInput].
//
// Source: the mean weighted by inverse variances, which go as v/t²; JCGM 100:2008, 5.1.
func Join(exposures []Counted) (rate, sd float64, err error) {
	var num, den float64
	for _, e := range exposures {
		t := e.Time.Seconds()
		if !check.Finite(e.Signal, e.Variance) || !(e.Variance > 0) || !(t > 0) {
			return 0, 0, check.Errorf(ErrInput,
				"signal %v with variance %v in %v, want numbers, and variance and time above 0", e.Signal, e.Variance, e.Time)
		}
		num += t * e.Signal / e.Variance
		den += t * t / e.Variance
	}
	if !(den > 0) || !check.Finite(num, den) {
		return 0, 0, check.Errorf(ErrInput, "no exposures to join")
	}
	return num / den, 1 / math.Sqrt(den), nil
}
