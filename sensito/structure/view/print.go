package view

import (
	"math"

	"example.org/actinic/internal/check"
	"example.org/actinic/sensito/structure"
)

// Print is a print and how it is looked at.
type Print struct {
	Width, Height float64 // mm
	Distance      float64 // of the eye, mm
	// Gradient is that of the paper where the tone lies, by which the density's scatter grows.
	Gradient float64
	// Eye is the diameter, on the print in µm, of the round aperture that stands for the eye: 0
	// for 5.5 minutes of arc, 480 µm at 300 mm. A choice: what 48 µm of film are at ten times.
	Eye float64
	// Threshold is the response at which a detail is taken to be lost; 0 for 0.1. A choice.
	Threshold float64
}

const (
	usualEye       = 0.48 / 300 // diameter over distance
	usualThreshold = 0.1
	// finestEye is the finest frequency that an eye sees, in cycles/degree: a line a minute of
	// arc wide (common practice, no source).
	finestEye = 30
)

// Negative is what a print is made from. Any part may be nil; what it would do is then left out,
// or not known.
type Negative struct {
	Format Format
	// Power is the film's noise power in density² µm² by cycles/mm, which counts as 0 above
	// UpTo.
	Power func(frequency float64) float64
	UpTo  float64
	// SD48 stands for it where it is not known: granularity in 48 µm, brought to other apertures
	// by Selwyn's law.
	SD48 float64
	// Film is the film's response, Lens the camera's and Enlarger the enlarger's, all by
	// cycles/mm on the film.
	Film, Lens, Enlarger func(frequency float64) float64
}

// Seen is what there is to see of a negative on a print.
type Seen struct {
	Format      Format
	Enlargement float64
	// Aperture is what the eye's is on the film, in µm.
	Aperture float64
	// Grain is the standard deviation of the print's density in the eye's aperture.
	Grain float64
	// Detail is the width of the finest line on the print, in µm, Frequency its frequency in
	// cycles/mm there, and ByEye says that the eye is the limit, and not the negative.
	Detail, Frequency float64
	ByEye             bool
	// Acutance is the mean response weighted by the eye, of lens, film and enlarger together.
	Acutance float64
	Eye      string
}

// Of returns what a print shows of a negative:
//
//	sd = gradient · sd of the film in the aperture eye/enlargement
//
// by the film's spectrum through that aperture and the enlarger, or from the granularity in
// 48 µm by Selwyn's law. The detail is half the period at which the responses together fall to the
// threshold, or that of 30 cycles/degree if that is coarser. The paper's own grain is left out.
//
// The error wraps [ErrInput].
//
// Source: Selwyn's law for the aperture that enlarging makes smaller.
func (p Print) Of(n Negative, eye Eye) (Seen, error) {
	s := Seen{Format: n.Format, Eye: eye.Name()}
	var err error
	if s.Enlargement, err = n.Format.Enlargement(p.Width, p.Height); err != nil {
		return s, err
	}
	if p.Threshold == 0 {
		p.Threshold = usualThreshold
	}
	if p.Eye == 0 {
		p.Eye = 1000 * usualEye * p.Distance
	}
	if !(p.Distance > 0) || !(p.Gradient > 0) || !(p.Eye > 0) || !(p.Threshold > 0 && p.Threshold < 1) ||
		!check.Finite(p.Distance, p.Gradient, p.Eye) {
		return s, check.Errorf(ErrInput, "a print seen from %v mm through %v µm, gradient %v, threshold %v", p.Distance, p.Eye, p.Gradient, p.Threshold)
	}
	s.Aperture = p.Eye / s.Enlargement
	if s.Grain, err = n.grain(s.Aperture); err != nil {
		return s, err
	}
	s.Grain *= p.Gradient
	m := func(v float64) float64 { return n.response(CyclesPerMM(v, p.Distance) * s.Enlargement) }
	if s.Acutance, err = eye.Acutance(m); err != nil {
		return s, err
	}
	v, step := float64(finestEye), 0.02
	s.ByEye = true
	for x := step; x < finestEye; x += step {
		if m(x) < p.Threshold {
			v, s.ByEye = x, false
			break
		}
	}
	s.Frequency = CyclesPerMM(v, p.Distance)
	s.Detail = 500 / s.Frequency
	return s, nil
}

// response is that of all parts that are known.
func (n Negative) response(f float64) float64 {
	m := 1.0
	for _, part := range []func(float64) float64{n.Film, n.Lens, n.Enlarger} {
		if part != nil {
			m *= part(f)
		}
	}
	return m
}

// grain is the standard deviation of the film's density in an aperture.
func (n Negative) grain(aperture float64) (float64, error) {
	if n.Power == nil {
		return structure.Selwyn(n.SD48, structure.Aperture48, aperture)
	}
	return structure.ApertureSD(func(f float64) float64 {
		w := n.Power(f)
		if n.Enlarger != nil {
			m := n.Enlarger(f)
			w *= m * m
		}
		return math.Max(w, 0)
	}, aperture, n.UpTo)
}
