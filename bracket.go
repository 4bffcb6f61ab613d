package actinic

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"text/tabwriter"
	"time"

	"example.org/actinic/internal/check"
	"example.org/actinic/sensito"
	"example.org/actinic/sensito/exposure"
)

// ErrFrames marks a bracket that needs more frames than the roll has.
var ErrFrames = check.Sentinel("actinic: not enough frames")

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

// PlannedFrame is one frame of a plan.
type PlannedFrame struct {
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

// BracketPlan is a bracket laid out frame by frame.
type BracketPlan struct {
	Frames   []PlannedFrame
	Aperture ApertureMark
	Thirds   int // step between indexes, wider than asked for if it had to be

	asked  Bracket
	camera *Camera
}

// filterStep is the density of one step of neutral-density filters, sold as a
// stop each. It is 0.997 stop, and the plan reckons with that.
const filterStep = 0.3

// FilterName returns what a neutral-density filter is called: "ND 0.9" for a
// density of 0.9, three stops.
func FilterName(d sensito.Density) string { return fmt.Sprintf("ND %.1f", float64(d)) }

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
// are taken as the camera takes them, see [CameraScales].
//
// The error wraps [sensito.ErrInput] if the input is not usable, [ErrReach] if
// the camera has no such aperture, and [ErrFrames] if the roll has not enough
// frames. A frame out of reach is not an error: the plan says so.
func PlanBracket(c *Camera, b Bracket) (*BracketPlan, error) {
	if c == nil || len(c.times) == 0 {
		return nil, inputf("bracket without a camera; make one by NewCamera")
	}
	if len(b.Places) == 0 {
		return nil, inputf("bracket without a place; give at least one with its light")
	}
	for i, p := range b.Places {
		if math.IsNaN(float64(p.Light)) || math.IsInf(float64(p.Light), 0) {
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
	p := &BracketPlan{Aperture: aperture, Thirds: max(b.Thirds, 1), asked: b, camera: c}
	degrees := indexes(b.From.Degrees(), b.To.Degrees(), p.Thirds)
	if b.Frames > 0 && len(degrees)*len(b.Places) > b.Frames {
		wide := p.Thirds
		for len(indexes(b.From.Degrees(), b.To.Degrees(), wide))*len(b.Places) > b.Frames {
			if wide++; wide > 100 {
				return nil, fmt.Errorf("%w: %d places need at least %d frames, there are %d", ErrFrames, len(b.Places), len(b.Places)*len(indexes(b.From.Degrees(), b.To.Degrees(), wide)), b.Frames)
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
			f := PlannedFrame{Number: len(p.Frames) + 1, Place: place.Name, Index: sensito.Speed{Value: row.Number}}
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
	if from == to {
		return []int{from}
	}
	if from > to {
		step = -step
	}
	var ds []int
	for d := from; (to-d)*step > 0; d += step {
		ds = append(ds, d)
	}
	return append(ds, to)
}

// lay fills in what the camera does with the time value wanted.
func (f *PlannedFrame) lay(c *Camera, wanted exposure.Tv) error {
	var err error
	if f.Wanted, err = wanted.Time(); err != nil {
		return err
	}
	f.wanted = wanted
	m, beyond, err := c.time(wanted)
	if err != nil {
		return err
	}
	f.Beyond = sensito.Stops(beyond)
	for n := 1; beyond > 0; n++ { // too fast: each filter asks for more time
		f.Filter = sensito.Density(filterStep * float64(n))
		if m, beyond, err = c.time(wanted - exposure.Tv(filterStops(f.Filter))); err != nil {
			return err
		}
	}
	if beyond < 0 { // too long, or there is no mark where the filter leads
		f.Filter = 0
		return nil
	}
	f.Reached = true
	f.Mark = m
	f.Residue = sensito.Stops(wanted-m.Tv) - filterStops(f.Filter)
	f.Exposed = f.Index.Value / f.Residue.Factor()
	return nil
}

// filterStops returns the stops that a neutral density takes.
func filterStops(d sensito.Density) sensito.Stops { return sensito.StopsOf(d.Opacity()) }

// FilterFor returns the weakest neutral density with which every frame of a place
// is in reach, so that the filter need not be changed within the series. ok is
// false if no filter does that, or there is no such place; the density is 0 if
// none is needed.
func (p *BracketPlan) FilterFor(place string) (d sensito.Density, ok bool) {
	var frames []PlannedFrame
	for _, f := range p.Frames {
		if f.Place == place {
			frames = append(frames, f)
		}
	}
	if len(frames) == 0 {
		return 0, false
	}
	need := slices.MaxFunc(frames, func(a, b PlannedFrame) int { return order(float64(a.Filter - b.Filter)) }).Filter
	for _, f := range frames {
		if _, beyond, err := p.camera.time(f.wanted - exposure.Tv(filterStops(need))); err != nil || beyond != 0 {
			return 0, false
		}
	}
	return need, true
}

// Times between which ordinary film keeps reciprocity: encyclopaedia article
// "Film speed", Reciprocity.
const (
	reciprocalFrom = time.Second / 1000
	reciprocalTo   = time.Second / 2
)

// Advice says in words what to mind: what the camera does not reach and what
// helps, how exact the marks are, and what the light and the times do to the
// result. What it says of lamps, of metering again and of filters' names is common
// practice without a source.
func (p *BracketPlan) Advice() []string {
	var out []string
	say := func(format string, args ...any) { out = append(out, fmt.Sprintf(format, args...)) }
	fast, long := p.camera.times[len(p.camera.times)-1], p.camera.times[0]
	if step := max(p.asked.Thirds, 1); p.Thirds > step {
		say("The step is widened from %s to %s, so that the bracket fits on %d frames.", thirds(step), thirds(p.Thirds), p.asked.Frames)
	}
	filtered := false
	for _, place := range places(p.Frames) {
		pick := func(f func(PlannedFrame) bool) []PlannedFrame {
			return slices.DeleteFunc(slices.Clone(p.Frames), func(x PlannedFrame) bool { return x.Place != place || !f(x) })
		}
		where := ""
		if place != "" {
			where = place + ": "
		}
		if fs := pick(func(f PlannedFrame) bool { return f.Beyond > 0 }); len(fs) > 0 {
			most := slices.MaxFunc(fs, func(a, b PlannedFrame) int { return order(float64(a.Beyond - b.Beyond)) })
			say("%sfaster than the fastest time %v, by up to %.1f stops: %s.", where, fast, float64(most.Beyond), spans(fs))
			if bad := slices.DeleteFunc(slices.Clone(fs), func(f PlannedFrame) bool { return f.Reached }); len(bad) > 0 {
				say("%sno filter leads to a mark: %s; use a smaller aperture in a plan of its own, or leave out.", where, spans(bad))
			}
			if d, ok := p.FilterFor(place); ok {
				say("%s%s over the whole series brings every frame in reach, without a change of filter.", where, FilterName(d))
			}
			filtered = filtered || slices.ContainsFunc(fs, func(f PlannedFrame) bool { return f.Filter > 0 })
		}
		if fs := pick(func(f PlannedFrame) bool { return f.Beyond < 0 }); len(fs) > 0 {
			most := slices.MinFunc(fs, func(a, b PlannedFrame) int { return order(float64(a.Beyond - b.Beyond)) })
			say("%slonger than the longest time %v, by up to %.1f stops: %s; bring more light, open the aperture, or leave out.", where, long, -float64(most.Beyond), spans(fs))
		}
		if n, of := exposures(pick(func(f PlannedFrame) bool { return f.Reached })); n < of {
			say("%sthe marks of the shutter make only %d different exposures of %d frames; take wider steps to save film.", where, n, of)
		}
		if fs := pick(func(f PlannedFrame) bool {
			return f.Reached && (f.Mark.Time > reciprocalTo || f.Mark.Time < reciprocalFrom)
		}); len(fs) > 0 {
			say("%soutside 1/1000 to 1/2, between which ordinary films keep reciprocity: %s; the index found there includes what the film loses.", where, spans(fs))
		}
	}
	if filtered {
		say("A filter's name is a nominal density: measure it, or test it against one frame without.")
		if slices.ContainsFunc(p.asked.Places, func(x Place) bool { return !x.Indoors }) {
			say("A neutral-density filter for exposure does not protect the eye: never look at the sun through it.")
		}
	}
	if slices.ContainsFunc(p.asked.Places, func(x Place) bool { return x.Indoors }) {
		say("Indoors: write down the light, an index belongs to it; lamps on the mains flicker, so that times below about 1/50 differ from frame to frame.")
	}
	if slices.ContainsFunc(p.asked.Places, func(x Place) bool { return !x.Indoors }) {
		say("Outdoors: meter before and after the series, and repeat it if the two differ by more than a third of a stop.")
	}
	basis := "the exact values of their positions"
	if p.camera.byNumber {
		basis = "their engraved numbers"
	}
	worst := sensito.Stops(0)
	for _, f := range p.Frames {
		if math.Abs(float64(f.Residue)) > math.Abs(float64(worst)) {
			worst = f.Residue
		}
	}
	say("Marks are taken by %s; the largest residue is %v (+ is more exposure).", basis, worst)
	say("Leave one frame unexposed for base plus fog.")
	return out
}

// String prints the plan as a table, with the advice below it.
func (p *BracketPlan) String() string {
	var b strings.Builder
	fmt.Fprintf(&b, "Exposure-index bracket at %v, %s between indexes\n", p.Aperture, thirds(p.Thirds))
	for _, x := range p.asked.Places {
		name := x.Name
		if name == "" {
			name = "light"
		}
		fmt.Fprintf(&b, "%s: %v\n", name, x.Light)
	}
	w := tabwriter.NewWriter(&b, 0, 0, 2, ' ', 0)
	fmt.Fprintln(w, "frame\tplace\tindex\twanted\tset\tfilter\tresidue\texposed as")
	for _, f := range p.Frames {
		set, filter, residue, exposed := "-", "", "out of reach", ""
		if f.Reached {
			set, residue, exposed = f.Mark.String(), f.Residue.String(), "EI "+whole(f.Exposed)
		}
		if f.Filter > 0 {
			filter = FilterName(f.Filter)
		}
		line := fmt.Sprintf("%d\t%s\t%v\t%s\t%s\t%s\t%s\t%s", f.Number, f.Place, f.Index, about(f.Wanted), set, filter, residue, exposed)
		fmt.Fprintln(w, line)
	}
	_ = w.Flush() // a strings.Builder does not fail
	lines := strings.Split(strings.TrimSuffix(b.String(), "\n"), "\n")
	for i, l := range lines {
		lines[i] = strings.TrimRight(l, " ")
	}
	for _, s := range p.Advice() {
		lines = append(lines, "- "+s)
	}
	return strings.Join(lines, "\n") + "\n"
}

// whole prints an index to the unit, or to two digits below 10.
func whole(v float64) string {
	if v < 10 {
		return fmt.Sprintf("%.2g", v)
	}
	return fmt.Sprintf("%.0f", v)
}

// about prints a computed time to three digits.
func about(t time.Duration) string {
	s := t.Seconds()
	if s < 0.4 {
		return fmt.Sprintf("1/%.0f", 1/s)
	}
	return fmt.Sprintf("%.3gs", s)
}

// thirds prints a step of so many thirds of a stop.
func thirds(n int) string {
	switch {
	case n == 1:
		return "a third of a stop"
	case n == 3:
		return "one stop"
	case n%3 == 0:
		return fmt.Sprintf("%d stops", n/3)
	}
	return fmt.Sprintf("%d thirds of a stop", n)
}

// places lists the names of the places in order.
func places(fs []PlannedFrame) []string {
	var names []string
	for _, f := range fs {
		if !slices.Contains(names, f.Place) {
			names = append(names, f.Place)
		}
	}
	return names
}

// exposures counts the different settings among frames, and the frames.
func exposures(fs []PlannedFrame) (n, of int) {
	type setting struct {
		mark   TimeMark
		filter sensito.Density
	}
	seen := make(map[setting]bool)
	for _, f := range fs {
		seen[setting{f.Mark, f.Filter}] = true
	}
	return len(seen), len(fs)
}

// spans names frames by runs: "frame 3 (EI 400), frames 9 to 12 (EI 800 to EI
// 1600)".
func spans(fs []PlannedFrame) string {
	var out []string
	for i := 0; i < len(fs); {
		j := i
		for j+1 < len(fs) && fs[j+1].Number == fs[j].Number+1 {
			j++
		}
		a, z := fs[i], fs[j]
		if i == j {
			out = append(out, fmt.Sprintf("frame %d (%v)", a.Number, a.Index))
		} else {
			out = append(out, fmt.Sprintf("frames %d to %d (%v to %v)", a.Number, z.Number, a.Index, z.Index))
		}
		i = j + 1
	}
	return strings.Join(out, ", ")
}
