package actinic

import (
	"sync/atomic"

	"example.org/actinic/filters"
	"example.org/actinic/spectral"
)

// keptFactors is how many filter factors a film remembers: those of a bag of filters.
const keptFactors = 8

// keptFactor is the factor of a filter in a light on the film that keeps it.
type keptFactor struct {
	light  spectral.Light
	filter filters.Filter
	factor float64
}

// factorMemory keeps the latest filter factors of a film, because a plan for the next frame
// asks for the same one again and its integrals take longer than the plan. Lights and filters
// are known again by their tables, which nobody can change, and not by their values.
//
// A list of factors is never changed but replaced, so that several goroutines may ask at
// once; where two replace it at the same time one factor is forgotten and computed again.
type factorMemory struct {
	latest atomic.Pointer[[keptFactors]keptFactor]
}

// recall returns a factor that is kept.
func (m *factorMemory) recall(light spectral.Light, f filters.Filter) (factor float64, ok bool) {
	list := m.latest.Load()
	if list == nil {
		return 0, false
	}
	for i := range list {
		if k := &list[i]; k.filter.Same(f) && k.light.Same(light) {
			return k.factor, true
		}
	}
	return 0, false
}

// keep puts a factor before the others and forgets the oldest.
func (m *factorMemory) keep(k keptFactor) {
	list := &[keptFactors]keptFactor{k}
	if before := m.latest.Load(); before != nil {
		copy(list[1:], before[:])
	}
	m.latest.Store(list)
}

// filterFactor is [filters.Factor] for the film, remembered. The error wraps [ErrMissing] for
// a film without a sensitivity.
func (f *Film) filterFactor(light spectral.Light, filter filters.Filter) (float64, error) {
	s, err := f.Sensitivity()
	if err != nil {
		return 0, err
	}
	if v, ok := f.factors.recall(light, filter); ok {
		return v, nil
	}
	v, err := filters.Factor(s, light, filter)
	if err != nil {
		return 0, err
	}
	f.factors.keep(keptFactor{light, filter, v})
	return v, nil
}
