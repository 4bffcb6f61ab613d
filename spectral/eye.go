package spectral

import (
	"fmt"
	"math"
)

// Eye returns V(λ), the luminous efficiency of the CIE standard photometric
// observer for day vision, 380 to 780 nm every 5 nm, 1 at 555 nm, and zero
// outside: the response of an ideal meter. Source: ISO/CIE 11664-1, the 5 nm
// table of y-bar of the 1931 observer.
func Eye() Sensitivity {
	return Sensitivity{product{[]Spectrum{mustNew(steps(380, 5, 81), cieY[:], Zero)}}}
}

// MaxEfficacy is the luminous efficacy of radiation of 540 THz, 555.016 nm in
// air, in lumen per watt. Source: the definition of the candela in the SI.
const MaxEfficacy = 683.0

// Efficacy returns the luminous efficacy of radiation of a light,
//
//	683 Σ E V / Σ E
//
// in lumen per watt of what is radiated from 380 to 780 nm (not of what a lamp
// draws). The sums run over the 5 nm table of V with the end points taken half,
// as tables of efficacy are made; the exact integrals of [Integral] differ from
// them by less than one part in ten thousand.
func Efficacy(l Light) (float64, error) {
	var seen, all float64
	for i, v := range cieY {
		e, err := l.At(380 + 5*float64(i))
		if err != nil {
			return 0, err
		}
		if i == 0 || i == len(cieY)-1 {
			e /= 2
		}
		seen += e * v
		all += e
	}
	q, err := ratio(seen, all)
	return MaxEfficacy * q, err
}

// ColourTemperature returns the correlated colour temperature of a light: that
// of the black body nearest in the CIE 1960 u, v diagram, found to 1e-6 of
// itself, and its distance there, positive on the green side.
//
// A light more than 0.05 away, or nearest to a black body below 1000 K or above
// 100000 K, has none, and the error wraps [ErrTemperature]: the blue of thin
// clean air lies beyond the infinite temperature. A light whose table stops short of
// 380 to 780 nm is an error too; [Illuminant.ColourTemperature] has the usual convention
// for those of ISO 7589. Source: CIE 15, correlated colour temperature.
func ColourTemperature(l Light) (t Kelvin, duv float64, err error) {
	x, y, err := Chromaticity(l)
	if err != nil {
		return 0, 0, err
	}
	u, v := uv(x, y)
	distance := func(m float64) float64 {
		pu, pv := planckUV(Mired(m).Kelvin())
		return math.Hypot(u-pu, v-pv)
	}
	const lo, hi, n = 1e6 / 120_000, 1e6 / 900, 200
	best := 0
	for i := 1; i <= n; i++ {
		if distance(lo+(hi-lo)*float64(i)/n) < distance(lo+(hi-lo)*float64(best)/n) {
			best = i
		}
	}
	a := lo + (hi-lo)*float64(max(best-1, 0))/n
	b := lo + (hi-lo)*float64(min(best+1, n))/n
	// The distance is smallest where the difference is square to the locus, so
	// bisect that, which is sharper than searching the minimum.
	slope := func(m float64) float64 {
		pu, pv := planckUV(Mired(m).Kelvin())
		qu, qv := planckUV(Mired(m * (1 + 1e-5)).Kelvin())
		return (pu-u)*(qu-pu) + (pv-v)*(qv-pv)
	}
	if !(slope(a) < 0 && slope(b) > 0) {
		return 0, 0, fmt.Errorf("%w: the light is nearest to the end of the black-body line", ErrTemperature)
	}
	for range 60 {
		m := (a + b) / 2
		if slope(m) < 0 {
			a = m
		} else {
			b = m
		}
	}
	t = Mired((a + b) / 2).Kelvin()
	_, pv := planckUV(t)
	duv = math.Copysign(distance((a+b)/2), v-pv)
	if !(t >= 1000 && t <= 100_000) || math.Abs(duv) > 0.05 {
		return 0, 0, fmt.Errorf("%w: the light is %.3f from the nearest black body, at %.0f K", ErrTemperature, math.Abs(duv), float64(t))
	}
	return t, duv, nil
}

func uv(x, y float64) (u, v float64) {
	d := -2*x + 12*y + 3
	return 4 * x / d, 6 * y / d
}

func planckUV(t Kelvin) (u, v float64) {
	var sx, sy, sz float64
	for i := range cieX {
		e := PlanckRadiance(380+5*float64(i), t)
		sx += e * cieX[i]
		sy += e * cieY[i]
		sz += e * cieZ[i]
	}
	return uv(sx/(sx+sy+sz), sy/(sx+sy+sz))
}
