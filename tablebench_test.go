package actinic

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"example.org/actinic/internal/benchunit"
	"example.org/actinic/sensito"
)

// corrections is a table of n rows from 1 s to an hour with little scatter.
func corrections(n int) []ReciprocityRow {
	g := rand.New(rand.NewPCG(1, 1))
	rows := make([]ReciprocityRow, n)
	for i := range rows {
		m := math.Exp2(12 * float64(i) / float64(n))
		rows[i] = ReciprocityRow{Metered: m, Adjusted: math.Pow(m, 1.2) * math.Exp2(0.03*g.NormFloat64()), Aperture: sensito.Stops(math.NaN()), Percent: math.NaN()}
	}
	return rows
}

func BenchmarkScreenTable(b *testing.B) {
	for _, n := range []int{12, 24, 100, 1000, 10_000, 100_000, 1_000_000} {
		b.Run(fmt.Sprintf("rows=%d", n), func(b *testing.B) {
			// A thousand tables, so that none is learned by heart.
			tables := max(1, min(1000, 1_000_000/n))
			x, y := make([]float64, n), make([]float64, n*tables)
			for i, r := range corrections(n) {
				x[i] = r.Metered
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

func BenchmarkCheckReciprocity(b *testing.B) {
	for _, n := range []int{12, 100, 1000} {
		b.Run(fmt.Sprintf("rows=%d", n), func(b *testing.B) {
			rows := corrections(n)
			b.ReportAllocs()
			for b.Loop() {
				if _, err := CheckReciprocity(rows); err != nil {
					b.Fatal(err)
				}
			}
			benchunit.Per(b, 1, "table")
		})
	}
}

func BenchmarkCheckDevelopment(b *testing.B) {
	one := shippedDevelopment(b, "invented_development.csv")
	for _, times := range []int{1, 4, 16, 64} {
		var rows []DevelopmentRow
		for range times {
			rows = append(rows, one...)
		}
		b.Run(fmt.Sprintf("rows=%d", len(rows)), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if _, err := CheckDevelopment(rows); err != nil {
					b.Fatal(err)
				}
			}
			benchunit.Per(b, 1, "table")
		})
	}
}

func BenchmarkCheckSeries(b *testing.B) {
	for _, n := range []int{12, 100, 1000, maxTableRows} {
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
