package sensito

import (
	"math"

	"example.org/actinic/internal/check"
	"example.org/actinic/internal/root"
)

// The radii of the contrast index, in the plane of density and log10 H on equal
// scales.
const (
	indexInner = 0.2
	indexOuter = 2.2
)

// ContrastIndex returns the slope of the straight line that starts on the
// base-plus-fog line and meets the curve at the distances 0.2 and 2.2 from there:
//
//	(x1 - x0)² + d1² = 0.2²,  (x2 - x0)² + d2² = 2.2²
//	CI = d1/(x1 - x0) = d2/(x2 - x0)
//
// with x = log10 H and d the density above base plus fog. The distances are
// radii on equal scales: they are neither differences of log10 H nor densities.
//
// The error wraps [ErrNotReached] if the curve starts above the inner arc or
// ends before the outer one. Source: the ruler as described after C. J.
// Niederpruem, C. N. Nelson and J. A. C. Yule, "Contrast index", Photogr. Sci.
// Eng. 10 (1966) (the paper itself from memory).
func ContrastIndex(c Curve) (float64, error) {
	_, slope, err := contrastIndex(c)
	return slope, err
}

// ContrastIndexFoot returns the exposure at which the line of [ContrastIndex]
// stands on base plus fog.
func ContrastIndexFoot(c Curve) (LogH, error) {
	foot, _, err := contrastIndex(c)
	return foot, err
}

func contrastIndex(c Curve) (foot LogH, slope float64, err error) {
	if err := usable(c); err != nil {
		return 0, 0, err
	}
	// With the angle of the line given, the inner arc fixes the foot; what is
	// left is one equation for the angle at the outer arc.
	base := float64(c.BaseFog())
	var missing error
	inner := func(slope float64) (x1 LogH, sin, cos float64, err error) {
		cos = 1 / math.Sqrt(1+slope*slope)
		sin = slope * cos
		x1, err = c.LogH(Density(base + indexInner*sin))
		return
	}
	f := func(slope float64) float64 {
		x1, sin, cos, err := inner(slope)
		if err == nil {
			var d Density
			if d, err = c.Density(x1 + LogH((indexOuter-indexInner)*cos)); err == nil {
				return float64(d) - base - indexOuter*sin
			}
		}
		missing = err
		return math.NaN()
	}
	// The line is too flat while the curve lies above it at the outer arc. From a
	// likely slope a step of Newton's with the derivative of a usual toe, a quarter
	// longer, and then ratios of 1.3 up or down bracket the angle.
	at := func(slope float64) (LogH, float64, error) {
		x1, _, cos, err := inner(slope)
		return x1 - LogH(indexInner*cos), slope, err
	}
	const ratio, least, greatest = 1.3, 0.02, 16
	s := 0.6
	if dd, err := ISOContrast(c); err == nil {
		s = min(max(dd/1.30, 2*least), greatest/2)
	}
	v := f(s)
	for math.IsNaN(v) && s > least { // the curve is too short for that slope: a lower one needs less of its toe
		s /= ratio
		v = f(s)
	}
	if v == 0 {
		return at(s)
	}
	up := v > 0
	cos := 1 / math.Sqrt(1+s*s)
	step := math.Abs(v) * 1.25 / (cos * cos * cos * (indexOuter - 2*indexInner + (indexOuter-indexInner)*s*s))
	for step = min(1+step/s, ratio); s > least && s < greatest && !math.IsNaN(v); step = ratio {
		next := s * step
		if !up {
			next = s / step
		}
		w := f(next)
		if (v > 0) != (w > 0) && !math.IsNaN(w) {
			slope, err := root.Within(func(x float64) float64 {
				switch x {
				case s:
					return v
				case next:
					return w
				}
				return f(x)
			}, s, next, 1e-10)
			if err != nil {
				break
			}
			return at(slope)
		}
		s, v = next, w
	}
	lo, hi := c.Domain()
	return 0, 0, check.Errorf(ErrNotReached,
		"contrast index needs the curve from its toe up to %.1f from the foot, it runs from log H %.3f to %.3f: %v", indexOuter, float64(lo), float64(hi), missing)
}
