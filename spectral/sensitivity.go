package spectral

import (
	"fmt"
	"math"
	"slices"

	"example.org/actinic/internal/elementary"
)

// Sensitivity is the relative spectral sensitivity of a film, or the response of
// a meter or an eye: linear, per unit of energy, never negative,
//
//	S(λ) = 1/H(λ)
//
// with H the radiant exposure that gives a stated density above fog. Which
// density matters, because a film's contrast changes with wavelength; state it
// beside the data. The scale does not matter: 1/H in m²/J and in cm²/erg differ
// by the factor 1000, and ratios of integrals not at all.
//
// Outside its range a sensitivity is zero unless its spectra say otherwise.
//
// Source: the definition of spectral sensitivity, the reciprocal of the exposure for a
// stated density.
type Sensitivity struct{ product }

// SensitivityFromLinear returns the sensitivity given by linear, energy-based values;
// several spectra are multiplied. A spectrum that refuses to be asked outside its
// range becomes zero there.
//
// Negative values are an error that wraps [ErrInvalid]: they are what a table of
// log10 values looks like, and those go through [SensitivityFromLog].
func SensitivityFromLinear(values ...Spectrum) (Sensitivity, error) {
	p, err := newProduct("sensitivity", "a table of log10 values goes through SensitivityFromLog, noise through Clamp", values)
	if err != nil {
		return Sensitivity{}, err
	}
	for i, s := range p.parts {
		if s.out == Refuse {
			p.parts[i].out = Zero
		}
	}
	return Sensitivity{p}, nil
}

// Between says how to read a logarithmic table between its wavelengths.
type Between uint8

const (
	// LogLinear draws straight lines in the logarithm, as the published curves
	// are drawn and meant. Knots are added until the linear spectrum follows
	// them to 1e-6 of its value.
	LogLinear Between = iota
	// Linear takes antilogarithms first and draws straight lines between
	// those: a few hundredths of a stop in a factor.
	Linear
)

// SensitivityFromLog returns the sensitivity whose log10 is tabulated, as film
// data are plotted,
//
//	S = 10^logS
//
// at wavelengths in nm. Any constant in logS drops out. A film has no logarithm
// where it has no sensitivity: end the table where the curve ends. Values
// beyond ±30 are refused.
//
// Source: the definition of a logarithm.
func SensitivityFromLog(nm, logS []float64, between Between) (Sensitivity, error) {
	s, err := New(nm, logS, Zero)
	if err != nil {
		return Sensitivity{}, err
	}
	lo, hi := s.Extremes()
	if !(lo >= -30 && hi <= 30) {
		return Sensitivity{}, invalid("log10 sensitivity from %g to %g: "+
			"leave out wavelengths without sensitivity, and see that the table is logarithmic", lo, hi)
	}
	if between > Linear {
		return Sensitivity{}, invalid("unknown choice %d between wavelengths", between)
	}
	parts := make([]float64, len(nm)) // into how many each step is cut; 0 or 1 for not at all
	knots := len(nm)
	for i := range nm[1:] {
		if between == Linear {
			break
		}
		// The relative error of the chord of exp(kx) over a step h is (kh)²/8.
		k := math.Abs(logS[i+1]-logS[i]) * math.Ln10
		parts[i] = min(math.Ceil(k/math.Sqrt(8e-6)), math.Ceil((nm[i+1]-nm[i])/1e-3))
		knots += max(int(parts[i])-1, 0)
	}
	fineNM, v := make([]float64, 0, knots), make([]float64, 0, knots)
	for i := range nm {
		fineNM, v = append(fineNM, nm[i]), append(v, math.Pow(10, logS[i]))
		n, first := parts[i], len(v)
		for j := 1.0; j < n; j++ {
			fineNM = append(fineNM, nm[i]+(nm[i+1]-nm[i])*j/n)
			v = append(v, math.Ln10*(logS[i]+(logS[i+1]-logS[i])*j/n))
		}
		elementary.Exp(v[first:], v[first:])
	}
	lin, err := New(fineNM, v, Zero)
	if err != nil {
		return Sensitivity{}, err
	}
	return SensitivityFromLinear(lin)
}

// SensitivityFromExposures returns the sensitivity from the log10 exposures, in
// any one unit of energy per area, that gave the same density at each
// wavelength,
//
//	log10 S = -log10 H
//
// Source: the definition of [Sensitivity].
func SensitivityFromExposures(nm, logH []float64, between Between) (Sensitivity, error) {
	s := make([]float64, len(logH))
	for i, h := range logH {
		s[i] = -h
	}
	return SensitivityFromLog(nm, s, between)
}

// SensitivityFromPhotons returns the sensitivity from a linear table that counts
// photons,
//
//	S_energy(λ) = S_photon(λ) · λ / 550
//
// as the product of the table and the line λ/550, which is exact everywhere.
//
// Source: Planck's relation, energy as 1/λ.
func SensitivityFromPhotons(s Spectrum) (Sensitivity, error) {
	return SensitivityFromLinear(s, perPhoton())
}

// SensitivityFromLogPhotons returns the sensitivity whose log10 per photon is
// tabulated, as [SensitivityFromLog] and [SensitivityFromPhotons] have it.
func SensitivityFromLogPhotons(nm, logS []float64, between Between) (Sensitivity, error) {
	s, err := SensitivityFromLog(nm, logS, between)
	if err != nil {
		return Sensitivity{}, err
	}
	return s.Through(perPhoton())
}

// perPhoton is λ/550.
func perPhoton() Spectrum {
	return mustNew([]float64{minNM, maxNM}, []float64{minNM / 550., maxNM / 550.}, Hold)
}

// SensitivityFromSpectrogram returns the sensitivity from the heights of a wedge
// spectrogram, in log10 of exposure. The height is that of the film and the lamp
// together, so the lamp is divided out,
//
//	log10 S = height - log10 E(λ)
//
// with E the lamp that made the spectrogram, at every wavelength with LogLinear and at
// those of the table with Linear. A height must not meet a light by
// any other way: sensitivity "to tungsten" times tungsten counts the lamp twice.
// Source: wedge spectrography after Caudron, thesis, Boston University 1958.
func SensitivityFromSpectrogram(nm, height []float64, lamp Light, between Between) (Sensitivity, error) {
	if len(nm) != len(height) {
		return Sensitivity{}, invalid("%d wavelengths but %d heights", len(nm), len(height))
	}
	heights, err := New(nm, height, Zero)
	if err != nil {
		return Sensitivity{}, err
	}
	logS := func(l float64) (float64, error) {
		e, err := lamp.At(l)
		if err != nil {
			return 0, fmt.Errorf("the lamp of the spectrogram: %w", err)
		}
		if !(e > 0) {
			return 0, invalid("the lamp gives no light at %g nm, so the spectrogram says nothing there", l)
		}
		return heights.inside(l) - math.Log10(e), nil
	}
	if between == Linear {
		s := make([]float64, len(nm))
		for i, l := range nm {
			if s[i], err = logS(l); err != nil {
				return Sensitivity{}, err
			}
		}
		return SensitivityFromLog(nm, s, between)
	}
	if between > Linear {
		return Sensitivity{}, invalid("unknown choice %d between wavelengths", between)
	}
	knots := slices.Clone(nm)
	for _, p := range lamp.parts {
		for _, l := range p.nm {
			if l > nm[0] && l < nm[len(nm)-1] {
				knots = append(knots, l)
			}
		}
	}
	fine, v, err := follow(sortedUnique(knots), func(l float64) (float64, error) {
		s, err := logS(l)
		if err == nil && !(math.Abs(s) <= 30) {
			err = invalid("log10 sensitivity %g at %g nm: are the heights logarithms?", s, l)
		}
		return math.Pow(10, s), err
	})
	if err != nil {
		return Sensitivity{}, err
	}
	lin, err := New(fine, v, Zero)
	if err != nil {
		return Sensitivity{}, err
	}
	return SensitivityFromLinear(lin)
}

// At returns the sensitivity at a wavelength in nm; see [Spectrum.At].
func (s Sensitivity) At(nm float64) (float64, error) { return s.at(nm) }

// Spectra returns the spectra whose product the sensitivity is.
func (s Sensitivity) Spectra() []Spectrum { return s.AppendSpectra(nil) }

// AppendSpectra appends the spectra whose product the sensitivity is, for callers who have
// room for them.
func (s Sensitivity) AppendSpectra(to []Spectrum) []Spectrum { return append(to, s.parts...) }

// IsZero reports whether it is the empty sensitivity, every use of which is an error.
func (s Sensitivity) IsZero() bool { return len(s.parts) == 0 }

// Through returns the response behind something with the given transmittance,
// such as a meter cell behind its infrared cut.
func (s Sensitivity) Through(transmittance ...Spectrum) (Sensitivity, error) {
	if len(s.parts) == 0 {
		return Sensitivity{}, invalid("the sensitivity is empty")
	}
	return SensitivityFromLinear(append(s.Spectra(), transmittance...)...)
}

// Class is the spectral class of a film.
type Class uint8

// The classes by the cut-off, the longest wavelength that counts. Sources:
// silver halide itself to 500 nm, orthochromatic to 600 nm, panchromatic to
// 700 nm (encyclopaedia article "Orthochromatic materials"); undyed silver
// halide to 520 nm (article "Panchrom").
const (
	BlueSensitive  Class = iota + 1 // to 520 nm
	Orthochromatic                  // to 600 nm
	Panchromatic                    // to 700 nm
	ExtendedRed                     // beyond
)

// String returns the name in lower case.
func (c Class) String() string {
	switch c {
	case BlueSensitive:
		return "blue-sensitive"
	case Orthochromatic:
		return "orthochromatic"
	case Panchromatic:
		return "panchromatic"
	case ExtendedRed:
		return "extended red"
	}
	return fmt.Sprintf("Class(%d)", uint8(c))
}

// CutOff returns the longest wavelength in nm at which the sensitivity is still
// the given fraction, above 0 and up to 1, of its largest tabulated value.
// Sensitivities that are products are followed to 1e-6.
func (s Sensitivity) CutOff(fraction float64) (float64, error) {
	if !(fraction > 0 && fraction <= 1) {
		return 0, invalid("cut-off at the fraction %v, it is above 0 and up to 1", fraction)
	}
	p, err := s.merged()
	if err != nil {
		return 0, err
	}
	_, peak := p.Extremes()
	level := fraction * peak
	for i := len(p.v) - 1; i >= 0; i-- {
		if !(p.v[i] >= level) {
			continue
		}
		if i == len(p.v)-1 {
			return p.nm[i], nil
		}
		t := (p.v[i] - level) / (p.v[i] - p.v[i+1])
		return p.nm[i] + t*(p.nm[i+1]-p.nm[i]), nil
	}
	return 0, invalid("the sensitivity is zero everywhere")
}

// Class returns the class of the film by the wavelength where its sensitivity
// has fallen to a tenth of its peak, one unit of the logarithmic plots. The
// tenth is our choice; the sources give wavelengths without a level.
func (s Sensitivity) Class() (Class, error) {
	c, err := s.CutOff(0.1)
	switch {
	case err != nil:
		return 0, err
	case c <= 520:
		return BlueSensitive, nil
	case c <= 600:
		return Orthochromatic, nil
	case c <= 700:
		return Panchromatic, nil
	}
	return ExtendedRed, nil
}

// Flatness returns how evenly the film takes a light over the visible range, 400
// to 700 nm: one less the distance between what the film records and what is
// there,
//
//	1 - ½ ∫ |E S/∫E S - E/∫E| dλ
//
// It is 1 for a film that takes every wavelength alike and goes to 0 as the
// sensitivity narrows. The number has a meaning: 1 less the flatness is the
// greatest difference in effective reflectance that colour alone can make,
// without a filter, between any surface and a grey that sends back the same
// part of the light. A film of flatness 0.85 can put no colour more than 0.15
// above or below such a grey; whatever else is wanted needs a filter.
//
// The light must answer over 400 to 700 nm. The absolute value is integrated
// exactly; the knots of the sensitivity are joined by its crossings.
func (s Sensitivity) Flatness(l Light) (float64, error) {
	p, err := s.merged()
	if err != nil {
		return 0, err
	}
	window, err := New([]float64{400, 700}, []float64{1, 1}, Zero)
	if err != nil {
		return 0, err
	}
	e := append(l.Spectra(), window)
	all, err := Integral(e...)
	if err != nil {
		return 0, err
	}
	seen, err := Integral(append(e, p)...)
	if err != nil {
		return 0, err
	}
	mean, err := ratio(seen, all)
	if err != nil || mean == 0 {
		return 0, invalid("the film sees nothing of the light from 400 to 700 nm")
	}
	off, err := p.absoluteDifference(func(float64) float64 { return mean }, 400, 700)
	if err != nil {
		return 0, err
	}
	d, err := Integral(append(e, off)...)
	if err != nil {
		return 0, err
	}
	return 1 - d/seen/2, nil
}

// Mismatch returns how far a meter's response is from the eye's, as the CIE
// defines it for photometers,
//
//	f1' = ∫ |s*(λ) - V(λ)| dλ / ∫ V dλ,   s* = s ∫ A V dλ / ∫ A s dλ
//
// with illuminant A, from..to nm. The absolute value is integrated exactly.
// Source: ISO/CIE 19476 (formerly CIE 69), index f1'; the definition from
// memory.
func (s Sensitivity) Mismatch(from, to float64) (float64, error) {
	p, err := s.merged()
	if err != nil {
		return 0, err
	}
	v := Eye().parts[0]
	lamp, err := Planck(2855.4959, steps(300, 1, 1301))
	if err != nil {
		return 0, err
	}
	window, err := New([]float64{from, to}, []float64{1, 1}, Zero)
	if err != nil {
		return 0, err
	}
	av, err := Integral(lamp.parts[0], v)
	if err != nil {
		return 0, err
	}
	as, err := Integral(lamp.parts[0], p, window)
	if err != nil {
		return 0, err
	}
	k, err := ratio(av, as)
	if err != nil {
		return 0, err
	}
	scaled, err := p.Scale(k)
	if err != nil {
		return 0, err
	}
	union, err := scaled.join(v.nm)
	if err != nil {
		return 0, err
	}
	off, err := union.absoluteDifference(func(nm float64) float64 {
		x, _ := v.At(nm) // V is zero outside, so there is no error
		return x
	}, from, to)
	if err != nil {
		return 0, err
	}
	d, err := Integral(off)
	if err != nil {
		return 0, err
	}
	whole, err := Integral(v)
	if err != nil {
		return 0, err
	}
	return d / whole, nil
}

// merged returns the sensitivity as one spectrum: itself, or the product followed to
// 1e-6 between the union of the knots.
func (s Sensitivity) merged() (Spectrum, error) {
	if len(s.parts) == 1 {
		return s.parts[0], nil
	}
	if len(s.parts) == 0 {
		return Spectrum{}, invalid("the sensitivity is empty")
	}
	lo, hi, err := span(s.parts)
	if err != nil {
		return Spectrum{}, err
	}
	nm := []float64{lo}
	for _, p := range s.parts {
		for _, w := range p.nm {
			if w > lo && w < hi {
				nm = append(nm, w)
			}
		}
	}
	fine, v, err := follow(sortedUnique(append(nm, hi)), s.at)
	if err != nil {
		return Spectrum{}, err
	}
	return New(fine, v, Zero)
}
