package sensito

import (
	"fmt"
	"math/rand/v2"
	"testing"

	"example.org/actinic/internal/benchunit"
)

// benchCurve is a curve of 31 knots and random points on it.
func benchCurve(b *testing.B) (c *Interpolated, xs []LogH, ds []Density) {
	f := ClosedForm{Constants{BaseFog: 0.12, Gamma: 1.3, Toe: -2.2, ToeWidth: 0.3, Shoulder: 2.6, Sharpness: 3}}
	var rs []Reading
	for i := range 31 {
		x := LogH(-3.2 + 4.4*float64(i)/30)
		rs = append(rs, Reading{LogH: x, Density: f.density(x)})
	}
	c, err := Interpolate(rs, StatedBase(0.12), RefuseFalling)
	if err != nil {
		b.Fatal(err)
	}
	rng := rand.New(rand.NewPCG(1, 1))
	for range 1 << 16 {
		x := LogH(-3.2 + 4.4*rng.Float64())
		d, err := c.Density(x)
		if err != nil {
			b.Fatal(err)
		}
		xs, ds = append(xs, x), append(ds, d)
	}
	return c, xs, ds
}

func BenchmarkCurveForward(b *testing.B) {
	c, xs, _ := benchCurve(b)
	b.ReportAllocs()
	i := 0
	for b.Loop() {
		if _, err := c.Density(xs[i&(1<<16-1)]); err != nil {
			b.Fatal(err)
		}
		i++
	}
	benchunit.Per(b, 1, "point")
}

func BenchmarkCurveInverse(b *testing.B) {
	c, _, ds := benchCurve(b)
	b.ReportAllocs()
	i := 0
	for b.Loop() {
		if _, err := c.LogH(ds[i&(1<<16-1)]); err != nil {
			b.Fatal(err)
		}
		i++
	}
	benchunit.Per(b, 1, "point")
}

func BenchmarkCurveForwardSlice(b *testing.B) {
	c, xs, ds := benchCurve(b)
	b.ReportAllocs()
	for b.Loop() {
		if err := c.Densities(ds, xs); err != nil {
			b.Fatal(err)
		}
	}
	benchunit.Per(b, len(xs), "point")
}

func BenchmarkCurveInverseSlice(b *testing.B) {
	c, xs, ds := benchCurve(b)
	b.ReportAllocs()
	for b.Loop() {
		if err := c.LogHs(xs, ds); err != nil {
			b.Fatal(err)
		}
	}
	benchunit.Per(b, len(xs), "point")
}

// benchStrip is a strip of 21 readings with noise.
func benchStrip() []Reading { return benchReadings(21) }

func benchReadings(n int) []Reading {
	f := ClosedForm{Constants{BaseFog: 0.15, Gamma: 0.65, Toe: -2.6, ToeWidth: 0.2, Shoulder: 1.6, Sharpness: 5}}
	rng := rand.New(rand.NewPCG(2, 2))
	var rs []Reading
	for i := range n {
		x := LogH(-3.4 + 3*float64(i)/float64(n-1))
		rs = append(rs, Reading{x, f.density(x) + Density(0.01*rng.NormFloat64()), 0.01})
	}
	return rs
}

// A smooth curve, with the covariance of its constants.
func BenchmarkFit(b *testing.B) {
	base := UnexposedBase(0.152)
	for _, n := range []int{21, 210, 2100, 21_000, 210_000} {
		b.Run(fmt.Sprintf("readings=%d", n), func(b *testing.B) {
			rs := benchReadings(n)
			b.ReportAllocs()
			for b.Loop() {
				if _, err := Fit(rs, base); err != nil {
					b.Fatal(err)
				}
			}
			benchunit.Per(b, 1, "fit")
		})
	}
}

// A curve through the readings, ready for use.
func BenchmarkInterpolate(b *testing.B) {
	for _, n := range []int{31, 310, 3100, 31_000, 310_000} {
		b.Run(fmt.Sprintf("readings=%d", n), func(b *testing.B) {
			rs := benchReadings(n)
			b.ReportAllocs()
			for b.Loop() {
				if _, err := Interpolate(rs, StatedBase(0.12), PoolFalling); err != nil {
					b.Fatal(err)
				}
			}
			benchunit.Per(b, 1, "curve")
		})
	}
}

func BenchmarkEstimate(b *testing.B) {
	f, err := Fit(benchStrip(), UnexposedBase(0.152))
	if err != nil {
		b.Fatal(err)
	}
	b.ReportAllocs()
	for b.Loop() {
		if _, err := f.Estimate(MeasureOf(SpeedPoint), AverageGradient, ContrastIndex); err != nil {
			b.Fatal(err)
		}
	}
}

// A strip with the intervals of what a record holds: a film of the form, one that is
// not, and one with a wild reading.
func BenchmarkStrip(b *testing.B) {
	clean, base := cleanStrip(21, 0.15, 0.01, 4)
	wild := append([]Reading(nil), clean...)
	wild[8].Density += 0.1
	var other []Reading
	f := &studyFilms[8]
	rng := rand.New(rand.NewPCG(2, 3))
	for i := range 21 {
		x := -3.3 + 0.15*float64(i)
		other = append(other, Reading{LogH(x), Density(f.d(x, f.p) + 0.01*rng.NormFloat64()), 0.01})
	}
	for _, c := range []struct {
		name string
		rs   []Reading
	}{{"clean", clean}, {f.name, other}, {"wild", wild}} {
		b.Run("film="+c.name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				fit, err := Fit(c.rs, base)
				if err != nil {
					b.Fatal(err)
				}
				if _, err := fit.Estimate(MeasureOf(SpeedPoint), LogIndex(FixedDensity), Gamma, AverageGradient, ContrastIndex); err != nil {
					b.Fatal(err)
				}
			}
			benchunit.Per(b, 1, "strip")
		})
	}
}

// Ten thousand draws of one strip.
func BenchmarkResample(b *testing.B) {
	rs, base := cleanStrip(21, 0.15, 0.01, 4)
	fit, err := Fit(rs, base)
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		if _, err := fit.Resample(Sampling{Draws: 10_000, Seed: 1}, MeasureOf(SpeedPoint), AverageGradient); err != nil {
			b.Fatal(err)
		}
	}
}
