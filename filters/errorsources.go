package filters

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"

	"example.org/actinic/internal/check"
	"example.org/actinic/internal/uncert"
	"example.org/actinic/sensito"
	"example.org/actinic/spectral"
)

// FactorMonteCarlo returns the factor with the 95 % interval that n draws of all the
// errors leave it, the same for the same seed: [FactorWithin] without the first
// order. Noise may carry a transmittance below 0 or above 1 in a draw; a draw in which
// nothing gets through counts as an infinite factor. n must be 100 to a million.
func FactorMonteCarlo(film spectral.Sensitivity, light spectral.Light, f Filter, sd Deviations,
	n int, seed uint64) (sensito.Estimate, error) {
	if !(n >= 100 && n <= 1e6) {
		return sensito.Estimate{}, invalid("%d draws, it takes 100 to 1000000", n)
	}
	u, err := newUncertain(film, light, f, sd)
	if err != nil {
		return sensito.Estimate{}, err
	}
	var failed error
	sample := uncert.MonteCarlo(seed, n, func(r *rand.Rand) float64 {
		var changes [3]change
		for _, s := range u.sources {
			c, err := s.draw(r)
			if err != nil {
				failed = err
			}
			changes[s.of].join(c)
		}
		v, err := u.changed(changes)
		if err != nil {
			failed = err
		}
		return v
	})
	if failed != nil {
		return sensito.Estimate{}, failed
	}
	low, high := sample.Interval(0.95)
	return sensito.Estimate{Value: u.factor, Low: low, High: high}, nil
}

// uncertain is a factor with the errors of its spectra.
type uncertain struct {
	film     spectral.Sensitivity
	light    spectral.Light
	filter   Filter
	bare     float64 // ∫ E S
	filtered float64 // ∫ E S T
	factor   float64
	sources  []source
}

// Which spectrum an error belongs to.
const (
	ofFilm = iota
	ofLight
	ofFilter
)

// A source is one kind of error of one spectrum.
type source struct {
	of int
	term
	draw func(r *rand.Rand) (change, error)
}

// A change is what an error does to a spectrum: something is added, it is shifted by
// so many nm, it is scaled.
type change struct {
	add          []spectral.Spectrum
	shift, scale float64
}

func (c *change) join(d change) {
	c.add, c.shift, c.scale = append(c.add, d.add...), c.shift+d.shift, c.scale+d.scale
}

func newUncertain(film spectral.Sensitivity, light spectral.Light, f Filter, sd Deviations) (*uncertain, error) {
	u := &uncertain{film: film, light: light, filter: f}
	var err error
	if u.bare, u.filtered, err = exposures(film, light, f); err != nil {
		return nil, err
	}
	u.factor = u.bare / u.filtered
	for i, d := range []Deviation{sd.Film, sd.Light, sd.Filter} {
		what := [...]string{"film", "light", "filter"}[i]
		if err := d.check(what); err != nil {
			return nil, err
		}
		for _, add := range []func(int, Deviation) error{u.addNoise, u.addZero, u.addScale, u.addShift, u.addCovariance} {
			if err := add(i, d); err != nil {
				return nil, fmt.Errorf("the deviation of the %s: %w", what, err)
			}
		}
	}
	return u, nil
}

// spectra returns one of the three, and the product of the others without and with
// the filter; for the filter there is only the latter.
func (u *uncertain) spectra(of int) (own, bare, filtered []spectral.Spectrum) {
	switch of {
	case ofFilm:
		return u.film.Spectra(), u.light.Spectra(), slices.Concat(u.light.Spectra(), u.filter.parts)
	case ofLight:
		return u.light.Spectra(), u.film.Spectra(), slices.Concat(u.film.Spectra(), u.filter.parts)
	}
	return u.filter.parts, nil, slices.Concat(u.film.Spectra(), u.light.Spectra())
}

// extent returns where a product is tabulated, and whether it goes on beyond.
func extent(parts []spectral.Spectrum) (lo, hi float64, held bool) {
	lo, hi, held = math.Inf(-1), math.Inf(1), true
	for _, s := range parts {
		a, b := s.Range()
		lo, hi, held = max(lo, a), min(hi, b), held && s.Outside() == spectral.Hold
	}
	return lo, hi, held
}

// gradient returns ∂ ln F for errors of one of the spectra at the nodes, straight
// between them; outside the spectrum's table they are what it is.
func (u *uncertain) gradient(of int, nodes []float64, outside spectral.Outside) ([]float64, error) {
	own, bare, filtered := u.spectra(of)
	lo, hi, held := extent(own)
	window, err := spectral.New([]float64{lo, hi}, []float64{1, 1}, spectral.Zero)
	if held {
		window, err = spectral.Flat(1)
	}
	if err != nil {
		return nil, err
	}
	rule, err := spectral.NewQuadrature(nodes, outside, append(filtered, window)...)
	if err != nil {
		return nil, err
	}
	g := rule.Weights()
	for i := range g {
		g[i] /= -u.filtered
	}
	if of == ofFilter {
		return g, nil
	}
	if rule, err = spectral.NewQuadrature(nodes, outside, append(bare, window)...); err != nil {
		return nil, err
	}
	for i, w := range rule.Weights() {
		g[i] += w / u.bare
	}
	return g, nil
}

func (u *uncertain) addZero(of int, d Deviation) error {
	if d.Zero == 0 {
		return nil
	}
	own, _, _ := u.spectra(of)
	lo, hi, _ := extent(own)
	g, err := u.gradient(of, []float64{lo, hi}, spectral.Hold)
	if err != nil {
		return err
	}
	slope := d.Zero * (g[0] + g[1])
	u.sources = append(u.sources, source{of, term{slopes: []float64{slope}}, func(r *rand.Rand) (change, error) {
		z := d.Zero * r.NormFloat64()
		s, err := spectral.New([]float64{lo, hi}, []float64{z, z}, spectral.Hold)
		return change{add: []spectral.Spectrum{s}}, err
	}})
	return nil
}

func (u *uncertain) addScale(of int, d Deviation) error {
	if d.Scale == 0 {
		return nil
	}
	slope := 0.0
	if of == ofFilter {
		slope = -d.Scale
	}
	u.sources = append(u.sources, source{of, term{slopes: []float64{slope}}, func(r *rand.Rand) (change, error) {
		return change{scale: d.Scale * r.NormFloat64()}, nil
	}})
	return nil
}

func (u *uncertain) addShift(of int, d Deviation) error {
	if d.Wavelength == 0 {
		return nil
	}
	var f [2]float64
	for i, by := range []float64{d.Wavelength, -d.Wavelength} {
		var c [3]change
		c[of].shift = by
		var err error
		if f[i], err = u.changed(c); err != nil {
			return err
		}
	}
	slope := (math.Log(f[0]) - math.Log(f[1])) / 2
	if !check.Finite(slope) {
		return invalid("a shift by %g nm leaves the film no light", d.Wavelength)
	}
	u.sources = append(u.sources, source{of, term{slopes: []float64{slope}}, func(r *rand.Rand) (change, error) {
		return change{shift: d.Wavelength * r.NormFloat64()}, nil
	}})
	return nil
}

// addNoise puts noise that is alike over a distance on a grid of its own, an eighth
// of that distance fine, so that the grid of the spectrum does not matter.
func (u *uncertain) addNoise(of int, d Deviation) error {
	if d.Noise.Len() == 0 {
		return nil
	}
	length := d.Correlation
	if length == 0 {
		length = 10
	}
	own, _, _ := u.spectra(of)
	lo, hi, _ := extent(own)
	a, b, _ := extent(slices.Concat(u.film.Spectra(), u.light.Spectra()))
	if a < hi && b > lo { // beyond film and light nothing counts
		lo, hi = max(lo, a), min(hi, b)
	}
	n := int(min(max(math.Ceil((hi-lo)/(length/8)), 1), 20000))
	nodes, sd := make([]float64, n+1), make([]float64, n+1)
	for i := range nodes {
		nodes[i] = lo + (hi-lo)*float64(i)/float64(n)
	}
	nodes[n] = hi
	for i, l := range nodes {
		var err error
		if sd[i], err = d.Noise.At(l); err != nil {
			return err
		}
	}
	g, err := u.gradient(of, nodes, spectral.Hold)
	if err != nil {
		return err
	}
	keep := math.Exp(-(nodes[1] - nodes[0]) / length)
	for i := range g {
		g[i] *= sd[i]
	}
	u.sources = append(u.sources, source{of, term{slopes: g, keep: keep}, func(r *rand.Rand) (change, error) {
		v, z := make([]float64, len(nodes)), r.NormFloat64()
		for i := range v {
			if i > 0 {
				z = keep*z + math.Sqrt(1-keep*keep)*r.NormFloat64()
			}
			v[i] = sd[i] * z
		}
		s, err := spectral.New(nodes, v, spectral.Hold)
		return change{add: []spectral.Spectrum{s}}, err
	}})
	return nil
}

func (u *uncertain) addCovariance(of int, d Deviation) error {
	n := len(d.Nodes)
	if n == 0 {
		return nil
	}
	g, err := u.gradient(of, d.Nodes, spectral.Zero)
	if err != nil {
		return err
	}
	flat := slices.Concat(d.Covariance...)
	largest := 0.0
	for i := range n {
		largest = max(largest, flat[i*n+i])
	}
	given := slices.Clone(flat)
	for i := range n { // that of smooth errors is singular, to rounding
		flat[i*n+i] += 1e-9 * largest
	}
	factor, ok := uncert.NewFactor(flat, n)
	if !ok {
		return invalid("the covariance is none: it is not positive")
	}
	zero := make([]float64, n)
	u.sources = append(u.sources, source{of, term{slopes: g, covariance: given}, func(r *rand.Rand) (change, error) {
		v, scratch := make([]float64, n), make([]float64, n)
		factor.Draw(r, zero, v, scratch)
		s, err := spectral.New(d.Nodes, v, spectral.Zero)
		return change{add: []spectral.Spectrum{s}}, err
	}})
	return nil
}

// changed returns the factor with changed spectra, +Inf where nothing gets through.
func (u *uncertain) changed(c [3]change) (float64, error) {
	var parts [3][]spectral.Spectrum
	for of := range parts {
		own, _, _ := u.spectra(of)
		var err error
		if parts[of], err = c[of].apply(own); err != nil {
			return 0, err
		}
	}
	if c[ofFilm].shift != 0 || c[ofLight].shift != 0 || c[ofFilter].shift != 0 {
		bareEnds(parts[:])
	}
	bare, err := spectral.Integral(slices.Concat(parts[ofFilm], parts[ofLight])...)
	if err != nil {
		return 0, err
	}
	filtered, err := spectral.Integral(slices.Concat(parts[:]...)...)
	if err != nil {
		return 0, err
	}
	if !(filtered > 0 && bare > 0) {
		return math.Inf(1), nil
	}
	return bare / filtered, nil
}

// bareEnds lets spectra be asked a little beyond their tables, where a shift laid the
// ends of others bare: the end value is held, or, if nothing would bound the integral
// then, there is nothing.
func bareEnds(parts [][]spectral.Spectrum) {
	outside := spectral.Zero
	for _, s := range slices.Concat(parts[ofFilm], parts[ofLight]) {
		if s.Outside() == spectral.Zero {
			outside = spectral.Hold
		}
	}
	for _, list := range parts {
		for i, s := range list {
			if s.Outside() == spectral.Refuse {
				list[i] = s.WithOutside(outside)
			}
		}
	}
}

// apply returns the spectra with the change made. Where something is added they
// become one, which has all the knots and, if it was a product, one every nanometre.
func (c change) apply(parts []spectral.Spectrum) ([]spectral.Spectrum, error) {
	out := slices.Clone(parts)
	var err error
	if c.scale != 0 {
		if out[0], err = out[0].Scale(1 + c.scale); err != nil {
			return nil, err
		}
	}
	if len(c.add) > 0 {
		one, err := c.sum(out)
		if err != nil {
			return nil, err
		}
		out = []spectral.Spectrum{one}
	}
	if c.shift == 0 {
		return out, nil
	}
	for i, s := range out {
		if lo, hi := s.Extremes(); lo == hi && s.Outside() == spectral.Hold {
			continue // a neutral one is the same everywhere
		}
		nm := s.Wavelengths()
		for j := range nm {
			nm[j] += c.shift
		}
		if out[i], err = spectral.New(nm, s.Values(), s.Outside()); err != nil {
			return nil, err
		}
	}
	return out, nil
}

func (c change) sum(parts []spectral.Spectrum) (spectral.Spectrum, error) {
	lo, hi, held := extent(parts)
	knots := []float64{lo, hi}
	for _, s := range slices.Concat(parts, c.add) {
		knots = append(knots, s.Wavelengths()...)
	}
	if len(parts) > 1 {
		for l := math.Ceil(lo); l < hi && len(knots) < 1e5; l++ {
			knots = append(knots, l)
		}
	}
	slices.Sort(knots)
	knots = slices.DeleteFunc(slices.Compact(knots), func(l float64) bool { return !(l >= lo && l <= hi) })
	v := make([]float64, len(knots))
	for i, l := range knots {
		v[i] = 1
		for _, s := range parts {
			x, err := s.At(l)
			if err != nil {
				return spectral.Spectrum{}, err
			}
			v[i] *= x
		}
		for _, s := range c.add {
			x, err := s.At(l)
			if err != nil {
				return spectral.Spectrum{}, err
			}
			v[i] += x
		}
	}
	outside := spectral.Zero
	if held {
		outside = spectral.Hold
	} else if len(parts) == 1 {
		outside = parts[0].Outside()
	}
	return spectral.New(knots, v, outside)
}
