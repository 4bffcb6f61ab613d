package actinic

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"
)

// The texts are what package fmt would print, each by itself.
func TestProse(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 8))
	values := []float64{0, math.Copysign(0, -1), 0.005, 0.015, -0.004, 1, 999.5, 1e6, 1e21, 1e-7, math.NaN(), math.Inf(1), math.Inf(-1)}
	for range 1000 {
		values = append(values, rng.NormFloat64()*math.Exp(20*rng.Float64()-10))
	}
	var w prose
	var want []string
	for _, v := range values {
		for d := range 3 {
			w.begin().say("at ").fixed(v, d).say(", ").figures(v, d+2).say(".")
			want = append(want, fmt.Sprintf("at %.*f, %.*g.", d, v, d+2, v))
		}
		w.begin() // a text of nothing
		want = append(want, "")
	}
	for i, x := range want {
		if got := w.part(i); got != x {
			t.Errorf("text %d is %q, want %q", i, got, x)
		}
	}
}
