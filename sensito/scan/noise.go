package scan

import (
	"math"

	"example.org/actinic/internal/check"
	"example.org/actinic/internal/lsq"
)

// Noise is a camera's: electrons are counted, and read with an error.
//
//	var(counts) = signal/K + (r/K)²
//
// K electrons make a count (above 0), r is the standard deviation of reading in electrons
// (0 or more). Photons follow Poisson's law; the fixed pattern of the pixels has no part
// in it. The line against the signal is that of EMVA 1288 (form from memory).
type Noise struct {
	ElectronsPerCount float64 // K
	ReadElectrons     float64 // r
}

func (n Noise) usable() error {
	if !(n.ElectronsPerCount > 0) || !(n.ReadElectrons >= 0) || !check.Finite(n.ElectronsPerCount, n.ReadElectrons) {
		return check.Errorf(ErrInput, "noise of %v electrons a count and %v electrons to read, want more than 0, and 0 or more",
			n.ElectronsPerCount, n.ReadElectrons)
	}
	return nil
}

// Variance returns the variance of one pixel in one frame, in counts², for a signal in
// counts above the dark frame; a negative signal counts as none.
func (n Noise) Variance(signal float64) float64 {
	r := n.ReadElectrons / n.ElectronsPerCount
	return max(signal, 0)/n.ElectronsPerCount + r*r
}

// DensitySD returns the standard deviation of the density of a place from the camera's
// noise alone, with one frame each of film and light and a dark frame for each, averaged
// over so many pixels that do not know each other:
//
//	var(D) = L² { [(S-Ds)/K + 2(r/K)²]/(n (S-Ds)²) + [(F-Df)/K + 2(r/K)²]/(n (F-Df)²) },   L = log10(e)
//
// First order. Grain comes on top, and correlated pixels count for fewer: what a patch has
// is measured by [MeanError]. The error wraps [ErrInput].
//
// Source: JCGM 100:2008, 5.1, with Poisson's variance of the electrons counted; worked out
// here.
func (n Noise) DensitySD(film, light Exposed, pixels int) (float64, error) {
	if err := n.usable(); err != nil {
		return 0, err
	}
	if !(film.Signal() > 0) || !(light.Signal() > 0) || pixels < 1 {
		return 0, check.Errorf(ErrInput, "signals %v and %v over %d pixels, want more than 0", film.Signal(), light.Signal(), pixels)
	}
	r := n.ReadElectrons / n.ElectronsPerCount
	v := 0.0
	for _, s := range []float64{film.Signal(), light.Signal()} {
		v += (n.Variance(s) + r*r) / (float64(pixels) * s * s)
	}
	return math.Log10E * math.Sqrt(v), nil
}

// PairNoise returns the mean of two frames of one scene and the variance of one frame
// without the pattern that both share: half the variance of their difference, n-1 in the
// denominator. The error wraps [ErrInput] for frames of unequal length, of fewer than two
// pixels or not finite.
func PairNoise(a, b []float64) (mean, variance float64, err error) {
	if len(a) != len(b) || len(a) < 2 {
		return 0, 0, check.Errorf(ErrInput, "frames of %d and %d pixels, want as many in both and two at least", len(a), len(b))
	}
	var sum, diff float64
	for i := range a {
		sum += a[i] + b[i]
		diff += a[i] - b[i]
	}
	mean, diff = sum/float64(2*len(a)), diff/float64(len(a))
	for i := range a {
		d := a[i] - b[i] - diff
		variance += d * d
	}
	variance /= 2 * float64(len(a)-1)
	if !check.Finite(mean, variance) {
		return 0, 0, check.Errorf(ErrInput, "frames with values that are not finite")
	}
	return mean, variance, nil
}

// NoisePoint is a signal in counts above the dark frame and the variance of a pixel there.
type NoisePoint struct{ Signal, Variance float64 }

// FitNoise returns the camera's noise from variances at two signals or more: a straight
// line whose slope is 1/K and whose value at no signal is (r/K)². Points are weighted by
// 1/variance². A value at no signal below 0 counts as no read noise. The error wraps
// [ErrInput] if the variance does not rise with the signal.
func FitNoise(points []NoisePoint) (Noise, error) {
	var x, y, w []float64
	for _, p := range points {
		if !check.Finite(p.Signal, p.Variance) || !(p.Variance > 0) {
			return Noise{}, check.Errorf(ErrInput, "variance %v at a signal of %v, want more than 0", p.Variance, p.Signal)
		}
		x, y, w = append(x, 1, p.Signal), append(y, p.Variance), append(w, 1/(p.Variance*p.Variance))
	}
	if len(y) < 2 {
		return Noise{}, check.Errorf(ErrInput, "%d points, want two signals at least", len(y))
	}
	fit, err := lsq.Linear(x, 2, y, w)
	if err != nil {
		return Noise{}, check.Errorf(ErrInput, "the signals do not differ (%v)", err)
	}
	if !(fit.Params[1] > 0) {
		return Noise{}, check.Errorf(ErrInput, "the variance does not rise with the signal; are these frames of one camera, at one gain?")
	}
	k := 1 / fit.Params[1]
	return Noise{k, k * math.Sqrt(max(fit.Params[0], 0))}, nil
}
