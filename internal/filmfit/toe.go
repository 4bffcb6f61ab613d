package filmfit

import (
	"math"

	"example.org/actinic/internal/elementary"
)

// Toe is the law by which density leaves base plus fog.
type Toe uint8

const (
	// Exponential: S = ln(1 + e^z), which dies away as e^z.
	Exponential Toe = iota
	// Hyperbolic: S = (z + sqrt(z² + 4))/2, which dies away as 1/|z|.
	Hyperbolic
	// Gaussian: S = c (u F(u) + F'(u)), u = z/c, with F the normal distribution, which
	// dies away as e^(-u²/2).
	Gaussian
	// Toes is how many there are.
	Toes
)

// gaussianScale makes a Gaussian toe about as wide as an exponential one.
const gaussianScale = 1.7

// toes holds, point by point, the toe S(z), its slope F = S', ln S, and
// f = d ln F/dz.
type toes struct{ z, s, slope, ln, f []float64 }

func (t *toes) size(n int) {
	t.z, t.s, t.slope, t.ln, t.f = grown(t.z, n), grown(t.s, n), grown(t.slope, n), grown(t.ln, n), grown(t.f, n)
}

// fill works all points out from z.
func (t *toes) fill(law Toe) {
	if law == Hyperbolic {
		for i, z := range t.z {
			r := math.Sqrt(z*z + 4)
			s := (z + r) / 2
			if z < 0 { // no cancellation
				s = 2 / (r - z)
			}
			t.s[i], t.slope[i], t.f[i] = s, s/r, 2/(r*r*s)
		}
		elementary.Log(t.ln, t.s)
		return
	}
	if law == Gaussian {
		for i, z := range t.z {
			u := max(z/gaussianScale, -30) // so that no S is 0
			phi := math.Exp(-u*u/2) / math.Sqrt(2*math.Pi)
			v := math.Erfc(-u/math.Sqrt2) / 2
			t.s[i], t.slope[i], t.f[i] = gaussianScale*(u*v+phi), v, phi/(v*gaussianScale)
		}
		elementary.Log(t.ln, t.s)
		return
	}
	e := t.ln
	for i, z := range t.z {
		e[i] = -min(math.Abs(z), 600) // so that no S is 0
	}
	elementary.Exp(e, e)
	elementary.Log1p(t.s, e)
	for i, z := range t.z {
		v := 1 / (1 + e[i])
		if z > 0 {
			t.s[i] += z
			t.slope[i], t.f[i] = v, e[i]*v
		} else {
			t.slope[i], t.f[i] = e[i]*v, v
		}
	}
	elementary.Log(t.ln, t.s)
}
