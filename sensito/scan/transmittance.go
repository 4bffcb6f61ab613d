package scan

import (
	"math"

	"example.org/actinic/internal/check"
)

// Transmittances returns the transmittance of each pixel of a box, row by row, in frames of
// the same place that were taken alike, and marks dust and scratches as [Setup.Measure] does:
//
//	T = [(S - Ds)/ts - veil] / [(F - Df)/tf - veil of the light]
//
// The marks are of the frames' mean. Where more than half would be marked, none are: the box
// holds no single density. The noise of the light frame and of the dark frames is in all
// frames alike. The error wraps [ErrInput], or [ErrClipped] where a frame is at white there.
//
// Source: the definition of transmittance; the veil is worked out here.
func (s *Setup) Transmittances(b Box, frames ...*Frame) (t [][]float64, dust []bool, err error) {
	if err := s.usable(frames); err != nil {
		return nil, nil, err
	}
	es, _, err := s.exposures(b, frames, false)
	if err != nil {
		return nil, nil, err
	}
	if len(es) < len(frames) {
		return nil, nil, check.Errorf(ErrClipped, "%s in box %v; expose it shorter", frames[0].origin.File, b)
	}
	mid := make([]float64, len(es[0].t))
	quantum := 0.0
	for _, e := range es {
		quantum = max(quantum, e.quantum)
		t = append(t, e.t)
		for i, v := range e.t {
			mid[i] += v / float64(len(es))
		}
	}
	out, _, ok := setAside(mid, b.Width, b.Height, max(quantum, 1e-6*math.Abs(mean(mid))))
	if !ok {
		out = make([]bool, len(mid))
	}
	return t, out, nil
}
