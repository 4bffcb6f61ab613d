package reciprocity

import (
	"fmt"
	"math"
	"strconv"
	"time"

	"example.org/actinic/sensito"
)

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
	// Least and Most are the adjusted times between which a film may be expected
	// beyond the domain of its law; both are Adjusted within the domain.
	Least, Most time.Duration
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
// One rule holds for every law, table or [Untested] film: beyond its domain the law
// is carried on, the correction says so, and Least and Most part with the distance.
// At long times they go on from the end of the domain with the exponent 1, no
// further failure, and with twice the failure of the end, but at least that of
// p = 0.70, the steepest of handbooks (0.70 to 0.95, from memory). At short times
// they go on with 1 and with twice the failure of the end, but at least that of the
// exponent 0.78 (Kron's steepest plate, 1 - 0.22). They are bounds by common
// practice and no 95 % interval.
//
// Errors: [ErrInput] for a time that is not positive; those of the law.
func Correct(l Law, metered time.Duration) (Correction, error) {
	if err := usable(l); err != nil {
		return Correction{}, err
	}
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
	c := Correction{
		Metered: metered, Adjusted: d,
		ByTime:     sensito.StopsOf(a / m),
		ByAperture: open, Exponent: e,
		Extrapolated: beyond || outside(l, m),
		Least:        d, Most: d,
	}
	return c, c.bounds(l, m, a)
}

const (
	steepLong  = 1 / 0.70 // exponent of the steepest long end of handbooks
	steepShort = 1 - 0.22 // of Kron's steepest plate
)

// bounds finds Least and Most for a metered time outside the domain.
func (c *Correction) bounds(l Law, metered, adjusted float64) error {
	if !outside(l, metered) {
		return nil
	}
	end, other := l.Domain()
	steep, short := steepShort, true
	if metered > other {
		end, steep, short = other, steepLong, false
	}
	from, err := l.Adjusted(end)
	if err != nil {
		return err
	}
	// The exponent of a law at its very end may be that of the side within.
	e, err := l.Exponent(end * math.Pow(metered/end, 1e-6))
	if err != nil {
		return err
	}
	twice := 1 + 2*(e-1)
	if short {
		twice = math.Max(math.Min(twice, steep), steepest)
	} else {
		twice = math.Max(twice, steep)
	}
	mild, hard := from*(metered/end), from*math.Pow(metered/end, twice)
	if c.Least, err = duration(min(mild, hard, adjusted)); err != nil {
		return err
	}
	c.Most, err = duration(max(mild, hard, adjusted))
	return err
}

// Caution is the sentence to print beside a correction beyond the domain of its law,
// and empty within it.
func (c Correction) Caution() string {
	switch {
	case !c.Extrapolated:
		return ""
	case c.Least == c.Most:
		return "The correction reaches beyond the times that the law was found for."
	}
	return fmt.Sprintf("%s is beyond the times that the law was found for; the film may need from %s to %s.",
		FormatLong(c.Metered), FormatLong(c.Least), FormatLong(c.Most))
}

// Untested is the law to take for a film of which no test is known: no failure from
// 1/1000 s to 1/2 s, and beyond that carried on as [Correct] carries on any law.
//
// Source: reciprocity usually holds from 1/1000 s to about 1/2 or 1 s: the chapter on
// the reciprocity effect of a zone-system book.
func Untested() Law { return NoFailure{domain{0.001, 0.5}} }

// FormatLong prints an exposure the way it is counted in a field: "1/125 s", "0.7 s",
// "8 s", "45 s", "2 min 30 s", "38 min", "1 h 12 min", "3 d 4 h". Below a second
// it keeps two figures, to ten minutes it is to the second or finer, beyond that to
// the minute, beyond a day to the hour.
func FormatLong(d time.Duration) string { return secondsText(d.Seconds()) }

func secondsText(s float64) string {
	var room [32]byte
	return string(appendSeconds(room[:0], s))
}

func appendSeconds(b []byte, s float64) []byte {
	switch {
	case math.IsNaN(s):
		return append(b, "no time"...)
	case math.IsInf(s, 0):
		return append(b, "any time"...)
	case s < 0:
		return appendSeconds(append(b, '-'), -s)
	case s == 0:
		return append(b, "0 s"...)
	case s < 0.3:
		return append(strconv.AppendFloat(append(b, "1/"...), roundTo(1/s), 'f', -1, 64), " s"...)
	case s < 9.95:
		return append(strconv.AppendFloat(b, math.Round(s*10)/10, 'f', -1, 64), " s"...)
	case s < 119.5:
		return append(strconv.AppendFloat(b, s, 'f', 0, 64), " s"...)
	case s < 599.5:
		return appendPair(b, math.Round(s), 60, " min", " s")
	case s < 7170:
		return append(strconv.AppendFloat(b, math.Round(s/60), 'f', 0, 64), " min"...)
	case s < 2*86400-1800:
		return appendPair(b, math.Round(s/60), 60, " h", " min")
	}
	return appendPair(b, math.Round(s/3600), 24, " d", " h")
}

// appendPair appends a number of small units, n of which make a large one.
func appendPair(b []byte, v, n float64, large, small string) []byte {
	whole, rest := math.Floor(v/n), math.Mod(v, n)
	b = append(strconv.AppendFloat(b, whole, 'f', 0, 64), large...)
	if rest > 0 {
		b = append(strconv.AppendFloat(append(b, ' '), rest, 'f', 0, 64), small...)
	}
	return b
}

// roundTo rounds to two figures, or to whole numbers below a hundred.
func roundTo(v float64) float64 {
	if v < 100 {
		return math.Round(v)
	}
	p := math.Pow(10, math.Floor(math.Log10(v))-1)
	if r := math.Round(v/p) * p; math.Abs(r/v-1) < 0.005 {
		return r
	}
	p /= 10
	return math.Round(v/p) * p
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
	if err := usable(l); err != nil {
		return 0, false, err
	}
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
