package camera

import (
	"cmp"
	"encoding/json"
	"fmt"
	"math"
	"slices"
	"time"

	"example.org/actinic/internal/check"
	"example.org/actinic/internal/figures"
	"example.org/actinic/sensito"
	"example.org/actinic/sensito/exposure"
)

// ErrReach marks an exposure that the marks of a camera do not reach.
var ErrReach = check.Sentinel("camera: out of the camera's reach")

// inputf wraps sensito.ErrInput with what was wrong and what to do.
func inputf(format string, args ...any) error {
	return fmt.Errorf("camera: %s: %w", fmt.Sprintf(format, args...), sensito.ErrInput)
}

// OfScale returns a camera with the marks of one printed scale: apertures from the widest
// to the smallest, times from the fastest to the longest, 0 for the end of the scale.
// Longer than the longest time the shutter is held open. Errors are those of
// [ApertureMarks] and [TimeMarks].
func OfScale(s Steps, widest, smallest exposure.FNumber, fastest, longest time.Duration) (*Camera, error) {
	apertures, err := ApertureMarks(s, widest, smallest)
	if err != nil {
		return nil, err
	}
	times, err := TimeMarks(s, fastest, longest)
	if err != nil {
		return nil, err
	}
	return New(Scales{Apertures: apertures, Times: times, Bulb: true})
}

// usualMarks is more marks than the longest printed scale has: so many are looked through
// without an allocation.
const usualMarks = 64

// closeMarks is how close two marks, in stops, count as one.
const closeMarks = 1e-6

// Scales says what a camera can be set to.
type Scales struct {
	Apertures []ApertureMark `json:"apertures"` // from ApertureMarks, or a list of your own, in any order
	Times     []TimeMark     `json:"times"`     // from TimeMarks, or a list of your own, in any order
	Bulb      bool           `json:"bulb"`      // the shutter can be held open
	// ByNumber takes every mark by its engraved number (1/60 is 1/60 s, f/11 is
	// f/11) instead of by the exact value of its position (1/64 s, f/11.3). The
	// two differ by up to 0.24 stop. Shutters timed by electronics and set to
	// odd marks may want it; the positions are what dials are designed to.
	ByNumber bool `json:"by_number"`
}

// Camera is a camera by its marks. Make one by [New].
type Camera struct {
	apertures []ApertureMark // by rising Av
	times     []TimeMark     // by rising Tv
	bulb      bool
	byNumber  bool
}

// farOff is how far, in stops, the number of a mark may lie from its value. The
// printed scales stay within 0.24 (0.3 s for Tv 1½).
const farOff = 0.5

// New checks the marks and returns the camera. The error wraps
// [sensito.ErrInput] if there is no aperture or no time, a mark is not positive,
// two are the same, or a number lies more than half a stop from its value.
func New(s Scales) (*Camera, error) {
	c := &Camera{bulb: s.Bulb, byNumber: s.ByNumber}
	if len(s.Apertures) == 0 || len(s.Times) == 0 {
		return nil, inputf("a camera with %d apertures and %d times; give at least one of each", len(s.Apertures), len(s.Times))
	}
	for _, m := range s.Apertures {
		by := m.Number.Av()
		if !(math.Abs(float64(m.Av-by)) <= farOff) {
			return nil, inputf("aperture mark %v for Av %.3g; use ApertureMarks or ApertureAt", m, float64(m.Av))
		}
		if s.ByNumber {
			m.Av = by
		}
		c.apertures = append(c.apertures, m)
	}
	for _, m := range s.Times {
		by := exposure.TvOf(m.Time)
		if m.Bulb || !(math.Abs(float64(m.Tv-by)) <= farOff) {
			return nil, inputf("time mark %v for Tv %.3g; use TimeMarks or TimeAt, and the field Bulb for a shutter that can be held open", m, float64(m.Tv))
		}
		if s.ByNumber {
			m.Tv = by
		}
		c.times = append(c.times, m)
	}
	slices.SortFunc(c.apertures, func(a, b ApertureMark) int { return cmp.Compare(a.Av, b.Av) })
	slices.SortFunc(c.times, func(a, b TimeMark) int { return cmp.Compare(a.Tv, b.Tv) })
	for i := 1; i < len(c.apertures); i++ {
		if a, b := c.apertures[i-1], c.apertures[i]; !(b.Number > a.Number) || !(b.Av > a.Av+closeMarks) {
			return nil, inputf("aperture marks %v (Av %.3f) and %v (Av %.3f) are out of order or the same", a,
				float64(a.Av), b, float64(b.Av))
		}
	}
	for i := 1; i < len(c.times); i++ {
		if a, b := c.times[i-1], c.times[i]; !(b.Time < a.Time) || !(b.Tv > a.Tv+closeMarks) {
			return nil, inputf("time marks %v (Tv %.3f) and %v (Tv %.3f) are out of order or the same", a, float64(a.Tv), b, float64(b.Tv))
		}
	}
	return c, nil
}

// IsZero reports whether it is no camera, or one without marks, with which nothing can be set.
func (c *Camera) IsZero() bool { return c == nil || len(c.times) == 0 }

// Apertures returns the marks from the widest on, with the values the camera
// takes them for.
func (c *Camera) Apertures() []ApertureMark {
	if c == nil {
		return nil
	}
	return slices.Clone(c.apertures)
}

// Times returns the marks from the longest on, with the values the camera takes
// them for.
func (c *Camera) Times() []TimeMark {
	if c == nil {
		return nil
	}
	return slices.Clone(c.times)
}

// Aperture returns the mark engraved n. The error wraps [ErrReach] and names the
// marks on either side.
func (c *Camera) Aperture(n exposure.FNumber) (ApertureMark, error) {
	if c == nil || len(c.apertures) == 0 {
		return ApertureMark{}, inputf("a camera without marks; make one by New")
	}
	i := slices.IndexFunc(c.apertures, func(m ApertureMark) bool { return m.Number >= n })
	switch {
	case i >= 0 && c.apertures[i].Number == n:
		return c.apertures[i], nil
	case i > 0:
		return ApertureMark{}, fmt.Errorf("%w: %v is not a mark; there are %v and %v", ErrReach, n, c.apertures[i-1], c.apertures[i])
	}
	return ApertureMark{}, fmt.Errorf("%w: %v is not a mark; they go from %v to %v", ErrReach, n, c.apertures[0],
		c.apertures[len(c.apertures)-1])
}

// NearestAperture returns the mark nearest to an aperture value and what is left
// over: how many stops more the mark gives than was asked for.
//
// The error wraps [ErrReach] if the value lies beyond the last mark by more than
// half the smallest step of the scale.
func (c *Camera) NearestAperture(v exposure.Av) (ApertureMark, sensito.Stops, error) {
	if c == nil || len(c.apertures) == 0 {
		return ApertureMark{}, 0, inputf("a camera without marks; make one by New")
	}
	if math.IsNaN(float64(v)) {
		return ApertureMark{}, 0, inputf("aperture value NaN")
	}
	var room [usualMarks]float64
	values := room[:0]
	for _, m := range c.apertures {
		values = append(values, float64(m.Av))
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
	m, beyond, err := c.Reach(v)
	switch {
	case err != nil:
		return TimeMark{}, 0, err
	case beyond > 0:
		return TimeMark{}, 0, fmt.Errorf("%w: Tv %.2f is %.2f stops faster than the fastest time %v; close the aperture down, or use a neutral-density filter",
			ErrReach, float64(v), float64(beyond), m)
	case beyond < 0:
		return TimeMark{}, 0, fmt.Errorf("%w: Tv %.2f is %.2f stops longer than the longest time %v; open the aperture, or bring more light",
			ErrReach, float64(v), -float64(beyond), m)
	}
	return m, sensito.Stops(v - m.Tv), nil
}

// Time returns the mark engraved t, or of a camera with bulb the time t held open where
// it is longer than the longest mark. The error wraps [ErrReach].
func (c *Camera) Time(t time.Duration) (TimeMark, error) {
	if c.IsZero() {
		return TimeMark{}, inputf("a camera without marks; make one by New")
	}
	for _, m := range c.times {
		// time.Second/15 is not rounded as 1/15 is
		if math.Abs(float64(m.Time-t)) <= 1e-6*float64(t) {
			return m, nil
		}
	}
	if c.bulb && t > c.times[0].Time {
		m := TimeAt(t)
		m.Bulb = true
		return m, nil
	}
	return TimeMark{}, fmt.Errorf("%w: %s is not a mark of the shutter, which goes from %v to %v",
		ErrReach, figures.About(t), c.times[len(c.times)-1], c.times[0])
}

// Reach returns the mark nearest to a time value, and how many stops the value lies
// out of the camera's reach: above 0 if it is too fast, below if it is too long, 0
// within half a step of the last mark. It is for callers who know what to do then;
// others take [Camera.NearestTime].
//
// The error wraps [sensito.ErrInput] for a value that is not finite, or a time beyond
// measure.
func (c *Camera) Reach(v exposure.Tv) (m TimeMark, beyond sensito.Stops, err error) {
	if c.IsZero() {
		return TimeMark{}, 0, inputf("a camera without marks; make one by New")
	}
	if math.IsNaN(float64(v)) {
		return TimeMark{}, 0, inputf("time value NaN")
	}
	var room [usualMarks]float64
	values := room[:0]
	for _, m := range c.times {
		values = append(values, float64(m.Tv))
	}
	i, off := nearest(values, float64(v))
	m, beyond = c.times[i], sensito.Stops(off)
	if c.bulb && i == 0 && v < m.Tv {
		t, err := v.Time()
		if err != nil {
			return TimeMark{}, 0, err
		}
		held := TimeAt(t.Round(time.Second))
		held.Bulb = true
		if held.Time > m.Time && math.Abs(float64(held.Tv-v)) < math.Abs(float64(m.Tv-v)) {
			m = held
		}
		beyond = 0
	}
	return m, beyond, nil
}

// Scales returns what the camera was made of, with the values it takes the marks for:
// [New] makes an equal camera of them.
func (c *Camera) Scales() Scales {
	if c == nil {
		return Scales{}
	}
	return Scales{Apertures: c.Apertures(), Times: c.Times(), Bulb: c.bulb, ByNumber: c.byNumber}
}

// MarshalJSON writes the camera's [Scales].
func (c *Camera) MarshalJSON() ([]byte, error) {
	if c.IsZero() {
		return nil, inputf("a camera without marks; make one by New")
	}
	return json.Marshal(c.Scales())
}

// UnmarshalJSON reads [Scales] and makes the camera of them. Errors are those of [New].
func (c *Camera) UnmarshalJSON(text []byte) error {
	var s Scales
	if err := json.Unmarshal(text, &s); err != nil {
		return err
	}
	made, err := New(s)
	if err != nil {
		return err
	}
	*c = *made
	return nil
}
