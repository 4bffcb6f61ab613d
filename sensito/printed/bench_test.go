package printed

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"example.org/actinic/internal/benchunit"
	"example.org/actinic/sensito"
)

func BenchmarkScreenTable(b *testing.B) {
	for _, n := range []int{12, 24, 100, 1000, 10_000, 100_000, 1_000_000} {
		b.Run(fmt.Sprintf("rows=%d", n), func(b *testing.B) {
			// A thousand tables, so that none is learned by heart.
			tables := max(1, min(1000, 1_000_000/n))
			x, y := make([]float64, n), make([]float64, n*tables)
			for i := range x {
				x[i] = math.Exp2(12 * float64(i) / float64(n))
			}
			g := rand.New(rand.NewPCG(1, 1))
			for i := range y {
				y[i] = math.Pow(x[i%n], 1.2) * math.Exp2(0.03*g.NormFloat64())
			}
			off := make([]sensito.Stops, n)
			b.ReportAllocs()
			for b.Loop() {
				for i := 0; i < len(y); i += n {
					if _, err := ScreenTable(off, x, y[i:i+n], 0); err != nil {
						b.Fatal(err)
					}
				}
			}
			benchunit.Per(b, tables, "table")
		})
	}
}

func BenchmarkCheckSeries(b *testing.B) {
	for _, n := range []int{12, 100, 1000, MaxRows} {
		s := Series{Column: "y", Step: []float64{0.01}, Law: func(x float64) float64 { return math.Pow(x, 1.2) }, Order: 1}
		for i := range n {
			x := float64(i + 1)
			s.X, s.Y = append(s.X, x), append(s.Y, math.Round(100*math.Pow(x, 1.2))/100)
		}
		b.Run(fmt.Sprintf("rows=%d", n), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if _, err := CheckSeries(s); err != nil {
					b.Fatal(err)
				}
			}
			benchunit.Per(b, 1, "table")
		})
	}
}
