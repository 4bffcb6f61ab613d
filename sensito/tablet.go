package sensito

import (
	"math"
	"slices"

	"example.org/actinic/internal/check"
)

// Tablet is a step tablet: a strip of steps of known density through which film
// is exposed. Steps are counted from 0 in the order in which they were given.
type Tablet struct {
	densities []Density
	sd        float64
}

// UniformTablet returns a tablet whose densities rise (or fall, with a negative
// increment) by a fixed amount:
//
//	D_i = first + i increment,   i = 0 ... steps-1
//
// The usual ones have 21 steps of 0.15 from 0.05 to 3.05 or 31 of 0.10 (common
// practice). The increments are densities, on the log10 scale: 0.15 is not half
// a stop, which is 0.1505, so 21 steps span 3.00 and not ten stops.
//
// The error wraps [ErrInput] if there is no step, the increment is 0, or a
// density is negative or not finite.
//
// Source: the definition of an even tablet.
func UniformTablet(steps int, first, increment Density) (Tablet, error) {
	if steps < 1 {
		return Tablet{}, check.Errorf(ErrInput, "%d steps, want 1 or more", steps)
	}
	if increment == 0 {
		return Tablet{}, check.Errorf(ErrInput, "increment of 0; the steps would all be one")
	}
	if last := float64(first) + float64(steps-1)*float64(increment); !check.Finite(last) || !(last > -slack) {
		return Tablet{}, check.Errorf(ErrInput, "the last of %d steps would have density %v", steps, last)
	}
	ds := make([]Density, steps)
	for i := range ds {
		ds[i] = first + Density(i)*increment
	}
	return CalibratedTablet(ds, 0)
}

// slack forgives a last step that rounding puts a hair below 0.
const slack = 1e-9

// CalibratedTablet returns a tablet with the densities of its calibration, in
// order from one end to the other. sd is the standard deviation of a density, 0
// where it is not known; a certificate that states U = 0.006 with coverage factor
// 2 means 0.003.
//
// The error wraps [ErrInput] if there is no density, one is negative or not
// finite, or they do not all rise or all fall: two steps have been exchanged or
// misread then. It names the step, counting from 1 as tablets are marked.
func CalibratedTablet(densities []Density, sd float64) (Tablet, error) {
	if len(densities) == 0 {
		return Tablet{}, check.Errorf(ErrInput, "a tablet without steps")
	}
	if !(sd >= 0) || !check.Finite(sd) {
		return Tablet{}, check.Errorf(ErrInput, "standard deviation %v of a tablet density, want 0 (not known) or more", sd)
	}
	for i, d := range densities {
		if !(d > -slack) || !check.Finite(d) {
			return Tablet{}, check.Errorf(ErrInput, "step %d of the tablet has density %v, want 0 or more", i+1, float64(d))
		}
		if i == 0 {
			continue
		}
		if rise := densities[i] - densities[i-1]; rise == 0 || (rise > 0) != (densities[1] > densities[0]) {
			return Tablet{}, check.Errorf(ErrInput,
				"step %d of the tablet has density %v after %v, out of order; list the steps from one end to the other", i+1, float64(d), float64(densities[i-1]))
		}
	}
	return Tablet{slices.Clone(densities), sd}, nil
}

// Densities returns the densities of the steps.
func (t Tablet) Densities() []Density { return slices.Clone(t.densities) }

// SD returns the standard deviation of a density, 0 where it is not known. A
// tablet's error shifts the exposure of its step the same way on every strip: it
// is common to all of them, and more strips do not average it out.
func (t Tablet) SD() float64 { return t.sd }

// Exposures returns the exposure under each step, given the exposure the film
// would get without the tablet:
//
//	log H_i = log H_0 - D_i
//
// so the densest step gets the least. The error wraps [ErrInput] if the exposure
// is not finite.
//
// Source: the definition of density.
func (t Tablet) Exposures(without LogH) ([]LogH, error) {
	if !check.Finite(without) {
		return nil, check.Errorf(ErrInput, "exposure without tablet is log H %v", float64(without))
	}
	hs := make([]LogH, len(t.densities))
	for i, d := range t.densities {
		hs[i] = without - LogH(d)
	}
	return hs, nil
}

// Readings puts the densities read on the film to the exposures under the steps,
// ready for [Fit] or [Interpolate]. NaN stands for a step that was not read. sd
// is the standard deviation of a reading, 0 where not known.
//
// The error wraps [ErrInput] if there are not as many densities as steps, or if
// none was read.
func (t Tablet) Readings(without LogH, film []Density, sd float64) ([]Reading, error) {
	hs, err := t.Exposures(without)
	if err != nil {
		return nil, err
	}
	if len(film) != len(hs) {
		return nil, check.Errorf(ErrInput,
			"%d densities read under a tablet of %d steps; give NaN for a step that was not read", len(film), len(hs))
	}
	var rs []Reading
	for i, d := range film {
		if !math.IsNaN(float64(d)) {
			rs = append(rs, Reading{hs[i], d, sd})
		}
	}
	if len(rs) == 0 {
		return nil, check.Errorf(ErrInput, "no step was read")
	}
	return rs, nil
}
