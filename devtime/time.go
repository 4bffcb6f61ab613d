package devtime

import (
	"math"
	"time"

	"example.org/actinic/sensito"
)

// Time is a development time with its 95 % interval. High is [Unbounded] where
// the readings allow that the contrast is never reached. Low and High are
// negative where nothing is known of the error. Extrapolated says that Value
// lies outside the times of the strips.
type Time struct {
	Value, Low, High time.Duration
	Extrapolated     bool
}

// Seconds is the same in seconds: +Inf stands for [Unbounded], NaN for an
// unknown end.
func (t Time) Seconds() sensito.Estimate {
	f := func(d time.Duration) float64 {
		switch {
		case d == Unbounded:
			return math.Inf(1)
		case d < 0:
			return math.NaN()
		}
		return d.Seconds()
	}
	return sensito.Estimate{Value: f(t.Value), Low: f(t.Low), High: f(t.High)}
}

// String prints the time with its interval, for example "7:02 (6:40 to 7:26)".
func (t Time) String() string {
	s := FormatTime(t.Value.Round(time.Second))
	if t.Low < 0 || t.High < 0 {
		return s
	}
	high := "no end"
	if t.High != Unbounded {
		high = FormatTime(t.High.Round(time.Second))
	}
	return s + " (" + FormatTime(t.Low.Round(time.Second)) + " to " + high + ")"
}

// minutes turns minutes into a Duration; false when it does not fit.
func minutes(m float64) (time.Duration, bool) {
	ns := m * float64(time.Minute)
	if !(ns < math.MaxInt64/2) {
		return Unbounded, false
	}
	return time.Duration(math.Round(ns)), true
}
