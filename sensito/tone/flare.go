package tone

import (
	"math"

	"example.org/actinic/internal/check"
	"example.org/actinic/sensito"
)

// Veil returns the light that flare lays evenly over the film, as a part v of the light of
// the metered tone, for a subject from its lowest to its highest tone:
//
//	(2^highest + v) / (2^lowest + v) = 2^(highest - lowest) / 10^logFlare
//
// logFlare is the flare factor as for [sensito.FlareRange], the ratio of the subject's
// range to that of the image; 0 is no flare, 0.40 a usual figure (from memory). That flare
// is even is the usual assumption (common practice, no source).
//
// The error wraps [sensito.ErrInput] unless lowest < highest within 40 stops, and logFlare is
// at least 0 and less than the subject's range.
func Veil(lowest, highest sensito.Stops, logFlare float64) (float64, error) {
	if !(lowest < highest) || !(math.Abs(float64(lowest)) <= mostStops) || !(math.Abs(float64(highest)) <= mostStops) {
		return 0, check.Errorf(sensito.ErrInput, "a subject from %v to %v; give the lower tone first", lowest, highest)
	}
	rest, err := sensito.FlareRange((highest - lowest).Log10(), logFlare)
	if err != nil {
		return 0, err
	}
	if logFlare == 0 {
		return 0, nil
	}
	lo, hi, ratio := math.Exp2(float64(lowest)), math.Exp2(float64(highest)), math.Pow(10, rest)
	if !(ratio > 1) {
		return 0, check.Errorf(sensito.ErrInput, "log flare %v leaves nothing of a subject of %v", logFlare, highest-lowest)
	}
	return max((hi-ratio*lo)/(ratio-1), 0), nil
}

// mostStops is farther from the metered tone than any tone of a subject.
const mostStops = 40

// At returns the log10 exposure of a tone, in stops from the metered one, on film exposed
// at an index:
//
//	log H = log10((8/S) (2^tone + veil))
//
// with [sensito.MeteredExposure] = 8 lx s for the metered tone at S = 1, and the veil of
// [Veil], 0 for none. A meter beside the camera does not see the veil, which adds to all
// tones. The error wraps [sensito.ErrInput] for an index that is not positive, a veil below
// 0 and a tone beyond 40 stops.
//
// Source: that of [sensito.MeteredExposure].
func At(index float64, tone sensito.Stops, veil float64) (sensito.LogH, error) {
	switch {
	case !(index > 0) || !check.Finite(index):
		return 0, check.Errorf(sensito.ErrInput, "an index of %v", index)
	case !(veil >= 0) || !check.Finite(veil):
		return 0, check.Errorf(sensito.ErrInput, "a veil of %v of the metered tone", veil)
	case !(math.Abs(float64(tone)) <= mostStops):
		return 0, check.Errorf(sensito.ErrInput, "a tone %v from the metered one", tone)
	}
	return sensito.LogHOf(sensito.MeteredExposure / index * (math.Exp2(float64(tone)) + veil)), nil
}
