package view

import (
	"math"

	"example.org/actinic/internal/check"
	"example.org/actinic/sensito"
)

// Separable is how many standard deviations of density in the eye's aperture two tones have to
// be apart to be just told from each other. A choice, as for signals in noise.
const Separable = 3.0

// Tone is a place of a subject.
type Tone struct {
	Name string
	// Light is its luminance in stops, from any zero that the subject's tones share.
	Light sensito.Stops
	// Filter is by how much a filter changes its exposure against a grey in the sun, in stops: below
	// 0 for what the filter darkens, as a yellow one does shadows lit by the sky.
	Filter sensito.Stops
}

// Tones is how finely the tones of a subject can be told apart on a negative.
type Tones struct {
	// Range is that of the subject's light, and Steps the number of just separable steps that it has on
	// the negative after the filter: ∫ g/(3 sd) dlog10 H over its exposures.
	Range sensito.Stops
	Steps float64
	// PerStep is the one over the other: stops of the subject for a step. The greater, the muddier.
	PerStep sensito.Stops
	// Widest is the step where it is widest, and At the exposure there; +Inf where curve or
	// granularity know nothing of an exposure, whose part has no steps.
	Widest sensito.Stops
	At     sensito.LogH
	// Lost is the part of the range, in stops, that has no steps at all.
	Lost sensito.Stops
}

// Tones returns how finely a subject's tones can be told apart: where the tone of Light 0
// gets the exposure mid, with filter or without. The film's granularity is to be that in
// the eye's aperture on the film, as [Seen] has it. Tones are taken to be spread evenly from
// the darkest to the brightest.
//
// The error wraps [ErrInput] for fewer than two tones.
func (f Film) Tones(subject []Tone, mid sensito.LogH, filter bool) (Tones, error) {
	var t Tones
	if len(subject) < 2 || f.Curve == nil || f.SD == nil || !check.Finite(float64(mid)) {
		return t, check.Errorf(ErrInput, "%d tones, of a film without curve or granularity; want two at least", len(subject))
	}
	lo, hi := math.Inf(1), math.Inf(-1)   // of the light
	from, to := math.Inf(1), math.Inf(-1) // of the exposure
	for _, s := range subject {
		e := float64(s.Light)
		if !check.Finite(e, float64(s.Filter)) {
			return t, check.Errorf(ErrInput, "tone %s of %v stops", s.Name, e)
		}
		lo, hi = min(lo, e), max(hi, e)
		if filter {
			e += float64(s.Filter)
		}
		from, to = min(from, e), max(to, e)
	}
	if !(hi > lo) || !(to > from) {
		return t, check.Errorf(ErrInput, "tones that are all one")
	}
	t.Range = sensito.Stops(hi - lo)
	const n = 400
	h := (to - from) / n
	for i := range n {
		x := mid + sensito.LogH(sensito.Stops(from+h*(float64(i)+0.5)).Log10())
		s, err := f.At(x)
		if err != nil || !(s.Gradient > 0) {
			t.Lost += sensito.Stops(h)
			t.Widest, t.At = sensito.Stops(math.Inf(1)), x
			continue
		}
		step := Separable * s.NoiseEquivalent / math.Log10(2) // stops
		t.Steps += h / step
		if w := sensito.Stops(step); w > t.Widest {
			t.Widest, t.At = w, x
		}
	}
	t.PerStep = sensito.Stops(float64(t.Range) / t.Steps)
	return t, nil
}
