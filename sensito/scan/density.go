package scan

import (
	"fmt"
	"math"
	"time"

	"example.org/actinic/internal/check"
	"example.org/actinic/sensito"
)

// Exposed is the mean value of a place in a picture, with that of the dark frame of the
// same exposure time.
type Exposed struct {
	Value float64       // counts
	Dark  float64       // counts with the lens covered
	Time  time.Duration // the shutter's
}

// Signal returns the counts above the dark frame.
func (e Exposed) Signal() float64 { return e.Value - e.Dark }

// Rate returns the counts above the dark frame in a second.
func (e Exposed) Rate() float64 { return e.Signal() / e.Time.Seconds() }

func (e Exposed) usable(what string) error {
	switch {
	case !check.Finite(e.Value, e.Dark):
		return check.Errorf(ErrInput, "%s: value %v and dark frame %v, want two numbers", what, e.Value, e.Dark)
	case !(e.Time > 0):
		return check.Errorf(ErrInput, "%s: exposure time %v, want more than 0", what, e.Time)
	}
	return nil
}

// brighter is how far film may lie above the light table, as a fraction, and count as
// noise on clear film: 0.02 is 0.009 in density. A choice, not a published figure.
const brighter = 0.02

// Density returns the density of a place from its mean value on the film and that on the
// bare light table, at the same place of the picture:
//
//	D = -log10( ((S - Ds)/ts) / ((F - Df)/tf) )
//
// S and F are the values of film and light, Ds and Df their dark frames, ts and tf their
// times, so that dense places may be exposed longer than the table. It follows from
// D = -log10 T. Average the values first and take one logarithm: the mean of densities is
// higher, by log10(e) q²/2 for values of relative standard deviation q and by
// s² ln(10)/2 for grain of standard deviation s. Flare is not taken off here, see [Flare].
//
// The error wraps [ErrInput] if film or light is not above its dark frame, or the film is
// more than 2 % brighter than the table, which is an [ErrBrighter] too.
//
// Source: the definition of density, ISO 5-1, with dark values taken off.
func Density(film, light Exposed) (sensito.Density, error) {
	if err := film.usable("film"); err != nil {
		return 0, err
	}
	if err := light.usable("light table"); err != nil {
		return 0, err
	}
	if !(light.Signal() > 0) {
		return 0, check.Errorf(ErrInput, "the light table reads %v and its dark frame %v; it has to be brighter", light.Value, light.Dark)
	}
	if !(film.Signal() > 0) {
		return 0, check.Errorf(ErrInput, "the film reads %v, not above its dark frame %v; expose longer", film.Value, film.Dark)
	}
	return densityOf(film.Rate() / light.Rate())
}

// densityOf is -log10 T of a measured transmittance, which noise may put a little above 1.
func densityOf(t float64) (sensito.Density, error) {
	switch {
	case !(t > 0) || !check.Finite(t):
		return 0, check.Errorf(ErrInput, "transmittance %v, want more than 0; the place is too dense for these exposures", t)
	case !(t <= 1+brighter):
		return 0, fmt.Errorf("%w: %w: %.4g times its light; the table, the shutter or the place is another than that of the light frame",
			ErrInput, ErrBrighter, t)
	}
	d := -math.Log10(t)
	if d == 0 {
		d = 0 // no minus sign on a zero
	}
	return sensito.Density(d), nil
}
