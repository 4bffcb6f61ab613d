package view

import (
	"math"

	"example.org/actinic/internal/check"
)

// Eye weighs frequencies in cycles per degree as one of several published curves has it. They
// differ, and an acutance is worth nothing without the name of the eye.
type Eye struct {
	name     string
	weight   func(v float64) float64
	from, to float64
}

// JohnsonFairchild is v^0.8 exp(-0.2 v): the form of Johnson and Fairchild's luminance curve
// (2001), as the acutance of pictures from telephones has used it since 2012. From memory;
// constants in front cancel.
func JohnsonFairchild() Eye {
	return Eye{"v^0.8 exp(-0.2 v) (Johnson and Fairchild 2001)",
		func(v float64) float64 { return math.Pow(v, 0.8) * math.Exp(-0.2*v) }, 0, 200}
}

// MannosSakrison is 2.6 (0.0192 + 0.114 f) exp(-(0.114 f)^1.1), of 1974; constants from
// memory. It is greatest, 0.981, at 7.89 cycles/degree.
func MannosSakrison() Eye {
	return Eye{"Mannos and Sakrison 1974", func(v float64) float64 {
		return 2.6 * (0.0192 + 0.114*v) * math.Exp(-math.Pow(0.114*v, 1.1))
	}, 0, 200}
}

// SubjectiveQuality is the band of 3 to 12 cycles/degree on a scale of logarithms, all of it
// alike: the subjective quality factor of Granger and Cupery (1972), 10 to 40 cycles/mm on the
// retina. From memory.
func SubjectiveQuality() Eye {
	return Eye{"3 to 12 cycles/degree by logarithm (Granger and Cupery 1972)", func(v float64) float64 {
		if v < 3-1e-9 || v > 12+1e-9 {
			return 0
		}
		return 1 / v
	}, 3, 12}
}

// Barten is the contrast sensitivity of Barten (1999) for a luminance in cd/m², a pupil in mm
// and a field of 60°:
//
//	S = M/(k sqrt( (2/T)(1/X0² + 1/Xm² + u²/Nm²) (1/(n p E) + phi/(1 - exp(-(u/u0)²))) ))
//
// M = exp(-2 pi² s² u²), s = hypot(0.5, 0.08 d)/60, E = (pi d²/4) L (1 - (d/9.7)² + (d/12.4)⁴),
// k 3, T 0.1 s, X0 60, Xm 12, Nm 15, n 0.03, p 1.2274e6, phi 3e-8, u0 7. The error wraps
// [ErrInput].
func Barten(luminance, pupil float64) (Eye, error) {
	if !(luminance > 0 && luminance < 1e6) || !(pupil > 0.5 && pupil < 9) {
		return Eye{}, check.Errorf(ErrInput, "luminance %v cd/m² and a pupil of %v mm", luminance, pupil)
	}
	s := math.Hypot(0.5, 0.08*pupil) / 60
	e := math.Pi * pupil * pupil / 4 * luminance * (1 - math.Pow(pupil/9.7, 2) + math.Pow(pupil/12.4, 4))
	return Eye{"Barten 1999", func(u float64) float64 {
		if u == 0 {
			return 0
		}
		m := math.Exp(-2 * math.Pi * math.Pi * s * s * u * u)
		area := 2 / 0.1 * (1.0/3600 + 1.0/144 + u*u/225)
		noise := 1/(0.03*1.2274e6*e) + 3e-8/-math.Expm1(-u*u/49)
		return m / (3 * math.Sqrt(area*noise))
	}, 0, 60}, nil
}

// Name returns the name of the curve.
func (e Eye) Name() string { return e.name }

// Weight returns the weight of a frequency in cycles per degree; NaN for an eye that was not
// made here.
func (e Eye) Weight(v float64) float64 {
	if e.weight == nil {
		return math.NaN()
	}
	return e.weight(v)
}

// Acutance returns the mean response, weighted by the eye:
//
//	∫ M V dv / ∫ V dv
//
// m is the response by cycles per degree; see [CyclesPerMM]. The error wraps [ErrInput] for an
// eye that was not made here and a response that is not finite.
func (e Eye) Acutance(m func(v float64) float64) (float64, error) {
	if e.weight == nil {
		return 0, check.Errorf(ErrInput, "no eye")
	}
	// By the root of the frequency, where all of these are smooth.
	const n = 4000
	a, b := math.Sqrt(e.from), math.Sqrt(e.to)
	var of, all float64
	for i := range n + 1 {
		x := a + (b-a)*float64(i)/n
		w := e.weight(x*x) * x
		switch {
		case i == 0 || i == n:
		case i%2 == 1:
			w *= 4
		default:
			w *= 2
		}
		if w != 0 {
			of += w * m(x*x)
		}
		all += w
	}
	if v := of / all; check.Finite(v) {
		return v, nil
	}
	return 0, check.Errorf(ErrInput, "a response that is not finite")
}

// CyclesPerMM returns the frequency on a print, in cycles/mm, of one in cycles per degree at a
// distance in mm: v·180/(pi·distance). At 300 mm one is 0.190986. Derived; for small angles.
func CyclesPerMM(degree, distance float64) float64 { return degree * 180 / math.Pi / distance }
