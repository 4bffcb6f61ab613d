package scan

import (
	"math"
	"slices"

	"example.org/actinic/internal/check"
	"example.org/actinic/internal/lsq"
	"example.org/actinic/internal/robust"
)

// Response is how a camera's values follow the light, from frames of one bare table at
// several exposure times.
type Response struct {
	// Slope is that of log signal against log time: 1 for values linear in the light, near
	// 0.5 for those of a file made for a screen.
	Slope float64
	// SlopeSD is its standard deviation by the scatter about the line; NaN with two times.
	SlopeSD float64
	// Departures are log10 of each signal over that of a linear response through their
	// middle, in the order given: 0.01 is 2.3 %. Half their greatest difference bounds the
	// error of a density that spans these exposures.
	Departures []float64
}

// Greatest returns the greatest departure without its sign.
func (r Response) Greatest() float64 {
	g := 0.0
	for _, d := range r.Departures {
		g = max(g, math.Abs(d))
	}
	return g
}

const (
	displayFrom, displayTo = 0.25, 0.75
	// linearSlope is how far a slope may lie from 1: over the two decades of a density of
	// 2.0 it is 0.02. A choice, not a published figure.
	linearSlope = 0.01
)

// Display reports whether the values have been bent by the curve of a display. Those of
// IEC 61966-2-1 rise as the 0.42th power of the light over the middle of their range.
func (r Response) Display() bool { return r.Slope > displayFrom && r.Slope < displayTo }

// Linear reports whether the slope is 1 within 0.01 or within twice its standard
// deviation, and no departure is above 0.01.
func (r Response) Linear() bool {
	within := linearSlope
	if sd := 2 * r.SlopeSD; sd > within { // false where it is not known
		within = sd
	}
	return math.Abs(r.Slope-1) <= within && r.Greatest() <= linearSlope
}

// FitResponse returns the response of a camera from the bare light table at several
// exposure times that differ by a factor of 1.5 at least. The shutter's own errors and a
// lamp that drifts have a part in it; a slope near 0.5 is none of theirs. The error wraps
// [ErrInput].
func FitResponse(frames []Exposed) (Response, error) {
	var x, y, t []float64
	for _, f := range frames {
		if err := f.usable("light table"); err != nil {
			return Response{}, err
		}
		if !(f.Signal() > 0) {
			return Response{}, check.Errorf(ErrInput, "the light table reads %v, not above its dark frame %v", f.Value, f.Dark)
		}
		t = append(t, math.Log10(f.Time.Seconds()))
		x, y = append(x, 1, t[len(t)-1]), append(y, math.Log10(f.Signal()))
	}
	if len(y) < 2 || !(slices.Max(t)-slices.Min(t) > math.Log10(1.5)) {
		return Response{}, check.Errorf(ErrInput, "linearity needs frames at two exposure times at least, a factor of 1.5 apart")
	}
	fit, err := lsq.Linear(x, 2, y, nil)
	if err != nil {
		return Response{}, check.Errorf(ErrInput, "linearity: %v", err)
	}
	r := Response{Slope: fit.Params[1], SlopeSD: math.NaN()}
	if fit.DOF > 0 {
		r.SlopeSD = fit.SD(1)
	}
	for i := range y {
		r.Departures = append(r.Departures, y[i]-t[i])
	}
	mid := robust.Median(r.Departures)
	for i := range r.Departures {
		r.Departures[i] -= mid
	}
	return r, nil
}
