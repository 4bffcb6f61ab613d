package image

import (
	"context"
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"example.org/actinic/internal/readloop"
	"example.org/actinic/spectral"
)

// One row for each: the reading of the cube, and the whole way to densities.
func BenchmarkImage(b *testing.B) {
	const pixels = 1 << 20
	curve := testCurve(31, 0)
	for _, bands := range []int{31, 81} {
		cube := memory(b, pixels*bands)
		fill(cube)
		density := memory(b, pixels*16)
		clear(density) // so that the system has given it before the clock runs
		b.Run(fmt.Sprintf("read/B=%d", bands), func(b *testing.B) {
			for b.Loop() {
				readloop.Sum(cube)
			}
			per(b, pixels, "ns/pixel")
		})
		for _, r := range []struct {
			k, workers int
			plain      bool
		}{{1, 1, false}, {1, 2, false}, {1, 1, true}, {4, 1, false}, {4, 1, true}, {16, 1, false}, {16, 2, false}, {16, 1, true}} {
			p, err := Prepare(testBands(bands), spectral.Hold, Clamp, testChannels(r.k, curve)...)
			if err != nil {
				b.Fatal(err)
			}
			path := "fast"
			if r.plain {
				path = "portable"
			}
			b.Run(fmt.Sprintf("%s/B=%d/K=%d/workers=%d", path, bands, r.k, r.workers), func(b *testing.B) {
				b.ReportAllocs()
				plain = r.plain
				defer func() { plain = false }()
				for b.Loop() {
					if _, err := p.Densities(context.Background(), density[:pixels*r.k], cube, Work{Workers: r.workers}); err != nil {
						b.Fatal(err)
					}
				}
				per(b, pixels*r.k, "ns/density")
			})
		}
	}
}

func per(b *testing.B, n int, unit string) {
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(n), unit)
}

func fill(cube []float32) {
	g := rand.New(rand.NewPCG(1, 2))
	for i := range cube {
		cube[i] = 0.005 + 0.895*g.Float32()
	}
}

// The same in turns with the read, which is the fair way on a machine that others
// use: the median of the ratios of neighbours. A turn is a sixteenth of the cube, a
// millisecond or so, that was last touched half a cube ago.
func BenchmarkAgainstRead(b *testing.B) {
	const pixels, turns = 1 << 20, 16
	const part = pixels / turns
	curve := testCurve(31, 0)
	for _, bands := range []int{31, 81} {
		cube := memory(b, pixels*bands)
		fill(cube)
		density := memory(b, pixels)
		clear(density)
		p, err := Prepare(testBands(bands), spectral.Hold, Clamp, testChannels(1, curve)...)
		if err != nil {
			b.Fatal(err)
		}
		for _, path := range []string{"fast", "portable"} {
			b.Run(fmt.Sprintf("%s/B=%d/K=1", path, bands), func(b *testing.B) {
				plain = path == "portable"
				defer func() { plain = false }()
				var reads, ratios []float64
				for b.Loop() {
					for i := range turns {
						j := (i + turns/2) % turns
						t0 := time.Now()
						readloop.Sum(cube[i*part*bands : (i+1)*part*bands])
						t1 := time.Now()
						if _, err := p.Densities(context.Background(), density[j*part:(j+1)*part], cube[j*part*bands:(j+1)*part*bands], Work{Workers: 1}); err != nil {
							b.Fatal(err)
						}
						reads = append(reads, float64(t1.Sub(t0))/part)
						ratios = append(ratios, float64(time.Since(t1))/float64(t1.Sub(t0)))
					}
				}
				slices.Sort(reads)
				slices.Sort(ratios)
				b.ReportMetric(reads[len(reads)/2], "read-ns/pixel")
				b.ReportMetric(ratios[len(ratios)/2], "x-read")
			})
		}
	}
}
