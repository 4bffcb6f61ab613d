package structure

import "example.org/actinic/internal/check"

var (
	// ErrInput reports numbers that nothing can be measured from.
	ErrInput = check.Sentinel("structure: unusable input")
	// ErrCoarse reports a set-up whose pixels or response are too coarse for what is asked.
	ErrCoarse = check.Sentinel("structure: too coarse")
	// ErrEdge reports a box in which there is no straight slanted edge.
	ErrEdge = check.Sentinel("structure: no edge")
)
