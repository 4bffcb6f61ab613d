package elementary

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"example.org/actinic/internal/benchunit"
)

var odd = []float64{0, math.Copysign(0, -1), 1, -1, 0.5, 2, 5e-324, 2.2250738585072014e-308, math.MaxFloat64, -math.MaxFloat64, 700, -700, 701, -701, 709.7, -745, 800, -800, math.Inf(1), math.Inf(-1), math.NaN(), math.Nextafter(1, 0), math.Nextafter(1, 2)}

func same(a, b float64) bool { return a == b || a != a && b != b }

// bothWays runs a test by vectors, where the machine has them, and plainly.
func bothWays(t *testing.T, test func(t *testing.T)) {
	had := fast
	defer func() { fast = had }()
	for _, fast = range []bool{false, had} {
		t.Run(fmt.Sprintf("vectors=%v", fast), test)
	}
}

func TestAgainstMath(t *testing.T) { bothWays(t, againstMath) }

func againstMath(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	x := append([]float64(nil), odd...)
	for range 200000 {
		x = append(x, 40*(rng.Float64()-0.5), 1400*(rng.Float64()-0.5), math.Exp(60*(rng.Float64()-0.5)))
	}
	got := make([]float64, len(x))
	Exp(got, x)
	for i, v := range x {
		want := math.Exp(v)
		if !same(got[i], want) && !(math.Abs(got[i]-want) <= 4*2.3e-16*want) {
			t.Fatalf("Exp(%v) = %v, want %v", v, got[i], want)
		}
	}
	Log(got, x)
	for i, v := range x {
		want := math.Log(v)
		if !same(got[i], want) && !(math.Abs(got[i]-want) <= 2e-16+4*2.3e-16*math.Abs(want)) {
			t.Fatalf("Log(%v) = %v, want %v", v, got[i], want)
		}
	}
	for i := range x {
		x[i] = math.Abs(x[i])
	}
	Log1p(got, x)
	for i, v := range x {
		want := math.Log1p(v)
		if !same(got[i], want) && !(math.Abs(got[i]-want) <= 8*2.3e-16*want) {
			t.Fatalf("Log1p(%v) = %v, want %v", v, got[i], want)
		}
	}
}

// What is not ordinary is told in every place of a four, and its neighbours are right.
func TestOddPlaces(t *testing.T) {
	bothWays(t, func(t *testing.T) {
		for n := range 11 {
			for at := range n {
				for _, v := range odd {
					x := make([]float64, n)
					for i := range x {
						x[i] = 0.3 + float64(i)
					}
					x[at] = v
					got := make([]float64, n)
					for name, f := range map[string]struct {
						all func(dst, x []float64)
						one func(float64) float64
					}{"Exp": {Exp, math.Exp}, "Log": {Log, math.Log}, "Log1p": {Log1p, math.Log1p}} {
						if name == "Log1p" && v < 0 {
							continue
						}
						f.all(got, x)
						for i, v := range x {
							if want := f.one(v); !same(got[i], want) && !(math.Abs(got[i]-want) <= 8*2.3e-16*math.Abs(want)) {
								t.Fatalf("%s of %v: place %d is %v, want %v", name, x, i, got[i], want)
							}
						}
					}
				}
			}
		}
	})
}

func TestInPlace(t *testing.T) { bothWays(t, inPlace) }

func inPlace(t *testing.T) {
	x := []float64{0.3, 2, 7, 0.2, 5, 6}
	y := append([]float64(nil), x...)
	Exp(y, y)
	Log(y, y)
	for i := range x {
		if math.Abs(x[i]-y[i]) > 1e-15*x[i] {
			t.Errorf("%v comes back as %v", x[i], y[i])
		}
	}
	Exp(nil, nil)
	Log(nil, nil)
	Log1p(nil, nil)
}

func BenchmarkExp(b *testing.B) {
	x, y := make([]float64, 1024), make([]float64, 1024)
	for i := range x {
		x[i] = -6 + 12*float64(i)/1024
	}
	b.ReportAllocs()
	for b.Loop() {
		Exp(y, x)
	}
	benchunit.Per(b, 1024, "number")
}

func BenchmarkLog(b *testing.B) {
	x, y := make([]float64, 1024), make([]float64, 1024)
	for i := range x {
		x[i] = 0.01 + float64(i)/100
	}
	b.ReportAllocs()
	for b.Loop() {
		Log(y, x)
	}
	benchunit.Per(b, 1024, "number")
}
