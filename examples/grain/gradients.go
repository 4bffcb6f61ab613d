package main

import (
	"cmp"
	"math"
	"slices"
)

// gradients are those of a curve by density, straight between where they are known and
// constant beyond.
type gradients struct{ d, g, x []float64 } // x is log10 H at each, from any zero

func newGradients(d, g []float64) (*gradients, error) {
	order := make([]int, len(d))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(d[a], d[b]) })
	l := &gradients{}
	for _, i := range order {
		if !(g[i] > 0) {
			return nil, wrong("a gradient of %v", g[i])
		}
		if n := len(l.d); n > 0 && d[i]-l.d[n-1] < 1e-6 {
			continue
		}
		l.d, l.g = append(l.d, d[i]), append(l.g, g[i])
	}
	l.x = make([]float64, len(l.d))
	for i := 1; i < len(l.d); i++ {
		l.x[i] = l.x[i-1] + between(l.d[i]-l.d[i-1], l.g[i-1], l.g[i])
	}
	return l, nil
}

// between is the difference of log10 H over one of density whose gradient goes straight from a
// to b.
func between(d, a, b float64) float64 {
	if math.Abs(b-a) < 1e-9*a {
		return d / a
	}
	return d * math.Log(b/a) / (b - a)
}

func (l *gradients) span() (lo, hi float64) { return l.d[0], l.d[len(l.d)-1] }

// logH is log10 H of a density.
func (l *gradients) logH(d float64) float64 {
	n := len(l.d)
	if d <= l.d[0] {
		return (d - l.d[0]) / l.g[0]
	}
	if d >= l.d[n-1] {
		return l.x[n-1] + (d-l.d[n-1])/l.g[n-1]
	}
	i, _ := slices.BinarySearch(l.d, d)
	s := (d - l.d[i-1]) / (l.d[i] - l.d[i-1])
	return l.x[i-1] + between(d-l.d[i-1], l.g[i-1], l.g[i-1]+s*(l.g[i]-l.g[i-1]))
}
