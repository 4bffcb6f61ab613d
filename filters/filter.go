package filters

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"example.org/actinic/internal/check"
	"example.org/actinic/sensito"
	"example.org/actinic/spectral"
)

var (
	// ErrInvalid is wrapped by errors about data that cannot be what they are
	// said to be, above all a transmittance beyond 0 to 1.
	ErrInvalid = check.Sentinel("filters: invalid data")

	// ErrOpaque is wrapped when a film or a meter gets nothing through the
	// filter, so that there is no factor.
	ErrOpaque = check.Sentinel("filters: nothing gets through")
)

func invalid(format string, a ...any) error {
	return fmt.Errorf("%w: %s", ErrInvalid, fmt.Sprintf(format, a...))
}

// A Filter is a spectral transmittance from 0 to 1 with a name. It may be a
// product, and is integrated as one. The zero Filter is empty and an error
// wherever it is used; no filter at all is [Clear].
type Filter struct {
	name  string
	parts []spectral.Spectrum
}

// New returns the filter with a measured transmittance, as a fraction; several
// spectra are multiplied. What it is outside its table is the spectrum's choice.
//
// A value above 1 or below 0 is an error that wraps [ErrInvalid]: percentages
// go through [spectral.FromPercent], noise through [spectral.Spectrum.Clamp].
func New(name string, transmittance ...spectral.Spectrum) (Filter, error) {
	if len(transmittance) == 0 {
		return Filter{}, invalid("filter %q has no transmittance", name)
	}
	for _, t := range transmittance {
		if err := fraction("the transmittance of "+name, t); err != nil {
			return Filter{}, err
		}
	}
	return Filter{name, slices.Clone(transmittance)}, nil
}

// fraction checks that a spectrum has values from 0 to 1.
func fraction(what string, s spectral.Spectrum) error {
	lo, hi := s.Extremes()
	switch {
	case s.Len() == 0:
		return invalid("%s is empty", what)
	case !(lo >= 0):
		return invalid("%s has the value %g: Clamp it if it is noise; densities go through FromDensity", what, lo)
	case !(hi <= 1):
		if hi > 1.5 {
			return invalid("%s reaches %g: it looks like percent, give fractions (FromPercent)", what, hi)
		}
		return invalid("%s reaches %g: more than all of the light, Clamp it if it is noise", what, hi)
	}
	return nil
}

// Name returns the name.
func (f Filter) Name() string { return f.name }

// Named returns the filter under another name.
func (f Filter) Named(name string) Filter { return Filter{name, f.parts} }

// IsZero reports whether it is the empty filter, which is an error wherever it is used.
func (f Filter) IsZero() bool { return len(f.parts) == 0 }

// Same reports whether two filters are products of the same spectra, whatever their names;
// see [spectral.Spectrum.Same].
func (f Filter) Same(g Filter) bool {
	return !f.IsZero() && slices.EqualFunc(f.parts, g.parts, spectral.Spectrum.Same)
}

// Spectra returns the spectra whose product the transmittance is.
func (f Filter) Spectra() []spectral.Spectrum { return slices.Clone(f.parts) }

// Transmittance returns the transmittance at a wavelength in nm.
func (f Filter) Transmittance(nm float64) (float64, error) {
	if len(f.parts) == 0 {
		return 0, invalid("the filter is empty")
	}
	t := 1.0
	for _, p := range f.parts {
		v, err := p.At(nm)
		if err != nil {
			return 0, fmt.Errorf("filter %q: %w", f.name, err)
		}
		t *= v
	}
	return t, nil
}

// XYZ returns the tristimulus values of the light seen through the filter, 100 for Y of
// the light itself; see [spectral.Observer.XYZ]. Y is the luminous transmittance in per
// cent. The filter must answer over 380 to 780 nm.
func (f Filter) XYZ(light spectral.Light, o spectral.Observer) (spectral.XYZ, error) {
	if len(f.parts) == 0 {
		return spectral.XYZ{}, invalid("the filter is empty")
	}
	c, err := o.XYZ(light, f.parts...)
	if err != nil {
		return spectral.XYZ{}, fmt.Errorf("filter %q: %w", f.name, err)
	}
	return c, nil
}

// Stack returns filters one behind the other,
//
//	T(λ) = T1(λ) T2(λ) ...
//
// without the light that goes to and fro between them. Its factor is that of
// this product; it is not the product of the factors unless all but one are
// neutral.
//
// Source: the law of Bouguer; what is reflected between the filters is left out.
func Stack(filters ...Filter) (Filter, error) {
	if len(filters) == 0 {
		return Filter{}, invalid("a stack of no filters, use Clear")
	}
	var names []string
	var parts []spectral.Spectrum
	for _, f := range filters {
		if len(f.parts) == 0 {
			return Filter{}, invalid("an empty filter in a stack")
		}
		names = append(names, f.name)
		parts = append(parts, f.parts...)
	}
	return Filter{strings.Join(names, " + "), parts}, nil
}

// Clear is no filter: transmittance 1.
func Clear() Filter { return uniform("no filter", 1) }

func uniform(name string, t float64) Filter {
	s, err := spectral.Flat(t)
	if err != nil {
		panic(err) // callers give finite values
	}
	return Filter{name, []spectral.Spectrum{s}}
}

// Neutral returns a neutral filter of density D, 0 to 12,
//
//	T = 10^-D
//
// at every wavelength, infrared too: the ideal. Real ones leak beyond 700 nm,
// and a meter cell may see what the film does not. ND 0.9 is 2.990 stops and the
// factor 7.943; the 8 on the mount is the trade's rounding.
//
// Source: the definition of density.
func Neutral(d sensito.Density) (Filter, error) {
	if !(d >= 0 && d <= 12) {
		return Filter{}, invalid("neutral density %v, it is 0 to 12", float64(d))
	}
	return uniform(fmt.Sprintf("ND %.2g", float64(d)), math.Pow(10, -float64(d))), nil
}

// Polarizer returns a polarizing filter that takes out a factor at every
// wavelength, measured or nominal: 2 for an ideal one, about 2.3 to 2.5 for real
// ones, 3 to 4 where instructions count the darkening of the scene in. The
// factor holds for unpolarized light only; a sky or a wet rock is darkened
// further, which no single number can say. It must be 1 to 100.
func Polarizer(factor float64) (Filter, error) {
	if !(factor >= 1 && factor <= 100) {
		return Filter{}, invalid("polarizer factor %v, it is 1 to 100", factor)
	}
	return uniform("polarizer", 1/factor), nil
}

// Malus returns the transmittance of an ideal polarizer for light that is wholly
// polarized at an angle in degrees to it, cos² of the angle.
func Malus(degrees float64) float64 {
	c := math.Cos(degrees * math.Pi / 180)
	return c * c
}

// LongPass returns a filter that passes what lies above its cut-on,
//
//	T = peak / (1 + exp(-(λ - cutOn)/w)),  w = width / (2 ln 9)
//
// cutOn is where it reaches half of its peak, width how far it is from 10 to 90
// per cent of it, both in nm: 24 to 28 for dyed gelatin and coloured glass, 1 to
// 5 for interference edges. It is a shape, not a measurement: the tail below the
// cut-on falls for ever, where a real dye has a leak. The knots are chosen so that
// a factor agrees with that of the formula to 1e-7 of itself, to 2e-5 where a film
// has only the tail left.
//
// Source: none; the shape is worked out here so that the width is the one between 10 and 90
// %.
func LongPass(cutOn, width, peak float64) (Filter, error) {
	if !edge(cutOn, width, peak) {
		return Filter{}, invalid("long-pass at %v nm, width %v nm, peak %v", cutOn, width, peak)
	}
	name := fmt.Sprintf("long-pass %.4g nm", cutOn)
	return shaped(name, edgeKnots(nil, cutOn, width), func(nm float64) float64 {
		return peak * rise(nm, cutOn, width)
	})
}

// ShortPass returns a filter that passes what lies below its cut-off, the mirror
// image of [LongPass].
func ShortPass(cutOff, width, peak float64) (Filter, error) {
	if !edge(cutOff, width, peak) {
		return Filter{}, invalid("short-pass at %v nm, width %v nm, peak %v", cutOff, width, peak)
	}
	name := fmt.Sprintf("short-pass %.4g nm", cutOff)
	return shaped(name, edgeKnots(nil, cutOff, width), func(nm float64) float64 {
		return peak * rise(-nm, -cutOff, width)
	})
}

// BandPass returns a filter that passes what lies between two edges, each as in
// [LongPass] with a width of its own; peak is the height it would have with the
// edges far apart.
func BandPass(cutOn, widthOn, cutOff, widthOff, peak float64) (Filter, error) {
	if !(edge(cutOn, widthOn, peak) && edge(cutOff, widthOff, peak) && cutOn < cutOff) {
		return Filter{}, invalid("band-pass from %v nm (width %v) to %v nm (width %v), peak %v",
			cutOn, widthOn, cutOff, widthOff, peak)
	}
	name := fmt.Sprintf("band-pass %.4g to %.4g nm", cutOn, cutOff)
	return shaped(name, edgeKnots(edgeKnots(nil, cutOn, widthOn), cutOff, widthOff), func(nm float64) float64 {
		return peak * rise(nm, cutOn, widthOn) * rise(-nm, -cutOff, widthOff)
	})
}

func edge(at, width, peak float64) bool {
	return at >= 100 && at <= 5000 && width >= 0.01 && width <= 200 && peak > 0 && peak <= 1
}

func rise(nm, at, width float64) float64 {
	return 1 / (1 + math.Exp(-(nm-at)*2*math.Log(9)/width))
}

// edgeKnots adds knots dense enough for straight lines to follow the edge: 1/64
// of the logistic's scale where it bends, to 20 scales on either side, where 2e-9
// is left of it.
func edgeKnots(nm []float64, at, width float64) []float64 {
	w := width / (2 * math.Log(9))
	for i := -20 * 64; i <= 20*64; i++ {
		if l := at + w*float64(i)/64; l >= 60 && l <= 90000 {
			nm = append(nm, l)
		}
	}
	return nm
}

func shaped(name string, nm []float64, f func(float64) float64) (Filter, error) {
	slices.Sort(nm)
	nm = slices.Compact(nm)
	v := make([]float64, len(nm))
	for i, l := range nm {
		v[i] = f(l)
	}
	s, err := spectral.New(nm, v, spectral.Hold)
	if err != nil {
		return Filter{}, err
	}
	return New(name, s)
}

// Glass returns a filter of coloured glass or dyed gelatin from its internal
// transmittance, by Bouguer's law,
//
//	T(λ) = P Ti(λ)^ratio
//
// ratio is the thickness wanted over that of the data; P is what both surfaces
// together let through, [SurfaceFactor] for bare glass, and does not change with
// thickness. Knots are added until straight lines follow the power to 1e-6 of itself.
//
// Source: the law of Bouguer and Lambert for the internal transmittance (from memory).
func Glass(name string, internal spectral.Spectrum, ratio, surfaces float64) (Filter, error) {
	if !(ratio > 0 && ratio <= 1000) {
		return Filter{}, invalid("thickness ratio %v", ratio)
	}
	if !(surfaces > 0 && surfaces <= 1) {
		return Filter{}, invalid("surface factor %v, it is above 0 and up to 1", surfaces)
	}
	if err := fraction("the internal transmittance of "+name, internal); err != nil {
		return Filter{}, err
	}
	t, err := internal.Follow(func(_, v float64) float64 { return surfaces * math.Pow(v, ratio) })
	if err != nil {
		return Filter{}, err
	}
	return New(name, t)
}

// SurfaceFactor returns what the two bare faces of a plate of refractive index n
// let through, all reflections between them counted,
//
//	P = 2n / (n² + 1)
//
// from Fresnel's (n-1)²/(n+1)² at each face (from memory): 0.918 or an eighth of a stop for n = 1.52. n must be at least 1.
func SurfaceFactor(n float64) (float64, error) {
	if !(n >= 1 && n < 10) {
		return 0, invalid("refractive index %v", n)
	}
	return 2 * n / (n*n + 1), nil
}

// leakyLongPass is a long-pass that does not fall below a leak.
func leakyLongPass(cutOn, width, peak, leak float64) (Filter, error) {
	if !(edge(cutOn, width, peak) && leak >= 0 && leak < peak) {
		return Filter{}, invalid("long-pass at %v nm with leak %v", cutOn, leak)
	}
	return shaped("", edgeKnots(nil, cutOn, width), func(nm float64) float64 {
		return leak + (peak-leak)*rise(nm, cutOn, width)
	})
}

func knots(nm, v []float64) (spectral.Spectrum, error) { return spectral.New(nm, v, spectral.Hold) }
