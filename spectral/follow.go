package spectral

import (
	"math"

	"example.org/actinic/internal/check"
)

// How closely straight lines follow a curve between knots, as a part of the larger
// value at the ends of a line; how often a line is halved for it; and how many knots
// that may make.
const (
	followTo    = 1e-6
	halvings    = 12
	mostFollows = 2_000_000
)

// follow returns knots and values of a curve f, with knots added between the given
// ones, halving by halving, until straight lines follow the curve to 1e-6 of the larger
// value beside them. It looks at the quarters of each line.
func follow(knots []float64, f func(nm float64) (float64, error)) (nm, v []float64, err error) {
	at := func(l float64) float64 {
		x, e := f(l)
		if e == nil && !check.Finite(x) {
			e = invalid("value at %g nm is %v", l, x)
		}
		if e != nil && err == nil {
			err = e
		}
		return x
	}
	var between func(a, fa, b, fb float64, depth int)
	between = func(a, fa, b, fb float64, depth int) {
		m := (a + b) / 2
		if depth == 0 || err != nil || len(nm) > mostFollows || !(a < m && m < b) {
			return
		}
		fm := at(m)
		worst := math.Abs(fm - (fa+fb)/2)
		for _, q := range []float64{.25, .75} {
			worst = max(worst, math.Abs(at(a+q*(b-a))-(fa+q*(fb-fa))))
		}
		if worst <= followTo*max(math.Abs(fa), math.Abs(fb), math.Abs(fm)) {
			return
		}
		between(a, fa, m, fm, depth-1)
		nm, v = append(nm, m), append(v, fm)
		between(m, fm, b, fb, depth-1)
	}
	for i, l := range knots {
		fl := at(l)
		if i > 0 {
			between(knots[i-1], v[len(v)-1], l, fl, halvings)
		}
		nm, v = append(nm, l), append(v, fl)
	}
	return nm, v, err
}

// Follow returns the spectrum whose value at every wavelength is f of the wavelength
// and the value there, where [Spectrum.Map] has that at the knots only: knots are added
// until straight lines follow f to 1e-6 of the larger value beside them, at most 4096
// for each there was. A jump of f is followed no further.
func (s Spectrum) Follow(f func(nm, value float64) float64) (Spectrum, error) {
	if f == nil {
		return Spectrum{}, invalid("no function to map by")
	}
	if len(s.nm) == 0 {
		return Spectrum{}, invalid("the spectrum is empty")
	}
	nm, v, err := follow(s.nm, func(l float64) (float64, error) { return f(l, s.inside(l)), nil })
	if err != nil {
		return Spectrum{}, err
	}
	return New(nm, v, s.out)
}
