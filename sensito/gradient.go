package sensito

import (
	"math"

	"example.org/actinic/internal/check"
	"example.org/actinic/internal/root"
)

// Measure is a number read off a curve. The functions of this package with this
// signature are measures, and so is any of yours; [Fitted.Estimate] and
// [Interpolated.Estimate] give a measure its interval.
type Measure func(Curve) (float64, error)

// MeasureOf makes a measure of a function that returns a quantity, for example
// MeasureOf(SpeedPoint).
func MeasureOf[T ~float64](of func(Curve) (T, error)) Measure {
	return func(c Curve) (float64, error) {
		v, err := of(c)
		return float64(v), err
	}
}

// usable refuses a curve that is none: nil, or a type of this package's that is empty.
func usable(c Curve) error {
	if c == nil {
		return check.Errorf(ErrInput, "the curve is nil")
	}
	if e, ok := c.(interface{ empty() bool }); ok && e.empty() {
		return errEmpty
	}
	return nil
}

// SpeedPointDensity is the density above base plus fog that defines the speed
// point m (ISO 6:1993, as stated in encyclopaedia article "Film speed",
// Determining film speed).
const SpeedPointDensity Density = 0.10

// SpeedPoint returns log10 Hm, the exposure at 0.10 above base plus fog.
//
// The error wraps [ErrNotReached] if the curve does not reach that density or
// starts above it: the speed point then lies below the first step.
func SpeedPoint(c Curve) (LogH, error) {
	if err := usable(c); err != nil {
		return 0, err
	}
	return c.LogH(c.BaseFog() + SpeedPointDensity)
}

// ISOContrast returns ΔD = D(log Hm + 1.30) - D(log Hm), the density difference
// that ISO 6 wants to be 0.80 (same source as [SpeedPointDensity]).
func ISOContrast(c Curve) (float64, error) { return rise(c, 1.30) }

// AverageGradient returns the slope of the chord from the speed point over 1.50
// in log10 H:
//
//	G = [D(log Hm + 1.50) - D(log Hm)] / 1.50
//
// One form the trade uses (common practice, no source); other ranges are in use, so state
// this one.
func AverageGradient(c Curve) (float64, error) {
	d, err := rise(c, 1.50)
	return d / 1.50, err
}

// rise returns how much density grows over dx above the speed point.
func rise(c Curve, dx LogH) (float64, error) {
	xm, err := SpeedPoint(c)
	if err != nil {
		return 0, err
	}
	return between(c, xm, xm+dx)
}

// between returns D(b) - D(a), and names what is missing if the curve ends first.
func between(c Curve, a, b LogH) (float64, error) {
	if err := usable(c); err != nil {
		return 0, err
	}
	da, err := c.Density(a)
	if err != nil {
		return 0, err
	}
	db, err := c.Density(b)
	if err != nil {
		_, hi := c.Domain()
		return 0, check.Errorf(ErrNotReached,
			"the density at log H %.3f is needed, the curve ends at %.3f; expose further steps with more light", float64(b), float64(hi))
	}
	return float64(db - da), nil
}

// ChordGradient returns the slope of the chord between two exposures.
func ChordGradient(c Curve, from, to LogH) (float64, error) {
	if !(to > from) {
		return 0, check.Errorf(ErrInput, "chord from log H %v to %v, want the second larger", float64(from), float64(to))
	}
	d, err := between(c, from, to)
	return d / float64(to-from), err
}

// Gamma returns the slope of the straight-line part: the chord over the part
// that [StraightPart] finds.
func Gamma(c Curve) (float64, error) {
	lo, hi, err := StraightPart(c)
	if err != nil {
		return 0, err
	}
	return ChordGradient(c, lo, hi)
}

// straightness is how far the slope may fall below its greatest value within the
// straight part.
const straightness = 0.02

// StraightPart finds the straight-line part: the stretch around the steepest
// point in which the slope is at least 98 % of the greatest slope. The slope of
// the chord over it lies within 2 % of that of any of its points.
//
// A curve without bounds is searched from the speed point over 3.0 in log10 H.
// A [ClosedForm] is steepest at one point only, which is found exactly; other curves are
// looked at in 65 places. On an [Interpolated] curve with noise the steepest point is
// the noisiest one: fit such readings first. The error wraps [ErrNotReached] if the curve has no
// slope.
func StraightPart(c Curve) (lo, hi LogH, err error) {
	if err := usable(c); err != nil {
		return 0, 0, err
	}
	a, b := c.Domain()
	if math.IsInf(float64(a), 0) || math.IsInf(float64(b), 0) {
		xm, err := SpeedPoint(c)
		if err != nil {
			return 0, 0, err
		}
		a, b = max(a, xm), min(b, xm+3)
	}
	if f, ok := c.(interface{ straight(a, b LogH) (lo, hi LogH) }); ok {
		lo, hi = f.straight(a, b)
		return lo, hi, nil
	}
	const n = 64
	var g [n + 1]float64
	at := func(i int) LogH { return min(a+(b-a)*LogH(float64(i)/n), b) }
	top := 0
	even, ok := c.(*grid) // by its type, for g to stay on the stack
	ok = ok && even.slopes(g[:], a, b)
	for i := range g {
		if !ok {
			if g[i], err = c.Slope(at(i)); err != nil {
				return 0, 0, err
			}
		}
		if g[i] > g[top] {
			top = i
		}
	}
	if !(g[top] > 0) {
		return 0, 0, check.Errorf(ErrNotReached, "the density does not rise between log H %.3f and %.3f", float64(a), float64(b))
	}
	least := (1 - straightness) * g[top]
	// end walks from the steepest point to where the slope falls short, and halves
	// the last step.
	end := func(step int) (LogH, error) {
		i := top
		for i+step >= 0 && i+step <= n && g[i+step] >= least {
			i += step
		}
		if i+step < 0 || i+step > n {
			return at(i), nil
		}
		in, out := at(i), at(i+step)
		for range 12 {
			m := in + (out-in)/2
			s, err := c.Slope(m)
			if err != nil {
				return 0, err
			}
			if s >= least {
				in = m
			} else {
				out = m
			}
		}
		return in, nil
	}
	if lo, err = end(-1); err == nil {
		hi, err = end(1)
	}
	if err == nil && !(hi > lo) {
		lo, hi = max(at(top-1), a), min(at(top+1), b)
	}
	return lo, hi, err
}

// straight is [StraightPart] of a form from a to b. Its slope rises to one steepest
// point and falls beyond. With z = (x - Toe)/w and the slope gamma s (1 + q)^-(1+1/k),
// s = 1/(1+e^-z), q = (u/M)^k, that is where
//
//	(k + 1) q/(1 + q) e^z / ln(1 + e^z) = 1
//
// of which the left side rises from 0 without bound.
//
// Source: the form's second derivative, worked out here.
func (f *ClosedForm) straight(a, b LogH) (lo, hi LogH) {
	// In log H; Newton's last step is shorter by far. The slope is level at its top.
	const near, nearTop = 1e-4, 1e-3
	s := &f.constants
	w, k := s.ToeWidth, s.Sharpness
	// The logarithms of the slope over gamma and of the left side of the above, and
	// the derivatives of both.
	at := func(x float64) (slope, side, dSlope, dSide float64) {
		z := (x - float64(s.Toe)) / w
		e := math.Exp(-math.Abs(z))
		l := math.Log1p(e)
		sp, rise := l, e/(1+e)
		if z > 0 {
			sp, rise = z+l, 1/(1+e)
		}
		slope, dSlope = z-sp, (1-rise)/w
		if s.Shoulder > 0 {
			lnq := k * math.Log(s.Gamma*w*sp/float64(s.Shoulder))
			bend := softplus(lnq)
			part := math.Exp(lnq - bend)
			slope -= (1 + 1/k) * bend
			dSlope -= (k + 1) * part * rise / (sp * w)
			side = math.Log((k+1)/sp) + z + lnq - bend
			dSide = (1 - rise/sp + (1-part)*k*rise/sp) / w
		}
		return slope, side, dSlope, dSide
	}
	top := float64(b)
	if s.Shoulder > 0 {
		// Between toe and shoulder, to begin with.
		mid := float64(s.Toe) + float64(s.Shoulder)/s.Gamma/2
		top, _ = root.Newton(func(x float64) (float64, float64) {
			_, side, _, dSide := at(x)
			return side, dSide
		}, float64(a), float64(b), mid, nearTop)
	}
	best, _, _, _ := at(top)
	least := best + math.Log1p(-straightness)
	short := func(x float64) (float64, float64) {
		slope, _, dSlope, _ := at(x)
		return slope - least, dSlope
	}
	lo, hi = a, b
	if x, ok := root.Newton(short, float64(a), top, float64(s.Toe)+4*w, near); ok {
		lo = LogH(x)
	}
	if x, ok := root.Newton(short, top, float64(b), 2*top-float64(lo), near); ok {
		hi = LogH(x)
	}
	return lo, hi
}
