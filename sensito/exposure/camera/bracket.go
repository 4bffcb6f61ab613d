package camera

import (
	"cmp"
	"fmt"
	"slices"
	"time"

	"example.org/actinic/internal/check"
	"example.org/actinic/sensito"
	"example.org/actinic/sensito/exposure"
)

// ErrFrames marks a bracket that needs more frames than the roll has.
var ErrFrames = check.Sentinel("camera: not enough frames")

// Bracket asks for a plan of an exposure-index bracket: the same subject at a
// fixed aperture, each frame exposed as if the film had another index.
type Bracket struct {
	// From and To are the first and the last index, rounded by degrees to the
	// printed scale. From may be the higher one.
	From, To sensito.Speed
	// Thirds is the step between indexes in thirds of a stop, that is in degrees
	// of the scale; 0 stands for 1.
	Thirds int
	// Aperture is the engraved number of a mark of the camera.
	Aperture exposure.FNumber
	// Places are where the bracket is exposed, one series after the other on the
	// same roll: outdoors, indoors, or both.
	Places []Place
	// Frames is how many frames the roll has left; 0 stands for enough.
	Frames int
	// Widen has the step widened until the frames suffice, instead of an error.
	// The first and last index stay.
	Widen bool
}

// Place is where a series is exposed, and its light. A luminance or illuminance
// becomes an exposure value by a meter, see [exposure.ReflectedMeter].
type Place struct {
	Name    string
	Light   exposure.EV100 // as metered for the series
	Indoors bool           // lamps or window light, instead of open daylight
}

// Frame is one frame of a plan.
type Frame struct {
	Number int
	Place  string
	Index  sensito.Speed // the printed number, as it is set on a meter
	// Wanted is the time that the index asks for at the plan's aperture without
	// a filter.
	Wanted time.Duration
	// Beyond is how far Wanted lies out of the camera's reach: above 0, it is
	// that many stops shorter than the fastest time; below, longer than the
	// longest; 0 in reach.
	Beyond sensito.Stops
	// Filter is the density of the weakest neutral-density filter that brings the
	// frame in reach, 0 where none is needed or none helps.
	Filter sensito.Density
	// Reached tells whether there is a mark to set, with Filter if it is not 0.
	Reached bool
	Mark    TimeMark
	// Residue is how many stops more than wanted the mark gives, with the filter
	// if there is one.
	Residue sensito.Stops
	// Exposed is the index that the frame is really exposed at, Index less the
	// residue: the one to go with the frame's densities, as BracketFrame.Index and
	// in the column ei of a file of frames. 0 if not Reached.
	Exposed float64

	wanted exposure.Tv // Wanted without rounding to the nanosecond
}

// Plan is a bracket laid out frame by frame.
type Plan struct {
	Frames   []Frame
	Aperture ApertureMark
	Thirds   int // step between indexes, wider than asked for if it had to be

	asked  Bracket
	camera *Camera
}

// NeutralStep is the density of one step of neutral-density filters, sold as a
// stop each. It is 0.997 stop, and the plan reckons with that.
const NeutralStep sensito.Density = 0.3

// NeutralName returns what a neutral-density filter is called: "ND 0.9" for a
// density of 0.9, three stops.
func NeutralName(d sensito.Density) string { return fmt.Sprintf("ND %.1f", float64(d)) }

// PlanBracket lays out a bracket on a camera. Of each frame it tells the time
// that the index asks for,
//
//	t = 100 N² / (S 2^EV100)
//
// the nearest mark and what is left over, or how far the frame is out of reach
// and the filter that brings it in.
//
// S is the printed number of the index, since that is what the meter is set to
// and what the frame is called when its densities are evaluated. N and the marks
// are taken as the camera takes them, see [Scales].
//
// The error wraps [sensito.ErrInput] if the input is not usable, [ErrReach] if
// the camera has no such aperture, and [ErrFrames] if the roll has not enough
// frames. A frame out of reach is not an error: the plan says so.
//
// Source: as for [exposure.EV100.Time].
func PlanBracket(c *Camera, b Bracket) (*Plan, error) {
	if c == nil || len(c.times) == 0 {
		return nil, inputf("bracket without a camera; make one by New")
	}
	if len(b.Places) == 0 {
		return nil, inputf("bracket without a place; give at least one with its light")
	}
	for i, p := range b.Places {
		if !check.Finite(float64(p.Light)) {
			return nil, inputf("place %d (%s) has light %v; give the metered EV at ISO 100", i+1, p.Name, float64(p.Light))
		}
	}
	if b.Frames < 0 || b.Thirds < 0 {
		return nil, inputf("bracket of %d frames in steps of %d thirds", b.Frames, b.Thirds)
	}
	b.Places = slices.Clone(b.Places)
	aperture, err := c.Aperture(b.Aperture)
	if err != nil {
		return nil, err
	}
	for _, s := range []sensito.Speed{b.From, b.To} {
		if _, ok := sensito.ScaleAt(s.Degrees()); !ok {
			return nil, inputf("index %v is off the printed scale, which goes from 0.8 to 100000", s.Value)
		}
	}
	p := &Plan{Aperture: aperture, Thirds: max(b.Thirds, 1), asked: b, camera: c}
	degrees := indexes(b.From.Degrees(), b.To.Degrees(), p.Thirds)
	if b.Frames > 0 && len(degrees)*len(b.Places) > b.Frames {
		wide := p.Thirds
		for len(indexes(b.From.Degrees(), b.To.Degrees(), wide))*len(b.Places) > b.Frames {
			if wide++; wide > 100 {
				return nil, fmt.Errorf("%w: %d places need at least %d frames, there are %d", ErrFrames, len(b.Places),
					len(b.Places)*len(indexes(b.From.Degrees(), b.To.Degrees(), wide)), b.Frames)
			}
		}
		if !b.Widen {
			return nil, fmt.Errorf("%w: %d indexes at each of %d places need %d frames, there are %d; take steps of %d thirds of a stop (or set Widen), a narrower range, or another roll",
				ErrFrames, len(degrees), len(b.Places), len(degrees)*len(b.Places), b.Frames, wide)
		}
		p.Thirds = wide
		degrees = indexes(b.From.Degrees(), b.To.Degrees(), wide)
	}
	for _, place := range b.Places {
		for _, d := range degrees {
			row, _ := sensito.ScaleAt(d)
			f := Frame{Number: len(p.Frames) + 1, Place: place.Name, Index: sensito.Speed{Value: row.Number}}
			if err := f.lay(c, place.Light.Ev(f.Index).Tv(aperture.Av)); err != nil {
				return nil, fmt.Errorf("frame %d, %v: %w", f.Number, f.Index, err)
			}
			p.Frames = append(p.Frames, f)
		}
	}
	return p, nil
}

// indexes returns the degrees from one end to the other; the last step is shorter
// where the range is not a multiple of it.
func indexes(from, to, step int) []int {
	var ds []int
	for left := max(to-from, from-to); left > 0; left -= min(step, left) {
		if to > from {
			ds = append(ds, to-left)
		} else {
			ds = append(ds, to+left)
		}
	}
	return append(ds, to)
}

// lay fills in what the camera does with the time value wanted.
func (f *Frame) lay(c *Camera, wanted exposure.Tv) error {
	var err error
	if f.Wanted, err = wanted.Time(); err != nil {
		return err
	}
	f.wanted = wanted
	m, beyond, err := c.Reach(wanted)
	if err != nil {
		return err
	}
	f.Beyond = beyond
	for n := 1; beyond > 0; n++ { // too fast: each filter asks for more time
		f.Filter = NeutralStep * sensito.Density(n)
		if m, beyond, err = c.Reach(wanted - exposure.Tv(NeutralStops(f.Filter))); err != nil {
			return err
		}
	}
	if beyond < 0 { // too long, or there is no mark where the filter leads
		f.Filter = 0
		return nil
	}
	f.Reached = true
	f.Mark = m
	f.Residue = sensito.Stops(wanted-m.Tv) - NeutralStops(f.Filter)
	f.Exposed = f.Index.Value / f.Residue.Factor()
	return nil
}

// filterStops returns the stops that a neutral density takes.
func NeutralStops(d sensito.Density) sensito.Stops { return sensito.StopsOf(d.Opacity()) }

// FilterFor returns the weakest neutral density with which every frame of a place
// is in reach, so that the filter need not be changed within the series. ok is
// false if no filter does that, or there is no such place; the density is 0 if
// none is needed.
func (p *Plan) FilterFor(place string) (d sensito.Density, ok bool) {
	var frames []Frame
	for _, f := range p.Frames {
		if f.Place == place {
			frames = append(frames, f)
		}
	}
	if len(frames) == 0 {
		return 0, false
	}
	need := slices.MaxFunc(frames, func(a, b Frame) int { return cmp.Compare(a.Filter, b.Filter) }).Filter
	for _, f := range frames {
		if _, beyond, err := p.camera.Reach(f.wanted - exposure.Tv(NeutralStops(need))); err != nil || beyond != 0 {
			return 0, false
		}
	}
	return need, true
}
