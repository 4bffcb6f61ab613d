package filmfit

import (
	"math"
	"math/rand/v2"
	"testing"

	"example.org/actinic/internal/held"
)

// What the package does with typical and impossible arguments is held to what it did.
func TestDrive(t *testing.T) {
	draw := func(n int, sd float64) *Data {
		return strip(plain, -3.4, 3/float64(n-1), n, sd, rand.New(rand.NewPCG(8, 15)))
	}
	d := draw(21, 0.01)
	w, ok := Fit(stated(draw(21, 0.01), 0.01))
	if !ok {
		t.Fatal("no fit")
	}
	wild := stated(draw(15, 0.005), 0.005)
	wild.Y[6] += 0.1
	fewer := draw(5, 0.01)
	held.New(t).Drive([]any{
		Closed, Chance, (*Mixture).Heaviest, (*Mixture).Mean,
		(*Mixture).Spread, Interval, NewSampler, Fit,
	}, held.Preconditions{}, held.Few{}, d, stated(draw(9, 0.02), 0.02), wild, fewer, &w, &w.Mixture, &w.Plain, d.X, d.Y, fewer.X, fewer.Y, &Curve{}, 0.22, 0.0, 0.5, 1.0, -1.0, 3.8, 12.0, math.Inf(1), math.NaN(),
		2, 1, 3, func(c *Curve, out []float64) { out[0] = c.Base },
		Normal{0.5, 1, 0.1, math.Inf(1)}, Normal{0.3, 1.3, 0.2, 5}, Normal{0.2, 0.5, 0.3, 12})
}
