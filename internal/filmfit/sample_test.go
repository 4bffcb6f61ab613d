package filmfit

import (
	"flag"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"gonum.org/v1/gonum/stat"

	"example.org/actinic/internal/benchunit"
)

var chained = flag.Int("chain", 200_000, "steps of the walk that draws are held to")

// exposureOf is where a curve has a density, by a straight line between grid points.
func exposureOf(c *Curve, d float64) float64 {
	i := max(slices.IndexFunc(c.Density, func(v float64) bool { return v > d }), 1)
	return c.First + c.Step*(float64(i-1)+(d-c.Density[i-1])/(c.Density[i]-c.Density[i-1]))
}

// said is what the test asks of a curve: its speed point, and its slope a little above.
func said(c *Curve) [2]float64 {
	return [2]float64{exposureOf(c, c.Base+0.1), c.Rate[3*len(c.Rate)/5]}
}

// walk goes through the constants of a part so that it comes to each as often as it is likely,
// with nothing taken for straight or normal (N. Metropolis and others, J. Chem. Phys. 21 (1953)
// 1087, from memory). It returns what the curves say.
func (s *Sampler) walk(steps int, rng *rand.Rand) (out [2][]float64) {
	w, p := &s.w, s.part
	n := len(p.Constants)
	at, next := slices.Clone(p.Constants), make([]float64, n)
	cost := func(th []float64) (float64, [2]float64, bool) {
		q, ok := w.point(th)
		if !ok {
			return 0, [2]float64{}, false
		}
		w.whole(&q, &s.out)
		w.values(&q, w.f)
		c, ok := w.cost(th, p.Noise)
		return c, said(&s.out), ok
	}
	now, v, _ := cost(at)
	for range steps {
		copy(next, at)
		for i := range n {
			z := 1.2 / math.Sqrt(float64(n)) * rng.NormFloat64()
			for j, d := range p.Directions[i*n:][:n] {
				next[j] += z * d
			}
		}
		if c, x, ok := cost(next); ok && rng.Float64() < math.Exp((now-c)/2) {
			copy(at, next)
			now, v = c, x
		}
		for k := range out {
			out[k] = append(out[k], v[k])
		}
	}
	return out
}

// Curves are drawn as a walk finds them that takes nothing for straight: quantiles of what they
// say, and the width of its interval. In the curved places the draws are not exact;
// -args -chain 1000000 walks long enough to see it. What four walks differ by is allowed beside.
func TestSampledAsWalked(t *testing.T) {
	const draws = 3000
	for _, c := range []struct {
		name      string
		departure float64 // the least of the part
		d         func(rng *rand.Rand) *Data
	}{
		{"plain", 0, madeStrips["plain"]}, {"few", 0, madeStrips["few"]}, {"few", 0.5, madeStrips["few"]},
		{"drift", 0, madeStrips["drift"]}, {"leak", 0, madeStrips["leak"]},
		{"coarse", 0, func(rng *rand.Rand) *Data { return stated(strip(bent, -3.4, 0.3, 11, 0.015, rng), 0.015) }},
	} {
		if testing.Short() && c.name != "few" {
			continue
		}
		rng := rand.New(rand.NewPCG(8, 15))
		d := c.d(rng)
		w, ok := Fit(d)
		if !ok {
			t.Fatal(c.name)
		}
		part := -1
		for k, p := range w.Parts {
			if p.Departure >= c.departure && (part < 0 || p.Weight > w.Parts[part].Weight) {
				part = k
			}
		}
		s := NewSampler(d, &w)
		if !s.Begin(part) {
			t.Fatal(c.name)
		}
		var walks [4][2][]float64
		var walked [2][]float64
		for i := range walks {
			walks[i] = s.walk(*chained/len(walks), rng)
			for k := range walked {
				walked[k] = append(walked[k], walks[i][k]...)
				slices.Sort(walks[i][k])
			}
		}
		var drawn [2][]float64
		for range draws {
			if out, ok := s.Next(rng); ok {
				for k, v := range said(out) {
					drawn[k] = append(drawn[k], v)
				}
			}
		}
		if n := len(drawn[0]); n < draws*98/100 {
			t.Errorf("%s: %d of %d curves drawn", c.name, n, draws)
		}
		for k, what := range []string{"speed point", "slope"} {
			slices.Sort(walked[k])
			slices.Sort(drawn[k])
			q := func(v []float64, p float64) float64 { return stat.Quantile(p, stat.LinInterp, v, nil) }
			sd := (q(walked[k], 0.975) - q(walked[k], 0.025)) / 3.92
			line := ""
			for _, x := range []struct{ at, most float64 }{{0.025, 0.5}, {0.25, 0.25}, {0.5, 0.25}, {0.75, 0.25}, {0.975, 0.5}} {
				a, b := q(drawn[k], x.at), q(walked[k], x.at)
				apart := 0.0 // standard error of the mean of four walks
				for i := range walks {
					apart += (q(walks[i][k], x.at) - b) * (q(walks[i][k], x.at) - b) / 12
				}
				apart = math.Sqrt(apart) / sd
				line += fmt.Sprintf(" %.4f %.4f,", a, b)
				if e := math.Abs(a-b) / sd; !(e < x.most+2*apart) {
					t.Errorf("%s, %s: quantile %v %.4f, by the walk %.4f ± %.2f deviations, %.2f apart", c.name, what, x.at, a, b, apart, e)
				}
				if !(apart < 0.5) {
					t.Errorf("%s, %s: the walks differ by %.2f deviations at quantile %v, which tells nothing", c.name, what, apart, x.at)
				}
			}
			wide := (q(drawn[k], 0.975) - q(drawn[k], 0.025)) / (3.92 * sd)
			if !(wide > 0.8 && wide < 1.25) {
				t.Errorf("%s, %s: the interval is %.2f times as wide as the walk's", c.name, what, wide)
			}
			t.Logf("%s %.2f, %s: drawn and walked%s %.2f times as wide", c.name, w.Parts[part].Departure, what, line, wide)
		}
	}
}

func BenchmarkDraw(b *testing.B) {
	rng := rand.New(rand.NewPCG(8, 15))
	d := stated(strip(bent, -3.4, 0.15, 21, 0.01, rng), 0.01)
	w, _ := Fit(d)
	s := NewSampler(d, &w)
	s.Begin(0)
	b.ReportAllocs()
	for b.Loop() {
		s.Next(rng)
	}
	benchunit.Per(b, 1, "curve")
}

// What a draw moves: readings by errors of their deviations, correlated as supposed, those of unexposed patches by the
// noise, prior means by theirs; a base that is stated is not moved. The same numbers at random, put together here.
func TestMoved(t *testing.T) {
	for name, doubt := range map[string]Doubt{"plain": {}, "drift": {Drift: 0.8}, "leak": {Leak: 3}} {
		for _, held := range []bool{false, true} {
			d := strip(bent, -3.4, 0.25, 13, 0.01, rand.New(rand.NewPCG(3, 1)))
			d.Held, d.Base = held, append(d.Base, d.Base[0]+0.02)
			for i := range d.W {
				d.W[i], d.BaseW = 1+float64(i%3), 4
			}
			w, ok := Fit(d)
			if !ok {
				t.Fatal(name)
			}
			w.Doubts = []Doubt{doubt}
			part := w.Parts[0]
			part.Doubt = 0
			if doubt.Leak > 0 {
				part.Constants = append(slices.Clone(part.Constants), 0.05)
			}
			w.Parts = []Part{part}
			s := NewSampler(d, &w)
			means := slices.Clone(s.means)
			if !s.Begin(0) {
				t.Fatal(name)
			}
			for seed := range uint64(3) { // the next draw is from the readings again
				again := rand.New(rand.NewPCG(9, seed))
				s.move(rand.New(rand.NewPCG(9, seed)))
				e := 0.0
				for i, y := range d.Y {
					n := again.NormFloat64()
					if i > 0 && doubt.Drift > 0 {
						n = doubt.Drift*e + math.Sqrt(1-doubt.Drift*doubt.Drift)*n
					}
					e = n
					within(t, name+", reading", s.data.Y[i], y+n*part.Noise/math.Sqrt(d.W[i]), 1e-12)
				}
				for i, b := range d.Base {
					if !held {
						b += again.NormFloat64() * part.Noise / 2
					}
					within(t, name+", base", s.data.Base[i], b, 1e-12)
				}
				for j := range part.Constants {
					within(t, name+", prior", s.w.prior.mean[j], means[j]+s.w.prior.sd[j]*again.NormFloat64(), 1e-12)
				}
			}
		}
	}
}
