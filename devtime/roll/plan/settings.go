package plan

import (
	"fmt"
	"math"
	"slices"
	"time"

	"example.org/actinic/sensito"
	"example.org/actinic/sensito/exposure"
	"example.org/actinic/sensito/exposure/camera"
)

// Setting is what to set: marks, or with a priority one mark and what the camera makes of
// the index on its dial, and the grey filter before the lens.
type Setting struct {
	Aperture camera.ApertureMark
	Time     camera.TimeMark
	Neutral  sensito.Density
	// Dial is the index to set where the camera has a priority; 0 otherwise.
	Dial float64
}

// ev is the exposure value that the setting stands for, the filter's stops with it: the
// exact values of the marks, as the camera takes them.
func (s Setting) ev() float64 {
	return float64(s.Aperture.Av) + float64(s.Time.Tv) + float64(camera.NeutralStops(s.Neutral))
}

// exposedAs is the index that a subject metered at light is exposed at.
//
//	EI = 100 2^(Av + Tv + ND/log10 2 - EV100)
//
// Source: the definitions of [exposure], solved for the index.
func (s Setting) exposedAs(light exposure.EV100) float64 {
	return 100 * math.Exp2(s.ev()-float64(light))
}

// How says what is turned from frame to frame.
type How string

const (
	ByShutter  How = "shutter"              // times change, the aperture stays
	ByAperture How = "aperture"             // apertures change, the time stays
	ByBoth     How = "shutter and aperture" // whichever marks come closest
	ByDial     How = "index dial"           // the camera sets the time, the index is changed
)

// series is a way to expose: settings by rising exposure value, all behind one filter.
type series struct {
	how      How
	settings []Setting
	neutral  sensito.Density
	// short and over are by how many stops the range is not reached at the end of more
	// light and of less.
	short, over float64
	slow, fast  bool // times outside those at which films keep reciprocity
}

// apart is how far two exposures have to lie from each other, in stops, to count as two:
// a third of a stop, marks being as they are.
const apart = 0.3

// endSlack is by how much of a stop a range may be missed at an end: half a stop, as grey
// filters have stops of 0.997.
const endSlack = 0.52

// neutrals are the grey filters that are tried, weakest first.
func neutrals() []sensito.Density {
	var out []sensito.Density
	for n := range 16 {
		out = append(out, camera.NeutralStep*sensito.Density(n))
	}
	return out
}

// seriesFor finds the series of settings from exposure value lo to hi: the weakest filter
// that reaches all, one for all; then the way with notably more distinct exposures, the
// shutter before the aperture before both otherwise; then a middle aperture, and times at
// which films keep reciprocity. Where nothing reaches all, what reaches most.
func seriesFor(d *camera.Described, light exposure.EV100, lo, hi float64) series {
	var best series
	found := false
	for _, nd := range neutrals() {
		var at *series
		for _, s := range ways(d, light, lo, hi, nd) {
			if at == nil || s.better(at) {
				at = &s
			}
		}
		if at == nil {
			continue
		}
		if !found || at.missed() < best.missed()-1e-9 {
			best, found = *at, true
		}
		if at.missed() == 0 {
			break
		}
	}
	return best
}

func (s *series) missed() float64 {
	return math.Max(s.short-endSlack, 0) + math.Max(s.over-endSlack, 0)
}

// better reports whether s is to be preferred to o, behind the same filter.
func (s *series) better(o *series) bool {
	if a, b := s.missed(), o.missed(); math.Abs(a-b) > 1e-9 {
		return a < b
	}
	a, b := distinct(s.settings), distinct(o.settings)
	if float64(max(a, b)) > notably*float64(min(a, b)) {
		return a > b
	}
	if x, y := rank(s.how), rank(o.how); x != y {
		return x < y
	}
	if a != b {
		return a > b
	}
	return s.inconvenience() < o.inconvenience()-1e-9
}

// notably is how many times as many exposures make another way worth it.
const notably = 1.25

func rank(h How) int { return slices.Index([]How{ByDial, ByShutter, ByAperture, ByBoth}, h) }

// middleAv is f/8, where a lens is at its best (common practice, no source).
const middleAv = 6

// inconvenience counts times at which the film may fail and stops from the middle aperture.
func (s *series) inconvenience() float64 {
	sum := 0.0
	for _, x := range s.settings {
		sum += inconvenience(x)
	}
	return sum / math.Max(float64(len(s.settings)), 1)
}

func inconvenience(x Setting) float64 {
	v := 0.1 * math.Abs(float64(x.Aperture.Av)-middleAv)
	if x.Time.Time < camera.ReciprocalFrom {
		v += math.Log2(float64(camera.ReciprocalFrom) / float64(x.Time.Time))
	}
	if x.Time.Time > camera.ReciprocalTo {
		v += math.Log2(float64(x.Time.Time)/float64(camera.ReciprocalTo)) + 0.5
	}
	return v
}

// distinct counts exposures that lie apart.
func distinct(settings []Setting) int {
	n, last := 0, math.Inf(-1)
	for _, s := range settings {
		if s.ev() >= last+apart {
			n, last = n+1, s.ev()
		}
	}
	return n
}

// ways are all the ways behind a filter.
func ways(d *camera.Described, light exposure.EV100, lo, hi float64, nd sensito.Density) []series {
	apertures, times := d.Camera.Apertures(), withHeld(d.Camera)
	stops := float64(camera.NeutralStops(nd))
	var out []series
	add := func(how How, all []Setting) {
		if s, ok := newSeries(how, all, nd, lo, hi); ok {
			out = append(out, s)
		}
	}
	switch d.Priority {
	case camera.AperturePriority:
		for _, a := range apertures {
			add(ByDial, dialled(light, lo, hi, func(ev float64) (Setting, bool) {
				tv := ev - stops - float64(a.Av)
				all := d.Camera.Times()
				t := time.Duration(math.Round(1e9 * math.Exp2(-tv)))
				return Setting{Aperture: a, Time: camera.TimeMark{Time: t, Tv: exposure.Tv(tv)}},
					tv >= float64(all[0].Tv)-1e-9 && tv <= float64(all[len(all)-1].Tv)+1e-9
			}))
		}
		return out
	case camera.ShutterPriority:
		for _, t := range d.Camera.Times() {
			add(ByDial, dialled(light, lo, hi, func(ev float64) (Setting, bool) {
				av := exposure.Av(ev - stops - float64(t.Tv))
				n := exposure.FNumber(math.Round(100*float64(av.FNumber())) / 100)
				return Setting{Aperture: camera.ApertureMark{Number: n, Av: av}, Time: t},
					av >= apertures[0].Av-1e-9 && av <= apertures[len(apertures)-1].Av+1e-9
			}))
		}
		return out
	}
	var both []Setting
	for _, a := range apertures {
		var of []Setting
		for _, t := range times {
			of = append(of, Setting{Aperture: a, Time: t})
		}
		add(ByShutter, of)
		both = append(both, of...)
	}
	for _, t := range times {
		var of []Setting
		for _, a := range apertures {
			of = append(of, Setting{Aperture: a, Time: t})
		}
		add(ByAperture, of)
	}
	add(ByBoth, both)
	return out
}

// withHeld are the times of a camera, and of one that can be held open whole stops beyond
// the longest up to a minute.
func withHeld(c *camera.Camera) []camera.TimeMark {
	times := c.Times()
	if !c.Scales().Bulb {
		return times
	}
	longest := times[0].Time
	for t := time.Second; t <= time.Minute; t *= 2 {
		if t > longest {
			m := camera.TimeAt(t)
			m.Bulb = true
			times = append(times, m)
		}
	}
	return times
}

// dialled are the settings of a camera with a priority at the printed indexes from one
// exposure value to another, as at makes them.
func dialled(light exposure.EV100, lo, hi float64, at func(ev float64) (Setting, bool)) []Setting {
	var out []Setting
	for _, row := range sensito.Scale() {
		ev := float64(light.Ev(sensito.Speed{Value: row.Number}))
		if s, ok := at(ev); ok && ev >= lo-1e-6 && ev <= hi+1e-6 {
			s.Dial = row.Number
			out = append(out, s)
		}
	}
	return out
}

// newSeries sorts settings, takes those between lo and hi, one of each exposure, the most
// convenient.
func newSeries(how How, all []Setting, nd sensito.Density, lo, hi float64) (series, bool) {
	s := series{how: how, neutral: nd}
	for _, x := range all {
		x.Neutral = nd
		if v := x.ev(); v >= lo-1e-6 && v <= hi+1e-6 {
			s.settings = append(s.settings, x)
		}
	}
	if len(s.settings) == 0 {
		return s, false
	}
	slices.SortStableFunc(s.settings, func(a, b Setting) int {
		if d := a.ev() - b.ev(); math.Abs(d) > 1e-6 {
			return int(math.Copysign(1, d))
		}
		if d := inconvenience(a) - inconvenience(b); d != 0 {
			return int(math.Copysign(1, d))
		}
		return 0
	})
	s.settings = slices.CompactFunc(s.settings, func(a, b Setting) bool { return math.Abs(a.ev()-b.ev()) <= 1e-6 })
	s.short, s.over = s.settings[0].ev()-lo, hi-s.settings[len(s.settings)-1].ev()
	for _, x := range s.settings {
		s.slow = s.slow || x.Time.Time > camera.ReciprocalTo
		s.fast = s.fast || x.Time.Time < camera.ReciprocalFrom
	}
	return s, true
}

// String prints the setting: "1/125 at f/8 behind ND 0.9".
func (s Setting) String() string {
	out := fmt.Sprintf("%v at %v", s.Time, s.Aperture)
	if s.Dial > 0 {
		out = fmt.Sprintf("index dial at %v, %v", s.Dial, s.Aperture)
		if s.Time.Time > 0 {
			out += fmt.Sprintf(" (about %s)", exposure.FormatShutter(s.Time.Time))
		}
	}
	if s.Neutral > 0 {
		out += " behind " + camera.NeutralName(s.Neutral)
	}
	return out
}
