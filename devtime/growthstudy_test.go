package devtime

import (
	"flag"
	"fmt"
	"math"
	"math/rand/v2"
	"testing"
)

var study = flag.Bool("study", false, "the studies of coverage at the size whose figures stand in the docs")

// binomial is a share with its 95 % interval, in percent.
func binomial(hits, n int) string {
	p := float64(hits) / float64(n)
	return fmt.Sprintf("%5.1f ± %.1f", 100*p, 196*math.Sqrt(p*(1-p)/float64(n)))
}

// grower draws a film: its contrast at t minutes and, where it has them, the
// constants of our law.
type grower struct {
	name string
	draw func(r *rand.Rand) (g func(t float64) float64, limit, rate, induction float64)
}

// growers are films of our law and of others: hyperbolic growth, one in two
// stages, growth that begins slowly, a power of the time.
func growers() []grower {
	ours := func(t0 func(r *rand.Rand) float64) func(*rand.Rand) (func(float64) float64, float64, float64, float64) {
		return func(r *rand.Rand) (func(float64) float64, float64, float64, float64) {
			n := growthNode{limit: .75 + .45*r.Float64(), rate: .07 + .13*r.Float64(), induction: t0(r)}
			return n.at, n.limit, n.rate, n.induction
		}
	}
	other := func(of func(r *rand.Rand) func(float64) float64) func(*rand.Rand) (func(float64) float64, float64, float64, float64) {
		return func(r *rand.Rand) (func(float64) float64, float64, float64, float64) {
			return of(r), math.NaN(), math.NaN(), math.NaN()
		}
	}
	return []grower{
		{"no induction", ours(func(*rand.Rand) float64 { return 0 })},
		{"induction 0 to 0.8 min", ours(func(r *rand.Rand) float64 { return .8 * r.Float64() })},
		{"induction 1.5 min", ours(func(*rand.Rand) float64 { return 1.5 })},
		{"hyperbolic t/(t+c)", other(func(r *rand.Rand) func(float64) float64 {
			a, c := 1+.4*r.Float64(), 6+6*r.Float64()
			return func(t float64) float64 { return a * t / (t + c) }
		})},
		{"two stages", other(func(r *rand.Rand) func(float64) float64 {
			a, k := .8+.4*r.Float64(), .08+.1*r.Float64()
			return func(t float64) float64 { return a * (.7*-math.Expm1(-k*t) + .3*-math.Expm1(-3*k*t)) }
		})},
		{"logistic in ln t", other(func(r *rand.Rand) func(float64) float64 {
			a, c, m := .9+.3*r.Float64(), 5+3*r.Float64(), 1.2+.4*r.Float64()
			return func(t float64) float64 { return a / (1 + math.Pow(t/c, -m)) }
		})},
		{"power of t", other(func(r *rand.Rand) func(float64) float64 {
			m := .35 + .25*r.Float64()
			return func(t float64) float64 { return .58 * math.Pow(t/10, m) }
		})},
	}
}

// Strips at 5 to 18 minutes: limit, rate, induction time, the time for 0.58 and the
// contrast at 9 min, with the stated standard deviation of 0.01 alone, with
// a process scatter of 1.5 % besides, with twice the stated, and not stated.
func TestGrowthStudy(t *testing.T) {
	n := 8
	if *study {
		n = 120
	}
	if testing.Short() {
		n = 3
	}
	for _, noise := range []struct {
		name                string
		stated, sd, besides float64
		least               float64
	}{
		{"stated", .01, .01, 0, .94}, {"1.5 % besides", .01, .01, .015, .91}, {"twice the stated", .01, .02, 0, .86}, {"not stated", 0, .01, 0, .90},
	} {
		var hits, asked int
		for k, film := range growers() {
			for _, strips := range []int{3, 4, 5, 6} {
				rng := rand.New(rand.NewPCG(uint64(100*k+strips), 41))
				var in [5]int
				runs, refused, timed := 0, 0, 0
				wide := 0.0
				for range n {
					g, limit, rate, t0 := film.draw(rng)
					var pts []Point
					for i := range strips {
						m := 5 * math.Pow(18./5, float64(i)/float64(strips-1))
						pts = append(pts, Point{mins(m), g(m)*(1+noise.besides*rng.NormFloat64()) + noise.sd*rng.NormFloat64(), noise.stated})
					}
					f, err := FitGrowth(pts)
					if err != nil {
						refused++
						continue
					}
					runs++
					hold := func(i int, lo, hi, v float64) {
						if lo <= v && v <= hi {
							in[i]++
						}
					}
					e := f.Limit()
					hold(0, e.Low, e.High, limit)
					e = f.RatePerMinute()
					hold(1, e.Low, e.High, rate)
					e = f.InductionMinutes()
					hold(2, e.Low, e.High, t0)
					e, _ = f.At(mins(9))
					hold(4, e.Low, e.High, g(9))
					if want := 5 * math.Pow(18./5, .5); g(want) > 0 {
						tt, err := f.TimeFor(g(want))
						if err == nil {
							timed++
							hold(3, tt.Low.Minutes(), tt.High.Minutes(), want)
							wide += tt.High.Minutes() - tt.Low.Minutes()
						}
					}
				}
				s := fmt.Sprintf("%s, %s, %d strips: %d refused; time %s (%.2f min), contrast %s", noise.name, film.name, strips, refused,
					binomial(in[3], timed), wide/float64(timed), binomial(in[4], runs))
				hits, asked = hits+in[3]+in[4], asked+timed+runs
				if k < 3 {
					s += fmt.Sprintf(", limit %s, rate %s, induction %s", binomial(in[0], runs), binomial(in[1], runs), binomial(in[2], runs))
					hits, asked = hits+in[0]+in[1]+in[2], asked+3*runs
				}
				t.Log(s)
			}
		}
		t.Logf("%s, all: %s", noise.name, binomial(hits, asked))
		if float64(hits) < noise.least*float64(asked) {
			t.Errorf("%s: %s, want %v", noise.name, binomial(hits, asked), 100*noise.least)
		}
	}
}
