package filmfit

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"example.org/actinic/internal/held"
)

func bent(x float64) float64 {
	u := 0.9 * 0.3 * softplus((x+2.2)/0.3)
	return 0.3 + u/math.Cbrt(1+math.Pow(u/1.6, 3))
}

// madeStrips are clean and with something wrong.
var madeStrips = map[string]func(r *rand.Rand) *Data{
	"plain":    func(r *rand.Rand) *Data { return stated(strip(plain, -3.4, 0.15, 21, 0.01, r), 0.01) },
	"unstated": func(r *rand.Rand) *Data { return strip(bent, -3.4, 0.15, 21, 0.02, r) },
	"few":      func(r *rand.Rand) *Data { return strip(plain, -3.4, 0.3, 7, 0.01, r) },
	"wild reading": func(r *rand.Rand) *Data {
		d := stated(strip(bent, -3.4, 0.15, 21, 0.01, r), 0.01)
		d.Y[7] += 0.1
		return d
	},
	"leak": func(r *rand.Rand) *Data {
		d := stated(strip(bent, -3.4, 0.15, 21, 0.01, r), 0.01)
		for i := range 4 {
			d.Y[i] += 0.08
		}
		return d
	},
	"drift": func(r *rand.Rand) *Data {
		d, e := stated(strip(bent, -3.4, 0.15, 21, 0.003, r), 0.01), 0.0
		for i := range d.Y {
			e = 0.9*e + 0.012*r.NormFloat64()
			d.Y[i] += e
		}
		return d
	},
	"grows": func(r *rand.Rand) *Data {
		d := strip(bent, -3.4, 0.15, 21, 0, r)
		for i := range d.Y {
			d.Y[i] += 0.03 * d.Y[i] * r.NormFloat64()
		}
		return d
	},
	"held base": func(r *rand.Rand) *Data { d := strip(bent, -3.4, 0.15, 21, 0.01, r); d.Held = true; return d },
}

// What strips of one seed give is what it was.
func TestDigits(t *testing.T) {
	said := held.New(t)
	for name, draw := range madeStrips {
		d := draw(rand.New(rand.NewPCG(8, 15)))
		w, ok := Fit(d)
		if !ok {
			t.Fatal(name)
		}
		said.Values(name+", doubts", w.Doubts)
		said.Values(name+", chances", fmt.Sprintf("%.4f", w.Chances))
		said.Values(name+", departure", w.Departure)
		h := w.Heaviest()
		said.Values(name+", heaviest", h.Toe, fmt.Sprintf("%.4f %.4f", h.Weight, h.Constants[:6]))
		mean := w.Mean()
		said.Values(name+", mean", fmt.Sprintf("%.5f", mean.Base), every(mean.Density))
		sampler, rng := NewSampler(d, &w), rand.New(rand.NewPCG(4, 2))
		if !sampler.Begin(0) {
			t.Fatal(name, "drawn")
		}
		drawn, ok := sampler.Next(rng)
		said.Values(name+", drawn", ok, every(drawn.Density))
	}
	for _, c := range []struct{ x, freedom float64 }{{0.1, 3}, {2, 3}, {7, 3}, {20, 10}, {1, 1}} {
		said.Values(fmt.Sprintf("chance of %v with %v degrees of freedom", c.x, c.freedom), Chance(c.x, c.freedom))
	}
}

// every eighth value, to five decimals: a fit ends where it is near enough.
func every(v []float64) string {
	var out []float64
	for i := 0; i < len(v); i += 8 {
		out = append(out, v[i])
	}
	return fmt.Sprintf("%.5f", out)
}
