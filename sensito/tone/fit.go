package tone

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"example.org/actinic/internal/check"
	"example.org/actinic/sensito"
)

// Paper is a range of densities that a paper prints from its black to its white.
type Paper struct {
	Name  string          `json:"name"`
	Least sensito.Density `json:"least_density_range"` // of the negatives that suit it
	Most  sensito.Density `json:"greatest_density_range"`
}

// ISORange returns the paper of a printed ISO range such as "R110": a hundred times the
// log10 exposure range between 0.04 above the paper's base and 90 % of its greatest
// density. Ranges are printed in steps of 10, so that a paper of R110 suits negatives from
// 1.05 to 1.15.
//
// Source: ISO 6846:1992; the two densities as quoted in a trade article, the steps of 10
// from memory. The error wraps [sensito.ErrSyntax] for what is no such range.
func ISORange(text string) (Paper, error) {
	n, err := strconv.Atoi(strings.TrimPrefix(strings.TrimPrefix(strings.ToUpper(strings.TrimSpace(text)), "ISO "), "R"))
	if err != nil || n < 30 || n > 250 {
		return Paper{}, fmt.Errorf("tone: paper range %q, want an ISO range such as R110 (30 to 250): %w", text, sensito.ErrSyntax)
	}
	r := sensito.Density(n) / 100
	return Paper{fmt.Sprintf("ISO R%d", n), r - 0.05, r + 0.05}, nil
}

// Fit says how a negative's range of densities lies to what it is for.
type Fit int8

const (
	Fits     Fit = 0  // the negative suits the paper
	TooShort Fit = -1 // the negative is softer than the paper wants
	TooLong  Fit = 1  // the negative is harder than the paper takes
)

// String says it in words.
func (f Fit) String() string {
	switch f {
	case TooShort:
		return "too short"
	case TooLong:
		return "too long"
	}
	return "fits"
}

// MarshalText returns the String form.
func (f Fit) MarshalText() ([]byte, error) { return []byte(f.String()), nil }

// UnmarshalText reads the String form. The error wraps [sensito.ErrSyntax].
func (f *Fit) UnmarshalText(text []byte) error {
	for _, k := range []Fit{Fits, TooShort, TooLong} {
		if k.String() == string(text) {
			*f = k
			return nil
		}
	}
	return fmt.Errorf("tone: %q, want fits, too short or too long: %w", text, sensito.ErrSyntax)
}

// Suits says how a range of densities lies to the paper. sure is false where its interval
// reaches over an end of the paper's range, so that readings do not tell.
func (p Paper) Suits(r sensito.Estimate) (f Fit, sure bool) {
	of := func(v float64) Fit {
		switch {
		case v < float64(p.Least):
			return TooShort
		case v > float64(p.Most):
			return TooLong
		}
		return Fits
	}
	f = of(r.Value)
	return f, of(r.Low) == f && of(r.High) == f
}

// Copy is how a negative is photographed over a light table, or scanned.
type Copy struct {
	// Open is by how many stops the shutter may be opened over the time that brings the
	// bare light just below the end of the sensor's scale: the thinnest part of the film
	// comes there then.
	Open sensito.Stops `json:"open_stops"`
	// Span is the stops from the thinnest to the densest tone.
	Span sensito.Stops `json:"span_stops"`
	// Spare is what a sensor's range has left over the span, less than 0 where it is too
	// short for one exposure; nil where no range was stated.
	Spare *sensito.Stops `json:"spare_stops"`
}

// Copying returns the copy of a negative from its thinnest to its densest part on a sensor
// whose useful range is so many stops, 0 where it is not stated:
//
//	open = thinnest / log10 2,  span = (densest - thinnest) / log10 2
//
// The lens and the light table are without flare; what they have shortens the span. The
// error wraps [sensito.ErrInput] unless 0 <= thinnest < densest and the range is not
// negative.
//
// Source: the definitions of density and of a stop.
func Copying(thinnest, densest sensito.Density, sensor sensito.Stops) (Copy, error) {
	if !(thinnest >= 0 && thinnest < densest) || !check.Finite(densest) || !(sensor >= 0) || !check.Finite(sensor) {
		return Copy{}, check.Errorf(sensito.ErrInput, "a negative from %v to %v on a sensor of %v", float64(thinnest), float64(densest), sensor)
	}
	stops := func(d sensito.Density) sensito.Stops { return sensito.Stops(float64(d) / math.Log10(2)) }
	c := Copy{Open: stops(thinnest), Span: stops(densest - thinnest)}
	if sensor > 0 {
		spare := sensor - c.Span
		c.Spare = &spare
	}
	return c, nil
}
