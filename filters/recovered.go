package filters

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"example.org/actinic/spectral"
)

// Recovered is a relative sensitivity found from readings through filters, and what
// can be said of it.
//
// A relative sensitivity has no scale. Here it is that of the exposure which the
// film gets in the light of the readings without a filter,
//
//	Σ Weight Value = 1
//
// well known, where the height of a peak is not; a constant without error, which is
// in Weight, then makes the largest value 1. Low, High and Covariance hold for the
// truth at the same scale; [Recovered.Scaled] brings a sensitivity to it.
//
// Source: the scale is a choice of ours.
type Recovered struct {
	NM []float64 `json:"wavelength_nm"` // the nodes
	// Value, Low and High are the sensitivity and its 95 % interval at each node.
	Value []float64 `json:"value"`
	Low   []float64 `json:"low"`
	High  []float64 `json:"high"`
	// Covariance of the values, as [Deviation] takes it: the intervals without the
	// cut at zero.
	Covariance [][]float64 `json:"covariance"`
	Weight     []float64   `json:"weight"` // of each node in the exposure without a filter
	// Known is the part of the prior variance the readings have removed at each
	// node, 0 to 1: where it is small the curve is a guess.
	Known []float64 `json:"known"`
	// Width is the width in nm of what the readings mix into the value at each
	// node: finer detail than this is invented by the smoothness.
	Width []float64 `json:"width_nm"`
	// Degrees is how many independent numbers the readings fix, and ChiSquare how
	// far the curve misses them by the stated deviations; it should not be far
	// above their number.
	Degrees   float64 `json:"degrees"`
	ChiSquare float64 `json:"chi_square"`
	// Raised is what the stated deviations had to be multiplied by to agree with
	// the readings, 1 if they do, and Odd names the filters of single readings that
	// were given less weight still. Coarse says that nodes twice as fine would agree
	// without either.
	Raised float64  `json:"raised"`
	Odd    []string `json:"odd,omitempty"`
	Coarse bool     `json:"coarse,omitempty"`
}

// Sensitivity returns the estimate as a sensitivity.
func (r Recovered) Sensitivity() (spectral.Sensitivity, error) {
	s, err := spectral.New(r.NM, r.Value, spectral.Zero)
	if err != nil {
		return spectral.Sensitivity{}, err
	}
	return spectral.SensitivityFromLinear(s)
}

// Deviation returns the uncertainty of [Recovered.Sensitivity], for [FactorWithin].
func (r Recovered) Deviation() Deviation { return Deviation{Nodes: r.NM, Covariance: r.Covariance} }

// Scaled returns the values of a sensitivity at the nodes, on the scale at which the
// intervals hold. Errors are those of package spectral.
func (r Recovered) Scaled(s spectral.Sensitivity) ([]float64, error) {
	if len(r.NM) == 0 || len(r.Weight) != len(r.NM) {
		return nil, invalid("nothing was recovered")
	}
	out := make([]float64, len(r.NM))
	sum := 0.0
	for i, nm := range r.NM {
		v, err := s.At(nm)
		if err != nil {
			return nil, err
		}
		out[i], sum = v, sum+r.Weight[i]*v
	}
	if !(sum > 0) {
		return nil, fmt.Errorf("%w: the film sees nothing of the light at the nodes", ErrOpaque)
	}
	for i := range out {
		out[i] /= sum
	}
	return out, nil
}

// Log returns the estimate as log10 of the relative sensitivity, as films are
// stored and as [spectral.SensitivityFromLog] reads it. A logarithm knows no zero:
// values below 10^floor of the largest are set to that, so that no node is lost, and
// the note says where. The floor must be within -10 to -1; -3 is a sensitivity that
// no filter factor notices.
func (r Recovered) Log(floor float64) (nm, log10 []float64, note string, err error) {
	if !(floor >= -10 && floor <= -1) {
		return nil, nil, "", invalid("a floor of log10 %v, it is -10 to -1", floor)
	}
	if len(r.NM) == 0 || len(r.Value) != len(r.NM) || !(slices.Max(r.Value) > 0) {
		return nil, nil, "", invalid("nothing was recovered")
	}
	peak, least := slices.Max(r.Value), math.Pow(10, floor)
	low := make([]bool, len(r.Value))
	for i, v := range r.Value {
		if !(v >= 0) {
			return nil, nil, "", invalid("the sensitivity at %g nm is %v", r.NM[i], v)
		}
		low[i] = v/peak < least
		log10 = append(log10, math.Log10(max(v/peak, least)))
	}
	if places := ranges(r.NM, low); len(places) > 0 {
		note = fmt.Sprintf("set to the floor of log10 %g, below which nothing was found, at %s", floor, strings.Join(places, ", "))
	}
	return slices.Clone(r.NM), log10, note, nil
}

// ranges names the runs of nodes that are marked.
func ranges(nm []float64, marked []bool) []string {
	var out []string
	for i := 0; i < len(nm); i++ {
		if !marked[i] {
			continue
		}
		j := i
		for j+1 < len(nm) && marked[j+1] {
			j++
		}
		if i == j {
			out = append(out, fmt.Sprintf("%g nm", nm[i]))
		} else {
			out = append(out, fmt.Sprintf("%g to %g nm", nm[i], nm[j]))
		}
		i = j
	}
	return out
}

// Statement says in a few sentences what the filters could tell, and what speaks
// against it.
func (r Recovered) Statement() string {
	n := len(r.NM)
	if n == 0 || len(r.Known) != n || len(r.Width) != n || len(r.Value) != n {
		return "nothing was recovered"
	}
	var known []float64
	blind := make([]bool, n)
	for i, k := range r.Known {
		if blind[i] = !(k >= 0.5); !blind[i] {
			known = append(known, r.Width[i])
		}
	}
	s := fmt.Sprintf("the readings fix %.1f independent numbers", r.Degrees)
	if len(known) > 0 {
		s += fmt.Sprintf("; detail finer than %.0f to %.0f nm is not in them", slices.Min(known), slices.Max(known))
	}
	if places := ranges(r.NM, blind); len(places) > 0 {
		s += "; little is known at " + strings.Join(places, ", ")
	}
	if r.Raised > 1 {
		s += fmt.Sprintf(". The readings contradict their deviations: the intervals are for deviations %.1f times as large", r.Raised)
	}
	if len(r.Odd) > 0 {
		s += ". Off by more than the others, and given less weight: " + strings.Join(r.Odd, ", ")
	}
	switch {
	case r.Coarse:
		s += ". Nodes twice as fine agree with the readings as they are: give finer Nodes"
	case r.Raised > 1 || len(r.Odd) > 0:
		s += "; see whether the readings, the light or the filters are worse than was said"
	}
	peak := slices.Max(r.Value)
	for _, end := range []int{0, n - 1} {
		if r.Value[end] > 0.05*peak && r.Known[end] >= 0.5 {
			s += fmt.Sprintf(". The sensitivity does not end at %g nm, the nodes do: give Nodes beyond", r.NM[end])
		}
	}
	return s
}
