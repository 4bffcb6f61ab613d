package scan

import (
	"math"

	"example.org/actinic/internal/check"
	"example.org/actinic/sensito"
)

// Known is a place whose density is known, with what was read there.
type Known struct {
	True, Read sensito.Density
	SD         float64 // of the reading; 0 where not known
}

// Tie is the scale between the densities of an arrangement and those of a certificate:
//
//	D_certificate = Scale · D_read
//
// A lens sees film more specularly than a densitometer, and reads silver denser: the
// scale is below 1 then (the reciprocal of what is called Callier's coefficient, from
// memory). The zero Tie is none: densities stay as they are read.
type Tie struct {
	Scale   float64
	ScaleSD float64 // by the scatter of three places or more, by their SD with fewer; NaN where neither is known
	// Residuals are certificate less tied reading, in the order given.
	Residuals []float64
	// Curve reports that the places say the values carry a display's curve.
	Curve bool
}

// Apply returns the density by the certificate's scale.
func (t Tie) Apply(d sensito.Density, sd float64) (sensito.Density, float64) {
	if t.Scale == 0 {
		return d, sd
	}
	own := t.Scale * sd
	if s := float64(d) * t.ScaleSD; s > 0 {
		own = math.Hypot(own, s)
	}
	return sensito.Density(t.Scale) * d, own
}

const (
	// leastKnown is the density that the places have to span from clear: a scale from thin
	// places only is the ratio of two noises.
	leastKnown = 0.3
	// tieLow and tieHigh bound what scattering in the film can do.
	tieLow, tieHigh = 0.6, 1.3
)

// FitTie returns the scale by least squares through zero; places without a standard
// deviation count alike. A scale above 1.3 with two densities or more is the sign of a
// display's curve: it halves the differences of densities, so that known 1.0 and 2.0 read
// 0.457 and 1.001 through the curve of IEC 61966-2-1.
//
// The error wraps [ErrInput] if no place has a density of 0.3 or more, or one reads 0.
func FitTie(places []Known) (Tie, error) {
	var num, den, most float64
	weighted := len(places) > 0
	for _, p := range places {
		if !check.Finite(float64(p.True), float64(p.Read), p.SD) || !(p.True >= 0) || !(p.SD >= 0) {
			return Tie{}, check.Errorf(ErrInput, "a known density %v read as %v ± %v", float64(p.True), float64(p.Read), p.SD)
		}
		most = max(most, min(float64(p.True), float64(p.Read)))
		weighted = weighted && p.SD > 0
	}
	if !(most >= leastKnown/2) {
		return Tie{}, check.Errorf(ErrInput, "known densities up to %.2f; a scale needs one of %.1f or more", most, leastKnown)
	}
	var w, rss float64
	for _, p := range places {
		w = 1
		if weighted {
			w = 1 / (p.SD*p.SD + 1e-6) // no place counts for more than a certificate's 0.001
		}
		num += w * float64(p.True) * float64(p.Read)
		den += w * float64(p.Read) * float64(p.Read)
	}
	t := Tie{Scale: num / den, ScaleSD: math.NaN()}
	for _, p := range places {
		r := float64(p.True) - t.Scale*float64(p.Read)
		t.Residuals = append(t.Residuals, r)
		if weighted {
			w = 1 / (p.SD*p.SD + 1e-6)
		}
		rss += w * r * r
	}
	switch n := len(places); {
	case n >= 3:
		t.ScaleSD = math.Sqrt(rss / float64(n-1) / den)
	case weighted:
		t.ScaleSD = math.Sqrt(1 / den)
	}
	t.Curve = t.Scale > tieHigh
	return t, nil
}

// Plausible reports whether a scale is one that scattering in film gives, 0.6 to 1.3.
func (t Tie) Plausible() bool { return t.Scale >= tieLow && t.Scale <= tieHigh }
