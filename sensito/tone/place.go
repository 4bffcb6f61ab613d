package tone

import (
	"errors"
	"math"

	"example.org/actinic/internal/check"
	"example.org/actinic/sensito"
)

// Densities gives the density at an exposure with its interval, by which a curve is known
// here. [Of] makes one of a curve. An error that wraps [sensito.ErrOutside] or
// [sensito.ErrNotReached] says that the readings do not reach an exposure.
type Densities func(sensito.LogH) (sensito.Estimate, error)

// Of returns the densities of a curve: of one that was fitted with the intervals of its
// readings, of another as exact.
func Of(c sensito.Curve) Densities {
	fitted, ok := c.(interface {
		Estimate(...sensito.Measure) ([]sensito.Estimate, error)
	})
	return func(x sensito.LogH) (sensito.Estimate, error) {
		if c == nil {
			return sensito.Estimate{}, check.Errorf(sensito.ErrInput, "the curve is nil")
		}
		// An exposure beyond the readings is refused here, before anything is drawn.
		d, err := c.Density(x)
		if err != nil || !ok {
			return sensito.Exact(float64(d)), err
		}
		es, err := fitted.Estimate(func(c sensito.Curve) (float64, error) {
			d, err := c.Density(x)
			return float64(d), err
		})
		if err != nil {
			return sensito.Estimate{}, err
		}
		return es[0], nil
	}
}

// Tone is where a tone of the subject comes to lie on the negative.
type Tone struct {
	Stops   sensito.Stops     `json:"tone_stops"` // from the metered tone
	LogH    sensito.LogH      `json:"log_h_lx_s"`
	Density *sensito.Estimate `json:"density"` // nil beyond the readings
	// Grey is the step of grey, 0 for the black and 10 for the white of the paper; nil
	// without a density or without a paper. Beyond the paper's range it is its end.
	Grey *float64 `json:"grey_step"`
}

// Place returns the tones at an index, with a veil of flare as for [At]. A tone whose
// exposure lies beyond the readings has no density: nothing is carried on. The error is
// that of [At] or of the densities, or wraps [sensito.ErrInput] for none.
func Place(of Densities, index, veil float64, tones ...sensito.Stops) ([]Tone, error) {
	if of == nil {
		return nil, check.Errorf(sensito.ErrInput, "no densities; make them by Of")
	}
	out := make([]Tone, len(tones))
	for i, t := range tones {
		x, err := At(index, t, veil)
		if err != nil {
			return nil, err
		}
		out[i] = Tone{Stops: t, LogH: x}
		switch d, err := of(x); {
		case err == nil && d.Value-d.Value == 0:
			out[i].Density = &d
		case err != nil && !errors.Is(err, sensito.ErrOutside) && !errors.Is(err, sensito.ErrNotReached):
			return nil, err
		}
	}
	return out, nil
}

// Range returns how far the densities of two tones lie apart, lower first. The ends of the
// curve err nearly apart from each other, so their half widths are added in squares. ok is
// false where one has no density.
func Range(lower, higher Tone) (r sensito.Estimate, ok bool) {
	a, b := lower.Density, higher.Density
	if a == nil || b == nil {
		return sensito.Estimate{}, false
	}
	half := func(e *sensito.Estimate) float64 { return (e.High - e.Low) / 2 }
	h := math.Hypot(half(a), half(b))
	d := b.Value - a.Value
	return sensito.Estimate{Value: d, Low: d - h, High: d + h}, true
}

// Greys fills in the steps of grey of tones for a paper of a density range, whose black
// falls on a density:
//
//	step = 10 (D - black) / range
//
// in tenths of the range, a convention of ours. The error wraps [sensito.ErrInput] for a
// range that is not positive.
func Greys(tones []Tone, black, paper sensito.Density) error {
	if !(paper > 0) || !check.Finite(float64(black), float64(paper)) {
		return check.Errorf(sensito.ErrInput, "a paper with a range of %v from a density of %v", float64(paper), float64(black))
	}
	for i := range tones {
		if d := tones[i].Density; d != nil {
			g := min(max(10*(d.Value-float64(black))/float64(paper), 0), 10)
			tones[i].Grey = &g
		}
	}
	return nil
}
