package uncert

import (
	"math"
	"math/rand/v2"
	"testing"
)

// A covariance is taken or not whatever the units of its inputs: what is a fault of 1e-12 and more in one is so in all.
func TestFactorAtTheBounds(t *testing.T) {
	for _, c := range []struct {
		name string
		cov  []float64
		n    int
		want bool
	}{
		{"correlated by 1 and less than half of 1e-12", []float64{1, 1 + 0.48e-12, 1 + 0.48e-12, 1}, 2, true},
		{"by more than that", []float64{1, 1 + 0.52e-12, 1 + 0.52e-12, 1}, 2, false},
		{"the third as the first and the second, which are one", []float64{1, 1, 0.5, 1, 1, 0.5, 0.5, 0.5, 1}, 3, true},
		{"but for less than 1e-12", []float64{1, 1, 0.5, 1, 1, 0.5 + 0.95e-12, 0.5, 0.5 + 0.95e-12, 1}, 3, true},
		{"but for more", []float64{1, 1, 0.5, 1, 1, 0.5 + 1.05e-12, 0.5, 0.5 + 1.05e-12, 1}, 3, false},
		{"but for less, below", []float64{1, 1, 0.5, 1, 1, 0.5 - 0.95e-12, 0.5, 0.5 - 0.95e-12, 1}, 3, true},
		{"but for more, below", []float64{1, 1, 0.5, 1, 1, 0.5 - 1.05e-12, 0.5, 0.5 - 1.05e-12, 1}, 3, false},
		{"correlated with what is fixed", []float64{0, 1e-300, 1e-300, 1}, 2, false},
		{"a fixed input", []float64{1, 0, 0.3, 0, 0, 0, 0.3, 0, 1}, 3, true},
		{"a variance below 0", []float64{1, 0, 0, -1e-200}, 2, false},
		{"the greatest variance", []float64{math.MaxFloat64}, 1, true},
		{"an infinite one", []float64{math.Inf(1)}, 1, false},
		{"an infinite covariance", []float64{1, 0, math.Inf(1), 1}, 2, false},
	} {
		for _, unit := range []float64{1, 0x1p-60, 0x1p60} {
			if c.n == 1 && unit != 1 {
				continue
			}
			for scaled := range c.n {
				cov := append([]float64(nil), c.cov...)
				for i := range c.n {
					cov[scaled*c.n+i] *= unit
					cov[i*c.n+scaled] *= unit
				}
				f, ok := NewFactor(cov, c.n)
				if ok != c.want {
					t.Errorf("%s, input %d in units of %v: %v", c.name, scaled+1, 1/unit, ok)
				}
				if !ok {
					continue
				}
				for j := range c.n { // LL' = cov
					for k := range c.n {
						v := 0.0
						for m := range c.n {
							v += f.l[j*c.n+m] * f.l[k*c.n+m]
						}
						if tol := 2e-12 * math.Sqrt(cov[j*c.n+j]) * math.Sqrt(cov[k*c.n+k]); !(math.Abs(v-cov[j*c.n+k]) <= tol) && c.n > 1 {
							t.Errorf("%s, input %d in units of %v: LL' has %v for %v", c.name, scaled+1, 1/unit, v, cov[j*c.n+k])
						}
					}
				}
			}
		}
	}
}

// The intervals of small samples against all there are: the shortest that holds p n values more than its first, the
// first of those that are as short, and the symmetric one with as many values on either side, or one more above.
func TestIntervalsAgainstAll(t *testing.T) {
	r := rand.New(rand.NewPCG(9, 9))
	for n := range 12 {
		for range 20 {
			s := MonteCarlo(r.Uint64(), n, func(r *rand.Rand) float64 { return float64(r.IntN(8)) })
			for q := range n + 2 {
				p := (float64(q) + 0.8*(r.Float64()-0.5)) / float64(max(n, 1))
				low, high := s.Shortest(p)
				wantLow, wantHigh := math.NaN(), math.NaN()
				for i := n - 1 - q; i >= 0; i-- {
					if !(s[i+q]-s[i] > wantHigh-wantLow) {
						wantLow, wantHigh = s[i], s[i+q]
					}
				}
				if low != wantLow && low == low || high != wantHigh && high == high || (low == low) != (q < n) {
					t.Errorf("shortest of %v at %v: %v to %v, want %v to %v", s, p, low, high, wantLow, wantHigh)
				}
				low, high = s.Interval(p)
				if n == 0 || q > n {
					continue
				}
				below := (n - q) / 2
				if low != s[min(below, n-1)] || high != s[min(below+q, n-1)] {
					t.Errorf("symmetric of %v at %v: %v to %v", s, p, low, high)
				}
			}
		}
	}
	if low, high := (Sample{1, 2, 3}).Shortest(-0.2); low == low || high == high {
		t.Errorf("a share below 0: %v to %v", low, high)
	}
}
