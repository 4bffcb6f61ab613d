package filters

import (
	"math"
	"testing"

	"example.org/actinic/internal/held"
)

// weighed is a sum that a slip in any entry, and two exchanged, change by more than the digits
// that are held.
func weighed(v []float64) float64 {
	s := 0.0
	for i, x := range v {
		s += x * (1 + 0.5*math.Sin(float64(i)))
	}
	return s
}

// small is the same of the logarithms, for entries beside which others are a thousand times as large.
func small(v []float64) float64 {
	ln := make([]float64, len(v))
	for i, x := range v {
		ln[i] = math.Log(math.Abs(x) + 1e-12)
	}
	return weighed(ln)
}

// The printed tables are what was typed in: their sources stand above them, spot values in the
// tests of what is made of them.
func TestTablesAreAsTyped(t *testing.T) {
	said := held.New(t)
	said.Values("skin", weighed(skinMean[:]), weighed(skinSD[:]), weighed(skinLeast[:]), weighed(skinMost[:]))
	for i, c := range testColours {
		said.Values("test colour", i+1, weighed(c[:]))
	}
	for _, g := range glassTables {
		said.Values(g.name, weighed(g.v[:]), small(g.v[:]))
	}
}
