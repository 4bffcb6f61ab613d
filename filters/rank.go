package filters

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"example.org/actinic/sensito"
	"example.org/actinic/spectral"
)

// A Choice is a filter with what it does to a pair of tones one wants apart.
type Choice struct {
	Filter     Filter
	Separation sensito.Stops // of the one wanted lighter above the other
	Gain       sensito.Stops // Separation less that without a filter
	Factor     float64       // of the filter on the film
	Reason     string        // the same in words
}

// Rank returns the filters in the order in which they put the surface lighter
// above the surface darker, best first; a filter that does the opposite comes last,
// with a negative gain. Filters that let nothing through to the film are left
// out, and with none left the error wraps [ErrOpaque]. Filters within a tenth of
// a stop of each other are not told apart by any eye: of those take the smaller
// factor.
func Rank(film spectral.Sensitivity, light spectral.Light, candidates []Filter, lighter, darker Surface) ([]Choice, error) {
	tones := func(f Filter) (a, b Tone, err error) {
		t, err := Tones(film, light, f, lighter, darker)
		if err != nil {
			return a, b, err
		}
		return t[0], t[1], nil
	}
	a0, b0, err := tones(Clear())
	if err != nil {
		return nil, err
	}
	var out []Choice
	for _, f := range candidates {
		a, b, err := tones(f)
		if errors.Is(err, ErrOpaque) {
			continue
		}
		if err != nil {
			return nil, err
		}
		factor, err := Factor(film, light, f)
		if err != nil {
			return nil, err
		}
		c := Choice{Filter: f, Separation: a.Above(b), Factor: factor}
		c.Gain = c.Separation - a0.Above(b0)
		c.Reason = fmt.Sprintf("%s %s, %s %s against grey; costs %.1f stops",
			lighter.Name, moves(a.Above(a0)), darker.Name, moves(b.Above(b0)), float64(sensito.StopsOf(factor)))
		out = append(out, c)
	}
	if len(out) == 0 {
		return nil, fmt.Errorf("%w: none of %d filters", ErrOpaque, len(candidates))
	}
	slices.SortStableFunc(out, func(a, b Choice) int {
		switch {
		case a.Separation > b.Separation:
			return -1
		case a.Separation < b.Separation:
			return 1
		}
		return 0
	})
	return out, nil
}

func moves(s sensito.Stops) string {
	switch {
	case math.Abs(float64(s)) < 0.05:
		return "stays"
	case s > 0:
		return fmt.Sprintf("%.1f stops up", float64(s))
	}
	return fmt.Sprintf("%.1f stops down", -float64(s))
}
