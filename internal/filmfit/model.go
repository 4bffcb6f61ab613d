package filmfit

import (
	"math"

	"example.org/actinic/internal/elementary"
)

// The constants of a curve; those of the departure follow, its line last, and after
// it the shift of a leak where there is one.
const (
	Base = iota
	LnGamma
	Start // where the straight part, carried down, meets base plus fog
	LnWidth
	LnShoulder
	LnSharpness
	closed // how many the closed form has
)

// greatestLnSlope cuts slopes that no film has, on the way to a fit.
const greatestLnSlope = 5

// kernel works out densities, slopes and derivatives on the tablet,
//
//	u = gamma w S(z),  q = (u/M)^k,  z = (x - start)/w
//	ln slope = ln gamma + ln S'(z) - (1 + 1/k) ln(1 + q) + departure(x)
//	D = base + u (1 + q)^(-1/k) + integral of (slope - slope of the closed form)
//
// the integral by trapezoids, from the start of the grid. The closed form is exact.
//
// Source: worked out here.
type kernel struct {
	Tablet
	law Toe
	tau float64
	toes
	lr, q, l, bend []float64 // ln(u/M), q, ln(1 + q), (1 + q)^(-1/k)
	dep            []float64 // the departure on the grid
	rate           []float64 // row by row: derivatives of the integrand on the grid
	extra          []float64 // the integrand, slope - slope of the closed form
	steep          []float64 // slope on the grid
}

// constants is how many there are without a leak.
func (k *kernel) constants() int { return closed + k.basis.cols }

func (k *kernel) size() {
	n := len(k.at)
	k.toes.size(n)
	k.lr, k.q, k.l, k.bend = grown(k.lr, n), grown(k.q, n), grown(k.l, n), grown(k.bend, n)
	m := k.basis.m
	k.dep, k.extra, k.steep = grown(k.dep, m), grown(k.extra, m), grown(k.steep, m)
	k.rate = grown(k.rate, m*k.constants())
}

// shape holds what eval takes from the constants.
type shape struct{ base, gamma, start, w, sharp float64 }

// point works out everything that is the same for values and derivatives. It
// reports false where the constants are beyond any use.
func (k *kernel) point(th []float64) (p shape, ok bool) {
	p = shape{th[Base], math.Exp(th[LnGamma]), th[Start], math.Exp(th[LnWidth]), math.Exp(th[LnSharpness])}
	if !(p.gamma > 1e-6 && p.gamma < 1e4 && p.w > 1e-4 && p.w < 50 &&
		p.sharp > 1e-2 && p.sharp < 1e4 && math.Abs(th[LnShoulder]) < 50) {
		return p, false
	}
	for i, x := range k.at {
		k.z[i] = (x - p.start) / p.w
	}
	k.fill(k.law)
	shift := th[LnGamma] + th[LnWidth] - th[LnShoulder]
	for i, v := range k.ln {
		r := v + shift
		k.lr[i], k.q[i] = r, min(r*p.sharp, 600)
	}
	elementary.Exp(k.q, k.q)
	elementary.Log1p(k.l, k.q)
	for i, l := range k.l {
		k.bend[i] = -l / p.sharp
	}
	elementary.Exp(k.bend, k.bend)

	m, cols := k.basis.m, k.basis.cols
	xi := th[closed : closed+cols]
	for i := range m {
		row := k.basis.phi[i*cols : (i+1)*cols]
		v := 0.0
		for j, f := range row {
			v += f * xi[j]
		}
		k.dep[i] = k.tau * v
	}
	for i, d := range k.dep[:m] { // held to slopes below e^5
		s := p.gamma * k.slope[i] * k.bend[i] / (1 + k.q[i])
		k.extra[i] = s
		if d > 0 && math.Log(s)+d > greatestLnSlope {
			d = max(greatestLnSlope-math.Log(s), 0)
		}
		k.dep[i] = d
	}
	elementary.Exp(k.steep, k.dep)
	for i, e := range k.steep {
		s := k.extra[i]
		k.steep[i] = s * e
		if d := k.dep[i]; math.Abs(d) < 1e-3 {
			k.extra[i] = s * d * (1 + d/2*(1+d/3))
		} else {
			k.extra[i] = s * (e - 1)
		}
	}
	return p, true
}

// closedRow sets row to the derivatives of the closed form at point i and returns
// its net density.
func (k *kernel) closedRow(p *shape, i int, row []float64) float64 {
	part := k.q[i] / (1 + k.q[i])
	bend := k.bend[i]
	net := p.gamma * p.w * k.s[i] * bend
	du := bend * (1 - part)
	row[Base] = 1
	row[LnGamma] = net * (1 - part)
	row[Start] = -du * p.gamma * k.slope[i]
	row[LnWidth] = du * p.gamma * p.w * (k.s[i] - k.z[i]*k.slope[i])
	row[LnShoulder] = net * part
	row[LnSharpness] = net * (k.l[i]/p.sharp - part*k.lr[i])
	return net
}

// lnSlopeRow sets row to the derivatives of the closed form's ln slope at point i.
func (k *kernel) lnSlopeRow(p *shape, i int, row []float64) {
	b := (p.sharp + 1) * k.q[i] / (1 + k.q[i])
	fs := k.slope[i] / k.s[i]
	row[Base] = 0
	row[LnGamma] = 1 - b
	row[Start] = (b*fs - k.f[i]) / p.w
	row[LnWidth] = -k.z[i]*k.f[i] - b*(1-k.z[i]*fs)
	row[LnShoulder] = b
	row[LnSharpness] = k.l[i]/p.sharp - b*k.lr[i]
}

// rates fills the derivatives of the integrand on the grid.
func (k *kernel) rates(p *shape) {
	m, cols, n := k.basis.m, k.basis.cols, k.constants()
	for i := range m {
		row := k.rate[i*n : (i+1)*n]
		k.lnSlopeRow(p, i, row)
		r := k.extra[i]
		for j := range closed {
			row[j] *= r
		}
		s := k.steep[i] * k.tau
		for j, f := range k.basis.phi[i*cols : (i+1)*cols] {
			row[closed+j] = s * f
		}
	}
}

// eval sets f to the densities at the readings and jac, row by row of stride
// columns, to their derivatives.
func (k *kernel) eval(th, f, jac []float64, stride int) bool {
	p, ok := k.point(th)
	if !ok {
		return false
	}
	k.rates(&p)
	m, n := k.basis.m, k.constants()
	var sum [64]float64 // running integrals of the rates
	total := 0.0
	if n > len(sum) {
		return false
	}
	acc := sum[:n]
	at := 0
	for i, c := range k.cell {
		for ; at < c; at++ {
			total += gridStep / 2 * (k.extra[at] + k.extra[at+1])
			a, b := k.rate[at*n:at*n+n], k.rate[at*n+n:at*n+2*n]
			for j := range acc {
				acc[j] += gridStep / 2 * (a[j] + b[j])
			}
		}
		row := jac[i*stride : i*stride+n]
		net := k.closedRow(&p, m+i, row)
		d := k.in[i]
		v := d * d / (2 * gridStep)
		u := d - v
		f[i] = p.base + net + total + u*k.extra[c] + v*k.extra[c+1]
		a, b := k.rate[c*n:c*n+n], k.rate[c*n+n:c*n+2*n]
		for j := 1; j < closed; j++ {
			row[j] += acc[j] + u*a[j] + v*b[j]
		}
		for j := closed; j < n; j++ {
			row[j] = acc[j] + u*a[j] + v*b[j]
		}
	}
	return true
}
