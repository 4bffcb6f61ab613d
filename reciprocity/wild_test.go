package reciprocity

import (
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"example.org/actinic/sensito"
)

// Readings of any kind: nothing panics, and no interval leaves its value out or is
// half a number.
func TestWildReadings(t *testing.T) {
	r := rand.New(rand.NewPCG(13, 13))
	n := 300
	if testing.Short() {
		n = 60
	}
	for range n {
		var q []Reading
		sd := []sensito.Stops{0, 1e-6, .1, 50}[r.IntN(4)]
		for range 1 + r.IntN(9) {
			m := time.Duration(math.Exp(40 * r.Float64()))
			a := time.Duration(float64(m) * math.Exp(r.NormFloat64()*[]float64{0, 1e-9, .1, 3}[r.IntN(4)]))
			if r.IntN(3) == 0 && len(q) > 0 {
				m = q[0].Metered
			}
			q = append(q, Reading{m, a, sd})
		}
		fits := []*Fitted{}
		for _, k := range Kinds() {
			if f, err := Fit(k, q); err == nil {
				fits = append(fits, f)
			}
		}
		if f, _, err := Choose(q, .1); err == nil {
			fits = append(fits, f)
		}
		for _, f := range fits {
			whole := func(e sensito.Estimate) bool {
				return math.IsNaN(e.Low) && math.IsNaN(e.High) || e.Low <= e.Value && e.Value <= e.High
			}
			for _, p := range f.Parameters() {
				if !whole(p.Estimate) || math.IsNaN(p.Value) {
					t.Fatalf("%v of %v from %v", p, f.Law(), q)
				}
			}
			for _, d := range []time.Duration{1, time.Millisecond, time.Second, time.Hour, 1 << 60} {
				if p, err := f.Predict(d); err == nil && !whole(p.Adjusted) {
					t.Fatalf("%v at %v: %+v from %v", f.Law(), d, p, q)
				}
				if p, err := f.Exposed(d); err == nil && !whole(p.Metered) {
					t.Fatalf("%v exposed %v: %+v from %v", f.Law(), d, p, q)
				}
				if c, err := Correct(f.Law(), d); err == nil && !(c.Least <= c.Adjusted && c.Adjusted <= c.Most) {
					t.Fatalf("%v at %v: %+v", f.Law(), d, c)
				}
			}
		}
	}
}
