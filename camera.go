package actinic

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"example.org/actinic/internal/check"
	"example.org/actinic/sensito"
	"example.org/actinic/sensito/exposure"
)

// ErrReach marks an exposure that the marks of a camera do not reach.
var ErrReach = check.Sentinel("actinic: out of the camera's reach")

// inputf wraps sensito.ErrInput with what was wrong and what to do.
func inputf(format string, args ...any) error {
	return fmt.Errorf("actinic: %s: %w", fmt.Sprintf(format, args...), sensito.ErrInput)
}

// Steps says how finely the scales of a camera are marked. It must be told,
// since one mark can stand for two values: f/13 is Av 7⅓ on a scale of third
// stops and 7½ on one of half stops, 0.3 s is Tv 1⅔ or 1½.
type Steps uint8

const (
	FullStops Steps = iota
	HalfStops
	ThirdStops
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
	Number exposure.FNumber
	Av     exposure.Av
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

// OddAperture returns a mark that stands on no printed scale and is taken by its
// number, such as the f/1.9 at which a lens begins.
func OddAperture(n exposure.FNumber) ApertureMark { return ApertureMark{n, n.Av()} }

// OddTime returns a mark that stands on no printed scale and is taken by its
// number, such as a fastest time of 1/12000.
func OddTime(t time.Duration) TimeMark { return TimeMark{Time: t, Tv: exposure.TvOf(t)} }

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
// mark by [OddAperture].
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
		return nil, inputf("%v is not a mark of the scale of %v, which goes from %v to %v; add an odd one by OddAperture", widest, s, scale[0], scale[len(scale)-1])
	case hi < 0:
		return nil, inputf("%v is not a mark of the scale of %v, which goes from %v to %v; add an odd one by OddAperture", smallest, s, scale[0], scale[len(scale)-1])
	case lo > hi:
		return nil, inputf("%v is wider than %v; give the widest aperture first", smallest, widest)
	}
	return all[lo : hi+1 : hi+1], nil
}

// TimeMarks returns the marks of a printed scale from the fastest to the longest
// time, both included. Zero stands for the end of the scale, 1/8000 or 30 s. The
// error wraps [sensito.ErrInput] if an end is not a mark of the scale: add such a
// mark by [OddTime].
func TimeMarks(s Steps, fastest, longest time.Duration) ([]TimeMark, error) {
	n := s.perStop()
	if n == 0 {
		return nil, inputf("no scale of %v", s)
	}
	var all []TimeMark
	for i, text := range strings.Fields(timeScales[s]) {
		d, err := exposure.ParseShutter(text)
		if err != nil {
			return nil, err
		}
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
		return nil, inputf("%s is not a mark of the scale of %v, which goes from 1/8000 to 30s; add an odd one by OddTime", exposure.FormatShutter(fastest), s)
	case hi < 0:
		return nil, inputf("%s is not a mark of the scale of %v, which goes from 1/8000 to 30s; add an odd one by OddTime", exposure.FormatShutter(longest), s)
	case lo > hi:
		return nil, inputf("%s is longer than %s; give the fastest time first", exposure.FormatShutter(fastest), exposure.FormatShutter(longest))
	}
	return all[lo : hi+1 : hi+1], nil
}

// CameraScales says what a camera can be set to.
type CameraScales struct {
	Apertures []ApertureMark // from ApertureMarks, or a list of your own, in any order
	Times     []TimeMark     // from TimeMarks, or a list of your own, in any order
	Bulb      bool           // the shutter can be held open
	// ByNumber takes every mark by its engraved number (1/60 is 1/60 s, f/11 is
	// f/11) instead of by the exact value of its position (1/64 s, f/11.3). The
	// two differ by up to 0.24 stop. Shutters timed by electronics and set to
	// odd marks may want it; the positions are what dials are designed to.
	ByNumber bool
}

// Camera is a camera by its marks. Make one by [NewCamera].
type Camera struct {
	apertures []ApertureMark // by rising Av
	times     []TimeMark     // by rising Tv
	bulb      bool
	byNumber  bool
}

// farOff is how far, in stops, the number of a mark may lie from its value. The
// printed scales stay within 0.24 (0.3 s for Tv 1½).
const farOff = 0.5

// NewCamera checks the marks and returns the camera. The error wraps
// [sensito.ErrInput] if there is no aperture or no time, a mark is not positive,
// two are the same, or a number lies more than half a stop from its value.
func NewCamera(s CameraScales) (*Camera, error) {
	c := &Camera{bulb: s.Bulb, byNumber: s.ByNumber}
	if len(s.Apertures) == 0 || len(s.Times) == 0 {
		return nil, inputf("a camera with %d apertures and %d times; give at least one of each", len(s.Apertures), len(s.Times))
	}
	for _, m := range s.Apertures {
		by := m.Number.Av()
		if !(m.Number > 0) || !(math.Abs(float64(m.Av-by)) <= farOff) {
			return nil, inputf("aperture mark %v for Av %.3g; use ApertureMarks or OddAperture", m, float64(m.Av))
		}
		if s.ByNumber {
			m.Av = by
		}
		c.apertures = append(c.apertures, m)
	}
	for _, m := range s.Times {
		by := exposure.TvOf(m.Time)
		if !(m.Time > 0) || m.Bulb || !(math.Abs(float64(m.Tv-by)) <= farOff) {
			return nil, inputf("time mark %v for Tv %.3g; use TimeMarks or OddTime, and the field Bulb for a shutter that can be held open", m, float64(m.Tv))
		}
		if s.ByNumber {
			m.Tv = by
		}
		c.times = append(c.times, m)
	}
	slices.SortFunc(c.apertures, func(a, b ApertureMark) int { return order(float64(a.Av - b.Av)) })
	slices.SortFunc(c.times, func(a, b TimeMark) int { return order(float64(a.Tv - b.Tv)) })
	for i := 1; i < len(c.apertures); i++ {
		if a, b := c.apertures[i-1], c.apertures[i]; !(b.Number > a.Number) || !(b.Av > a.Av+same) {
			return nil, inputf("aperture marks %v (Av %.3f) and %v (Av %.3f) are out of order or the same", a, float64(a.Av), b, float64(b.Av))
		}
	}
	for i := 1; i < len(c.times); i++ {
		if a, b := c.times[i-1], c.times[i]; !(b.Time < a.Time) || !(b.Tv > a.Tv+same) {
			return nil, inputf("time marks %v (Tv %.3f) and %v (Tv %.3f) are out of order or the same", a, float64(a.Tv), b, float64(b.Tv))
		}
	}
	return c, nil
}

// same is how close two marks, in stops, count as one.
const same = 1e-6

func order(d float64) int {
	switch {
	case d < 0:
		return -1
	case d > 0:
		return 1
	}
	return 0
}

// Apertures returns the marks from the widest on, with the values the camera
// takes them for.
func (c *Camera) Apertures() []ApertureMark { return slices.Clone(c.apertures) }

// Times returns the marks from the longest on, with the values the camera takes
// them for.
func (c *Camera) Times() []TimeMark { return slices.Clone(c.times) }

// Aperture returns the mark engraved n. The error wraps [ErrReach] and names the
// marks on either side.
func (c *Camera) Aperture(n exposure.FNumber) (ApertureMark, error) {
	i := slices.IndexFunc(c.apertures, func(m ApertureMark) bool { return m.Number >= n })
	switch {
	case i >= 0 && c.apertures[i].Number == n:
		return c.apertures[i], nil
	case i > 0:
		return ApertureMark{}, fmt.Errorf("%w: %v is not a mark; there are %v and %v", ErrReach, n, c.apertures[i-1], c.apertures[i])
	}
	return ApertureMark{}, fmt.Errorf("%w: %v is not a mark; they go from %v to %v", ErrReach, n, c.apertures[0], c.apertures[len(c.apertures)-1])
}

// NearestAperture returns the mark nearest to an aperture value and what is left
// over: how many stops more the mark gives than was asked for.
//
// The error wraps [ErrReach] if the value lies beyond the last mark by more than
// half the smallest step of the scale.
func (c *Camera) NearestAperture(v exposure.Av) (ApertureMark, sensito.Stops, error) {
	if math.IsNaN(float64(v)) {
		return ApertureMark{}, 0, inputf("aperture value NaN")
	}
	values := make([]float64, len(c.apertures))
	for i, m := range c.apertures {
		values[i] = float64(m.Av)
	}
	i, beyond := nearest(values, float64(v))
	m := c.apertures[i]
	if beyond != 0 {
		what := "smaller than the smallest"
		if beyond < 0 {
			what = "wider than the widest"
		}
		return ApertureMark{}, 0, fmt.Errorf("%w: Av %.2f is %.2f stops %s aperture %v", ErrReach, float64(v), math.Abs(beyond), what, m)
	}
	return m, sensito.Stops(v - m.Av), nil
}

// NearestTime returns the mark nearest to a time value and what is left over: how
// many stops more the mark gives than was asked for. Longer than the longest mark
// a camera with bulb is held open for a whole number of seconds.
//
// The error wraps [ErrReach] if the value lies beyond the last mark by more than
// half the smallest step of the scale.
func (c *Camera) NearestTime(v exposure.Tv) (TimeMark, sensito.Stops, error) {
	m, beyond, err := c.time(v)
	switch {
	case err != nil:
		return TimeMark{}, 0, err
	case beyond > 0:
		return TimeMark{}, 0, fmt.Errorf("%w: Tv %.2f is %.2f stops faster than the fastest time %v; close the aperture down, or use a neutral-density filter", ErrReach, float64(v), beyond, m)
	case beyond < 0:
		return TimeMark{}, 0, fmt.Errorf("%w: Tv %.2f is %.2f stops longer than the longest time %v; open the aperture, or bring more light", ErrReach, float64(v), -beyond, m)
	}
	return m, sensito.Stops(v - m.Tv), nil
}

// time returns the nearest mark, and how far v lies out of reach: above 0 if it
// is too fast, below if it is too long.
func (c *Camera) time(v exposure.Tv) (m TimeMark, beyond float64, err error) {
	if math.IsNaN(float64(v)) {
		return TimeMark{}, 0, inputf("time value NaN")
	}
	values := make([]float64, len(c.times))
	for i, m := range c.times {
		values[i] = float64(m.Tv)
	}
	i, beyond := nearest(values, float64(v))
	m = c.times[i]
	if c.bulb && i == 0 && v < m.Tv {
		t, err := v.Time()
		if err != nil {
			return TimeMark{}, 0, err
		}
		held := OddTime(t.Round(time.Second))
		held.Bulb = true
		if held.Time > m.Time && math.Abs(float64(held.Tv-v)) < math.Abs(float64(m.Tv-v)) {
			m = held
		}
		beyond = 0
	}
	return m, beyond, nil
}

// nearest returns the index of the value nearest to v, the lower one of a tie,
// and how far v lies beyond the ends, where that is more than half the smallest
// step. A scale of one mark is taken to be of third stops.
func nearest(values []float64, v float64) (at int, beyond float64) {
	step := 1.0 / 3
	for i := range values {
		if math.Abs(values[i]-v) < math.Abs(values[at]-v)-same {
			at = i
		}
		if i > 0 && (i == 1 || values[i]-values[i-1] < step) {
			step = values[i] - values[i-1]
		}
	}
	lo, hi := values[0], values[len(values)-1]
	half := min(step, 1)/2 + same
	switch {
	case v > hi+half:
		return len(values) - 1, v - hi
	case v < lo-half:
		return 0, v - lo
	}
	return at, 0
}
