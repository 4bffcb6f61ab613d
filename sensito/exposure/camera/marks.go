package camera

import (
	"encoding/json"
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"example.org/actinic/sensito"
	"example.org/actinic/sensito/exposure"
)

// Steps says how finely the scales of a camera are marked. It must be told,
// since one mark can stand for two values: f/13 is Av 7⅓ on a scale of third
// stops and 7½ on one of half stops, 0.3 s is Tv 1⅔ or 1½.
type Steps uint8

const (
	FullStops  Steps = iota // f/8, f/11; 1/60, 1/125
	HalfStops               // f/8, f/9.5, f/11; 1/60, 1/90, 1/125
	ThirdStops              // f/8, f/9, f/10, f/11; 1/60, 1/80, 1/100, 1/125
)

// String returns "full", "half" or "third" with "stops".
func (s Steps) String() string {
	switch s {
	case FullStops:
		return "full stops"
	case HalfStops:
		return "half stops"
	case ThirdStops:
		return "third stops"
	}
	return fmt.Sprintf("steps(%d)", uint8(s))
}

// MarshalText returns "full", "half" or "third". The error wraps [sensito.ErrInput] for
// a number that is no scale.
func (s Steps) MarshalText() ([]byte, error) {
	if s.perStop() == 0 {
		return nil, inputf("no scale of %v", s)
	}
	return []byte(strings.TrimSuffix(s.String(), " stops")), nil
}

// UnmarshalText reads "full", "half" or "third", with or without "stops". The error
// wraps [sensito.ErrSyntax].
func (s *Steps) UnmarshalText(text []byte) error {
	word := strings.TrimSuffix(string(text), " stops")
	for _, k := range []Steps{FullStops, HalfStops, ThirdStops} {
		if word+" stops" == k.String() {
			*s = k
			return nil
		}
	}
	return fmt.Errorf("camera: steps %q, want full, half or third: %w", text, sensito.ErrSyntax)
}

// perStop returns the number of steps in a stop, 0 if there is no such scale.
func (s Steps) perStop() int {
	if s > ThirdStops {
		return 0
	}
	return int(s) + 1
}

// ApertureMark is one engraved position of an aperture ring. Number is what is
// engraved, and Av the value that the position stands for: f/11 stands for Av 7,
// though the number 11 is Av 6.92.
type ApertureMark struct {
	Number exposure.FNumber `json:"number"`
	Av     exposure.Av      `json:"av"`
}

// String prints the engraved number, for example "f/5.6".
func (m ApertureMark) String() string { return m.Number.String() }

// TimeMark is one engraved position of a shutter dial. Time is what is engraved,
// and Tv the value that the position stands for: 1/60 stands for Tv 6, though
// 1/60 s is Tv 5.91.
type TimeMark struct {
	Time time.Duration
	Tv   exposure.Tv
	Bulb bool // held open by hand for Time
}

// String prints the engraved time, for example "1/125", or "bulb 45s".
func (m TimeMark) String() string {
	if m.Bulb {
		return "bulb " + exposure.FormatShutter(m.Time)
	}
	return exposure.FormatShutter(m.Time)
}

// timeJSON is a mark as it is stored: the time as text where the text reads back to it.
type timeJSON struct {
	Time string      `json:"time"`
	Tv   exposure.Tv `json:"tv"`
	Bulb bool        `json:"bulb,omitempty"`
}

// MarshalJSON writes the time as text, the value, and bulb if it is held.
func (m TimeMark) MarshalJSON() ([]byte, error) {
	text := exposure.FormatShutter(m.Time)
	if d, err := exposure.ParseShutter(text); err != nil || d != m.Time {
		text = m.Time.String()
	}
	return json.Marshal(timeJSON{text, m.Tv, m.Bulb})
}

// UnmarshalJSON reads what MarshalJSON writes. The error wraps [sensito.ErrSyntax] for a
// time that cannot be read.
func (m *TimeMark) UnmarshalJSON(text []byte) error {
	var j timeJSON
	if err := json.Unmarshal(text, &j); err != nil {
		return err
	}
	d, err := exposure.ParseShutter(j.Time)
	if err != nil {
		var other error
		if d, other = time.ParseDuration(j.Time); other != nil {
			return err
		}
	}
	*m = TimeMark{d, j.Tv, j.Bulb}
	return nil
}

// ApertureAt returns a mark that stands on no printed scale and is taken by its
// number, such as the f/1.9 at which a lens begins.
func ApertureAt(n exposure.FNumber) ApertureMark { return ApertureMark{n, n.Av()} }

// TimeAt returns a mark that stands on no printed scale and is taken by its
// number, such as a fastest time of 1/12000.
func TimeAt(t time.Duration) TimeMark { return TimeMark{Time: t, Tv: exposure.TvOf(t)} }

// The marks as engraved. Each scale begins at firstAv and goes up by its step.
// Source: encyclopaedia article "f-number", tables of full, half and third stops.
var (
	apertureScales = [...][]exposure.FNumber{
		FullStops: {0.5, 0.7, 1, 1.4, 2, 2.8, 4, 5.6, 8, 11, 16, 22, 32, 45, 64, 90, 128},
		HalfStops: {0.7, 0.8, 1, 1.2, 1.4, 1.7, 2, 2.4, 2.8, 3.3, 4, 4.8, 5.6, 6.7, 8, 9.5, 11, 13,
			16, 19, 22, 27, 32, 38, 45, 54, 64, 76, 90, 107, 128},
		ThirdStops: {0.7, 0.8, 0.9, 1, 1.1, 1.2, 1.4, 1.6, 1.8, 2, 2.2, 2.5, 2.8, 3.2, 3.5, 4, 4.5, 5,
			5.6, 6.3, 7.1, 8, 9, 10, 11, 13, 14, 16, 18, 20, 22, 25, 29, 32, 36, 40, 45, 51, 57, 64, 72, 80, 90},
	}
	firstAv = [...]int{FullStops: -2, HalfStops: -1, ThirdStops: -1}
)

// Each scale begins at 30 s, Tv -5. Sources: encyclopaedia article "Shutter
// speed" for full stops; a table of half and third stops from 1 s on for those.
// Half and third stops longer than 1 s are common practice, from memory.
var timeScales = [...]string{
	FullStops: "30s 15s 8s 4s 2s 1s 1/2 1/4 1/8 1/15 1/30 1/60 1/125 1/250 1/500 1/1000 1/2000 1/4000 1/8000",
	HalfStops: "30s 20s 15s 10s 8s 6s 4s 3s 2s 1.5s " +
		"1s 0.7s 1/2 0.3s 1/4 1/6 1/8 1/10 1/15 1/20 1/30 1/45 1/60 1/90 1/125 1/180 1/250 1/350 1/500 1/750 " +
		"1/1000 1/1500 1/2000 1/3000 1/4000 1/6000 1/8000",
	ThirdStops: "30s 25s 20s 15s 13s 10s 8s 6s 5s 4s 3.2s 2.5s 2s 1.6s 1.3s " +
		"1s 0.8s 0.6s 1/2 0.4s 0.3s 1/4 1/5 1/6 1/8 1/10 1/13 1/15 1/20 1/25 1/30 1/40 1/50 1/60 1/80 1/100 " +
		"1/125 1/160 1/200 1/250 1/320 1/400 1/500 1/640 1/800 1/1000 1/1250 1/1600 1/2000 1/2500 1/3200 1/4000 " +
		"1/5000 1/6400 1/8000",
}

const longestTv = -5

// ApertureMarks returns the marks of a printed scale from the widest to the
// smallest aperture, both included. Zero stands for the end of the scale. The
// error wraps [sensito.ErrInput] if an end is not a mark of the scale: add such a
// mark by [ApertureAt].
func ApertureMarks(s Steps, widest, smallest exposure.FNumber) ([]ApertureMark, error) {
	n := s.perStop()
	if n == 0 {
		return nil, inputf("no scale of %v", s)
	}
	scale := apertureScales[s]
	all := make([]ApertureMark, len(scale))
	for i, f := range scale {
		all[i] = ApertureMark{f, exposure.Av(float64(firstAv[s]) + float64(i)/float64(n))}
	}
	lo, hi := 0, len(all)-1
	if widest != 0 {
		lo = slices.Index(scale, widest)
	}
	if smallest != 0 {
		hi = slices.Index(scale, smallest)
	}
	switch {
	case lo < 0:
		return nil, inputf("%v is not a mark of the scale of %v, which goes from %v to %v; add an odd one by ApertureAt",
			widest, s, scale[0], scale[len(scale)-1])
	case hi < 0:
		return nil, inputf("%v is not a mark of the scale of %v, which goes from %v to %v; add an odd one by ApertureAt",
			smallest, s, scale[0], scale[len(scale)-1])
	case lo > hi:
		return nil, inputf("%v is wider than %v; give the widest aperture first", smallest, widest)
	}
	return all[lo : hi+1 : hi+1], nil
}

// TimeMarks returns the marks of a printed scale from the fastest to the longest
// time, both included. Zero stands for the end of the scale, 1/8000 or 30 s. The
// error wraps [sensito.ErrInput] if an end is not a mark of the scale: add such a
// mark by [TimeAt].
func TimeMarks(s Steps, fastest, longest time.Duration) ([]TimeMark, error) {
	n := s.perStop()
	if n == 0 {
		return nil, inputf("no scale of %v", s)
	}
	var all []TimeMark
	for i, text := range strings.Fields(timeScales[s]) {
		d, _ := exposure.ParseShutter(text) // of a table of ours; New would refuse a time of 0
		all = append(all, TimeMark{Time: d, Tv: exposure.Tv(longestTv + float64(i)/float64(n))})
	}
	slices.Reverse(all) // fastest first
	at := func(d time.Duration) int {
		return slices.IndexFunc(all, func(m TimeMark) bool { return m.Time == d })
	}
	lo, hi := 0, len(all)-1
	if fastest != 0 {
		lo = at(fastest)
	}
	if longest != 0 {
		hi = at(longest)
	}
	switch {
	case lo < 0:
		return nil, inputf("%s is not a mark of the scale of %v, which goes from 1/8000 to 30s; add an odd one by TimeAt",
			exposure.FormatShutter(fastest), s)
	case hi < 0:
		return nil, inputf("%s is not a mark of the scale of %v, which goes from 1/8000 to 30s; add an odd one by TimeAt",
			exposure.FormatShutter(longest), s)
	case lo > hi:
		return nil, inputf("%s is longer than %s; give the fastest time first", exposure.FormatShutter(fastest),
			exposure.FormatShutter(longest))
	}
	return all[lo : hi+1 : hi+1], nil
}

// NearestAperture returns the mark of a printed scale nearest to an aperture value, and
// how many stops more the mark gives than was asked for. The error wraps [ErrReach] more
// than half a step beyond the scale, [sensito.ErrInput] for a value that is not a number
// and for a scale that there is not.
func NearestAperture(v exposure.Av, s Steps) (ApertureMark, sensito.Stops, error) {
	marks, err := ApertureMarks(s, 0, 0)
	if err != nil {
		return ApertureMark{}, 0, err
	}
	return (&Camera{apertures: marks}).NearestAperture(v)
}

// NearestTime returns the mark of a printed scale, 1/8000 to 30 s, nearest to a time
// value, and how many stops more the mark gives than was asked for. Errors are as for
// [NearestAperture].
func NearestTime(v exposure.Tv, s Steps) (TimeMark, sensito.Stops, error) {
	marks, err := TimeMarks(s, 0, 0)
	if err != nil {
		return TimeMark{}, 0, err
	}
	slices.Reverse(marks) // a camera has the longest first
	return (&Camera{times: marks}).NearestTime(v)
}

// nearest returns the index of the value nearest to v, the lower one of a tie,
// and how far v lies beyond the ends, where that is more than half the smallest
// step. A scale of one mark is taken to be of third stops.
func nearest(values []float64, v float64) (at int, beyond float64) {
	step := 1.0 / 3
	for i := range values {
		if math.Abs(values[i]-v) < math.Abs(values[at]-v)-closeMarks {
			at = i
		}
		if i > 0 && (i == 1 || values[i]-values[i-1] < step) {
			step = values[i] - values[i-1]
		}
	}
	lo, hi := values[0], values[len(values)-1]
	half := min(step, 1)/2 + closeMarks
	switch {
	case v > hi+half:
		return len(values) - 1, v - hi
	case v < lo-half:
		return 0, v - lo
	}
	return at, 0
}
