package copystand

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"example.org/actinic/internal/held"
)

// moments are mean, standard deviation, and a sum that knows the order.
func moments[T float64 | uint16](v []T) []float64 {
	mean, ss, order := 0.0, 0.0, 0.0
	for i, x := range v {
		mean += float64(x) / float64(len(v))
		order += float64(x) * math.Sin(float64(i))
	}
	for _, x := range v {
		ss += (float64(x) - mean) * (float64(x) - mean) / float64(len(v))
	}
	return []float64{mean, math.Sqrt(ss), order}
}

func ramp(n int, from, to float64) []float64 {
	v := make([]float64, n)
	for i := range v {
		v[i] = from + (to-from)*float64(i)/float64(n-1)
	}
	return v
}

func ExampleStand_Lamp() {
	s := New(100, 80)
	fmt.Printf("%.3f in the middle, %.3f in a corner\n", s.Lamp(50, 40), s.Lamp(0, 0))
	// Output: 1.000 in the middle, 0.740 in a corner
}

// One draw of everything is what it was: studies whose figures stand in docs depend on it.
func TestDraws(t *testing.T) {
	said := held.New(t)
	r := func() *rand.Rand { return rand.New(rand.NewPCG(11, 12)) }
	s := New(37, 29)
	s.Flare = 0.01
	said.Values("stand", fmt.Sprintf("%+v", s))
	said.Values("lamp", s.Lamp(0, 0), s.Lamp(36, 3), s.Lamp(7, 28))
	flat := ramp(37*29, 1, 0.001)
	said.Values("exposed", moments(s.Expose(r(), flat, 1.0/64)))
	said.Values("exposed in little light", moments(s.Expose(r(), flat, 1e-5)))
	said.Values("beyond white", moments(s.Expose(r(), flat, 1)))
	said.Values("dark", moments(s.Dark(r(), 1.0/64)), moments(s.Dark(r(), 20)))
	for _, span := range []int{1, 3} {
		said.Values(fmt.Sprint("grain of span ", span), moments(Grain(r(), 37, 29, span)))
	}
	said.Values("film without grain", moments(Film(r(), ramp(37*29, 0, 2), 37, 0, 1)))
	said.Values("film", moments(Film(r(), ramp(37*29, 0, 2), 37, 0.03, 2)))
	clean := ramp(37*29, 0.3, 0.3)
	Dust(r(), clean, 37, 9)
	said.Values("dust", moments(clean))
	said.Values("correlated", moments(Correlated(r(), 37, 29, 1.5)))
	said.Values("discs", moments(Discs(r(), 37, 29, 0.02, 2.5, 0.4)), moments(Discs(r(), 37, 29, 0.02, 2.5, math.Inf(1))))
	said.Values("edge", moments(Edge(37, 29, 5, Sharp)), moments(Edge(37, 29, 40, Blurred(1.3))))
	said.Values("optics", moments(Optics(ramp(37*29, 0, 1), 37, 29, 4, 1.2)), moments(Optics(ramp(37*29, 0, 1), 37, 29, 3, 0)))
	for _, mean := range []float64{0.5, 50, 51, 1000} {
		said.Values(fmt.Sprint("photons of ", mean), poisson(r(), mean), poisson(rand.New(rand.NewPCG(3, 4)), mean))
	}
}

// Grain and correlated noise have the standard deviation 1 that they claim, discs the mean
// transmittance of Poisson: exp(-n a (1 - T)).
func TestMoments(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	for _, span := range []int{1, 2, 5} {
		if m := moments(Grain(r, 300, 300, span)); math.Abs(m[1]-1) > 0.03*float64(span) {
			t.Errorf("grain of span %d: standard deviation %v", span, m[1])
		}
	}
	if m := moments(Correlated(r, 300, 300, 2)); math.Abs(m[1]-1) > 0.05 {
		t.Errorf("correlated: standard deviation %v", m[1])
	}
	if m, want := moments(Discs(r, 400, 400, 0.02, 3, math.Inf(1))), math.Exp(-0.02*math.Pi*9); math.Abs(m[0]/want-1) > 0.05 {
		t.Errorf("discs let %v through, want %v", m[0], want)
	}
}
