package spectral

import (
	"math"
	"slices"
)

func sortedUnique(nm []float64) []float64 {
	slices.Sort(nm)
	return slices.Compact(nm)
}

// join returns the spectrum with further knots, which do not change it inside
// its range. Knots outside are given the value there.
func (s Spectrum) join(nm []float64) (Spectrum, error) {
	all := sortedUnique(append(s.Wavelengths(), nm...))
	v := make([]float64, len(all))
	for i, w := range all {
		var err error
		if v[i], err = s.At(w); err != nil {
			return Spectrum{}, err
		}
	}
	return New(all, v, s.out)
}

// absoluteDifference returns |s - f| from..to, zero outside, for f linear
// between the knots of s; knots are added where the difference changes sign, so
// the result is exactly piecewise linear.
func (s Spectrum) absoluteDifference(f func(nm float64) float64, from, to float64) (Spectrum, error) {
	const sliver = 1e-9 // nm, the width of the jump at an end of a Zero spectrum
	lo, hi := s.Range()
	knots := append(s.Wavelengths(), from, to)
	if s.out == Zero {
		knots = append(knots, lo-sliver, hi+sliver)
	}
	slices.Sort(knots)
	var nm, d []float64
	for _, w := range knots {
		if w < from || w > to || len(nm) > 0 && w <= nm[len(nm)-1] {
			continue
		}
		x, err := s.At(w)
		if err != nil {
			return Spectrum{}, err
		}
		e := x - f(w)
		if n := len(nm); n > 0 && d[n-1]*e < 0 {
			if c := nm[n-1] + (w-nm[n-1])*d[n-1]/(d[n-1]-e); c > nm[n-1] && c < w {
				nm, d = append(nm, c), append(d, 0)
			}
		}
		nm, d = append(nm, w), append(d, e)
	}
	for i := range d {
		d[i] = math.Abs(d[i])
	}
	return New(nm, d, Zero)
}
