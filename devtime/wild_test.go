package devtime

import (
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"example.org/actinic/sensito"
)

// Strips of any kind: nothing panics, and no interval leaves its value out.
func TestWildStrips(t *testing.T) {
	r := rand.New(rand.NewPCG(17, 17))
	n := 200
	if testing.Short() {
		n = 40
	}
	fitted := 0
	for range n {
		var p []Point
		sd := []float64{0, 1e-9, .01, 40}[r.IntN(4)]
		scale := math.Exp(8 * r.NormFloat64())
		long := math.Exp(12 * r.NormFloat64())
		for range 2 + r.IntN(6) {
			x := r.Float64()
			p = append(p, Point{time.Duration(x*long*1e9) + 1, scale * (1.0001 - math.Exp(-3*x)) * math.Exp([]float64{0, .01, 1}[r.IntN(3)]*r.NormFloat64()), sd * scale})
		}
		f, err := FitGrowth(p)
		if err != nil {
			continue
		}
		fitted++
		whole := func(e sensito.Estimate) bool { return e.Low <= e.Value && e.Value <= e.High && !math.IsNaN(e.Value) }
		if !whole(f.Limit()) || !whole(f.RatePerMinute()) || !whole(f.InductionMinutes()) || !(f.NoInduction() >= 0 && f.NoInduction() <= 1) {
			t.Fatalf("%v from %v", f, p)
		}
		if e, err := f.At(p[0].Time); err != nil || !whole(e) {
			t.Fatalf("%v, %v from %v", e, err, p)
		}
		if tt, err := f.TimeFor(f.Limit().Value / 2); err == nil && !(tt.Low <= tt.Value && tt.Value <= tt.High && tt.Low >= 0) {
			t.Fatalf("%+v from %v", tt, p)
		}
		if _, err := NewContrastTime(f.Law().Limit().Value, f.Law().RatePerMinute().Value, f.Law().induct()); err != nil {
			t.Fatal(err)
		}
	}
	if fitted < n/4 {
		t.Errorf("%d of %d fitted", fitted, n)
	}
}

func (c ContrastTime) induct() time.Duration {
	return time.Duration(c.induction * float64(time.Minute))
}
