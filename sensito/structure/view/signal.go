package view

import (
	"fmt"
	"math"

	"example.org/actinic/internal/check"
	"example.org/actinic/internal/root"
	"example.org/actinic/sensito"
)

// Film is a film's characteristic curve with its granularity by density, in one aperture.
type Film struct {
	Curve sensito.Curve
	// SD is the granularity, in the aperture that figures are to be of.
	SD func(sensito.Density) (float64, error)
}

// Signal is what a uniform exposure is worth in the film's aperture.
type Signal struct {
	LogH     sensito.LogH
	Density  sensito.Density
	Gradient float64 // dD/dlog10 H
	SD       float64 // of density
	// ToNoise is the exposure over its standard deviation, log10(e) g/sd.
	ToNoise float64
	// NoiseEquivalent is the difference of log10 H that makes as much density as the grain's
	// standard deviation, sd/g; +Inf where the curve is flat.
	NoiseEquivalent float64
}

// At returns the signal at an exposure. Errors are those of the curve and of the granularity.
func (f Film) At(x sensito.LogH) (Signal, error) {
	s := Signal{LogH: x}
	if f.Curve == nil || f.SD == nil {
		return s, check.Errorf(ErrInput, "a film without curve or granularity")
	}
	var err error
	if s.Density, err = f.Curve.Density(x); err != nil {
		return s, err
	}
	if s.Gradient, err = f.Curve.Slope(x); err != nil {
		return s, err
	}
	if s.SD, err = f.SD(s.Density); err != nil {
		return s, fmt.Errorf("at log10 H of %v: %w", x, err)
	}
	if !(s.SD > 0) || !check.Finite(s.SD, s.Gradient) {
		return s, check.Errorf(ErrInput, "a granularity of %v and a gradient of %v at a density of %.3g", s.SD, s.Gradient, float64(s.Density))
	}
	s.ToNoise = math.Log10E * s.Gradient / s.SD
	s.NoiseEquivalent = s.SD / s.Gradient
	return s, nil
}

// Contrast returns the difference of density that a small difference of exposure makes, over
// the grain's standard deviation: g·step/sd.
func (s Signal) Contrast(step sensito.Stops) float64 { return s.Gradient * step.Log10() / s.SD }

// scanned is the number of exposures at which a curve is looked at.
const scanned = 400

// Range is the exposures between which a signal to noise is at least so much.
type Range struct {
	From, To sensito.LogH
	// FromOpen and ToOpen say that the signal is still above it where curve or granularity end.
	FromOpen, ToOpen bool
}

// Range returns the exposures between which the signal to noise is at least so much, the widest
// run of them. The error wraps [ErrNotReached] where it nowhere is.
func (f Film) Range(least float64) (r Range, err error) {
	if f.Curve == nil || f.SD == nil || !(least > 0) {
		return r, check.Errorf(ErrInput, "a signal to noise of %v", least)
	}
	lo, hi := f.Curve.Domain()
	above := func(x float64) float64 {
		s, err := f.At(sensito.LogH(x))
		if err != nil {
			return -least
		}
		return s.ToNoise - least
	}
	open := func(x float64) bool { // beside an end that is no crossing nothing is known
		s, err := f.At(sensito.LogH(x))
		return err != nil || math.Abs(s.ToNoise-least) > 1e-6*least
	}
	best, begin, inside := 0.0, 0.0, false
	last := float64(lo)
	for i := range scanned + 1 {
		x := min(float64(lo)+(float64(hi)-float64(lo))*float64(i)/scanned, float64(hi))
		now := above(x) >= 0
		switch {
		case now && !inside:
			begin = x
			if i > 0 {
				begin = crossing(above, last, x)
			}
		case inside && (!now || i == scanned):
			end := x
			if !now {
				end = crossing(above, last, x)
			}
			if end-begin > best {
				best, r = end-begin, Range{sensito.LogH(begin), sensito.LogH(end), open(begin), open(end)}
			}
		}
		inside, last = now, x
	}
	if best == 0 {
		return r, check.Errorf(ErrNotReached, "a signal to noise of %v", least)
	}
	return r, nil
}

// crossing halves the way between two places on either side of 0.
func crossing(f func(float64) float64, a, b float64) float64 {
	up := f(a) < 0
	for range 60 {
		if m := (a + b) / 2; (f(m) < 0) == up {
			a = m
		} else {
			b = m
		}
	}
	return (a + b) / 2
}

// Index returns the index to set for shadows that are to have a signal to noise:
//
//	EI = 0.8/H
//
// H being where the signal to noise first is so much: the relation of ISO 6 between speed and
// speed point, with the grain in the place of the fixed density. It is a convention of ours,
// no speed of a standard, and names how far a film is to be slowed down for clean shadows. The error
// is that of [Film.Range], and wraps [ErrNotReached] where the signal is above it down to the
// thinnest density whose granularity is known.
func (f Film) Index(least float64) (float64, error) {
	r, err := f.Range(least)
	if err != nil {
		return 0, err
	}
	if r.FromOpen {
		return 0, check.Errorf(ErrNotReached, "the signal to noise is above %v down to log10 H of %v, where curve or granularity end; measure thinner patches", least, r.From)
	}
	return 0.8 / math.Pow(10, float64(r.From)), nil
}

// NoiseEquivalentQuanta returns the quanta per µm² that a perfect detector would need for the signal
// to noise that a film has at a frequency:
//
//	NEQ = (log10(e) g)² M²/W
//
// from gradient, response and noise power in density² µm². Source: Shaw, and Zweig, as
// derived. The error wraps [ErrInput].
func NoiseEquivalentQuanta(gradient, response, power float64) (float64, error) {
	v := math.Log10E * gradient * response
	if !(power > 0) || !check.Finite(v, power) {
		return 0, check.Errorf(ErrInput, "gradient %v, response %v, noise power %v", gradient, response, power)
	}
	return v * v / power, nil
}

// QuantaPerLuxSecond is how many quanta of 555 nm per µm² are 1 lx s, at 683 lm/W:
// 1e-12 m² / (683 h c / 555 nm). Computed from h = 6.62607015e-34 J s, c = 299792458 m/s (SI).
const QuantaPerLuxSecond = 1e-12 / 683 * 555e-9 / (6.62607015e-34 * 299792458)

// CountedQuanta returns the share of quanta that grains are worth which need so many each, hit
// by x on the average, and are counted:
//
//	DQE = x p²/(P (1 - P)),   P = Poisson(>= q),   p = exp(-x) x^(q-1)/(q-1)!
//
// Derived. It is x/(exp(x) - 1) for q = 1. The error wraps [ErrInput] for q beyond 1 to 100 and x
// not above 0.
//
// Source: the definition of the detective quantum efficiency (R. Shaw, from memory) with
// Poisson's law.
func CountedQuanta(q int, x float64) (float64, error) {
	if q < 1 || q > 100 || !(x > 0) || x > 700 {
		return 0, check.Errorf(ErrInput, "%d quanta a grain, and %v that hit it", q, x)
	}
	term, less := math.Exp(-x), 0.0
	for k := 1; k < q; k++ {
		less += term
		term *= x / float64(k)
	}
	less += term // term is that of q - 1
	return x * term * term / ((1 - less) * less), nil
}

// BestQuanta returns the hits a grain at which [CountedQuanta] is greatest, and that.
func BestQuanta(q int) (x, share float64, err error) {
	if _, err := CountedQuanta(q, 1); err != nil {
		return 0, 0, err
	}
	slope := func(x float64) float64 {
		a, _ := CountedQuanta(q, x*(1+1e-5))
		b, _ := CountedQuanta(q, x*(1-1e-5))
		return a - b
	}
	if q == 1 { // it rises towards no hits at all
		return 0, 1, nil
	}
	if x, err = root.Find(slope, 0.05*float64(q), 3*float64(q)); err != nil {
		return 0, 0, err
	}
	share, err = CountedQuanta(q, x)
	return x, share, err
}
