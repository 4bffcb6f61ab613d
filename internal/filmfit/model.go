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

// greatestSlope, e^5, cuts slopes that no film has, on the way to a fit.
const greatestSlope = 148.4131591025766

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
	part, rest     []float64 // q/(1 + q), 1/(1 + q)
	dep            []float64 // the departure on the grid
	rate           []float64 // row by row of wide: derivatives of the integrand on the grid
	acc            []float64 // sums of them
	by             []float64 // what the departure's functions count on the grid
	extra          []float64 // the integrand, slope - slope of the closed form
	steep          []float64 // slope on the grid
}

// wide is how long rows of derivatives are: with room for a leak and a residual, and for
// vectors.
func (k *kernel) wide() int { return (closed + k.basis.stride + 2 + 7) &^ 7 }

// constants is how many there are without a leak.
func (k *kernel) constants() int { return closed + k.basis.cols }

func (k *kernel) size() {
	n := len(k.at)
	k.toes.size(n)
	k.lr, k.q, k.l, k.bend = grown(k.lr, n), grown(k.q, n), grown(k.l, n), grown(k.bend, n)
	k.part, k.rest = grown(k.part, n), grown(k.rest, n)
	m := k.basis.m
	k.dep, k.extra, k.steep = grown(k.dep, k.basis.long)[:m], grown(k.extra, m), grown(k.steep, m)
	k.rate, k.acc, k.by = grown(k.rate, m*k.wide()), grown(k.acc, k.wide()), grown(k.by, m)
}

// shape holds what eval takes from the constants.
type shape struct {
	base, gamma, start, w, sharp float64
	narrow, soft                 float64 // 1/w, 1/sharp
}

// point works out everything that is the same for values and derivatives. It
// reports false where the constants are beyond any use.
func (k *kernel) point(th []float64) (p shape, ok bool) {
	p = shape{base: th[Base], gamma: math.Exp(th[LnGamma]), start: th[Start], w: math.Exp(th[LnWidth]), sharp: math.Exp(th[LnSharpness])}
	p.narrow, p.soft = 1/p.w, 1/p.sharp
	if !(p.gamma > 1e-6 && p.gamma < 1e4 && p.w > 1e-4 && p.w < 50 &&
		p.sharp > 1e-2 && p.sharp < 1e4 && math.Abs(th[LnShoulder]) < 50) {
		return p, false
	}
	for i, x := range k.at {
		k.z[i] = (x - p.start) * p.narrow
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
		k.bend[i] = -l * p.soft
	}
	elementary.Exp(k.bend, k.bend)
	for i, q := range k.q {
		r := 1 / (1 + q)
		k.part[i], k.rest[i] = q*r, r
	}

	k.depart(th[closed : closed+k.basis.cols])
	elementary.Exp(k.steep, k.dep)
	for i, e := range k.steep {
		s, d := p.gamma*k.slope[i]*k.bend[i]*k.rest[i], k.dep[i]
		if d > 0 && s*e > greatestSlope {
			d = max(math.Log(greatestSlope/s), 0)
			e = math.Exp(d)
			k.dep[i] = d
		}
		k.steep[i] = s * e
		if math.Abs(d) < 1e-3 {
			k.extra[i] = s * d * (1 + d/2*(1+d/3))
		} else {
			k.extra[i] = s * (e - 1)
		}
	}
	return p, true
}

// depart works out the departure on the grid.
func (k *kernel) depart(xi []float64) {
	by := k.acc[:len(xi)]
	for j, v := range xi {
		by[j] = k.tau * v
	}
	sum(k.dep[:k.basis.long], k.basis.columns, by)
}

// closedRow sets row to the derivatives of the closed form at point i and returns
// its net density.
func (k *kernel) closedRow(p *shape, i int, row []float64) float64 {
	part, bend := k.part[i], k.bend[i]
	net := p.gamma * p.w * k.s[i] * bend
	du := bend * k.rest[i]
	row[Base] = 1
	row[LnGamma] = net * k.rest[i]
	row[Start] = -du * p.gamma * k.slope[i]
	row[LnWidth] = du * p.gamma * p.w * (k.s[i] - k.z[i]*k.slope[i])
	row[LnShoulder] = net * part
	row[LnSharpness] = net * (k.l[i]*p.soft - part*k.lr[i])
	return net
}

// lnSlopeRow sets row to the derivatives of the closed form's ln slope at point i.
func (k *kernel) lnSlopeRow(p *shape, i int, row []float64) {
	b := (p.sharp + 1) * k.part[i]
	fs := k.slope[i] / k.s[i]
	row[Base] = 0
	row[LnGamma] = 1 - b
	row[Start] = (b*fs - k.f[i]) * p.narrow
	row[LnWidth] = -k.z[i]*k.f[i] - b*(1-k.z[i]*fs)
	row[LnShoulder] = b
	row[LnSharpness] = k.l[i]*p.soft - b*k.lr[i]
}

// rates fills the derivatives of the integrand on the grid.
func (k *kernel) rates(p *shape) {
	wide := k.wide()
	for i, r := range k.extra {
		row := k.rate[i*wide:][:closed]
		k.lnSlopeRow(p, i, row)
		for j := range row {
			row[j] *= r
		}
		k.by[i] = k.steep[i] * k.tau
	}
	times(k.rate[closed:], k.basis.phi, k.by, wide, k.basis.stride)
}

// eval sets f to the densities at the readings and jac, row by row of wide, to their
// derivatives times root. Behind those there may be anything.
func (k *kernel) eval(th, f, jac, root []float64) bool {
	p, ok := k.point(th)
	if !ok {
		return false
	}
	k.rates(&p)
	m, wide := k.basis.m, k.wide()
	// The rates summed up, the first by half: the integral is 2 h times it, less h times
	// the last.
	const h = gridStep / 2
	total := k.extra[0] / 2
	for j, v := range k.rate[:wide] {
		k.acc[j] = v / 2
	}
	at := 0
	for i, c := range k.cell {
		add(k.acc, k.rate[(at+1)*wide:(c+1)*wide])
		for at < c {
			at++
			total += k.extra[at]
		}
		row := jac[i*wide : (i+1)*wide]
		net := k.closedRow(&p, m+i, row)
		clear(row[closed:])
		d := k.in[i]
		v := d * d / (2 * gridStep)
		u := d - v - h
		f[i] = p.base + net + 2*h*total + u*k.extra[c] + v*k.extra[c+1]
		join(row, k.acc, k.rate[c*wide:(c+1)*wide], k.rate[(c+1)*wide:(c+2)*wide], root[i], 2*h, u, v)
	}
	return true
}
