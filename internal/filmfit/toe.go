package filmfit

import (
	"math"
	"sync"

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
	// Cubic: S = c (r + u)²/4r, u = z/c, r = sqrt(1 + u²), which dies away as 1/|z|³.
	Cubic
	// Toes is how many there are.
	Toes
)

// toeChances are the prior probabilities of the toes. The one that reaches farthest down counts
// most: readings can least tell it from the others, and a fit that leaves it out is too sure.
// The values are ours, from simulated strips of films of all kinds.
var toeChances = [Toes]float64{Exponential: 0.18, Hyperbolic: 0.46, Gaussian: 0.18, Cubic: 0.18}

// gaussianScale and cubicScale make those toes about as wide as an exponential one.
const (
	gaussianScale = 1.7
	cubicScale    = 3
)

// toes holds, point by point, the toe S(z), its slope F = S', ln S, and
// f = d ln F/dz.
type toes struct{ z, s, slope, ln, f []float64 }

func (t *toes) size(n int) {
	t.z, t.s, t.slope, t.ln, t.f = grown(t.z, n), grown(t.s, n), grown(t.slope, n), grown(t.ln, n), grown(t.f, n)
}

// fill works all points out from z. The cubic toe is the mean of max(z - t, 0) over
// Student's t with four degrees of freedom, as the hyperbola is over t with two.
func (t *toes) fill(law Toe) {
	switch law {
	case Hyperbolic:
		for i, z := range t.z {
			r := math.Sqrt(z*z + 4)
			s := (z + r) / 2
			if z < 0 { // no cancellation
				s = 2 / (r - z)
			}
			t.s[i], t.slope[i], t.f[i] = s, s/r, 2/(r*r*s)
		}
	case Cubic:
		for i, z := range t.z {
			u := z / cubicScale
			r := math.Sqrt(1 + u*u)
			above := r + u
			if u < 0 { // no cancellation
				above = 1 / (r - u)
			}
			v := above / r // 1 + u/r
			slope := v * v * (3 - v) / 4
			t.s[i], t.slope[i], t.f[i] = cubicScale/4.*above*v, slope, 3./(4*cubicScale)/(r*r*r*r*r*slope)
		}
	case Gaussian:
		t.gaussian()
	default:
		t.exponential()
	}
	elementary.Log(t.ln, t.s)
}

func (t *toes) exponential() {
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
}

// gaussian takes the tail of the normal distribution by its ratio to the density.
func (t *toes) gaussian() {
	u, e := t.f, t.ln
	for i, z := range t.z {
		u[i] = max(z/gaussianScale, -farMills) // so that no S is 0
		e[i] = -u[i] * u[i] / 2
	}
	elementary.Exp(e, e)
	table := mills()
	for i, u := range u {
		phi := e[i] / math.Sqrt(2*math.Pi)
		if !(u < farMills) {
			t.s[i], t.slope[i], t.f[i] = gaussianScale*u, 1, 0
			continue
		}
		m, d := table.at(math.Abs(u))
		if u < 0 { // no cancellation
			t.s[i], t.slope[i], t.f[i] = -gaussianScale*phi*d, phi*m, 1/(gaussianScale*m)
			continue
		}
		v := 1 - phi*m
		t.s[i], t.slope[i], t.f[i] = gaussianScale*(u*v+phi), v, phi/(v*gaussianScale)
	}
}

// millsTable has Mills' ratio at steps of 1/32, the tail of the normal distribution over
// its density:
//
//	M(x) = (1 - F(x))/F'(x),  M' = x M - 1,  M(k+1) = x M(k) + k M(k-1)
//
// by whose derivatives M(k) it is carried on between, to a few units of the 13th digit.
type millsTable [32*farMills + 1]float64

// farMills is how far the ratio is needed.
const farMills = 30

var mills = sync.OnceValue(func() *millsTable {
	var t millsTable
	for k := range t {
		x := float64(k) / 32
		t[k] = math.Erfc(x/math.Sqrt2) / 2 * math.Sqrt(2*math.Pi) * math.Exp(x*x/2)
	}
	return &t
})

// at returns the ratio and its derivative at x from 0 to farMills.
func (t *millsTable) at(x float64) (m, d float64) {
	k := int(x*32 + 0.5)
	x0 := float64(k) / 32
	h := x - x0
	m0 := t[k]
	m1 := x0*m0 - 1
	m2 := x0*m1 + m0
	m3 := x0*m2 + 2*m1
	m4 := x0*m3 + 3*m2
	m5 := x0*m4 + 4*m3
	m6 := x0*m5 + 5*m4
	d = m1 + h*(m2+h*(m3/2+h*(m4/6+h*(m5/24+h*m6/120))))
	return m0 + h*(m1+h*(m2/2+h*(m3/6+h*(m4/24+h*(m5/120+h*m6/720))))), d
}
