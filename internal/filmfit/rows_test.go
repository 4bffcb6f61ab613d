package filmfit

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"
)

// By vectors rows give what they give plainly.
func TestRowsEitherWay(t *testing.T) {
	if !fast {
		t.Skip("no vectors here")
	}
	defer func() { fast = true }()
	rng := rand.New(rand.NewPCG(2, 7))
	some := func(n int) []float64 {
		v := make([]float64, n)
		for i := range v {
			v[i] = rng.NormFloat64()
		}
		return v
	}
	near := func(what string, got, want []float64) {
		t.Helper()
		for i := range want {
			if !(math.Abs(got[i]-want[i]) <= 1e-13*(1+math.Abs(want[i]))) {
				t.Fatalf("%s: element %d is %v, want %v", what, i, got[i], want[i])
			}
		}
	}
	either := func(what string, out []float64, do func(out []float64)) {
		t.Helper()
		plainly := slices.Clone(out)
		fast = false
		do(plainly)
		fast = true
		do(out)
		near(what, out, plainly)
	}
	for _, wide := range []int{8, 16, 24, 32} {
		for _, n := range []int{1, 2, 7, 21} {
			rows, acc, a, b := some(n*wide), some(wide), some(wide), some(wide)
			either("add", some(wide), func(out []float64) { add(out, rows) })
			either("add nothing", some(wide), func(out []float64) { add(out, nil) })
			either("join", some(wide), func(out []float64) { join(out, acc, a, b, 0.7, 0.1, -0.3, 2) })
			by := some(n)
			for _, many := range []int{0, 4, 8} {
				src := some(n * many)
				either("times", some(n*wide), func(out []float64) { times(out, src, by, wide, many) })
			}
			either("sum", some(wide), func(out []float64) { sum(out, rows, by) })
			for size := 1; size <= wide; size += 3 {
				either("gram", make([]float64, wide*wide), func(out []float64) {
					s := make([]float64, wide*wide)
					gram(s, rows, wide, size)
					for j := range size { // what is above the diagonal is not promised
						copy(out[j*wide:], s[j*wide:j*wide+j+1])
					}
				})
			}
		}
	}
}
