package filters

import (
	"fmt"
	"math"

	"example.org/actinic/internal/lsq"
	"example.org/actinic/sensito"
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
// light.Through(patch.Reflectance): a red filter has the factor 1.4 for a red
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
	fs, ls := film.Spectra(), light.Spectra()
	switch {
	case len(fs) == 0:
		return 0, 0, invalid("the sensitivity is empty")
	case len(ls) == 0:
		return 0, 0, invalid("the light is empty")
	case len(f.parts) == 0:
		return 0, 0, invalid("the filter is empty, use Clear for none")
	}
	s := append(fs, ls...)
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

// Deviations are the standard deviations of spectra, in the units of their
// values; an empty spectrum means none. The errors at different knots are taken
// to be independent of each other. Calibration is the relative standard
// deviation of the 100 per cent line of the instrument that measured the filter,
// which all its values share.
type Deviations struct {
	Film, Light, Filter spectral.Spectrum
	Calibration         float64
}

// FactorWithin returns the factor with the 95 % interval that the deviations of
// the spectra leave it, by propagation to first order of
//
//	ln F = ln ∫ E S dλ - ln ∫ E S T dλ
//
// with the error at each knot of film and light counted in both integrals, where
// most of it cancels. The interval is symmetric in ln F. For stops use
// Estimate.Map with log2. A film, light or filter that has a deviation must be a
// single spectrum.
func FactorWithin(film spectral.Sensitivity, light spectral.Light, f Filter, sd Deviations) (sensito.Estimate, error) {
	a, b, err := exposures(film, light, f)
	if err != nil {
		return sensito.Estimate{}, err
	}
	if !(sd.Calibration >= 0 && sd.Calibration < 1) {
		return sensito.Estimate{}, invalid("calibration deviation %v, it is a fraction", sd.Calibration)
	}
	fs, ls := film.Spectra(), light.Spectra()
	variance := sd.Calibration * sd.Calibration
	for _, p := range []struct {
		what        string
		own, others []spectral.Spectrum
		dev         spectral.Spectrum
		inBoth      bool
	}{
		{"film", fs, ls, sd.Film, true},
		{"light", ls, fs, sd.Light, true},
		{"filter", f.parts, append(fs, ls...), sd.Filter, false},
	} {
		if p.dev.Len() == 0 {
			continue
		}
		if lo, _ := p.dev.Extremes(); !(lo >= 0) {
			return sensito.Estimate{}, invalid("the deviation of the %s is %g", p.what, lo)
		}
		if len(p.own) != 1 {
			return sensito.Estimate{}, invalid("the %s is a product of %d spectra, a deviation needs one", p.what, len(p.own))
		}
		own := p.own[0]
		nm := own.Wavelengths()
		others := p.others
		if p.inBoth {
			others = append(append([]spectral.Spectrum{}, p.others...), f.parts...)
		}
		behind, err := spectral.NewQuadrature(nm, own.Outside(), others...)
		if err != nil {
			return sensito.Estimate{}, err
		}
		grad := behind.Weights()
		for i := range grad {
			grad[i] /= -b
		}
		if p.inBoth {
			bare, err := spectral.NewQuadrature(nm, own.Outside(), p.others...)
			if err != nil {
				return sensito.Estimate{}, err
			}
			for i, w := range bare.Weights() {
				grad[i] += w / a
			}
		}
		for i, g := range grad {
			s, err := p.dev.At(nm[i])
			if err != nil {
				return sensito.Estimate{}, fmt.Errorf("the deviation of the %s: %w", p.what, err)
			}
			variance += g * g * s * s
		}
	}
	k := math.Exp(lsq.Normal95 * math.Sqrt(variance))
	return sensito.Estimate{Value: a / b, Low: a / b / k, High: a / b * k}, nil
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

// Reflectance returns the mean of a spectrum, such as the reflectance of a patch,
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
