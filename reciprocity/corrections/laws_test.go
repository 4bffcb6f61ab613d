package corrections

import (
	"math"
	"testing"
)

// The laws of a family and those near them are the same where no part of a step lies between, and
// half a step on they lie between a law and its neighbours. Laws are failure: none is below 0,
// none falls, and their prior chances sum to 1.
func TestFamilies(t *testing.T) {
	x := []float64{-4, -2, -0.5, 0, 1, 2.2, 3, 4.7, 6, 8, 10}
	shares := 0.0
	for f, family := range families {
		shares += family.weight
		number, chances := 0, 0.0
		z, moved := make([]float64, len(x)), make([]float64, len(x))
		family.laws(x, func(prior float64, _ bool, grown []float64) {
			chances += prior
			family.near(x, number, [3]float64{}, z)
			family.near(x, number, [3]float64{0.5, 0.5, 0.5}, moved)
			for i, v := range grown {
				got := math.Log(v) / widest
				if !(math.Abs(got-z[i]) <= 1e-9*math.Max(z[i], 1)) {
					t.Fatalf("family %d, law %d at %v: %v, near it %v", f, number, x[i], got, z[i])
				}
				if z[i] < 0 || i > 0 && z[i] < z[i-1]-1e-12 {
					t.Fatalf("family %d, law %d falls or is below 0: %v", f, number, z)
				}
				if !(moved[i] >= 0) || math.Abs(moved[i]-z[i]) > 0.5*z[i]+0.7 {
					t.Fatalf("family %d, law %d at %v: %v, half a step on %v", f, number, x[i], z[i], moved[i])
				}
			}
			number++
		})
		if number < 100 || math.Abs(chances-1) > 1e-9 {
			t.Errorf("family %d has %d laws with chances of %v in all", f, number, chances)
		}
	}
	if math.Abs(shares-1) > 1e-12 || math.Abs(gridShare+smoothShare+brokenShare-1) > 1e-12 {
		t.Errorf("the families' shares sum to %v, those of kinds of laws to %v", shares, gridShare+smoothShare+brokenShare)
	}
}
