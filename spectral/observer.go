package spectral

import (
	"fmt"
	"math"
	"strings"
)

// Observer is a standard observer of colour.
type Observer uint8

const (
	// CIE1931 is the observer of a field of 2 degrees, the zero value.
	CIE1931 Observer = iota
	// CIE1964 is the observer of a field of 10 degrees.
	CIE1964
)

// String returns "CIE 1931" or "CIE 1964", which [ParseObserver] reads.
func (o Observer) String() string {
	switch o {
	case CIE1931:
		return "CIE 1931"
	case CIE1964:
		return "CIE 1964"
	}
	return fmt.Sprintf("Observer(%d)", uint8(o))
}

// ParseObserver reads the name, or the year alone. Anything else is an error that
// wraps [ErrInvalid].
func ParseObserver(text string) (Observer, error) {
	t := strings.TrimSpace(text)
	for o := CIE1931; o <= CIE1964; o++ {
		if name := o.String(); strings.EqualFold(t, name) || t == name[4:] {
			return o, nil
		}
	}
	return 0, invalid("no observer %q, there are %v and %v", text, CIE1931, CIE1964)
}

// MarshalText returns the name. A number that is no observer is an error that wraps
// [ErrInvalid].
func (o Observer) MarshalText() ([]byte, error) { return word(o, false, o <= CIE1964, "observer") }

// UnmarshalText reads what [ParseObserver] reads.
func (o *Observer) UnmarshalText(text []byte) error {
	v, err := ParseObserver(string(text))
	if err == nil {
		*o = v
	}
	return err
}

func (o Observer) functions() (x, y, z *[81]float64, err error) {
	switch o {
	case CIE1931:
		return &cieX, &cieY, &cieZ, nil
	case CIE1964:
		return &cie10X, &cie10Y, &cie10Z, nil
	}
	return nil, nil, nil, invalid("%v is no observer", o)
}

// XYZ are tristimulus values, 100 for Y of the light itself.
type XYZ struct{ X, Y, Z float64 }

// XYZ returns the tristimulus values of a light seen through or reflected by spectra
// whose product is T, by the sums over 380 to 780 nm every 5 nm that CIE 15 allows,
//
//	X = 100 Σ E T x̄ / Σ E ȳ,  Y = 100 Σ E T ȳ / Σ E ȳ,  Z = 100 Σ E T z̄ / Σ E ȳ
//
// Without spectra it is the light's own, the white. Y of a filter is its luminous
// transmittance in per cent. Light and spectra must answer over that range.
func (o Observer) XYZ(light Light, through ...Spectrum) (XYZ, error) {
	x, y, z, err := o.functions()
	if err != nil {
		return XYZ{}, err
	}
	var c XYZ
	var white float64
	for i := range x {
		l := 380 + 5*float64(i)
		e, err := light.At(l)
		if err != nil {
			return XYZ{}, err
		}
		white += e * y[i]
		for _, s := range through {
			t, err := s.At(l)
			if err != nil {
				return XYZ{}, err
			}
			e *= t
		}
		c.X, c.Y, c.Z = c.X+e*x[i], c.Y+e*y[i], c.Z+e*z[i]
	}
	if _, err := ratio(c.Y, white); err != nil {
		return XYZ{}, err
	}
	return XYZ{100 * c.X / white, 100 * c.Y / white, 100 * c.Z / white}, nil
}

// Chromaticity returns x = X/(X+Y+Z) and y = Y/(X+Y+Z), NaN for black.
func (c XYZ) Chromaticity() (x, y float64) {
	s := c.X + c.Y + c.Z
	return c.X / s, c.Y / s
}

// Lab returns the CIE 1976 L*, a*, b* of the values beside a white,
//
//	L* = 116 f(Y/Yn) - 16,  a* = 500 (f(X/Xn) - f(Y/Yn)),  b* = 200 (f(Y/Yn) - f(Z/Zn))
//
// with f(t) = t^(1/3) above (6/29)³ and t/(3 (6/29)²) + 4/29 below. NaN for a white
// that is not positive. Source: ISO/CIE 11664-4, from memory.
func (c XYZ) Lab(white XYZ) (l, a, b float64) {
	f := func(v, n float64) float64 {
		if !(n > 0) {
			return math.NaN()
		}
		const d = 6. / 29
		if t := v / n; t > d*d*d {
			return math.Cbrt(t)
		} else {
			return t/(3*d*d) + 4./29
		}
	}
	x, y, z := f(c.X, white.X), f(c.Y, white.Y), f(c.Z, white.Z)
	return 116*y - 16, 500 * (x - y), 200 * (y - z)
}

// Chromaticity returns the CIE 1931 chromaticity coordinates of a light; see
// [Observer.XYZ]. The light must answer over 380 to 780 nm; tables that stop short, as
// those of ISO 7589 do, are usually taken to keep their last value, which is
// light.WithOutside([Hold]).
func Chromaticity(l Light) (x, y float64, err error) {
	c, err := CIE1931.XYZ(l)
	if err != nil {
		return 0, 0, err
	}
	x, y = c.Chromaticity()
	return x, y, nil
}

// ColourTemperature returns the correlated colour temperature of the illuminant and its
// distance from the black body, as [ColourTemperature] does. The lights of ISO 7589 end
// at 690 nm; by the usual convention (of CIE 15, from memory) the last value is kept
// beyond. At 690 nm the observer has a hundredth of its red left, so that little hangs
// on it.
func (i Illuminant) ColourTemperature() (t Kelvin, duv float64, err error) {
	return ColourTemperature(i.Light().WithOutside(Hold))
}
