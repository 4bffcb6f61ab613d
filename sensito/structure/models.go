package structure

import (
	"math"

	"example.org/actinic/internal/check"
	"example.org/actinic/sensito"
)

// Nutting returns the density of so many opaque grains per µm² of a projected area in µm²,
//
//	D = log10(e) n a
//
// for grains in many thin layers, so that none hides another in its own (Nutting 1913, from
// memory; derived as the mean of Poisson's law).
func Nutting(grains, area float64) (sensito.Density, error) {
	if !(grains >= 0) || !(area >= 0) || !check.Finite(grains*area) {
		return 0, check.Errorf(ErrInput, "%v grains a µm² of %v µm²", grains, area)
	}
	return sensito.Density(math.Log10E * grains * area), nil
}

// Siedentopf returns the noise power at low frequency, in density² µm², of grains that do
// not know of each other,
//
//	W(0) = log10(e) D <a²>/<a>
//
// from the mean projected area in µm² and the mean of its square over the square of the
// mean: 1 for grains of one size, 1.284 where the logarithm of the area scatters by 0.5. It
// holds where each layer has little density; [Boolean] is one layer that has all. Source:
// Siedentopf 1937, from memory; derived from Poisson's law.
func Siedentopf(d sensito.Density, area, spread float64) (float64, error) {
	w := math.Log10E * float64(d) * area * spread
	if !(d >= 0) || !(area > 0) || !(spread >= 1) || !check.Finite(w) {
		return 0, check.Errorf(ErrInput, "density %v, grains of %v µm², mean square over square of the mean %v", float64(d), area, spread)
	}
	return w, nil
}

// Boolean returns the noise power at low frequency, in density² µm², of opaque discs of a
// radius in µm that lie at random in one layer and overlap:
//
//	W(0) = log10(e)² ∫ (exp(n g(h)) - 1) 2 pi h dh,     n = D ln(10)/(pi r²)
//
// g the area that two discs at a distance h share. It is Siedentopf's for small D and grows
// faster: 1.89 times it at D = 1, 15 times at D = 3. Derived.
//
// Source: worked out here from the covariance of a Boolean model of discs.
func Boolean(d sensito.Density, radius float64) (float64, error) {
	return boolean(d, radius, func(float64) float64 { return 1 })
}

// BooleanSD returns the granularity of the discs of [Boolean] in a round aperture of a diameter in µm,
//
//	sd² = log10(e)² ∫ (exp(n g(h)) - 1) G(h)/A² 2 pi h dh
//
// G the area that two apertures at a distance h share, and A that of one. It is a little less
// than W(0)/A, by 0.5 % in 48 µm for a radius of 0.5 µm at D = 1. Derived.
//
// Source: as for [Boolean]; G(h) is the overlap of two apertures.
func BooleanSD(d sensito.Density, radius, aperture float64) (float64, error) {
	if !(aperture > 0) || !check.Finite(aperture) {
		return 0, check.Errorf(ErrInput, "an aperture of %v µm", aperture)
	}
	area := ApertureArea(aperture)
	v, err := boolean(d, radius, func(h float64) float64 {
		return overlap(2*h/aperture) * aperture * aperture / 4 / (area * area)
	})
	return math.Sqrt(v), err
}

// overlap is the area that two discs of radius 1 at a distance share.
func overlap(h float64) float64 {
	c := min(h/2, 1)
	return 2*math.Acos(c) - 2*c*math.Sqrt(1-c*c)
}

// boolean integrates the covariance with a weight by the distance in µm.
func boolean(d sensito.Density, radius float64, weight func(h float64) float64) (float64, error) {
	if !(d >= 0 && d <= 10) || !(radius > 0) || !check.Finite(radius) {
		return 0, check.Errorf(ErrInput, "density %v of discs of radius %v µm", float64(d), radius)
	}
	n := float64(d) * math.Ln10 / math.Pi // to a radius of 1
	const steps = 2000
	sum := 0.0
	for i := range steps + 1 {
		// h = 2 sin(t)² has its points where the integrand is steep
		t := math.Pi / 2 * float64(i) / steps
		h, dh := 2*math.Sin(t)*math.Sin(t), 4*math.Sin(t)*math.Cos(t)
		v := math.Expm1(n*overlap(h)) * 2 * math.Pi * h * dh * weight(h*radius)
		switch {
		case i == 0 || i == steps:
			sum += v
		case i%2 == 1:
			sum += 4 * v
		default:
			sum += 2 * v
		}
	}
	return math.Log10E * math.Log10E * sum * math.Pi / 2 / steps / 3 * radius * radius, nil
}
