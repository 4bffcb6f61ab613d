package filters

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"example.org/actinic/spectral"
)

// Factors returns the factors of all filters for all films in all lights,
//
//	out[film][light][filter]
//
// each as [Factor] has it, and +Inf where that has [ErrOpaque] because nothing gets
// through the filter. What filters on one grid share is merged once for a film and a
// light. The first other error ends it, and says which of the three it is about.
func Factors(films []spectral.Sensitivity, lights []spectral.Light, set []Filter) ([][][]float64, error) {
	if len(films) == 0 || len(lights) == 0 || len(set) == 0 {
		return nil, invalid("%d films, %d lights and %d filters: it takes one of each", len(films), len(lights), len(set))
	}
	for i, f := range set {
		if len(f.parts) == 0 {
			return nil, fmt.Errorf("filter %d: %w", i, invalid("the filter is empty, use Clear for none"))
		}
	}
	groups := sameGrid(set)
	out := make([][][]float64, len(films))
	for i, film := range films {
		out[i] = make([][]float64, len(lights))
		for j, light := range lights {
			row, err := factorsOf(film, light, set, groups)
			if err != nil {
				return nil, fmt.Errorf("film %d in light %d: %w", i, j, err)
			}
			out[i][j] = row
		}
	}
	return out, nil
}

// sameGrid groups the filters of one spectrum by their wavelengths and what they are
// outside them. Groups of few are left out: they are quicker one by one.
func sameGrid(set []Filter) [][]int {
	const few = 4
	var groups [][]int
	for i, f := range set {
		if len(f.parts) != 1 {
			continue
		}
		k := slices.IndexFunc(groups, func(g []int) bool {
			p, q := set[g[0]].parts[0], f.parts[0]
			a, b := p.Range()
			c, d := q.Range()
			return p.Outside() == q.Outside() && p.Len() == q.Len() && a == c && b == d && slices.Equal(p.Wavelengths(), q.Wavelengths())
		})
		if k < 0 {
			groups = append(groups, []int{i})
		} else {
			groups[k] = append(groups[k], i)
		}
	}
	return slices.DeleteFunc(groups, func(g []int) bool { return len(g) < few })
}

func factorsOf(film spectral.Sensitivity, light spectral.Light, set []Filter, groups [][]int) ([]float64, error) {
	row := make([]float64, len(set))
	for _, g := range groups {
		grid := set[g[0]].parts[0]
		if grid.Outside() == spectral.Zero { // nothing outside: Prepare would say so, Factor does not mind
			continue
		}
		p, err := Prepare(film, light, grid.Wavelengths(), grid.Outside())
		if err != nil {
			return nil, err
		}
		for _, k := range g {
			row[k], err = p.Factor(set[k].parts[0].Values())
			if errors.Is(err, ErrOpaque) {
				row[k] = math.Inf(1)
			} else if err != nil {
				return nil, fmt.Errorf("filter %q: %w", set[k].name, err)
			}
		}
	}
	bare, _, err := exposures(film, light, Clear())
	if err != nil {
		return nil, err
	}
	both := append(film.Spectra(), light.Spectra()...)
	for k, f := range set {
		if row[k] != 0 {
			continue
		}
		through, err := spectral.Integral(append(both, f.parts...)...)
		if err != nil {
			return nil, fmt.Errorf("filter %q: %w", f.name, err)
		}
		if row[k] = bare / through; !(through > 0) || math.IsInf(row[k], 0) {
			row[k] = math.Inf(1)
		}
	}
	return row, nil
}
