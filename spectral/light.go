package spectral

import (
	"fmt"
	"math"
	"strings"
	"sync"
)

// Light is the relative spectral power of a light, by energy and not by
// photons, never negative. Its scale means nothing: ratios of integrals do not
// depend on it. It may be a product, a lamp through a lens, and is integrated
// as one.
type Light struct{ product }

// NewLight returns the light with the given spectral power; several spectra are
// multiplied. Negative values are refused with an error that wraps
// [ErrInvalid]: extrapolated daylight and noise go below zero, and
// [Spectrum.Clamp] is the deliberate cure.
func NewLight(power ...Spectrum) (Light, error) {
	p, err := newProduct("light", "power cannot be negative, Clamp it if it is noise", power)
	return Light{p}, err
}

// At returns the power at a wavelength in nm; see [Spectrum.At].
func (l Light) At(nm float64) (float64, error) { return l.at(nm) }

// IsZero reports whether it is the empty light, every use of which is an error.
func (l Light) IsZero() bool { return len(l.parts) == 0 }

// Same reports whether two lights are products of the same spectra, see [Spectrum.Same].
func (l Light) Same(m Light) bool { return !l.IsZero() && l.same(m.product) }

// Spectra returns the spectra whose product the light is.
func (l Light) Spectra() []Spectrum { return l.AppendSpectra(nil) }

// AppendSpectra appends the spectra whose product the light is, for callers who have room
// for them.
func (l Light) AppendSpectra(s []Spectrum) []Spectrum { return append(s, l.parts...) }

// Through returns the light behind something with the given transmittance.
func (l Light) Through(transmittance ...Spectrum) (Light, error) {
	if len(l.parts) == 0 {
		return Light{}, invalid("the light is empty")
	}
	return NewLight(append(l.Spectra(), transmittance...)...)
}

// WithOutside returns the light with another choice of what it is outside its
// table, for a lamp whose data stop short of the film's.
func (l Light) WithOutside(o Outside) Light { return Light{l.outside(o)} }

// An Illuminant is a light whose spectral power a standard fixes.
type Illuminant uint8

// The illuminants. Each is tabulated over the range its standard gives and
// refuses to be asked beyond it.
const (
	// A is CIE illuminant A, an incandescent lamp at about 2856 K, by its
	// formula at every nanometre. The standard has 300 to 830 nm; the formula goes
	// on here to 1200 nm, as far as silicon sees.
	A Illuminant = iota + 1
	// D50, D55, D65 and D75 are phases of daylight by [Daylight] at
	// the nominal temperature times 1.4388/1.4380 with rounded multipliers,
	// 300 to 830 nm, every 5 nm.
	D50
	D55
	D65
	D75
	// E has equal energy at every wavelength, 300 to 1200 nm.
	E
	// PhotographicDaylight, StudioTungsten and Photoflood are the sources
	// of ISO 7589:2002, 350 to 690 nm, every 10 nm, read in a transcription (in an
	// open library of colorimetry) and not in the standard.
	PhotographicDaylight
	StudioTungsten
	Photoflood
	// SensitometricDaylight, SensitometricTungsten and
	// SensitometricPhotoflood are the same behind the ISO standard camera
	// lens: what the film of ISO 6 is exposed to. The standard tabulates the
	// product, so it is linear between its own knots.
	SensitometricDaylight
	SensitometricTungsten
	SensitometricPhotoflood
	// SunAbove, SunGlobal and SunDirect are the reference spectra of sunlight of
	// ASTM G173-03, 300 to 1100 nm, as means every 5 nm: above the air, with the sky
	// on a surface tilted by 37 degrees at air mass 1.5, and the sun alone there.
	SunAbove
	SunGlobal
	SunDirect
)

var illuminantNames = [...]string{
	A: "A", D50: "D50", D55: "D55", D65: "D65", D75: "D75", E: "E",
	PhotographicDaylight: "photographic daylight", StudioTungsten: "studio tungsten", Photoflood: "photoflood",
	SensitometricDaylight: "ISO sensitometric daylight", SensitometricTungsten: "ISO sensitometric studio tungsten",
	SensitometricPhotoflood: "ISO sensitometric photoflood",
	SunAbove:                "sun above the air", SunGlobal: "sun and sky", SunDirect: "sun alone",
}

// Illuminants returns all of them.
func Illuminants() []Illuminant {
	all := make([]Illuminant, 0, len(illuminantNames)-1)
	for i := A; int(i) < len(illuminantNames); i++ {
		all = append(all, i)
	}
	return all
}

// String returns the name, which [ParseIlluminant] reads.
func (i Illuminant) String() string {
	if i == 0 || int(i) >= len(illuminantNames) {
		return fmt.Sprintf("Illuminant(%d)", uint8(i))
	}
	return illuminantNames[i]
}

// ParseIlluminant reads the name of an illuminant, in capitals or not. An
// unknown name is an error that wraps [ErrInvalid] and lists the known ones.
func ParseIlluminant(name string) (Illuminant, error) {
	for _, i := range Illuminants() {
		if strings.EqualFold(strings.TrimSpace(name), i.String()) {
			return i, nil
		}
	}
	return 0, invalid("no illuminant %q, there are %s", name, strings.Join(illuminantNames[A:], ", "))
}

// Light returns the illuminant's spectral power, made once. A number that is no
// illuminant returns the empty Light, every use of which is an error.
func (i Illuminant) Light() Light {
	if i == 0 || int(i) >= len(illuminantNames) {
		return Light{}
	}
	return illuminantLights()[i]
}

var illuminantLights = sync.OnceValue(func() (all [len(illuminantNames)]Light) {
	for _, i := range Illuminants() {
		all[i] = i.tabulate()
	}
	return all
})

func (i Illuminant) tabulate() Light {
	switch i {
	case A:
		return cieA()
	case D50, D55, D65, D75:
		l, err := Daylight(Nominal([...]Kelvin{5000, 5500, 6500, 7500}[i-D50]), Rounded)
		if err != nil {
			panic(err) // all four are in range
		}
		return l
	case E:
		return table([]float64{formulaFrom, formulaTo}, []float64{100, 100})
	case PhotographicDaylight:
		return table(isoGrid(), photographicDaylight[:])
	case StudioTungsten:
		return table(isoGrid(), studioTungsten[:])
	case Photoflood:
		return table(isoGrid(), photoflood[:])
	case SensitometricDaylight:
		return behindLens(photographicDaylight[:])
	case SensitometricTungsten:
		return behindLens(studioTungsten[:])
	case SensitometricPhotoflood:
		return behindLens(photoflood[:])
	case SunAbove:
		return sun(sunAbove[:])
	case SunGlobal:
		return sun(sunGlobal[:])
	case SunDirect:
		return sun(sunDirect[:])
	}
	return Light{}
}

// sun returns a table of sunlight, 100 at 560 nm as the other lights are.
func sun(v []float64) Light {
	l, at560 := make([]float64, len(v)), v[(560-300)/5]
	for i := range v {
		l[i] = 100 * v[i] / at560
	}
	return table(steps(300, 5, len(v)), l)
}

// Lights that are formulas are tabulated as far as a cell of silicon sees, in nm.
const formulaFrom, formulaTo = 300, 1200

func formulaGrid() []float64 { return steps(formulaFrom, 1, formulaTo-formulaFrom+1) }

// Lens returns the relative transmittance of the ISO standard camera lens, 350
// to 690 nm every 10 nm, 1 in the middle. Source: ISO 7589:2002, as the lights of it.
func Lens() Spectrum { return mustNew(isoGrid(), standardLens[:], Refuse) }

func table(nm, v []float64) Light {
	return Light{product{[]Spectrum{mustNew(nm, v, Refuse)}}}
}

func isoGrid() []float64 { return steps(350, 10, 35) }

func steps(from, step float64, n int) []float64 {
	g := make([]float64, n)
	for i := range g {
		g[i] = from + step*float64(i)
	}
	return g
}

func behindLens(source []float64) Light {
	v := make([]float64, len(source))
	for i := range v {
		v[i] = source[i] * standardLens[i]
	}
	return table(isoGrid(), v)
}

// cieA is the formula of ISO/CIE 11664-2 (CIE 15, illuminant A),
//
//	S = 100 (560/λ)^5 (exp(1.435e7/(2848·560)) - 1) / (exp(1.435e7/(2848 λ)) - 1)
//
// at every nanometre. With today's c2 the same curve is Planck's at 2855.5 K;
// 2856 K differs in the fourth digit.
func cieA() Light {
	nm := formulaGrid()
	v := make([]float64, len(nm))
	for i, l := range nm {
		v[i] = formulaA(l)
	}
	return table(nm, v)
}

func formulaA(l float64) float64 {
	return 100 * math.Pow(560/l, 5) * math.Expm1(1.435e7/(2848*560)) / math.Expm1(1.435e7/(2848*l))
}

// PlanckRadiance returns the spectral radiance of a black body,
//
//	2 h c² λ^-5 / (exp(c2/(λ T)) - 1)
//
// in W m^-3 sr^-1, for a wavelength in nm, with the exact constants of the SI. It is
// NaN for a wavelength or a temperature that is not positive.
func PlanckRadiance(nm float64, t Kelvin) float64 {
	if !(nm > 0 && t > 0) {
		return math.NaN()
	}
	l := nm * 1e-9
	return 2 * planckH * lightC * lightC / math.Pow(l, 5) / math.Expm1(c2/(l*float64(t)))
}

// Planck returns the light of a black body, 100 at 560 nm, tabulated at the
// wavelengths nm and refusing beyond them. The temperature must be within 500
// to 1e6 K or the error wraps [ErrTemperature].
//
// Straight lines on a grid of 1 nm follow the curve to 6e-5 of its value in the
// visible range above 2500 K, on one of 5 nm to 1.3e-3, worst at the blue end.
func Planck(t Kelvin, nm []float64) (Light, error) {
	if !(t >= 500 && t <= 1e6) {
		return Light{}, fmt.Errorf("%w: Planck at %v, it is for 500 to 1e6 K", ErrTemperature, t)
	}
	v := make([]float64, len(nm))
	for i, l := range nm {
		v[i] = 100 * PlanckRadiance(l, t) / PlanckRadiance(560, t)
	}
	s, err := New(nm, v, Refuse)
	if err != nil {
		return Light{}, err
	}
	return NewLight(s)
}

// LightAt returns the light that stands for a colour temperature where nothing
// more is known: a black body below 4000 K, 300 to 1200 nm, CIE daylight from there to
// 25000 K, 300 to 830 nm, both 100 at 560 nm. The two families differ at
// 4000 K (daylight is greener), so a curve against temperature has a step.
func LightAt(t Kelvin) (Light, error) {
	if t < 4000 {
		return Planck(t, formulaGrid())
	}
	return Daylight(t, Unrounded)
}

// AtEqualReading returns the factor by which the exposure of a film changes when
// the light changes and the meter is followed,
//
//	[∫ E2 S dλ / ∫ E2 M dλ] / [∫ E1 S dλ / ∫ E1 M dλ]
//
// for film S, meter M, and lights E1 (from) and E2 (to): 0.8 means a film that is
// a third of a stop slower in the second light. It is the film's change of speed
// as a tungsten index used to state it.
func AtEqualReading(film, meter Sensitivity, from, to Light) (float64, error) {
	for _, p := range []product{film.product, meter.product, from.product, to.product} {
		if len(p.parts) == 0 {
			return 0, invalid("a film, meter or light is empty")
		}
	}
	q := 1.0
	for i, l := range []Light{to, from} {
		f, err := Integral(append(l.Spectra(), film.parts...)...)
		if err != nil {
			return 0, err
		}
		m, err := Integral(append(l.Spectra(), meter.parts...)...)
		if err != nil {
			return 0, err
		}
		if !(f > 0 && m > 0) {
			return 0, invalid("the film or the meter sees nothing of a light")
		}
		if i == 0 {
			q = f / m
		} else {
			q /= f / m
		}
	}
	return q, nil
}
