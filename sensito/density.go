package sensito

import (
	"math"

	"example.org/actinic/internal/check"
)

// DensityOf returns the density of a transmittance:
//
//	D = -log10 T,   0 < T <= 1
//
// Outside, the error wraps [ErrInput]. A transmittance in percent is divided by
// 100 first.
//
// Source: the definition of density, ISO 5-1.
func DensityOf(transmittance float64) (Density, error) {
	if !(transmittance > 0 && transmittance <= 1) {
		return 0, check.Errorf(ErrInput, "transmittance %v, want more than 0 and at most 1; divide a percentage by 100", transmittance)
	}
	return positiveZero(-math.Log10(transmittance)), nil
}

// DensityOfOpacity returns the density log10 O of an opacity, the reciprocal of
// transmittance. The error wraps [ErrInput] if O is below 1 or not finite.
func DensityOfOpacity(opacity float64) (Density, error) {
	if !(opacity >= 1) || !check.Finite(opacity) {
		return 0, check.Errorf(ErrInput, "opacity %v, want 1 or more", opacity)
	}
	return Density(math.Log10(opacity)), nil
}

// Scan turns the values of a camera or scanner over a light table into
// densities. Values must be linear in the light: raw values, not those of a
// picture file with a tone curve. All four kinds are means over many pixels of
// the same place in the picture, at the same exposure and illumination.
//
//	T = [(v - Dark)/(Light - Dark) - Flare] / (1 - Flare)
//	D = -log10 T
//
// The density is that of the set-up: a diffuse light table and a lens far from
// the film come between diffuse and projection density, see [Density]. Measure a
// calibrated step tablet in the same set-up to see how far it can be trusted.
//
// Source: the definition of transmittance; the veil of flare is taken off by our own rule.
type Scan struct {
	Light float64 // value of the light table without film
	Dark  float64 // value with the lens covered
	// Flare is the stray light in the lens and around the film as a fraction of
	// the light field, the same all over the picture: what an opaque patch of
	// the film's size reads, (opaque - Dark)/(Light - Dark). Masking the light
	// table around the film lowers it. 0 where it is not known: densities above
	// -log10 of the true flare are then out of reach without any sign of it.
	Flare float64
}

// brighter is how far a value may lie above the light field, as a fraction, and
// count as noise on clear film: 0.02 is 0.009 in density. A choice, not a
// published figure.
const brighter = 0.02

// Density returns the density of a patch, and its standard deviation if sd, that
// of the value v, is not 0:
//
//	sd(D) = sd(v) / {[(v - Dark) - Flare (Light - Dark)] ln 10}
//
// (first order, JCGM 100:2008, 5.1.2). Take for sd the standard deviation of the
// mean of the patch. The light field and the dark frame are taken as exact: they
// are common to all patches, so that averaging many pixels of them costs little,
// and an error of the light field cancels in densities above base plus fog.
//
// The error wraps [ErrInput] if the fields are not in order, if v is not above
// dark and flare (the patch is too dense for this scan: expose it longer, or
// mask the table), or if it is more than 2 % above the light field.
func (s Scan) Density(v, sd float64) (d Density, densitySD float64, err error) {
	field := s.Light - s.Dark
	switch {
	case !check.Finite(s.Light) || !check.Finite(s.Dark) || !(field > 0):
		return 0, 0, check.Errorf(ErrInput,
			"light field %v and dark frame %v; want two numbers, the light field above the dark frame", s.Light, s.Dark)
	case !(s.Flare >= 0 && s.Flare < 1):
		return 0, 0, check.Errorf(ErrInput, "flare %v, want a fraction of the light field, 0 to below 1", s.Flare)
	case !check.Finite(v):
		return 0, 0, check.Errorf(ErrInput, "value %v of a patch", v)
	case !(sd >= 0) || !check.Finite(sd):
		return 0, 0, check.Errorf(ErrInput, "standard deviation %v of a value, want 0 (not known) or more", sd)
	}
	light := v - s.Dark - s.Flare*field // what came through the film
	t := light / (field * (1 - s.Flare))
	switch {
	case !(t > 0):
		return 0, 0, check.Errorf(ErrInput,
			"value %v is not above dark frame and flare (%v); the patch is too dense for this scan: expose longer, or mask the light table", v, s.Dark+s.Flare*field)
	case !(t <= 1+brighter):
		return 0, 0, check.Errorf(ErrInput,
			"value %v is above the light field %v; measure the light field anew, at the same exposure", v, s.Light)
	}
	return positiveZero(-math.Log10(t)), sd / (light * math.Ln10), nil
}

// positiveZero takes the sign off a zero.
func positiveZero(d float64) Density {
	if d == 0 {
		d = 0
	}
	return Density(d)
}
