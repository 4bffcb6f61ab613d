package spectral

import (
	"fmt"
	"slices"
)

// product is a function of wavelength made of several spectra multiplied. It is
// kept as its factors so that integrals of it stay exact.
type product struct{ parts []Spectrum }

func newProduct(what, hint string, parts []Spectrum) (product, error) {
	if len(parts) == 0 {
		return product{}, invalid("a %s of no spectra", what)
	}
	for _, p := range parts {
		if len(p.nm) == 0 {
			return product{}, invalid("the spectrum of the %s is empty", what)
		}
		lo, hi := p.Extremes()
		if !(lo >= 0) {
			return product{}, invalid("the %s has the value %g: %s", what, lo, hint)
		}
		if !(hi > 0) {
			return product{}, invalid("the %s is zero everywhere", what)
		}
	}
	return product{slices.Clone(parts)}, nil
}

// same reports whether two products share the tables of their spectra, one by one.
func (p product) same(q product) bool { return slices.EqualFunc(p.parts, q.parts, Spectrum.Same) }

func (p product) at(nm float64) (float64, error) {
	if len(p.parts) == 0 {
		return 0, invalid("the spectrum is empty")
	}
	v := 1.0
	for _, s := range p.parts {
		x, err := s.At(nm)
		if err != nil {
			return 0, err
		}
		v *= x
	}
	return v, nil
}

func (p product) outside(o Outside) product {
	q := slices.Clone(p.parts)
	for i := range q {
		q[i] = q[i].WithOutside(o)
	}
	return product{q}
}

// single returns the product as one spectrum if it is one.
func (p product) single(what string) (Spectrum, error) {
	switch len(p.parts) {
	case 0:
		return Spectrum{}, invalid("the %s is empty", what)
	case 1:
		return p.parts[0], nil
	}
	return Spectrum{}, fmt.Errorf("%w: the %s is a product of %d spectra, sample it first", ErrInvalid, what, len(p.parts))
}
