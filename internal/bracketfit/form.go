package bracketfit

import (
	"math"

	"example.org/actinic/internal/elementary"
)

// Places of the constants in a parameter vector; offsets of the tones come after.
// Logarithms keep the positive ones positive.
const (
	pBase = iota
	pLnGamma
	pToe
	pLnWidth
	pLnShoulder
	pLnSharpness
	pForm // how many constants the form has
)

// Weak priors of the form: what films are like, so that one form serves strips of
// six steps and brackets of shadows alone. Base plus fog and the toe have none.
var weak = [pForm]struct{ mean, sd float64 }{
	pLnGamma:     {math.Log(0.6), 0.5},
	pLnWidth:     {math.Log(0.2), 0.7},
	pLnShoulder:  {math.Log(2.5), 0.7},
	pLnSharpness: {math.Log(3), 1},
}

// net gives the density above base plus fog at x = log10 H,
//
//	u = gamma w ln(1 + e^((x - toe)/w)),   net = u (1 + (u/m)^k)^(-1/k)
//
// its slope in x and its derivatives in the constants, into d.
//
// Source: the closed form of package sensito, worked out there.
func net(p []float64, x float64, d *[pForm]float64) (v, slope float64) {
	f := formOf(p)
	return f.net(x, d)
}

// form has the constants as the formula wants them.
type form struct{ g, toe, w, m, lnM, k float64 }

func formOf(p []float64) form {
	return form{math.Exp(p[pLnGamma]), p[pToe], math.Exp(p[pLnWidth]), math.Exp(p[pLnShoulder]), p[pLnShoulder], math.Exp(p[pLnSharpness])}
}

func (f *form) net(x float64, d *[pForm]float64) (v, slope float64) {
	g, w, k := f.g, f.w, f.k
	z := (x - f.toe) / w
	e := math.Exp(-math.Min(math.Abs(z), 600))
	sp, lo := math.Log1p(e), 1/(1+e)
	if z > 0 {
		sp += z
	} else {
		lo *= e
	}
	u := g * w * sp
	lr := math.Log(u) - f.lnM
	q := math.Exp(math.Min(k*lr, 700))
	l := math.Log1p(q)
	bend := math.Exp(-l / k)
	part := q / (1 + q)
	v = u * bend
	du := bend * (1 - part)
	slope = du * g * lo
	d[pBase] = 1
	d[pLnGamma] = du * u
	d[pToe] = -slope
	d[pLnWidth] = du * g * w * (sp - z*lo)
	d[pLnShoulder] = v * part
	d[pLnSharpness] = v * (l/k - part*lr)
	return v, slope
}

// many is the form at many exposures, and the memory for it.
type many struct {
	x              []float64 // where
	z, e, sp, lo   []float64
	lr, q, l, bend []float64
	v, slope       []float64 // as net gives them
}

func (m *many) size(n int) {
	if len(m.x) == n {
		return
	}
	memory := make([]float64, 11*n)
	for i, p := range []*[]float64{&m.x, &m.z, &m.e, &m.sp, &m.lo, &m.lr, &m.q, &m.l, &m.bend, &m.v, &m.slope} {
		*p = memory[i*n : (i+1)*n : (i+1)*n]
	}
}

// all works out net and slope at all of m.x, as net does.
func (f *form) all(m *many) {
	for i, x := range m.x {
		m.z[i] = (x - f.toe) / f.w
		m.e[i] = -min(math.Abs(m.z[i]), 600)
	}
	elementary.Exp(m.e, m.e)
	elementary.Log1p(m.sp, m.e)
	for i, z := range m.z {
		lo := 1 / (1 + m.e[i])
		if z > 0 {
			m.sp[i] += z
		} else {
			lo *= m.e[i]
		}
		m.lo[i], m.v[i] = lo, f.g*f.w*m.sp[i]
	}
	elementary.Log(m.lr, m.v)
	for i := range m.lr {
		m.lr[i] -= f.lnM
		m.q[i] = min(f.k*m.lr[i], 700)
	}
	elementary.Exp(m.q, m.q)
	elementary.Log1p(m.l, m.q)
	for i, l := range m.l {
		m.bend[i] = -l / f.k
	}
	elementary.Exp(m.bend, m.bend)
	for i, bend := range m.bend {
		m.v[i] *= bend
		m.slope[i] = bend / (1 + m.q[i]) * f.g * m.lo[i]
	}
}

// derivatives sets d to those of net at m.x[i], after all.
func (f *form) derivatives(m *many, i int, d []float64) {
	v, part := m.v[i], m.q[i]/(1+m.q[i])
	d = d[:pForm]
	d[pBase] = 1
	d[pLnGamma] = v * (1 - part)
	d[pToe] = -m.slope[i]
	d[pLnWidth] = m.bend[i] * (1 - part) * f.g * f.w * (m.sp[i] - m.z[i]*m.lo[i])
	d[pLnShoulder] = v * part
	d[pLnSharpness] = v * (m.l[i]/f.k - part*m.lr[i])
}

// exposureAt gives the log10 H at which the curve has density v above base plus fog,
// and its derivatives; ok is false where the shoulder lies below v.
func exposureAt(p []float64, departs *departure, v float64) (x float64, d [pForm]float64, ok bool) {
	f := formOf(p)
	if !(v < f.m) {
		return 0, d, false
	}
	u := v * math.Exp(-math.Log1p(-math.Exp(f.k*math.Log(v/f.m)))/f.k)
	s := u / (f.g * f.w) // ln(1 + e^z)
	z := s
	if s < 30 {
		z = math.Log(math.Expm1(s))
	}
	x = f.toe + f.w*z
	var slope float64
	for range 20 { // once where the form is all
		var at float64
		at, slope = f.net(x, &d)
		e, es := departs.at(x - f.toe)
		at, slope = at+e, slope+es
		if !(slope > 0) {
			return 0, d, false
		}
		step := (v - at) / slope
		x += math.Min(math.Max(step, -0.2), 0.2)
		if math.Abs(step) < 1e-9 {
			break
		}
	}
	d[pBase], d[pToe] = 0, -slope
	for j := range d {
		d[j] /= -slope
	}
	return x, d, true
}
