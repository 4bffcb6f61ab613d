package sensito

import (
	"math"
)

// studyFilm is a film of the study: density against log10 H by a formula of its own,
// with constants that the best possible estimator would have to find. None is written
// with the package's forms; the first three have the closed form's shape all the same.
type studyFilm struct {
	name    string
	heldOut bool // nothing was tuned on it
	form    bool // of the closed form
	p       []float64
	d       func(x float64, p []float64) float64
}

func plus(z float64) float64 { return max(z, 0) + math.Log1p(math.Exp(-math.Abs(z))) }

func bent(u, m, k float64) float64 { return u / math.Pow(1+math.Pow(u/m, k), 1/k) }

func normal(z float64) (density, integral float64) {
	return math.Exp(-z*z/2) / math.Sqrt(2*math.Pi), 0.5 * math.Erfc(-z/math.Sqrt2)
}

// Films are invented. p[0] is base plus fog.
var studyFilms = []studyFilm{
	{"closed form, no shoulder", false, true, []float64{.22, .65, -2.55, .20}, func(x float64, p []float64) float64 {
		return p[0] + p[1]*p[3]*plus((x-p[2])/p[3])
	}},
	{"closed form, M 2 k 3", false, true, []float64{.25, .75, -2.60, .18, 2, 3}, func(x float64, p []float64) float64 {
		return p[0] + bent(p[1]*p[3]*plus((x-p[2])/p[3]), p[4], p[5])
	}},
	{"closed form, k 1.2", false, true, []float64{.25, .95, -2.50, .22, 2.6, 1.2}, func(x float64, p []float64) float64 {
		return p[0] + bent(p[1]*p[3]*plus((x-p[2])/p[3]), p[4], p[5])
	}},
	{"exponential shoulder", false, false, []float64{.20, .75, -2.55, .20, 2.6}, func(x float64, p []float64) float64 {
		return p[0] - p[4]*math.Expm1(-p[1]*p[3]*plus((x-p[2])/p[3])/p[4])
	}},
	{"logistic", false, false, []float64{.22, 2.4, -1.55, .55}, func(x float64, p []float64) float64 {
		return p[0] + p[1]/(1+math.Exp(-(x-p[2])/p[3]))
	}},
	{"1/x toe, w 0.15", false, false, []float64{.22, .65, -2.55, .15}, hyperbola},
	{"1/x toe, w 0.25", false, false, []float64{.22, .65, -2.55, .25}, hyperbola},
	{"long toe", false, false, []float64{.22, .16, -3.2, .15}, func(x float64, p []float64) float64 {
		z := p[3] * plus((x-p[2])/p[3])
		return p[0] + p[1]*z*z
	}},
	{"upswept", false, false, []float64{.22, .50, -2.55, .2, .35, -1.3, .35}, func(x float64, p []float64) float64 {
		return p[0] + p[1]*p[3]*plus((x-p[2])/p[3]) + p[4]*p[6]*plus((x-p[5])/p[6])
	}},
	{"two emulsions", false, false, []float64{.22, .85, -2.3, .22, 1.2, -1.1, .25}, func(x float64, p []float64) float64 {
		return p[0] + p[1]/(1+math.Exp(-(x-p[2])/p[3])) + p[4]/(1+math.Exp(-(x-p[5])/p[6]))
	}},
	{"Gaussian toe", false, false, []float64{.22, .7, -2.5, .3}, func(x float64, p []float64) float64 {
		n, i := normal((x - p[2]) / p[3])
		return p[0] + p[1]*p[3]*((x-p[2])/p[3]*i+n)
	}},
	{"1/x² toe", true, false, []float64{.22, .65, -2.5, .4}, func(x float64, p []float64) float64 {
		z := (x - p[2]) / p[3]
		return p[0] + p[1]*p[3]*(math.Cbrt(math.Abs(z*z*z)+1)+z)/2
	}},
	{"Rayleigh toe", true, false, []float64{.22, .7, -2.9, .6}, func(x float64, p []float64) float64 {
		z := max((x-p[2])/p[3], 0) // no density at all below the toe's foot
		return p[0] + p[1]*p[3]*(z-math.Sqrt(math.Pi)/2*math.Erf(z))
	}},
	{"Gompertz", true, false, []float64{.22, 2.4, -1.7, .7}, func(x float64, p []float64) float64 {
		return p[0] + p[1]*math.Exp(-math.Exp(-(x-p[2])/p[3]))
	}},
	{"tanh shoulder", true, false, []float64{.22, .8, -2.55, .2, 1.6}, func(x float64, p []float64) float64 {
		return p[0] + p[4]*math.Tanh(p[1]*p[3]*plus((x-p[2])/p[3])/p[4])
	}},
}

// A toe that fades as 1/x.
func hyperbola(x float64, p []float64) float64 {
	z := x - p[2]
	return p[0] + p[1]*(z+math.Sqrt(z*z+4*p[3]*p[3]))/2
}

// curve is the film as a curve, with constants p.
func (f *studyFilm) curve(p []float64) trueCurveAbove {
	return trueCurveAbove{p[0], func(x float64) float64 { return f.d(x, p) }}
}

// trueCurveAbove is a trueCurve with a base plus fog.
type trueCurveAbove struct {
	base float64
	d    trueCurve
}

func (f trueCurveAbove) Density(x LogH) (Density, error) { return f.d.Density(x) }
func (f trueCurveAbove) Slope(x LogH) (float64, error)   { return f.d.Slope(x) }
func (f trueCurveAbove) Domain() (lo, hi LogH)           { return -6, 6 }
func (f trueCurveAbove) BaseFog() Density                { return Density(f.base) }
func (f trueCurveAbove) LogH(d Density) (LogH, error)    { return f.d.LogH(d) }

// bounded is a curve seen through the exposures of a strip.
type bounded struct {
	trueCurveAbove
	lo, hi LogH
}

func (b bounded) Domain() (lo, hi LogH) { return b.lo, b.hi }

// best returns the standard deviation of a measure that no unbiased estimator beats
// which knows the film's formula but not its constants (Cramér and Rao), from
// readings of deviation sd.
func (f *studyFilm) best(xs []float64, sd float64, m Measure) float64 {
	n := len(f.p)
	lo, hi := LogH(xs[0]), LogH(xs[len(xs)-1])
	grad := func(of func(p []float64) float64) []float64 {
		g := make([]float64, n)
		for j := range g {
			p := append([]float64(nil), f.p...)
			h := 1e-4 * max(math.Abs(p[j]), .1)
			p[j] += h
			a := of(p)
			p[j] -= 2 * h
			g[j] = (a - of(p)) / (2 * h)
		}
		return g
	}
	info := make([]float64, n*n)
	add := func(g []float64) {
		for i := range n {
			for j := range n {
				info[i*n+j] += g[i] * g[j] / (sd * sd)
			}
		}
	}
	for _, x := range xs {
		add(grad(func(p []float64) float64 { return f.d(x, p) }))
	}
	add(grad(func(p []float64) float64 { return p[0] }))
	g := grad(func(p []float64) float64 {
		v, err := m(bounded{f.curve(p), lo, hi})
		if err != nil {
			return math.NaN()
		}
		return v
	})
	x := solveSmall(info, append([]float64(nil), g...))
	v := 0.0
	for i := range g {
		v += g[i] * x[i]
	}
	return math.Sqrt(v)
}

// solveSmall solves a x = b by elimination; a and b are used up.
func solveSmall(a, b []float64) []float64 {
	n := len(b)
	for i := range n {
		top := i
		for j := i + 1; j < n; j++ {
			if math.Abs(a[j*n+i]) > math.Abs(a[top*n+i]) {
				top = j
			}
		}
		for k := range n {
			a[i*n+k], a[top*n+k] = a[top*n+k], a[i*n+k]
		}
		b[i], b[top] = b[top], b[i]
		for j := i + 1; j < n; j++ {
			r := a[j*n+i] / a[i*n+i]
			for k := i; k < n; k++ {
				a[j*n+k] -= r * a[i*n+k]
			}
			b[j] -= r * b[i]
		}
	}
	for i := n - 1; i >= 0; i-- {
		for k := i + 1; k < n; k++ {
			b[i] -= a[i*n+k] * b[k]
		}
		b[i] /= a[i*n+i]
	}
	return b
}
