package actinic

import (
	"fmt"
	"slices"
)

// Merge makes one film of several records of it: all processes, and the spectral
// sensitivity and the reciprocity law of the one that has them. The name, the description
// and the provenance of the identity are those of the first.
//
// The error wraps [sensito.ErrInput] where nothing is given, where two have a process of
// one name, or where two have a sensitivity or a law that differ; and is that of [NewFilm].
func Merge(films ...*Film) (*Film, error) {
	if len(films) == 0 || slices.Contains(films, nil) {
		return nil, inputf("no films to merge")
	}
	d := films[0].Data()
	for _, f := range films[1:] {
		o := f.Data()
		for _, p := range o.Processes {
			if slices.ContainsFunc(d.Processes, func(q ProcessData) bool { return q.Name == p.Name }) {
				return nil, inputf("%s and %s both have a process %q; rename one", d.Name, o.Name, p.Name)
			}
			d.Processes = append(d.Processes, p)
		}
		if o.Sensitivity != nil {
			if d.Sensitivity != nil && fmt.Sprint(*d.Sensitivity) != fmt.Sprint(*o.Sensitivity) {
				return nil, inputf("%s and %s have two spectral sensitivities; leave one out", d.Name, o.Name)
			}
			d.Sensitivity = o.Sensitivity
		}
		if o.Reciprocity != nil {
			if d.Reciprocity != nil && fmt.Sprint(*d.Reciprocity) != fmt.Sprint(*o.Reciprocity) {
				return nil, inputf("%s and %s have two reciprocity laws; leave one out", d.Name, o.Name)
			}
			d.Reciprocity = o.Reciprocity
		}
	}
	return NewFilm(d)
}
