package sensito

import (
	"math"

	"example.org/actinic/internal/check"
	"example.org/actinic/internal/root"
)

// MinimumGradient is the least slope at which tones are usefully told apart, the
// "minimum useful gradient" of speed criteria (encyclopaedia article "Film
// speed" by way of a survey of sensitometry).
const MinimumGradient = 0.2

// UsefulRange returns the exposures between which the slope is at least least,
// from the speed point on: the useful exposure range of the film is hi - lo.
//
// whole is false if the curve still has that slope at its last exposure: the
// range is then at least hi - lo. The error wraps [ErrNotReached] if the slope
// is nowhere reached, and [ErrInput] if least is not positive.
func UsefulRange(c Curve, least float64) (lo, hi LogH, whole bool, err error) {
	if !(least > 0) || !check.Finite(least) {
		return 0, 0, false, check.Errorf(ErrInput, "least slope is %v, want more than 0", least)
	}
	xm, err := SpeedPoint(c)
	if err != nil {
		return 0, 0, false, err
	}
	a, b := xm, xm+6
	if _, end := c.Domain(); end < b {
		b = end
	}
	const n = 240
	at := func(i int) LogH { return min(a+(b-a)*LogH(float64(i)/n), b) }
	over := func(x float64) float64 {
		g, err := c.Slope(LogH(x))
		if err != nil {
			return math.NaN()
		}
		return g - least
	}
	cross := func(i int) LogH {
		x, err := root.Find(over, float64(at(i)), float64(at(i+1)))
		if err != nil {
			return at(i)
		}
		return LogH(x)
	}
	start := -1
	for i := 0; i <= n; i++ {
		in := over(float64(at(i))) >= 0
		switch {
		case in && start < 0:
			start, lo = i, at(i)
			if i > 0 {
				lo = cross(i - 1)
			}
		case !in && start >= 0:
			return lo, cross(i - 1), true, nil
		}
	}
	if start < 0 {
		return 0, 0, false, check.Errorf(ErrNotReached, "the slope is below %v from the speed point up to log H %.3f", least, float64(b))
	}
	return lo, b, false, nil
}

// FlareRange returns the range of log10 illuminance on the film for a subject
// range and a flare factor, both as log10:
//
//	image range = subject range - log10 flare factor
//
// The flare factor is the ratio of the subject's luminance range to the range of
// the image (textbook definition, from memory); 0.40 is a usual figure, so a
// subject of 2.20 gives an image of 1.80 (a common worked example). The error
// wraps [ErrInput] unless 0 <= logFlare < subject.
func FlareRange(subject, logFlare float64) (float64, error) {
	if !(logFlare >= 0 && logFlare < subject) || !check.Finite(subject) {
		return 0, check.Errorf(ErrInput,
			"subject range %v with flare %v in log10, want flare from 0 up to less than the range", subject, logFlare)
	}
	return subject - logFlare, nil
}

// DensityRange returns the density range of the negative of a subject whose
// darkest tone is exposed at shadow:
//
//	R = D(shadow + subject - logFlare) - D(shadow)
//
// subject and logFlare as for [FlareRange].
//
// Source: the definition of the density range; that flare shortens the subject by its
// factor is common practice.
func DensityRange(c Curve, shadow LogH, subject, logFlare float64) (float64, error) {
	r, err := FlareRange(subject, logFlare)
	if err != nil {
		return 0, err
	}
	return between(c, shadow, shadow+LogH(r))
}

// RequiredGradient returns the mean slope that turns a subject into a negative
// of a wanted density range:
//
//	G = density range / (subject - logFlare)
//
// For a range of 1.05, a subject of 2.20 and flare of 0.40 it is 0.583, usual
// figures for a middle paper grade (1.05 and 2.20: common practice, no single
// source; 0.40 from memory).
func RequiredGradient(densityRange Density, subject, logFlare float64) (float64, error) {
	r, err := FlareRange(subject, logFlare)
	if err != nil {
		return 0, err
	}
	if !(densityRange > 0) || !check.Finite(densityRange) {
		return 0, check.Errorf(ErrInput, "density range %v, want more than 0", float64(densityRange))
	}
	return float64(densityRange) / r, nil
}
