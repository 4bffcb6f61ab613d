package devtime

import (
	"encoding/json"
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

// Clock is a development time with a text form, "7:30", for flags and JSON: it
// converts to and from a [time.Duration]. It is kept to the millisecond.
type Clock time.Duration

// String is [FormatTime].
func (c Clock) String() string { return FormatTime(time.Duration(c)) }

// MarshalText is [FormatTime].
func (c Clock) MarshalText() ([]byte, error) { return []byte(c.String()), nil }

// UnmarshalText is [ParseTime], with 0:00 for no time.
func (c *Clock) UnmarshalText(b []byte) error {
	if string(b) == "0:00" {
		*c = 0
		return nil
	}
	d, err := ParseTime(string(b))
	if err == nil {
		*c = Clock(d)
	}
	return err
}

type timeJSON struct {
	Value        Clock  `json:"value"`
	Low          *Clock `json:"low"`  // null where not known
	High         *Clock `json:"high"` // null where not known or without an end
	NoEnd        bool   `json:"no_end,omitempty"`
	Extrapolated bool   `json:"extrapolated,omitempty"`
}

// MarshalJSON writes the times as text, "7:30"; an end that is not known is null, and
// no_end says that there is none.
func (t Time) MarshalJSON() ([]byte, error) {
	j := timeJSON{Value: Clock(t.Value), Extrapolated: t.Extrapolated, NoEnd: t.High == Unbounded}
	if t.Low >= 0 {
		c := Clock(t.Low)
		j.Low = &c
	}
	if t.High >= 0 && !j.NoEnd {
		c := Clock(t.High)
		j.High = &c
	}
	return json.Marshal(j)
}

// UnmarshalJSON reads what MarshalJSON writes.
func (t *Time) UnmarshalJSON(b []byte) error {
	var j timeJSON
	if err := json.Unmarshal(b, &j); err != nil {
		return err
	}
	*t = Time{time.Duration(j.Value), -1, -1, j.Extrapolated}
	if j.Low != nil {
		t.Low = time.Duration(*j.Low)
	}
	if j.High != nil {
		t.High = time.Duration(*j.High)
	}
	if j.NoEnd {
		t.High = Unbounded
	}
	return nil
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
