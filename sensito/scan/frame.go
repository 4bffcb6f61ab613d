package scan

import (
	"math"
	"time"

	"example.org/actinic/internal/check"
)

// Frame is a picture with its exposure time and with what the whole of it says: its mean,
// and where its scale ends.
type Frame struct {
	origin        Origin
	width, height int
	time          time.Duration
	mean          float64
	white         float64 // values from here up are clipped
	clipped       float64 // share of the pixels that are
	whole         *Picture
	parts         []part
}

type part struct {
	box    Box
	values []float32
}

const (
	// fewClipped is the share of a place that may be clipped: hot pixels.
	fewClipped = 0.001
	// piled is how many pixels have to share the greatest value for it to be the camera's
	// end, in a picture whose pixels otherwise differ.
	piled = 50
)

// NewFrame returns a picture as a frame of an exposure time. Where at least fifty pixels
// share the greatest value while others differ from their neighbours, as noise makes them,
// that value is taken for the camera's white, below that of the file. The error wraps
// [ErrInput] for no picture and a time that is not above 0.
func NewFrame(p *Picture, t time.Duration) (*Frame, error) {
	if p == nil || p.width == 0 {
		return nil, check.Errorf(ErrInput, "no picture")
	}
	if !(t > 0) {
		return nil, check.Errorf(ErrInput, "%s: exposure time %v, want more than 0", p.origin.File, t)
	}
	f := &Frame{origin: p.origin, width: p.width, height: p.height, time: t, whole: p}
	sum, greatest, at := 0.0, math.Inf(-1), 0
	pairs, alike := 0, 0
	for y := range p.height {
		last := math.NaN()
		for x := range p.width {
			v := p.value(y*p.width + x)
			sum += v
			switch {
			case v > greatest:
				greatest, at = v, 1
			case v == greatest:
				at++
			default: // pairs below the greatest so far
				if pairs++; v == last {
					alike++
				}
			}
			last = v
		}
	}
	f.mean = sum / float64(p.width*p.height)
	f.white = p.origin.White
	switch {
	case greatest >= f.white:
		f.clipped = float64(at) / float64(p.width*p.height)
	case at >= piled && pairs > 0 && alike*2 < pairs:
		f.white, f.clipped = greatest, float64(at)/float64(p.width*p.height)
	}
	return f, nil
}

// Origin returns where the frame is from.
func (f *Frame) Origin() Origin { return f.origin }

// Time returns the exposure time.
func (f *Frame) Time() time.Duration { return f.time }

// Size returns width and height in pixels.
func (f *Frame) Size() (width, height int) { return f.width, f.height }

// Mean returns the mean value of the whole picture, in counts.
func (f *Frame) Mean() float64 { return f.mean }

// Clipped returns the share of all pixels at the camera's or the file's white.
func (f *Frame) Clipped() float64 { return f.clipped }

// Keep returns the frame with the values in some boxes only, so that the picture itself
// can be let go. The error wraps [ErrInput] for a box that is not inside.
func (f *Frame) Keep(boxes ...Box) (*Frame, error) {
	g := *f
	g.whole, g.parts = nil, nil
next:
	for _, b := range boxes {
		for _, p := range g.parts {
			if p.box.holds(b) {
				continue next
			}
		}
		v, err := f.values(b)
		if err != nil {
			return nil, err
		}
		p := part{b, make([]float32, len(v))}
		for i := range v {
			p.values[i] = float32(v[i])
		}
		g.parts = append(g.parts, p)
	}
	return &g, nil
}

// values returns those of a box, row by row.
func (f *Frame) values(b Box) ([]float64, error) {
	if err := b.within(f.width, f.height); err != nil {
		return nil, check.Errorf(ErrInput, "%s: box %v lies outside the picture of %d × %d pixels", f.origin.File, b, f.width, f.height)
	}
	out := make([]float64, 0, b.Width*b.Height)
	if f.whole != nil {
		for y := range b.Height {
			i := (b.Y+y)*f.width + b.X
			for x := range b.Width {
				out = append(out, f.whole.value(i+x))
			}
		}
		return out, nil
	}
	for _, p := range f.parts {
		if !p.box.holds(b) {
			continue
		}
		for y := range b.Height {
			i := (b.Y-p.box.Y+y)*p.box.Width + b.X - p.box.X
			for _, v := range p.values[i : i+b.Width] {
				out = append(out, float64(v))
			}
		}
		return out, nil
	}
	return nil, check.Errorf(ErrInput, "%s: box %v was not kept", f.origin.File, b)
}

// clippedIn returns the share of values at white.
func (f *Frame) clippedIn(v []float64) float64 {
	n := 0
	for _, x := range v {
		if x >= f.white {
			n++
		}
	}
	return float64(n) / float64(len(v))
}
