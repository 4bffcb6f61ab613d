package scan

import (
	"math"

	"example.org/actinic/internal/check"
)

// Axis is the direction in which the steps of a tablet follow each other.
type Axis uint8

const (
	AlongX Axis = iota // from left to right
	AlongY             // from top to bottom
)

// String returns "x" or "y".
func (a Axis) String() string {
	if a == AlongY {
		return "y"
	}
	return "x"
}

// MarshalText returns the String form.
func (a Axis) MarshalText() ([]byte, error) { return []byte(a.String()), nil }

// UnmarshalText reads "x" or "y". The error wraps [ErrInput].
func (a *Axis) UnmarshalText(text []byte) error {
	switch string(text) {
	case "x":
		*a = AlongX
	case "y":
		*a = AlongY
	default:
		return check.Errorf(ErrInput, "direction %q, want x (left to right) or y (top to bottom)", text)
	}
	return nil
}

// darkest is the density that a profile shows for what passes nothing.
const darkest = 5

// Profile returns the density along a box, a value a pixel: the median across its middle
// part, a sixth left out on each side, each pixel from the longest exposure that does not
// clip there. It finds steps and shows what is there; it is no measurement.
//
// The error wraps [ErrInput] as that of [Setup.Measure] does.
func (s *Setup) Profile(b Box, along Axis, frames ...*Frame) ([]float64, error) {
	if err := s.usable(frames); err != nil {
		return nil, err
	}
	if err := b.within(s.Light.width, s.Light.height); err != nil {
		return nil, err
	}
	middle := b
	if along == AlongX {
		middle.Y, middle.Height = b.Y+b.Height/6, b.Height-2*(b.Height/6)
	} else {
		middle.X, middle.Width = b.X+b.Width/6, b.Width-2*(b.Width/6)
	}
	whole, _ := s.meanRate(frames)
	veil := s.Flare.Veil(whole)
	// Some positions at a time, so that a wide box takes no more memory than a narrow one.
	var out []float64
	part := middle
	for at := 0; ; at += chunk {
		if along == AlongX {
			if at >= b.Width {
				return out, nil
			}
			part.X, part.Width = b.X+at, min(chunk, b.Width-at)
		} else {
			if at >= b.Height {
				return out, nil
			}
			part.Y, part.Height = b.Y+at, min(chunk, b.Height-at)
		}
		t, err := s.longest(part, veil, frames)
		if err != nil {
			return nil, err
		}
		out = append(out, across(t, part, along)...)
	}
}

const chunk = 256

// longest is the transmittances of a box, each pixel from the longest exposure that does
// not clip there.
func (s *Setup) longest(b Box, veil float64, frames []*Frame) ([]float64, error) {
	light, err := s.light(b)
	if err != nil {
		return nil, err
	}
	t, time := make([]float64, len(light)), make([]float64, len(light))
	for _, f := range frames {
		v, err := f.values(b)
		if err != nil {
			return nil, err
		}
		dark, err := s.darkAt(b, f.time)
		if err != nil {
			return nil, err
		}
		for i := range v {
			sec := f.time.Seconds()
			if full := v[i] >= 0.95*f.white; full && time[i] > 0 || sec <= time[i] && !full {
				continue
			} else if full {
				sec = 0 // until one comes that does not clip
			}
			time[i], t[i] = sec, ((v[i]-dark[i])/f.time.Seconds()-veil)/light[i]
		}
	}
	return t, nil
}

// across takes the medians and their densities.
func across(t []float64, b Box, along Axis) []float64 {
	n, m := b.Width, b.Height
	if along == AlongY {
		n, m = m, n
	}
	out, line := make([]float64, n), make([]float64, m)
	for i := range out {
		for j := range line {
			if along == AlongX {
				line[j] = t[j*b.Width+i]
			} else {
				line[j] = t[i*b.Width+j]
			}
		}
		out[i] = darkest
		if v := medianOf(line); v > 0 {
			out[i] = min(-math.Log10(v), darkest)
		}
	}
	return out
}
