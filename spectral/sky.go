package spectral

import "math"

// RayleighDepth returns the optical depth of clean air above sea level in the
// vertical, by scattering on its molecules alone,
//
//	τ(λ) = 0.008735 λ^-4.08, λ in micrometres
//
// for a wavelength in nm. Coefficients from memory; they are met in the
// literature of atmospheric optics with the last digits varying by 1 %.
func RayleighDepth(nm float64) float64 {
	return 0.008735 * math.Pow(nm/1000, -4.08)
}

// ClearSky returns a model of the light of a clear blue sky: sunlight as it
// arrives above the air, scattered once,
//
//	L(λ) = E(λ) (1 - exp(-m τ(λ)))
//
// with τ of [RayleighDepth] and m the air mass, 1 towards the zenith and 2 at 30
// degrees above the horizon. The result has the knots of the sunlight,
// and more between them to follow the formula to 1e-6.
//
// It is a model and has limits. It knows no haze, no ozone, no second
// scattering and no light from the ground, all of which make a real sky less
// blue: real clear skies are mostly 8000 to 25000 K, while one thin layer
// (m τ small, L as λ^-4 E) is bluer than any black body and has no colour
// temperature at all. The air mass must be within 0.1 to 10, or the error wraps
// [ErrInvalid].
//
// Source: single scattering by Bouguer's law, as worked out here.
func ClearSky(sun Light, airMass float64) (Light, error) {
	if !(airMass >= 0.1 && airMass <= 10) {
		return Light{}, invalid("air mass %v, the model is for 0.1 to 10", airMass)
	}
	e, err := sun.single("sunlight")
	if err != nil {
		return Light{}, err
	}
	s, err := e.Follow(func(nm, v float64) float64 {
		return v * -math.Expm1(-airMass*RayleighDepth(nm))
	})
	if err != nil {
		return Light{}, err
	}
	return NewLight(s)
}
