package view

import (
	"math"
	"testing"

	"example.org/actinic/internal/held"
)

// At its bounds: three readings are enough, a gradient of exactly the least counts.
func TestEdgeAcutanceAtItsBounds(t *testing.T) {
	said := held.New(t)
	x := []float64{0, 1, 2}
	// Gradients 0.25 and 0.5 over a rise of 0.75: (0.0625 + 0.25)/2 / 0.75.
	if got, err := EdgeAcutance(x, []float64{0, 0.25, 0.75}, 0.25); err != nil || math.Abs(got-(0.0625+0.25)/2/0.75) > 1e-12 {
		t.Errorf("%v, %v", got, err)
	}
	for name, c := range map[string]struct {
		x, d  []float64
		least float64
	}{
		"two readings":      {x[:2], []float64{0, 1}, 0.1},
		"unlike lengths":    {x, []float64{0, 1}, 0.1},
		"least 0":           {x, []float64{0, 1, 2}, 0},
		"least infinite":    {x, []float64{0, 1, 2}, math.Inf(1)},
		"equal distances":   {[]float64{0, 1, 1}, []float64{0, 1, 2}, 0.1},
		"NaN density":       {x, []float64{0, 1, math.NaN()}, 0.1},
		"infinite distance": {[]float64{0, 1, math.Inf(1)}, []float64{0, 1, 2}, 0.1},
		"nowhere so steep":  {x, []float64{0, 0.25, 0.5}, 0.2500001},
		"there and back":    {x, []float64{0, 1, 0}, 0.1},
	} {
		if _, err := EdgeAcutance(c.x, c.d, c.least); !said.Is(name, err, ErrInput) {
			t.Errorf("%s: %v", name, err)
		}
	}
}
