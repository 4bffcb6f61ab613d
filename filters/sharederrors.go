package filters

import (
	"math"

	"gonum.org/v1/gonum/mat"

	"example.org/actinic/spectral"
)

// sharedCovariance returns the covariance of ln F of several filters, from errors that all
// of them have in common: of the light that the film was read in, and of the instrument
// that all the filters were measured with. Each error counts with its own slope in each
// factor,
//
//	cov(ln F_k, ln F_l) = Σ s_k s_l
//
// over the zero line, the 100 % line, the wavelengths, and for the light the noise,
//
//	Σ_i Σ_j a_ki a_lj exp(-|λ_i - λ_j| / Correlation),  a_ki = ∂ ln F_k / ∂ E(λ_i) s(λ_i)
//
// and a covariance at nodes. Noise of filters is each filter's own and is left out.
//
// Source: JCGM 100:2008, 5.2, correlated input quantities.
func sharedCovariance(film spectral.Sensitivity, light spectral.Light, set []Filter, ofTheLight, ofFilters Deviation) (*mat.SymDense, error) {
	ofFilters.Noise, ofFilters.Nodes, ofFilters.Covariance = spectral.Spectrum{}, nil, nil
	m := len(set)
	total := mat.NewSymDense(m, nil)
	var terms [][]term
	for _, f := range set {
		u, err := newUncertain(film, light, f, Deviations{Light: ofTheLight, Filter: ofFilters})
		if err != nil {
			return nil, err
		}
		var of []term
		for _, s := range u.sources {
			of = append(of, s.term)
		}
		terms = append(terms, of)
	}
	for k := range terms {
		for l := k; l < m; l++ {
			sum := 0.0
			for s := range terms[k] {
				sum += terms[k][s].with(terms[l][s])
			}
			total.SetSym(k, l, sum)
		}
	}
	return total, nil
}

// A term is what an error does to ln F to first order: slopes against errors of unit
// variance that go together by keep from one to the next, or by a covariance.
type term struct {
	slopes     []float64
	keep       float64
	covariance []float64 // by rows; nil unless it is given
}

// with is the covariance of two factors by one error.
func (t term) with(o term) float64 {
	n := len(t.slopes)
	sum := 0.0
	if t.covariance != nil {
		for i, a := range t.slopes {
			for j, b := range o.slopes {
				sum += a * t.covariance[i*n+j] * b
			}
		}
		return sum
	}
	// Σ_i Σ_j a_i b_j keep^|i-j| in one pass: before and after each i.
	beforeA, beforeB := 0.0, 0.0
	for i := range n {
		beforeA, beforeB = beforeA*t.keep, beforeB*t.keep
		sum += t.slopes[i]*o.slopes[i] + t.slopes[i]*beforeB + o.slopes[i]*beforeA
		beforeA, beforeB = beforeA+t.slopes[i], beforeB+o.slopes[i]
	}
	return sum
}

// variance is that of one factor.
func (t term) variance() float64 { return math.Max(t.with(t), 0) }
