package filters

import (
	"math"
	"slices"

	"example.org/actinic/internal/check"
	"example.org/actinic/internal/lsq"
	"example.org/actinic/sensito"
	"example.org/actinic/spectral"
)

// A Deviation says how uncertain a spectrum is, as standard deviations of errors
// that do not depend on each other. The zero Deviation is none.
//
// Noise belongs to wavelengths and not to knots: its covariance is
//
//	s(λ) s(λ') exp(-|λ - λ'| / Correlation)
//
// so that the same measurement tabulated more finely is not better known.
type Deviation struct {
	// Noise is s(λ), in the units of the spectrum; empty for none.
	Noise spectral.Spectrum
	// Correlation is the distance in nm over which the noise stays alike, 0.1 to
	// 1000: about the bandwidth of the instrument. 0 stands for 10, common practice,
	// no source.
	Correlation float64
	// Zero is the deviation of the zero line, in the units of the spectrum: one
	// error that all its values share.
	Zero float64
	// Scale is the relative deviation of the 100 % line, which all values share. It
	// does nothing in a film or a light, whose scale drops out of a factor.
	Scale float64
	// Wavelength is the deviation in nm of the instrument's wavelengths: a shift of
	// the whole spectrum.
	Wavelength float64
	// Covariance of the values at Nodes in nm, straight between them and nothing
	// outside; that of [Recovered.Deviation].
	Nodes      []float64
	Covariance [][]float64
}

// Deviations are those of the three spectra of a factor.
type Deviations struct{ Film, Light, Filter Deviation }

// FactorWithin returns the factor with the 95 % interval that the deviations of
// the spectra leave it, by propagation to first order of
//
//	ln F = ln ∫ E S dλ - ln ∫ E S T dλ
//
// with an error of film or light counted in both integrals, where most of it
// cancels. The interval is symmetric in ln F; for stops use Estimate.Map with log2.
// It does not depend on the grids of the spectra. [FactorMonteCarlo] does without
// the first order.
//
// Errors are those of [Factor], and wrap [ErrInvalid] for deviations that are
// negative, not finite, or a covariance that is none.
//
// Source: JCGM 100:2008, 5.2, for the first order; the sensitivities are worked out here.
func FactorWithin(film spectral.Sensitivity, light spectral.Light, f Filter, sd Deviations) (sensito.Estimate, error) {
	u, err := newUncertain(film, light, f, sd)
	if err != nil {
		return sensito.Estimate{}, err
	}
	variance := 0.0
	for _, s := range u.sources {
		variance += s.variance()
	}
	k := math.Exp(lsq.Normal95 * math.Sqrt(variance))
	return sensito.Estimate{Value: u.factor, Low: u.factor / k, High: u.factor * k}, nil
}

// An Influence is how a factor answers to its spectra,
//
//	∂ ln F / ∂ S(λ),  ∂ ln F / ∂ E(λ),  ∂ ln F / ∂ T(λ)
//
// each per nm: a change of 0.01 over 5 nm at λ changes ln F by 0.05 times the value.
type Influence struct{ Film, Light, Filter spectral.Spectrum }

// FactorInfluence returns the gradient of a factor by wavelength,
//
//	film   E (1/∫ E S - T/∫ E S T)
//	light  S (1/∫ E S - T/∫ E S T)
//	filter -E S / ∫ E S T
//
// at every knot of the three spectra where film and light both are, and nothing
// outside. Errors are those of [Factor].
func FactorInfluence(film spectral.Sensitivity, light spectral.Light, f Filter) (Influence, error) {
	bare, filtered, err := exposures(film, light, f)
	if err != nil {
		return Influence{}, err
	}
	nm := commonKnots(film, light, f)
	out := [3][]float64{}
	for _, l := range nm {
		s, err1 := film.At(l)
		e, err2 := light.At(l)
		t, err3 := f.Transmittance(l)
		for _, err := range []error{err1, err2, err3} {
			if err != nil {
				return Influence{}, err
			}
		}
		both := 1/bare - t/filtered
		for k, v := range []float64{e * both, s * both, -e * s / filtered} {
			out[k] = append(out[k], v)
		}
	}
	var i Influence
	for k, to := range []*spectral.Spectrum{&i.Film, &i.Light, &i.Filter} {
		if *to, err = spectral.New(nm, out[k], spectral.Zero); err != nil {
			return Influence{}, err
		}
	}
	return i, nil
}

// commonKnots returns all knots from where film and light both begin to where one of
// them ends.
func commonKnots(film spectral.Sensitivity, light spectral.Light, f Filter) []float64 {
	lo, hi := math.Inf(-1), math.Inf(1)
	var all []float64
	for _, s := range slices.Concat(film.Spectra(), light.Spectra()) {
		if s.Outside() != spectral.Hold {
			a, b := s.Range()
			lo, hi = max(lo, a), min(hi, b)
		}
		all = append(all, s.Wavelengths()...)
	}
	for _, s := range f.parts {
		all = append(all, s.Wavelengths()...)
	}
	all = append(all, lo, hi)
	slices.Sort(all)
	return slices.DeleteFunc(slices.Compact(all), func(l float64) bool { return !(l >= lo && l <= hi) })
}

// known reports whether anything is uncertain.
func (d Deviation) known() bool {
	return d.Noise.Len() > 0 || d.Zero != 0 || d.Scale != 0 || d.Wavelength != 0 || len(d.Nodes) > 0
}

func (d Deviation) check(what string) error {
	for _, r := range []struct {
		name string
		v    float64
		most float64
	}{{"zero line", d.Zero, math.MaxFloat64}, {"100 % line", d.Scale, 1}, {"wavelengths", d.Wavelength, 50}, {"correlation",
		d.Correlation, 1000}} {
		if !(r.v >= 0 && r.v <= r.most) {
			return invalid("the deviation of the %s: %s %v, it is 0 to %g", what, r.name, r.v, r.most)
		}
	}
	if d.Correlation > 0 && d.Correlation < 0.1 {
		return invalid("the deviation of the %s: correlation over %v nm, it is 0.1 to 1000", what, d.Correlation)
	}
	if lo, _ := d.Noise.Extremes(); !(lo >= 0) {
		return invalid("the deviation of the %s is %g", what, lo)
	}
	n := len(d.Nodes)
	if n != len(d.Covariance) || n > 1000 {
		return invalid("the covariance of the %s has %d rows for %d nodes", what, len(d.Covariance), n)
	}
	for i, row := range d.Covariance {
		if len(row) != n || !check.Finite(row...) || !(row[i] >= 0) {
			return invalid("the covariance of the %s: row %d is not %d finite numbers with a variance among them", what, i, n)
		}
		for j := range i {
			if !(math.Abs(row[j]-d.Covariance[j][i]) <= 1e-6*math.Sqrt(row[i]*d.Covariance[j][j])+1e-300) {
				return invalid("the covariance of the %s is not symmetric at row %d", what, i)
			}
		}
	}
	return nil
}
