package spectral

import (
	"fmt"
	"math"
)

// Multipliers says whether the multipliers M1 and M2 of the daylight
// components are rounded.
type Multipliers uint8

const (
	// Rounded takes M1 and M2 to three decimals, as CIE 15 prescribes for the
	// tabulated D illuminants.
	Rounded Multipliers = iota
	// Unrounded keeps every digit, so that the light changes smoothly with
	// its temperature.
	Unrounded
)

// Nominal returns the correlated colour temperature, on the present scale, of
// the daylight illuminant with a nominal temperature: times 1.4388/1.4380. D65
// has 6503.6 K and not 6500 K, because the radiation constant c2 was changed
// after the illuminants had been named.
func Nominal(name Kelvin) Kelvin { return name * 1.4388 / 1.4380 }

// DaylightLocus returns the CIE 1931 chromaticity of daylight,
//
//	x = 0.244063 + 0.09911e3/T + 2.9678e6/T² - 4.6070e9/T³   4000 K to 7000 K
//	x = 0.237040 + 0.24748e3/T + 1.9018e6/T² - 2.0064e9/T³   above, to 25000 K
//	y = -3.000 x² + 2.870 x - 0.275
//
// Outside 4000 K to 25000 K the error wraps [ErrTemperature]. At 7000 K the two
// branches differ by 4e-7. Source: CIE 15, daylight illuminants; after Judd,
// MacAdam and Wyszecki 1964.
func DaylightLocus(t Kelvin) (x, y float64, err error) {
	if !(t >= 4000 && t <= 25000) {
		return 0, 0, fmt.Errorf("%w: daylight at %v, it is for 4000 to 25000 K", ErrTemperature, t)
	}
	u := 1e3 / float64(t)
	if t <= 7000 {
		x = 0.244063 + u*(0.09911+u*(2.9678-u*4.6070))
	} else {
		x = 0.237040 + u*(0.24748+u*(1.9018-u*2.0064))
	}
	return x, -3*x*x + 2.870*x - 0.275, nil
}

// multipliers returns M1 and M2.
//
//	M1 = (-1.3515 -  1.7703 x +  5.9114 y) / (0.0241 + 0.2562 x - 0.7341 y)
//	M2 = ( 0.0300 - 31.4424 x + 30.0717 y) / the same
//
// Source: as for [DaylightLocus].
func multipliers(t Kelvin, m Multipliers) (m1, m2 float64, err error) {
	x, y, err := DaylightLocus(t)
	if err != nil {
		return 0, 0, err
	}
	d := 0.0241 + 0.2562*x - 0.7341*y
	m1 = (-1.3515 - 1.7703*x + 5.9114*y) / d
	m2 = (0.0300 - 31.4424*x + 30.0717*y) / d
	if m == Rounded {
		m1, m2 = math.Round(m1*1000)/1000, math.Round(m2*1000)/1000
	}
	return m1, m2, nil
}

// Daylight returns the CIE phase of daylight of a correlated colour temperature,
//
//	S(λ) = S0(λ) + M1 S1(λ) + M2 S2(λ)
//
// 300 to 830 nm every 5 nm, straight lines between, 100 at 560 nm. For D65 and
// its like pass [Nominal] and [Rounded]; the recipe then agrees with the table of
// D65 of ISO/CIE 11664-2 to 0.001 of its 100. Nowhere in 4000 to 25000 K is the
// power negative; outside it the error wraps [ErrTemperature].
//
// Source: CIE 15; the components are those of Judd, MacAdam and Wyszecki 1964.
func Daylight(t Kelvin, m Multipliers) (Light, error) {
	m1, m2, err := multipliers(t, m)
	if err != nil {
		return Light{}, err
	}
	v := make([]float64, len(daylightS0))
	for i := range v {
		v[i] = daylightS0[i] + m1*daylightS1[i] + m2*daylightS2[i]
	}
	s, err := New(steps(300, 5, len(v)), v, Refuse)
	if err != nil {
		return Light{}, err
	}
	return NewLight(s)
}
