package filters

import (
	"fmt"
	"math"

	"example.org/actinic/spectral"
)

// Factor returns the filter factor for a film in a light,
//
//	F = ∫ E S dλ / ∫ E S T dλ
//
// the number by which to multiply the exposure: a ratio of exposures at equal
// effect, so a longer time may need more yet for the failure of reciprocity.
// [sensito.StopsOf] gives it in stops.
//
// Spectra that refuse to be asked outside their range, while film and light
// still have something there, are an error that wraps [spectral.ErrOutside];
// ranges that do not overlap one that wraps [spectral.ErrDisjoint]; a film that
// gets nothing through the filter one that wraps [ErrOpaque].
//
// For a coloured subject pass the light that comes from it,
// light.Through(surface.Reflectance): a red filter has the factor 1.4 for a red
// surface where it has 4.4 for a grey one.
//
// Source: L. A. Jones, "Light filters, their characteristics and applications in
// photography", Trans. SMPE, about 1927, pp. 149-151.
func Factor(film spectral.Sensitivity, light spectral.Light, f Filter) (float64, error) {
	a, b, err := exposures(film, light, f)
	if err != nil {
		return 0, err
	}
	return a / b, nil
}

// exposures returns the integrals without and with the filter.
func exposures(film spectral.Sensitivity, light spectral.Light, f Filter) (bare, filtered float64, err error) {
	switch {
	case film.IsZero():
		return 0, 0, invalid("the sensitivity is empty")
	case light.IsZero():
		return 0, 0, invalid("the light is empty")
	case f.IsZero():
		return 0, 0, invalid("the filter is empty, use Clear for none")
	}
	var room [6]spectral.Spectrum // so that few spectra need no allocation
	s := light.AppendSpectra(film.AppendSpectra(room[:0]))
	if bare, err = spectral.Integral(s...); err != nil {
		return 0, 0, fmt.Errorf("film and light: %w", err)
	}
	if !(bare > 0) {
		return 0, 0, fmt.Errorf("%w: the film sees nothing of this light", ErrOpaque)
	}
	if filtered, err = spectral.Integral(append(s, f.parts...)...); err != nil {
		return 0, 0, fmt.Errorf("filter %q: %w", f.name, err)
	}
	if !(filtered > 0) || math.IsInf(bare/filtered, 0) {
		return 0, 0, fmt.Errorf("%w: filter %q passes nothing the film sees", ErrOpaque, f.name)
	}
	return bare, filtered, nil
}

// FactorsByTemperature returns the factor at each colour temperature, for the
// lights of [spectral.LightAt].
func FactorsByTemperature(film spectral.Sensitivity, f Filter, temperatures ...spectral.Kelvin) ([]float64, error) {
	out := make([]float64, len(temperatures))
	for i, t := range temperatures {
		l, err := spectral.LightAt(t)
		if err != nil {
			return nil, err
		}
		if out[i], err = Factor(film, l, f); err != nil {
			return nil, err
		}
	}
	return out, nil
}

// Prepared is a film and a light made ready for many filters on one grid; its
// methods allocate nothing.
type Prepared struct {
	rule spectral.Quadrature
	bare float64
}

// Prepare merges the knots of film, light and the grid nm of the transmittances
// to come. What those are outside their grid is chosen here; see
// [spectral.NewQuadrature].
func Prepare(film spectral.Sensitivity, light spectral.Light, nm []float64, outside spectral.Outside) (Prepared, error) {
	bare, _, err := exposures(film, light, Clear())
	if err != nil {
		return Prepared{}, err
	}
	r, err := spectral.NewQuadrature(nm, outside, append(film.Spectra(), light.Spectra()...)...)
	return Prepared{r, bare}, err
}

// Factor returns the factor of the filter with the given transmittances at the
// wavelengths of the grid, equal to [Factor] to rounding. The transmittances are
// the caller's to check; a sum that is not above zero, or a factor that is not
// finite, is an error.
func (p Prepared) Factor(transmittance []float64) (float64, error) {
	b, err := p.rule.Integrate(transmittance)
	if err != nil {
		return 0, err
	}
	f := p.bare / b
	if !(f > 0 && f <= math.MaxFloat64) {
		return 0, ErrOpaque
	}
	return f, nil
}

// Reflectance returns the mean of a spectrum, such as the reflectance of a surface,
// weighted by film and light: what [EffectiveReflectance] returns without a
// filter.
func (p Prepared) Reflectance(reflectance []float64) (float64, error) {
	v, err := p.rule.Integrate(reflectance)
	if err != nil {
		return 0, err
	}
	if !(p.bare > 0) {
		return 0, ErrOpaque
	}
	return v / p.bare, nil
}
