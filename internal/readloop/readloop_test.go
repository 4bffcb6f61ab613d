package readloop

import "testing"

func TestSum(t *testing.T) {
	x := make([]float32, 300)
	for i := range x {
		x[i] = float32(i % 7)
	}
	for from := range 9 {
		for n := range len(x) - from {
			want := 0
			for i := range n {
				want += (from + i) % 7
			}
			if got := Sum(x[from : from+n]); got != float32(want) {
				t.Fatalf("%d from %d: %v, want %d", n, from, got, want)
			}
		}
	}
}
