package structure

import (
	"math"

	"example.org/actinic/internal/check"
)

// Aperture48 is the diameter of the usual aperture in µm. The encyclopaedia's article
// "Film grain", which cites Stroebel et al. (2000), has RMS granularity as a thousand times the
// standard deviation of density in it, at a diffuse density of 1.0.
const Aperture48 = 48.0

// ApertureArea returns the area of a round aperture in µm², pi d²/4.
func ApertureArea(diameter float64) float64 { return math.Pi / 4 * diameter * diameter }

// ApertureResponse returns how much of a sine of a frequency in cycles/mm a round aperture of
// a diameter in µm keeps,
//
//	2 J1(pi d f)/(pi d f)
//
// which is 0.5 at 0.705085/d, first 0 at 1.219670/d, and below 0 beyond. Derived.
func ApertureResponse(diameter, frequency float64) float64 {
	return jinc(diameter * frequency / 1000)
}

func jinc(x float64) float64 {
	if x = math.Pi * math.Abs(x); x < 1e-4 {
		return 1 - x*x/8
	}
	return 2 * math.J1(x) / x
}

func sinc(x float64) float64 {
	if x = math.Pi * x; math.Abs(x) < 1e-4 {
		return 1 - x*x/6
	}
	return math.Sin(x) / x
}

// Selwyn returns the granularity in an aperture from that in another one,
//
//	sd' = sd · d/d'
//
// which holds while both are large against the grains and what the camera makes of them:
// noise of 2 µm correlation falls 3.4 % short of it at 48 µm and 14 % at 12 µm. A pixel's
// scatter is no granularity to start from. Source: Selwyn's law, sd · sqrt(area) constant, as
// in the article "Film grain".
//
// The error wraps [ErrInput] for what is not above 0.
func Selwyn(sd, from, to float64) (float64, error) {
	if !(sd >= 0) || !(from > 0) || !(to > 0) || !check.Finite(sd, from, to) {
		return 0, check.Errorf(ErrInput, "standard deviation %v from %v to %v µm", sd, from, to)
	}
	return sd * from / to, nil
}

// SelwynConstant returns sd · sqrt(2 A) in µm, Selwyn's own form (from memory); the form
// without the 2 is in use too, and smaller by sqrt(2).
func SelwynConstant(sd, diameter float64) float64 { return sd * math.Sqrt(2*ApertureArea(diameter)) }

// ApertureSD returns the standard deviation of density in a round aperture of a diameter in µm from
// a noise power spectrum in density² µm², which is the same in all directions and counts
// as 0 above a frequency in cycles/mm:
//
//	sd² = ∫ W(f) (2 J1(pi d f)/(pi d f))² 2 pi f df
//
// to about 1e-7 for spectra smooth on the scale of 1/d. A sixth of the aperture's squared
// response lies beyond 1.2/d, 25 cycles/mm for 48 µm: a spectrum that ends there does not give
// its granularity. The error wraps [ErrInput].
//
// Source: the noise power spectrum through an aperture, IAEA, Diagnostic Radiology Physics
// (2014), chapter 4, and Bessel's transform of a disc.
func ApertureSD(w func(frequency float64) float64, diameter, upTo float64) (float64, error) {
	if !(diameter > 0) || !(upTo > 0) || !check.Finite(diameter, upTo) || diameter*upTo > 1e9 {
		return 0, check.Errorf(ErrInput, "aperture %v µm, spectrum up to %v cycles/mm", diameter, upTo)
	}
	n := 2 * int(math.Ceil(40*max(diameter*upTo/1000, 5)))
	h, sum := upTo/float64(n), 0.0
	for i := range n + 1 {
		f := h * float64(i)
		a := ApertureResponse(diameter, f)
		v := w(f) * a * a * f
		switch { // Simpson's rule
		case i == 0 || i == n:
			sum += v
		case i%2 == 1:
			sum += 4 * v
		default:
			sum += 2 * v
		}
	}
	variance := sum * h / 3 * 2 * math.Pi * 1e-6 // cycles²/mm² are 1e-6 cycles²/µm²
	if !(variance >= 0) || !check.Finite(variance) {
		return 0, check.Errorf(ErrInput, "a noise power spectrum that gives a variance of %v", variance)
	}
	return math.Sqrt(variance), nil
}

// disc holds the share of each pixel that lies in a round aperture of a diameter in pixels,
// its weights summing to 1, in a square of side pixels.
type disc struct {
	side    int
	weights []float64
	area    float64 // pixels that know nothing of each other would average as so many
}

// newDisc cuts each pixel of a small aperture into 16² for its share, of larger ones into fewer.
func newDisc(diameter float64) disc {
	fine := min(max(int(512/diameter), 1), 16)
	side := int(math.Ceil(diameter))
	d := disc{side: side, weights: make([]float64, side*side)}
	mid, r2 := float64(side)/2, diameter*diameter/4
	sum := 0.0
	for i := range side * fine {
		y := (float64(i)+0.5)/float64(fine) - mid
		for j := range side * fine {
			if x := (float64(j)+0.5)/float64(fine) - mid; x*x+y*y <= r2 {
				d.weights[i/fine*side+j/fine]++
				sum++
			}
		}
	}
	ss := 0.0
	for i := range d.weights {
		d.weights[i] /= sum
		ss += d.weights[i] * d.weights[i]
	}
	d.area = 1 / ss
	return d
}
