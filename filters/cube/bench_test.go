package cube

import (
	"context"
	"flag"
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"example.org/actinic/internal/benchunit"
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
			benchunit.Per(b, pixels, "pixel")
		})
		for _, r := range []struct {
			k, workers int
			path       way
		}{{1, 1, fast}, {1, 2, fast}, {1, 1, fallback}, {1, 1, plain}, {4, 1, fast}, {4, 1, plain}, {16, 1, fast}, {16, 2, fast}, {16, 1, plain}} {
			p, err := Prepare(testBands(bands), spectral.Hold, ClampToCurve, testChannels(r.k, curve)...)
			if err != nil {
				b.Fatal(err)
			}
			b.Run(fmt.Sprintf("%s/B=%d/K=%d/workers=%d", r.path, bands, r.k, r.workers), func(b *testing.B) {
				force(b, r.path)
				b.ReportAllocs()
				for b.Loop() {
					if _, err := p.Densities(context.Background(), density[:pixels*r.k], cube, Options{Workers: r.workers}); err != nil {
						b.Fatal(err)
					}
				}
				benchunit.Per(b, pixels*r.k, "density")
			})
		}
	}
}

func (w way) String() string { return [...]string{"plain", "fallback", "fast"}[w] }

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
		p, err := Prepare(testBands(bands), spectral.Hold, ClampToCurve, testChannels(1, curve)...)
		if err != nil {
			b.Fatal(err)
		}
		for _, path := range []way{fast, fallback, plain} {
			b.Run(fmt.Sprintf("%s/B=%d/K=1", path, bands), func(b *testing.B) {
				force(b, path)
				var reads, ratios []float64
				for b.Loop() {
					for i := range turns {
						j := (i + turns/2) % turns
						t0 := time.Now()
						readloop.Sum(cube[i*part*bands : (i+1)*part*bands])
						t1 := time.Now()
						if _, err := p.Densities(context.Background(), density[j*part:(j+1)*part], cube[j*part*bands:(j+1)*part*bands], Options{Workers: 1}); err != nil {
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

// How much two workers gain over one, in turns.
func BenchmarkTwoWorkers(b *testing.B) {
	const pixels = 1 << 20
	curve := testCurve(31, 0)
	for _, r := range [][2]int{{31, 1}, {31, 16}, {81, 1}, {81, 16}} {
		bands, k := r[0], r[1]
		cube, density := memory(b, pixels*bands), memory(b, pixels*k)
		fill(cube)
		clear(density)
		p, err := Prepare(testBands(bands), spectral.Hold, ClampToCurve, testChannels(k, curve)...)
		if err != nil {
			b.Fatal(err)
		}
		b.Run(fmt.Sprintf("B=%d/K=%d", bands, k), func(b *testing.B) {
			var gains []float64
			for b.Loop() {
				var took [3]time.Duration
				for w := 1; w <= 2; w++ {
					t := time.Now()
					if _, err := p.Densities(context.Background(), density, cube, Options{Workers: w}); err != nil {
						b.Fatal(err)
					}
					took[w] = time.Since(t)
				}
				gains = append(gains, float64(took[1])/float64(took[2]))
			}
			slices.Sort(gains)
			b.ReportMetric(gains[len(gains)/2], "x-one-worker")
		})
	}
}

var huge = flag.Bool("huge", false, "benchmark 1e8 pixels too, which takes 13 GB of memory")

// Cost as the work grows: pixels, bands, channels.
func BenchmarkGrowth(b *testing.B) {
	curve := testCurve(31, 0)
	run := func(name string, pixels, bands, k int) {
		b.Run(name, func(b *testing.B) {
			cube, density := memory(b, pixels*bands), memory(b, pixels*k)
			fill(cube[:min(len(cube), 1<<20)])
			for i := 1 << 20; i < len(cube); i += 1 << 20 {
				copy(cube[i:], cube[:1<<20])
			}
			clear(density)
			p, err := Prepare(testBands(bands), spectral.Hold, ClampToCurve, testChannels(k, curve)...)
			if err != nil {
				b.Fatal(err)
			}
			b.ReportAllocs()
			for b.Loop() {
				if _, err := p.Densities(context.Background(), density, cube, Options{Workers: 1}); err != nil {
					b.Fatal(err)
				}
			}
			benchunit.Per(b, pixels, "pixel")
		})
	}
	for _, pixels := range []int{1e4, 1e5, 1e6, 1e7, 1e8} {
		if pixels > 1e7 && !*huge {
			break
		}
		run(fmt.Sprintf("pixels=%d/B=31/K=1", pixels), pixels, 31, 1)
	}
	for _, bands := range []int{4, 8, 16, 31, 81, 201, 471} {
		run(fmt.Sprintf("bands=%d/K=1", bands), 1e5, bands, 1)
	}
	for _, k := range []int{1, 2, 4, 8, 16, 32, 64, 128} {
		run(fmt.Sprintf("channels=%d/B=31", k), 1e5, 31, k)
	}
}

func BenchmarkPrepare(b *testing.B) {
	curve := testCurve(31, 0)
	for _, k := range []int{1, 16} {
		channels := testChannels(k, curve)
		b.Run(fmt.Sprintf("B=81/K=%d", k), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if _, err := Prepare(testBands(81), spectral.Hold, ClampToCurve, channels...); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
