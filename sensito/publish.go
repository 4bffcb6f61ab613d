package sensito

import (
	"math"

	"example.org/actinic/internal/check"
	"example.org/actinic/internal/filmfit"
)

// closedTolerance is how far, in density, a closed form may lie from the mean curve
// and still stand for it: a fifth of a densitometer's error. Its speed point may lie
// as far as closedLogH.
const (
	closedTolerance = 0.002
	closedLogH      = 0.004
)

// ClosedForm returns the closed form that stands for the curve, bounded by the
// exposures of the readings: one that lies within 0.002 in density of the mean curve
// at every exposure between them, with a speed point within 0.004 in log H, and whose
// constants a page or a data package takes. ok is false where there is none; publish
// [Fitted.Points] then, which are the curve itself.
func (f *Fitted) ClosedForm() (form *ClosedForm, ok bool) {
	if f.empty() {
		return nil, false
	}
	c, ok := filmfit.Closed(f.mean.x, f.mean.y, f.mean.level)
	if !ok {
		return nil, false
	}
	for _, shoulder := range [...]bool{false, true} { // the plainer first
		s := Constants{
			BaseFog: Density(max(c[filmfit.Base], 0)), Gamma: math.Exp(c[filmfit.LnGamma]), Toe: LogH(c[filmfit.Start]),
			ToeWidth: math.Exp(c[filmfit.LnWidth]), From: LogH(f.mean.x[0]), To: LogH(f.mean.x[len(f.mean.x)-1]),
		}
		if shoulder {
			s.Shoulder, s.Sharpness = Density(math.Exp(c[filmfit.LnShoulder])), math.Exp(c[filmfit.LnSharpness])
		}
		if form, err := NewClosedForm(s); err == nil && f.standsFor(form) {
			return form, true
		}
	}
	return nil, false
}

// The bounds of the constants that a page or a table takes.
const (
	leastToe, greatestToe = -8, 6
	greatestGamma         = 20
	leastWidth, mostWidth = 0.01, 3
)

// standsFor reports whether the form may be published for the curve.
func (f *Fitted) standsFor(form *ClosedForm) bool {
	s := &form.constants
	if !(s.Toe >= leastToe && s.Toe <= greatestToe && s.Gamma <= greatestGamma &&
		s.ToeWidth >= leastWidth && s.ToeWidth <= mostWidth && s.Shoulder <= greatestDensity) {
		return false
	}
	for i, x := range f.mean.x {
		if !(math.Abs(float64(form.density(LogH(x)))-f.mean.y[i]) <= closedTolerance) {
			return false
		}
	}
	a, errA := SpeedPoint(f)
	b, errB := SpeedPoint(form)
	if errA != nil || errB != nil {
		return errA != nil && errB != nil
	}
	return math.Abs(float64(a-b)) <= closedLogH
}

// Points returns points of the mean curve at every step of exposure, the first and
// the last reading's included: exposures rise, densities do not fall and are not
// below 0. [Interpolate] gives the curve back from points not more than 0.10 apart to
// within 0.0002 in density and in log Hm, and to less than 0.00005 from points 0.05 apart.
// The error wraps [ErrInput] for a step that is not positive
// or makes more than 100,000 points.
func (f *Fitted) Points(step LogH) ([]Reading, error) {
	if f.empty() {
		return nil, errEmpty
	}
	lo, hi := f.Domain()
	n := math.Ceil(float64((hi-lo)/step) - 1e-9)
	if !(step > 0) || !check.Finite(step) || !(n <= 100_000) {
		return nil, check.Errorf(ErrInput,
			"points every %v in log H, want a step above 0 and at most 100,000 of them", float64(step))
	}
	out := make([]Reading, 0, int(n)+1)
	for i := range int(n) + 1 {
		x := lo + LogH(i)*step
		if i == int(n) {
			x = hi
		}
		d, err := f.Density(x)
		if err != nil {
			return nil, err
		}
		if k := len(out); k > 0 { // rounding
			d = max(d, out[k-1].Density)
		}
		out = append(out, Reading{LogH: x, Density: d})
	}
	return out, nil
}
