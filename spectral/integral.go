package spectral

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/integrate/quad"

	"example.org/actinic/internal/check"
)

// Integral returns the integral over wavelength of the product of spectra,
//
//	∫ s1(λ) s2(λ) ... sk(λ) dλ
//
// in the product of their units times nm. It is exact, to rounding, for the
// piecewise-linear functions that the spectra are: between neighbouring knots
// of the union of all grids the product is a polynomial of degree k, and Simpson's
// rule for up to three spectra, Gauss-Legendre quadrature with half as many points for
// more, integrates it exactly.
//
// The range of integration is where every [Zero] spectrum lives. If there is
// none, it is the whole range of the [Refuse] spectra. [Hold] spectra never
// bound it. A Refuse spectrum that does not reach across the range, where the
// others are not zero, is an error that wraps [ErrOutside]; Zero spectra
// without a common wavelength one that wraps [ErrDisjoint]; nothing but Hold
// spectra one that wraps [ErrInvalid], because the integral would be infinite.
func Integral(spectra ...Spectrum) (float64, error) {
	return integrate(spectra, 0, nil)
}

// Mean returns the mean of a spectrum weighted by the product of others,
//
//	∫ s w1 w2 ... dλ / ∫ w1 w2 ... dλ
//
// over the range of the weights. A weight whose integral is zero is an error.
func Mean(s Spectrum, weights ...Spectrum) (float64, error) {
	b, err := Integral(weights...)
	if err != nil {
		return 0, err
	}
	lo, hi, err := span(weights)
	if err != nil {
		return 0, err
	}
	if !(lo < hi) {
		return ratio(0, b)
	}
	window, err := New([]float64{lo, hi}, []float64{1, 1}, Zero)
	if err != nil {
		return 0, err
	}
	a, err := Integral(append([]Spectrum{s, window}, weights...)...)
	if err != nil {
		return 0, err
	}
	return ratio(a, b)
}

// Centroid returns the mean wavelength of a product in nm,
//
//	λ̄ = ∫ λ P dλ / ∫ P dλ
//
// With a light and a sensitivity as arguments it is the energy-weighted centre
// of what the film records.
//
// Source: the definition of a mean weighted by the spectra.
func Centroid(spectra ...Spectrum) (float64, error) {
	return moments(spectra, 1, func(l float64) float64 { return l }, 0, nil)
}

// PhotonCentroid returns the mean wavelength counted in photons, in nm,
//
//	∫ λ² P dλ / ∫ λ P dλ
//
// which synthetic photometry calls the effective wavelength. For a film in
// daylight it lies about 11 nm above [Centroid].
func PhotonCentroid(spectra ...Spectrum) (float64, error) {
	return moments(spectra, 2, func(l float64) float64 { return l * l },
		1, func(l float64) float64 { return l })
}

// Pivot returns the pivot wavelength of a product in nm,
//
//	λp = sqrt(∫ λ P dλ / ∫ P/λ dλ)
//
// The second integral is not of a polynomial; it is taken to rounding with
// enough Gauss points for the pole at λ = 0. The definition is that of the photometry of
// stars, from memory.
func Pivot(spectra ...Spectrum) (float64, error) {
	q, err := moments(spectra, 1, func(l float64) float64 { return l },
		rational, func(l float64) float64 { return 1 / l })
	return math.Sqrt(q), err
}

// LogCentroid returns the logarithmic mean wavelength of a product in nm,
//
//	exp(∫ P ln λ / λ dλ / ∫ P/λ dλ)
func LogCentroid(spectra ...Spectrum) (float64, error) {
	q, err := moments(spectra, rational, func(l float64) float64 { return math.Log(l) / l },
		rational, func(l float64) float64 { return 1 / l })
	if err != nil {
		return 0, err
	}
	return math.Exp(q), nil
}

// RMSWidth returns the root-mean-square width of a product about its centroid,
// in nm,
//
//	sqrt(∫ (λ - λ̄)² P dλ / ∫ P dλ)
func RMSWidth(spectra ...Spectrum) (float64, error) {
	c, err := Centroid(spectra...)
	if err != nil {
		return 0, err
	}
	q, err := moments(spectra, 2, func(l float64) float64 { return (l - c) * (l - c) }, 0, nil)
	return math.Sqrt(q), err
}

// EquivalentWidth returns the width in nm of the rectangle that has the area of
// the spectrum and the height of its largest value,
//
//	∫ s dλ / max s
//
// Where the peak is 1, as in a relative sensitivity, it is the integral itself.
func EquivalentWidth(s Spectrum) (float64, error) {
	a, err := Integral(s)
	if err != nil {
		return 0, err
	}
	_, peak := s.Extremes()
	return ratio(a, peak)
}

func ratio(a, b float64) (float64, error) {
	if !(b != 0) || !check.Finite(a/b) {
		return 0, invalid("the weight integrates to %g, there is nothing to divide by", b)
	}
	return a / b, nil
}

func moments(s []Spectrum, n1 int, f1 func(float64) float64, n2 int, f2 func(float64) float64) (float64, error) {
	a, err := integrate(s, n1, f1)
	if err != nil {
		return 0, err
	}
	b, err := integrate(s, n2, f2)
	if err != nil {
		return 0, err
	}
	return ratio(a, b)
}

// rational stands, as the degree of a weight, for 1/λ and ln λ/λ: analytic but
// no polynomials. On a segment from a to b the error of an n-point Gauss rule
// falls as r^(-2n), r the sum of the half axes of the largest ellipse that keeps
// clear of the pole; with b/a at most 1.5 r is 9.9, and ten points more than
// the polynomial needs leave 1e-20.
const rational = -1

// segments calls f for each Gauss point of each segment of the union of knots of
// s and grid between lo and hi, with the weight of the point and the product of
// the spectra there. j is the index of the grid segment, 0 when grid is nil.
func segments(s []Spectrum, grid []float64, degree int, lo, hi float64, f func(j int, nm, wp float64)) {
	k := len(s) + max(degree, 0)
	n := k/2 + 1
	if degree == rational {
		n += 10
	}
	var xs, ws [24]float64
	x, w := gauss(n, xs[:0], ws[:0])

	var at [8]int
	cur := at[:0]
	for _, p := range s {
		cur = append(cur, locate(p.nm, lo))
	}
	j := locate(grid, lo)
	a := lo
	for a < hi {
		b := hi
		for i, p := range s {
			if c := cur[i]; c < len(p.nm) && p.nm[c] < b {
				b = p.nm[c]
			}
		}
		if j < len(grid) && grid[j] < b {
			b = grid[j]
		}
		if degree == rational && b > 1.5*a {
			b = 1.5 * a
		}
		for q := range x {
			// Written so that the points stay inside, however short the segment.
			l := a + (b-a)*x[q]
			p := (b - a) * w[q]
			for i := range s {
				p *= s[i].segment(cur[i], l)
			}
			f(j, l, p)
		}
		for i, p := range s {
			if c := cur[i]; c < len(p.nm) && p.nm[c] == b {
				cur[i]++
			}
		}
		if j < len(grid) && grid[j] == b {
			j++
		}
		a = b
	}
}

// locate returns the index of the first knot above x.
func locate(nm []float64, x float64) int {
	lo, hi := 0, len(nm)
	for lo < hi {
		if m := (lo + hi) / 2; nm[m] > x {
			hi = m
		} else {
			lo = m + 1
		}
	}
	return lo
}

// segment is the value at l, which lies below knot c and not below knot c-1;
// c may be 0 or Len, where the end value holds.
func (s *Spectrum) segment(c int, l float64) float64 {
	switch c {
	case 0:
		return s.v[0]
	case len(s.nm):
		return s.v[c-1]
	}
	a, b := s.nm[c-1], s.nm[c]
	return s.v[c-1] + (l-a)/(b-a)*(s.v[c]-s.v[c-1])
}

// gauss returns the points and weights of Gauss-Legendre quadrature on 0 to 1.
func gauss(n int, x, w []float64) ([]float64, []float64) {
	switch n {
	case 1:
		return append(x, 0.5), append(w, 1)
	case 2:
		d := 0.5 / math.Sqrt(3)
		return append(x, 0.5-d, 0.5+d), append(w, 0.5, 0.5)
	case 3:
		d := 0.5 * math.Sqrt(0.6)
		return append(x, 0.5-d, 0.5, 0.5+d), append(w, 5./18, 8./18, 5./18)
	}
	if n > cap(x) {
		x, w = make([]float64, n), make([]float64, n)
	}
	x, w = x[:n], w[:n]
	quad.Legendre{}.FixedLocations(x, w, 0, 1)
	return x, w
}

func integrate(s []Spectrum, degree int, weight func(float64) float64) (float64, error) {
	lo, hi, err := span(s)
	if err != nil {
		return 0, err
	}
	sum := 0.0
	if weight == nil && len(s) >= 2 && len(s) <= quickFactor {
		if sum = quick(s, lo, hi); !check.Finite(sum) {
			return 0, invalid("the integral overflows, scale the spectra")
		}
		return sum, nil
	}
	segments(s, nil, degree, lo, hi, func(_ int, l, wp float64) {
		if weight != nil {
			wp *= weight(l)
		}
		sum += wp
	})
	if !check.Finite(sum) {
		return 0, invalid("the integral overflows, scale the spectra")
	}
	return sum, nil
}

// span returns the range over which a product is integrated; see Integral.
func span(s []Spectrum) (lo, hi float64, err error) {
	if len(s) == 0 {
		return 0, 0, invalid("no spectrum to integrate")
	}
	rawLo, rawHi := math.Inf(-1), math.Inf(1) // ranges of the Zero spectra
	lo, hi = rawLo, rawHi                     // the same without zeros at their ends
	zeros, refuses := 0, 0
	for _, p := range s {
		if len(p.nm) == 0 {
			return 0, 0, invalid("the spectrum is empty")
		}
		switch p.out {
		case Zero:
			zeros++
			a, b := p.Range()
			rawLo, rawHi = max(rawLo, a), min(rawHi, b)
			a, b = p.support()
			lo, hi = max(lo, a), min(hi, b)
		case Refuse:
			refuses++
		}
	}
	if zeros == 0 && refuses == 0 {
		return 0, 0, invalid("every spectrum holds its end values for ever, the integral has no limits: cut one of them")
	}
	if zeros == 0 {
		lo, hi = math.Inf(1), math.Inf(-1)
		for _, p := range s {
			if p.out == Refuse {
				a, b := p.Range()
				lo, hi = min(lo, a), max(hi, b)
			}
		}
	} else if !(rawLo < rawHi) {
		return 0, 0, fmt.Errorf("%w: one begins at %g nm, another ends at %g nm", ErrDisjoint, rawLo, rawHi)
	} else if lo >= hi {
		return lo, lo, nil // they overlap, but the product is nothing
	}
	for _, p := range s {
		if a, b := p.Range(); p.out == Refuse && !(a <= lo && b >= hi) {
			if !(a < hi && b > lo) {
				return 0, 0, fmt.Errorf("%w: %g to %g nm and %g to %g nm", ErrDisjoint, a, b, lo, hi)
			}
			return 0, 0, fmt.Errorf("%w: a spectrum has %g to %g nm, the integral runs from %g to %g nm: "+
				"choose WithOutside(Zero) or WithOutside(Hold), or cut the others", ErrOutside, a, b, lo, hi)
		}
	}
	return lo, hi, nil
}

// support returns the range outside which a Zero spectrum is nothing.
func (s Spectrum) support() (lo, hi float64) {
	i, j := 0, len(s.v)-1
	for i < j && s.v[i] == 0 {
		i++
	}
	for j > i && s.v[j] == 0 {
		j--
	}
	return s.nm[max(i-1, 0)], s.nm[min(j+1, len(s.v)-1)]
}
