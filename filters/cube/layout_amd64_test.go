package cube

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"example.org/actinic/sensito"
)

// How the work is laid out: as few and as narrow tiles as will do, lanes that repeat as soon as they can, and weights
// of nothing where there is no channel.
func TestLayout(t *testing.T) {
	curves := []sensito.Curve{testCurve(31, 0), testCurve(17, 0.3)}
	for _, bands := range []int{2, 4, 7, 8, 31, 33} {
		for K, want := range map[int]string{1: "8", 3: "4", 4: "4", 5: "8", 8: "8", 9: "16", 12: "16", 16: "16", 17: "16 4", 20: "16 4", 21: "16 8", 24: "16 8", 25: "16 16", 37: "16 16 8"} {
			if bands < 8 {
				want = map[int]string{1: "8", 3: "8", 4: "8", 5: "8", 8: "8", 9: "16", 12: "16", 16: "16", 17: "16 8", 20: "16 8", 21: "16 8", 24: "16 8", 25: "16 16", 37: "16 16 8"}[K]
			} else if K == 1 {
				want = "1"
			}
			p := prepare(t, testBands(bands), ClampToCurve, testChannels(K, curves...)...)
			l := p.newLayout()
			widths, first := "", 0
			for i, tile := range l.tiles {
				if widths += fmt.Sprintf(" %d", tile.width); tile.first != first {
					t.Errorf("%d bands, %d channels: tile %d begins at %d", bands, K, i, tile.first)
				}
				first += tile.width
				vectors := map[int]int{1: 8, 4: 8}[tile.width] // bands of a vector
				if vectors == 0 {
					vectors = 1
				}
				size := (bands + vectors - 1) / vectors * vectors * tile.width
				if tile.width == 1 {
					size = max(size, 32)
				}
				sum, whole := 0.0, 0.0
				for _, w := range tile.weights {
					sum += float64(w)
				}
				for k := tile.first; k < min(tile.first+tile.width, K); k++ {
					for b := range bands {
						whole += float64(p.relative[k*bands+b])
					}
				}
				if len(tile.weights) != size || math.Abs(sum-whole) > 1e-3*math.Abs(whole) {
					t.Errorf("%d bands, %d channels, tile %d: %d weights that sum to %v, want %d and %v", bands, K, i, len(tile.weights), sum, size, whole)
				}
			}
			if widths[1:] != want {
				t.Errorf("%d bands, %d channels: tiles of%s, want %s", bands, K, widths, want)
			}
			cycle := 1
			for K > 1 && cycle*8%K != 0 {
				cycle++
			}
			if len(l.lanes) != 32*cycle || l.tone.cycle != 128*cycle {
				t.Errorf("%d channels: %d lanes, %d bytes, want %d and %d", K, len(l.lanes), l.tone.cycle, 32*cycle, 128*cycle)
			}
			if p.weight(K, 0) != 0 || p.weight(K-1, 0) != p.relative[(K-1)*bands] {
				t.Errorf("%d channels: weights %v and %v", K, p.weight(K-1, 0), p.weight(K, 0))
			}
			x := make([]float32, 11*K)
			n := p.sums(x, K-1, make([]float32, 11*bands))
			if bands >= 4 && n != 8 || bands < 4 && n != 0 {
				t.Errorf("%d bands: %d of 11 pixels summed", bands, n)
			}
		}
	}
}

// The way that is asked for is the one that is gone: the sums of the ways differ in their last digits.
func TestWayTaken(t *testing.T) {
	if detect() != fast {
		t.Skip("no vectors here")
	}
	was := best
	defer func() { best = was }()
	const bands, n = 31, 4000
	p := prepare(t, testBands(bands), ClampToCurve, testChannels(1, testCurve(31, 0))...)
	g, cube := rand.New(rand.NewPCG(2, 2)), make([]float32, n*bands)
	for i := range cube {
		cube[i] = float32(g.Float64())
	}
	run := func(do func(density []float32, counts *[4]int)) []float32 {
		d := make([]float32, n)
		do(d, new([4]int))
		return d
	}
	differ := func(a, b []float32) (k int) {
		for i := range a {
			if a[i] != b[i] {
				k++
			}
		}
		return k
	}
	by := map[way][]float32{}
	for _, w := range []way{plain, fallback, fast} {
		best = w
		by[w] = run(func(d []float32, counts *[4]int) { p.pixels(d, cube, false, counts) })
	}
	best = fast
	itself := run(func(d []float32, counts *[4]int) {
		if done := p.fast(d, cube, false, counts); done < n-8 {
			t.Errorf("%d of %d pixels", done, n)
		}
	})
	if k := differ(by[fast][:n-8], itself[:n-8]); k > 0 {
		t.Errorf("%d pixels were not done by vectors", k)
	}
	for _, other := range []way{plain, fallback} {
		if differ(by[fast], by[other]) == 0 {
			t.Errorf("way %d gives what vectors give", other)
		}
	}
}
