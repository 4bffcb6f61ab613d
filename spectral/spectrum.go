package spectral

import (
	"fmt"
	"math"
	"slices"
	"sort"

	"example.org/actinic/internal/check"
)

// Outside says what a spectrum is outside its first and last wavelength.
type Outside uint8

const (
	// Refuse makes every use outside the tabulated range an error that wraps
	// [ErrOutside]. It is the zero value: nothing is extrapolated by accident.
	Refuse Outside = iota
	// Zero makes the spectrum nothing outside: a film that is not sensitive
	// there, a band that was cut off.
	Zero
	// Hold keeps the first and last value for ever: a neutral filter, a
	// reflectance that is known to run on.
	Hold
)

// String returns "refuse", "zero" or "hold".
func (o Outside) String() string {
	switch o {
	case Refuse:
		return "refuse"
	case Zero:
		return "zero"
	case Hold:
		return "hold"
	}
	return fmt.Sprintf("Outside(%d)", uint8(o))
}

// Wavelengths that New accepts, in nm. A table in micrometres (0.3 to 14) or in
// thousandths of a nanometre falls outside.
const (
	minNM = 50
	maxNM = 100_000
)

// A Spectrum is a function of wavelength: values at strictly increasing
// wavelengths in nanometres, a straight line between neighbours, and the choice
// of an [Outside]. The zero Spectrum is empty and every use of it is an error.
type Spectrum struct {
	nm, v  []float64
	blocks []block // sums of nm and v, for integrals
	out    Outside
}

// New returns the spectrum with the given values at the given wavelengths in
// nm. Both slices are copied.
//
// There must be at least two wavelengths, from 50 to 100000 nm, strictly
// increasing, each with a finite value. Anything else is an error that wraps
// [ErrInvalid]; a first wavelength below 50 is answered with advice about
// micrometres. Negative values are allowed here, and refused by [NewLight] and
// [SensitivityFromLinear].
func New(nm, values []float64, outside Outside) (Spectrum, error) {
	if len(nm) != len(values) {
		return Spectrum{}, invalid("%d wavelengths but %d values", len(nm), len(values))
	}
	if err := checkGrid(nm); err != nil {
		return Spectrum{}, err
	}
	for i, v := range values {
		if !check.Finite(v) {
			return Spectrum{}, invalid("value at %g nm is %v, give a finite number", nm[i], v)
		}
	}
	if outside > Hold {
		return Spectrum{}, invalid("unknown choice %v for what lies outside", outside)
	}
	return Spectrum{slices.Clone(nm), slices.Clone(values), blocks(nm, values), outside}, nil
}

func checkGrid(nm []float64) error {
	if len(nm) < 2 {
		return invalid("%d wavelengths, a spectrum needs at least two", len(nm))
	}
	for i, w := range nm {
		if !(w >= minNM && w <= maxNM) {
			if w > 0 && w < minNM {
				return invalid("wavelength %g is below %d nm: if the table is in micrometres use FromMicrometres", w, minNM)
			}
			return invalid("wavelength %g is not within %d to %d nm", w, minNM, maxNM)
		}
		if i > 0 && !(w > nm[i-1]) {
			return invalid("wavelength %g nm follows %g nm, sort them and give each once", w, nm[i-1])
		}
	}
	return nil
}

// mustNew is for tables in this package, which the tests check.
func mustNew(nm, v []float64, out Outside) Spectrum {
	s, err := New(nm, v, out)
	if err != nil {
		panic(err)
	}
	return s
}

// Flat returns the spectrum that has one value at every wavelength.
func Flat(value float64) (Spectrum, error) {
	return New([]float64{minNM, maxNM}, []float64{value, value}, Hold)
}

// Grid returns the wavelengths from, from+step, ... up to and including to, in
// nm. The span must be a whole number of steps to within a thousandth of one,
// and no more than ten million of them.
func Grid(from, to, step float64) ([]float64, error) {
	n := math.Round((to - from) / step)
	if !(step > 0 && n >= 1 && n <= 1e7) || !check.Finite(from) {
		return nil, invalid("no grid from %g to %g nm in steps of %g", from, to, step)
	}
	if !(math.Abs(from+n*step-to) <= 1e-3*step) {
		return nil, invalid("%g to %g nm is not a whole number of steps of %g nm", from, to, step)
	}
	g := make([]float64, int(n)+1)
	for i := range g {
		g[i] = from + float64(i)*step
	}
	g[len(g)-1] = to
	return g, checkGrid(g)
}

// FromMicrometres returns a column of wavelengths in micrometres as nanometres.
func FromMicrometres(um []float64) []float64 {
	nm := make([]float64, len(um))
	for i, w := range um {
		nm[i] = w * 1000
	}
	return nm
}

// FromPercent returns a column of percentages as fractions. Nothing is guessed:
// a column that is already a fraction comes out a hundred times too small, so
// look at the table's heading.
func FromPercent(percent []float64) []float64 {
	f := make([]float64, len(percent))
	for i, p := range percent {
		f[i] = p / 100
	}
	return f
}

// FromDensity returns a column of spectral densities as transmittances,
//
//	T = 10^-D
//
// Source: the definition of density.
func FromDensity(density []float64) []float64 {
	t := make([]float64, len(density))
	for i, d := range density {
		t[i] = math.Pow(10, -d)
	}
	return t
}

// At returns the value at a wavelength in nm. Outside the tabulated range it
// follows the spectrum's [Outside]; with Refuse the error wraps [ErrOutside]. A
// wavelength that is not a number is always an error.
func (s Spectrum) At(nm float64) (float64, error) {
	if len(s.nm) == 0 {
		return 0, invalid("the spectrum is empty")
	}
	if math.IsNaN(nm) {
		return 0, invalid("wavelength is not a number")
	}
	if lo, hi := s.Range(); !(nm >= lo && nm <= hi) {
		switch s.out {
		case Zero:
			return 0, nil
		case Hold:
			if nm < lo {
				return s.v[0], nil
			}
			return s.v[len(s.v)-1], nil
		}
		return 0, fmt.Errorf("%w: %g nm, tabulated from %g to %g nm: "+
			"choose WithOutside(Zero) or WithOutside(Hold), or bring more data", ErrOutside, nm, lo, hi)
	}
	return s.inside(nm), nil
}

// inside interpolates; nm is within the range.
func (s Spectrum) inside(nm float64) float64 {
	i := sort.SearchFloat64s(s.nm, nm)
	if s.nm[i] == nm {
		return s.v[i]
	}
	t := (nm - s.nm[i-1]) / (s.nm[i] - s.nm[i-1])
	return s.v[i-1] + t*(s.v[i]-s.v[i-1])
}

// Range returns the first and last tabulated wavelength in nm, zeros for an
// empty spectrum.
func (s Spectrum) Range() (lo, hi float64) {
	if len(s.nm) == 0 {
		return 0, 0
	}
	return s.nm[0], s.nm[len(s.nm)-1]
}

// Len returns the number of knots.
func (s Spectrum) Len() int { return len(s.nm) }

// Same reports whether two spectra are one: they share a table, which nobody can change,
// and what they are outside it. It compares no numbers and costs next to nothing, so that
// what was computed for one can be kept for the other; two spectra that were made
// separately are not the same, however equal.
func (s Spectrum) Same(t Spectrum) bool {
	if len(s.nm) == 0 || len(s.nm) != len(t.nm) {
		return false
	}
	return &s.nm[0] == &t.nm[0] && &s.v[0] == &t.v[0] && s.out == t.out
}

// Wavelengths returns a copy of the tabulated wavelengths in nm.
func (s Spectrum) Wavelengths() []float64 { return slices.Clone(s.nm) }

// Values returns a copy of the tabulated values.
func (s Spectrum) Values() []float64 { return slices.Clone(s.v) }

// Outside returns what the spectrum is outside its range.
func (s Spectrum) Outside() Outside { return s.out }

// WithOutside returns the spectrum with another choice of what it is outside.
func (s Spectrum) WithOutside(o Outside) Spectrum {
	s.out = min(o, Hold)
	return s
}

// Extremes returns the smallest and the largest tabulated value.
func (s Spectrum) Extremes() (lo, hi float64) {
	if len(s.v) == 0 {
		return 0, 0
	}
	return slices.Min(s.v), slices.Max(s.v)
}

// Map returns the spectrum whose value at each knot is f of the wavelength and
// the value there. Between knots the result is again a straight line, so a
// curved f is followed at the knots only; [Spectrum.Follow] follows it everywhere.
func (s Spectrum) Map(f func(nm, value float64) float64) (Spectrum, error) {
	if f == nil {
		return Spectrum{}, invalid("no function to map by")
	}
	v := make([]float64, len(s.v))
	for i := range v {
		v[i] = f(s.nm[i], s.v[i])
	}
	return New(s.nm, v, s.out)
}

// Scale returns the spectrum times k.
func (s Spectrum) Scale(k float64) (Spectrum, error) {
	return s.Map(func(_, v float64) float64 { return k * v })
}

// Clamp returns the spectrum with every value below lo raised to lo and every
// value above hi lowered to hi, and the number of values it changed: the
// deliberate way to take the noise floor of a spectrophotometer out, and to
// know how much was taken.
func (s Spectrum) Clamp(lo, hi float64) (clamped Spectrum, changed int, err error) {
	if !(lo <= hi) {
		return Spectrum{}, 0, invalid("cannot clamp between %g and %g", lo, hi)
	}
	c, err := s.Map(func(_, v float64) float64 {
		w := min(max(v, lo), hi)
		if w != v {
			changed++
		}
		return w
	})
	return c, changed, err
}

// Cut returns the part of the spectrum between two wavelengths in nm, with
// knots at both ends, and nothing ([Zero]) outside. Cutting a film's
// sensitivity short raises the factor of a red filter by far more than one
// would think. A spectrum that is nothing outside its range anyway gets no knots
// there, which would draw a slope where it falls to nothing at once.
func (s Spectrum) Cut(from, to float64) (Spectrum, error) {
	if lo, hi := s.Range(); s.out == Zero && len(s.nm) > 0 && from < to {
		if from >= hi || to <= lo {
			return New([]float64{from, to}, []float64{0, 0}, Zero)
		}
		from, to = max(from, lo), min(to, hi)
	}
	a, err := s.At(from)
	if err != nil {
		return Spectrum{}, err
	}
	b, err := s.At(to)
	if err != nil {
		return Spectrum{}, err
	}
	nm, v := []float64{from}, []float64{a}
	for i, w := range s.nm {
		if w > from && w < to {
			nm, v = append(nm, w), append(v, s.v[i])
		}
	}
	return New(append(nm, to), append(v, b), Zero)
}

// Resample returns the values read at the given wavelengths, as the spectrum
// with those knots. It loses what lies between them: integrals need no common
// grid, so this is for display, for other programs, and for measuring the
// error it makes.
func (s Spectrum) Resample(nm []float64) (Spectrum, error) {
	v := make([]float64, len(nm))
	for i, w := range nm {
		var err error
		if v[i], err = s.At(w); err != nil {
			return Spectrum{}, err
		}
	}
	return New(nm, v, s.out)
}

// PhotonToEnergy returns a sensitivity per photon as sensitivity per unit of
// energy, relative to 550 nm,
//
//	S_energy(λ) = S_photon(λ) · λ / 550
//
// A quantum of energy hc/λ is smaller at a longer wavelength, so there are more
// of them in a joule. Between the knots the product with λ is bent, and is followed to
// 1e-6; a sensitivity is exact, see [SensitivityFromPhotons].
//
// Source: Planck's relation, energy as 1/λ.
func (s Spectrum) PhotonToEnergy() (Spectrum, error) {
	return s.Follow(func(nm, v float64) float64 { return v * nm / 550 })
}

// EnergyToPhoton undoes [Spectrum.PhotonToEnergy].
func (s Spectrum) EnergyToPhoton() (Spectrum, error) {
	return s.Follow(func(nm, v float64) float64 { return v * 550 / nm })
}

// PhotonEnergy returns the energy of one photon, hc/λ, in joule; nm in
// nanometres. With the exact constants of the SI (2019).
func PhotonEnergy(nm float64) float64 {
	return planckH * lightC / (nm * 1e-9)
}

// Exact by definition of the SI, 2019, and CODATA's second radiation constant
// hc/k that follows from them.
const (
	planckH   = 6.62607015e-34
	lightC    = 299792458.0
	boltzmann = 1.380649e-23
	c2        = planckH * lightC / boltzmann // 0.014387768775 m K
)
