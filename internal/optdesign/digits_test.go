package optdesign

import (
	"fmt"
	"testing"

	"example.org/actinic/internal/held"
)

// What designs come out is what it was: weights to four digits, for a best design is known by what it
// gives, not by where the search ended.
func TestDigits(t *testing.T) {
	said := held.New(t)
	f, c := speedPoint()
	x := grid(-3, 3, 25)
	for name, p := range map[string]*Problem{
		"variance of a speed point":      one(t, Variance, x, f, c),
		"determinant of a speed point":   one(t, Determinant, x, f),
		"variance of a parabola outside": one(t, Variance, grid(-1, 1, 11), quadratic, []float64{1, 1.5, 2.25}),
	} {
		for _, total := range []float64{1, 12} {
			d, err := p.Best(total)
			if err != nil {
				t.Fatal(err)
			}
			said.Values(fmt.Sprintf("%s, %g readings", name, total), fmt.Sprintf("%.4g", d.Value))
		}
		for _, distinct := range []int{0, 5} {
			d, err := p.Exact(12, distinct, nil)
			if err != nil {
				t.Fatal(err)
			}
			said.Values(fmt.Sprintf("%s, 12 whole readings, %d distinct", name, distinct), d.Value, d.N)
			after := p.After(d.N)
			said.Values(name+" after", after[:5])
		}
	}
	for _, h := range []struct {
		sd, half float64
		known    bool
	}{{1, 1, true}, {1, 1, false}, {1, 0.3, true}, {1, 0.3, false}, {0.1, 10, false}, {5, 0.1, true}} {
		n, err := HowMany(h.sd, h.half, h.known)
		if err != nil {
			t.Fatal(err)
		}
		said.Values(fmt.Sprintf("readings of sd %g for half an interval of %g, known %v", h.sd, h.half, h.known), n)
	}
}
