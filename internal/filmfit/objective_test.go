package filmfit

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"gonum.org/v1/gonum/mat"
)

// plainObjective is c and the logarithm of the weights' root determinant under a doubt from the covariance of the
// readings written down: deviations on its sides, correlations r^|i-k| between, wild readings with a shift's
// variance more, and a leak's shift taken away.
func plainObjective(d *Data, doubt Doubt, p *prior, th, f []float64, sigma float64) (c, lnRoots, misfit float64) {
	n := len(d.Y)
	sd, e := make([]float64, n), mat.NewVecDense(n, nil)
	for i := range n {
		sd[i] = sigma / math.Sqrt(d.W[i])
		if doubt.Grows {
			sd[i] *= 1 + 2*max(d.Y[i]-p.mean[Base], 0)
		}
		if slices.Contains(doubt.Wild, i) {
			sd[i] = math.Hypot(sd[i], 0.12)
		}
		shift := 0.0
		if i < doubt.Leak {
			shift = th[len(th)-1]
		}
		e.SetVec(i, d.Y[i]-f[i]-shift)
	}
	cov := mat.NewSymDense(n, nil)
	for i := range n {
		for k := range i + 1 {
			r := 0.0
			if i == k {
				r = 1
			} else if doubt.Drift > 0 {
				r = math.Pow(doubt.Drift, float64(i-k))
			}
			cov.SetSym(i, k, r*sd[i]*sd[k])
		}
	}
	var chol mat.Cholesky
	chol.Factorize(cov)
	var x mat.VecDense
	if err := chol.SolveVecTo(&x, e); err != nil {
		panic(err)
	}
	c, lnRoots = mat.Dot(e, &x), -chol.LogDet()/2
	misfit = c
	for _, i := range doubt.Wild { // where nothing is correlated
		misfit -= e.AtVec(i) * e.AtVec(i) / (sd[i] * sd[i])
	}
	if !d.Held {
		for _, b := range d.Base {
			v := (b - th[Base]) * (b - th[Base]) * d.BaseW / (sigma * sigma)
			c, misfit = c+v, misfit+v
			lnRoots += math.Log(math.Sqrt(d.BaseW) / sigma)
		}
	}
	c, misfit = c+d.Pure/(sigma*sigma), misfit+d.Pure/(sigma*sigma)
	lnRoots -= d.Joined * math.Log(sigma)
	for j, v := range th {
		c += math.Pow((v-p.mean[j])/p.sd[j], 2)
	}
	return c, lnRoots, misfit
}

// What is made least, under every doubt, is what is written down; its gradient and normal matrix are those of its
// residuals by differences.
func TestObjective(t *testing.T) {
	for _, doubt := range []Doubt{{}, {Wild: []int{3}}, {Wild: []int{0, 7}}, {Leak: 3}, {Drift: 0.8}, {Grows: true}, {Drift: 0.5, Grows: true, Leak: 2}} {
		for _, held := range []bool{false, true} {
			name := fmt.Sprintf("%+v, held %t", doubt, held)
			rng := rand.New(rand.NewPCG(12, 4))
			d := strip(bent, -3.4, 0.26, 13, 0.02, rng)
			d.Held, d.Pure, d.Joined, d.BaseW = held, 0.0007, 4, 2.5
			d.Base = append(d.Base, d.Base[0]+0.01)
			for i := range d.W {
				d.W[i] = 0.5 + rng.Float64()
			}
			var w worker
			w.begin(d, doubt)
			w.law, w.tau = Exponential, 0.5
			th := slices.Clone(w.prior.mean[:w.n])
			for j := range th {
				th[j] += 0.1 * rng.NormFloat64()
			}
			if held {
				th[Base] = w.prior.mean[Base]
			}
			const sigma = 0.03
			w.weigh(sigma)
			if (w.n == w.constants()+1) != (doubt.Leak > 0) {
				t.Errorf("%s: %d constants of %d", name, w.n, w.constants())
			}
			p := prior{w.prior.mean, w.prior.sd}
			if doubt.Leak > 0 {
				within(t, name+", prior of the leak", p.mean[w.n-1], 0, 0)
				within(t, name+", its deviation", p.sd[w.n-1], 0.12, 0)
			}
			at := func(th []float64) (c float64) {
				got, ok := w.objective(th, sigma)
				if !ok {
					t.Fatal(name, "refused")
				}
				want, lnRoots, misfit := plainObjective(d, doubt, &p, th, w.f, sigma)
				within(t, name, got, want, 1e-9*want)
				within(t, name+", roots", w.lnRoots, lnRoots, 1e-9*math.Abs(lnRoots))
				if doubt.Drift == 0 || len(doubt.Wild) == 0 {
					within(t, name+", misfit", w.misfit, misfit, 1e-9*misfit)
				}
				return got
			}
			at(th)
			w.normal(th, sigma)
			grad, a := slices.Clone(w.grad), slices.Clone(w.a)
			n := w.n
			const h = 1e-5
			moved := make([][]float64, n)
			for j := range th {
				was := th[j]
				th[j] = was + h
				up := at(th)
				moved[j] = slices.Clone(w.res)
				th[j] = was - h
				down := at(th)
				for i, r := range w.res {
					moved[j][i] = (moved[j][i] - r) / (2 * h)
				}
				th[j] = was
				within(t, fmt.Sprintf("%s, gradient in constant %d", name, j), grad[j], (down-up)/(4*h), 1e-4*(1+math.Abs(grad[j])))
			}
			for j := range n {
				for k := range j + 1 {
					want := 0.0
					for i := range moved[j] {
						want += moved[j][i] * moved[k][i]
					}
					if j == k {
						want += 1 / (p.sd[j] * p.sd[j])
						if j == Base && !held {
							want += 2 * 2.5 / (sigma * sigma)
						}
					}
					scale := math.Sqrt(a[j*n+j] * a[k*n+k])
					within(t, fmt.Sprintf("%s, normal matrix %d, %d", name, j, k), a[j*n+k], want, 1e-6*scale)
				}
			}
		}
	}
}

// The weak expectations of a strip: about its base plus fog, the steepest slope over a fifth of it, where that
// slope carried down meets the base, and twice what it reaches.
func TestPriors(t *testing.T) {
	straight := func(slope float64) *Data { // 0.3 up to -2, then straight up to 1
		d := &Data{BaseW: 1, UnitSD: 0.01, Base: []float64{0.28, 0.32}}
		for i := range 16 {
			x := -2.5 + 0.2*float64(i)
			d.X, d.Y, d.W = append(d.X, x), append(d.Y, 0.3+slope*max(x+2, 0)), append(d.W, 1)
		}
		return d
	}
	for _, c := range []struct {
		name        string
		d           *Data
		base, slope float64
		foot, top   float64
		held        bool
	}{
		{"as drawn", straight(0.8), 0.3, 0.8, -2, 2 * 0.8 * 2.5, false},
		{"held", straight(0.8), 0.3, 0.8, -2, 2 * 0.8 * 2.5, true},
		{"hardly anything", straight(0.12), 0.3, 0.12, -2, 1, false},
		{"nothing", straight(0), 0.3, 0.1, -2.5, 1, false},
	} {
		c.d.Held = c.held
		for _, unexposed := range []bool{true, false} {
			if !unexposed {
				c.d.Base = nil // the least reading stands for it
			}
			var w worker
			w.begin(c.d, Doubt{})
			mean, sd := w.prior.mean, w.prior.sd
			for j, want := range []float64{c.base, math.Log(c.slope), c.foot, math.Log(0.2), math.Log(c.top), math.Log(2.5)} {
				within(t, fmt.Sprintf("%s, constant %d", c.name, j), mean[j], want, 1e-12)
			}
			base := 1.0
			if c.held {
				base = 1e-6
			}
			for j, want := range []float64{base, 1, 1, 0.7, 1, 0.7} {
				within(t, fmt.Sprintf("%s, deviation of constant %d", c.name, j), sd[j], want, 0)
			}
			for j := closed; j < w.constants(); j++ {
				if mean[j] != 0 || sd[j] != 1 {
					t.Errorf("%s, departure %d: %v ± %v", c.name, j, mean[j], sd[j])
				}
			}
		}
	}
}

// Constants beyond any use are refused, those next to them are not, and no slope is beyond e^5.
func TestConstantsAtTheBounds(t *testing.T) {
	d := strip(plain, -3.4, 0.25, 12, 0.01, rand.New(rand.NewPCG(1, 1)))
	var w worker
	w.begin(d, Doubt{})
	w.law, w.tau = Exponential, 0.5
	for _, c := range []struct {
		constant int
		least    float64
		greatest float64
	}{{LnGamma, math.Log(1e-6), math.Log(1e4)}, {LnWidth, math.Log(1e-4), math.Log(50)}, {LnSharpness, math.Log(1e-2), math.Log(1e4)}, {LnShoulder, -50, 50}} {
		for v, want := range map[float64]bool{c.least - 1e-3: false, c.least + 1e-3: true, c.greatest - 1e-3: true, c.greatest + 1e-3: false, math.NaN(): false} {
			th := slices.Clone(w.prior.mean[:w.n])
			th[c.constant] = v
			if _, ok := w.point(th); ok != want {
				t.Errorf("constant %d at %v: %v", c.constant, v, ok)
			}
		}
	}
	th := slices.Clone(w.prior.mean[:w.n])
	th[LnGamma] = 3
	for j := closed; j < w.n; j++ {
		th[j] = 8
	}
	var c Curve
	p, ok := w.point(th)
	if !ok {
		t.Fatal("refused")
	}
	w.whole(&p, &c)
	if steepest := slices.Max(c.Rate); math.Abs(steepest-math.Exp(5)) > 1e-9 {
		t.Errorf("steepest %v, want e^5", steepest)
	}
}
