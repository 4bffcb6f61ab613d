package filmfit

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"
)

func softplus(z float64) float64 { return max(z, 0) + math.Log1p(math.Exp(-math.Abs(z))) }

func strip(f func(float64) float64, x1, step float64, n int, sd float64, rng *rand.Rand) *Data {
	d := &Data{BaseW: 1, UnitSD: 0.01}
	for i := range n {
		x := x1 + step*float64(i)
		d.X = append(d.X, x)
		d.Y = append(d.Y, f(x)+sd*rng.NormFloat64())
		d.W = append(d.W, 1)
	}
	d.Base = []float64{f(-30) + sd*rng.NormFloat64()}
	return d
}

func stated(d *Data, sd float64) *Data {
	d.Known = true
	for i := range d.W {
		d.W[i] = 1 / (sd * sd)
	}
	d.BaseW = 1 / (sd * sd)
	return d
}

func plain(x float64) float64 { return 0.22 + 0.65*0.2*softplus((x+2.55)/0.2) }

// The derivatives are those of the values, at the readings and on the grid.
func TestDerivatives(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 1))
	d := strip(plain, -3.4, 0.237, 12, 0.01, rng)
	var w worker
	w.begin(d, Doubt{})
	for law := range Toes {
		w.law, w.tau = law, 0.7
		th := append([]float64(nil), w.prior.mean[:w.n]...)
		for j := range th {
			th[j] += 0.3 * rng.NormFloat64()
		}
		n, r := w.n, len(d.X)
		wide := w.wide()
		f, jac, ones := make([]float64, r), make([]float64, r*wide), make([]float64, r)
		for i := range ones {
			ones[i] = 1
		}
		if !w.eval(th, f, jac, ones) {
			t.Fatal("refused")
		}
		m := w.basis.m
		c := Component{Toe: law, Departure: 0.7, Constants: th}
		var mid, up, down Curve
		jd, js := make([]float64, m*n), make([]float64, m*n)
		w.trace(&c, &mid, jd, js)
		fu, fd, scrap := make([]float64, r), make([]float64, r), make([]float64, r*wide)
		const h = 1e-5
		for j := range th {
			was := th[j]
			th[j] = was + h
			w.eval(th, fu, scrap, ones)
			w.trace(&c, &up, nil, nil)
			th[j] = was - h
			w.eval(th, fd, scrap, ones)
			w.trace(&c, &down, nil, nil)
			th[j] = was
			for i := range f {
				if num := (fu[i] - fd[i]) / (2 * h); !(math.Abs(num-jac[i*wide+j]) < 1e-7) {
					t.Errorf("toe %d reading %d constant %d: %v, by differences %v", law, i, j, jac[i*wide+j], num)
				}
			}
			for i := range m {
				a, b := (up.Density[i]-down.Density[i])/(2*h), (up.Rate[i]-down.Rate[i])/(2*h)
				if !(math.Abs(a-jd[i*n+j]) < 1e-7 && math.Abs(b-js[i*n+j]) < 1e-6) {
					t.Errorf("toe %d grid %d constant %d: %v %v, by differences %v %v", law, i, j, jd[i*n+j], js[i*n+j], a, b)
				}
			}
		}
	}
}

func BenchmarkAll(b *testing.B) {
	rng := rand.New(rand.NewPCG(1, 2))
	d := stated(strip(plain, -3.3, 0.15, 21, 0.01, rng), 0.01)
	var w worker
	b.ReportAllocs()
	for b.Loop() {
		w.all(d, Doubt{})
	}
}

// The closed form is exact: with no departure the fit of its own values gives its
// constants back.
func TestClosed(t *testing.T) {
	want := []float64{0.2, math.Log(0.7), -2.4, math.Log(0.18), math.Log(1.9), math.Log(3)}
	var x, y []float64
	for i := range 61 {
		v := -3.4 + 0.05*float64(i)
		u := 0.7 * 0.18 * softplus((v+2.4)/0.18)
		x, y = append(x, v), append(y, 0.2+u/math.Cbrt(1+math.Pow(u/1.9, 3)))
	}
	got, ok := Closed(x, y, 0.2)
	if !ok {
		t.Fatal("no form")
	}
	for j := range want {
		if !(math.Abs(got[j]-want[j]) < 2e-3) {
			t.Errorf("constant %d is %v, want %v", j, got[j], want[j])
		}
	}
}

// The toes' slopes are those of their values, far from the knee too.
func TestToes(t *testing.T) {
	var a, b, c toes
	for law := range Toes {
		for _, z := range []float64{-500, -30, -3, -0.1, 0, 0.1, 2, 40, 500} {
			h := 1e-5 * max(1, math.Abs(z)/10)
			for _, s := range []struct {
				t *toes
				z float64
			}{{&a, z}, {&b, z + h}, {&c, z - h}} {
				s.t.size(1)
				s.t.z[0] = s.z
				s.t.fill(law)
			}
			if num := (b.s[0] - c.s[0]) / (2 * h); !(math.Abs(num-a.slope[0]) <= 1e-7*max(1, a.slope[0])) {
				t.Errorf("toe %d at %v: slope %v, by differences %v", law, z, a.slope[0], num)
			}
			if num := (math.Log(b.slope[0]) - math.Log(c.slope[0])) / (2 * h); z > -400 && !(math.Abs(num-a.f[0]) <= 1e-5) {
				t.Errorf("toe %d at %v: d ln F %v, by differences %v", law, z, a.f[0], num)
			}
			if !(math.Abs(a.ln[0]-math.Log(a.s[0])) < 1e-12) || !(a.s[0] > 0) {
				t.Errorf("toe %d at %v: S %v, ln S %v", law, z, a.s[0], a.ln[0])
			}
		}
	}
}

// The Gaussian toe is that of the error function.
func TestGaussianToe(t *testing.T) {
	var toe toes
	const n = 2941
	toe.size(n)
	for i := range toe.z {
		toe.z[i] = gaussianScale * (-29 + 0.02*float64(i))
	}
	toe.fill(Gaussian)
	for i, z := range toe.z {
		u := z / gaussianScale
		phi, v := math.Exp(-u*u/2)/math.Sqrt(2*math.Pi), math.Erfc(-u/math.Sqrt2)/2
		for _, c := range []struct {
			what      string
			got, want float64
			within    float64
		}{{"slope", toe.slope[i], v, 1e-12}, {"bend", toe.f[i], phi / (v * gaussianScale), 1e-12},
			{"S", toe.s[i], gaussianScale * (u*v + phi), 1e-12 * (1 + u*u*u*u)}} { // which cancels far down
			if !(math.Abs(c.got-c.want) <= c.within*c.want) {
				t.Fatalf("%s at %v: %v, want %v", c.what, u, c.got, c.want)
			}
		}
	}
}

// The slopes of the algebraic toes are the distributions of Student's t (W. S. Gosset,
// Biometrika 6 (1908) 1-25, from memory) with two degrees of freedom and with four.
func TestStudentToes(t *testing.T) {
	var toe toes
	toe.size(1)
	for _, c := range []struct {
		law       Toe
		nu, scale float64
	}{{Hyperbolic, 2, math.Sqrt2}, {Cubic, 4, cubicScale / 2.}} {
		for _, z := range []float64{-200, -20, -3, -0.5, 0, 0.5, 3, 20, 200} {
			toe.z[0] = z
			toe.fill(c.law)
			want := distuv.StudentsT{Sigma: c.scale, Nu: c.nu}.CDF(z)
			if !(math.Abs(toe.slope[0]-want) <= 1e-11*want) {
				t.Errorf("toe %d at %v: slope %v, want %v", c.law, z, toe.slope[0], want)
			}
		}
	}
	sum := 0.0
	for _, p := range toeChances {
		sum += p
	}
	if !(math.Abs(sum-1) < 1e-12) {
		t.Errorf("the chances of the toes add up to %v", sum)
	}
}

// One normal has the normal's quantiles, Student's t its own, and two far apart those
// of their tails.
func TestInterval(t *testing.T) {
	lo, hi := Interval([]Normal{{1, 2, 0.5, math.Inf(1)}})
	if !(math.Abs(lo-(2-0.5*1.959964)) < 1e-6 && math.Abs(hi-(2+0.5*1.959964)) < 1e-6) {
		t.Errorf("%v to %v", lo, hi)
	}
	// Student's t, 0.975: 4 degrees of freedom 2.776, 10 2.228 (any table).
	for freedom, want := range map[float64]float64{4: 2.776, 10: 2.228} {
		if _, hi := Interval([]Normal{{1, 0, 1, freedom}}); !(math.Abs(hi/want-1) < 0.01) {
			t.Errorf("t with %v degrees of freedom: %v, want %v", freedom, hi, want)
		}
	}
	// Half of the weight at 0, half at 10: the lower end has 5 % of the first below it.
	lo, hi = Interval([]Normal{{0.5, 0, 1, math.Inf(1)}, {0.5, 10, 1, math.Inf(1)}})
	if !(math.Abs(lo+1.644854) < 1e-5 && math.Abs(hi-11.644854) < 1e-5) {
		t.Errorf("%v to %v", lo, hi)
	}
	if lo, _ := Interval([]Normal{{0.9, 0, 1, math.Inf(1)}, {0.1, math.NaN(), 1, math.Inf(1)}}); !math.IsNaN(lo) {
		t.Errorf("a tenth of the weight without a value: %v", lo)
	}
	if lo, _ := Interval([]Normal{{0.99, 0, 1, math.Inf(1)}, {0.01, math.NaN(), 1, math.Inf(1)}}); !(math.Abs(lo+1.959964) < 1e-5) {
		t.Errorf("a hundredth without: %v", lo)
	}
}

// Chi square, 95 %: 18.307 with 10 degrees of freedom (any table).
func TestChance(t *testing.T) {
	if p := Chance(18.307, 10); !(math.Abs(p-0.05) < 1e-5) {
		t.Errorf("%v", p)
	}
	if !math.IsNaN(Chance(1, 0)) || !math.IsNaN(Chance(math.NaN(), 3)) {
		t.Error("a chance of nothing")
	}
}

// What the components say of a measure is what moving the constants gives: for base
// plus fog, which is one, its own deviation.
func TestSpread(t *testing.T) {
	rng := rand.New(rand.NewPCG(4, 4))
	w, ok := Fit(stated(strip(plain, -3.3, 0.15, 21, 0.01, rng), 0.01))
	if !ok {
		t.Fatal("no fit")
	}
	said := w.Spread(2, func(c *Curve, out []float64) {
		out[0], out[1] = c.Base, c.Density[len(c.Density)-2] // within the readings
	})
	sum := 0.0
	for i, p := range w.Parts {
		n := len(p.Constants)
		v := 0.0
		for z := range n {
			v += p.Directions[z*n] * p.Directions[z*n]
		}
		if got := said[0][i]; !(math.Abs(got.SD-math.Sqrt(v)) < 1e-9) || got.Value != p.Constants[Base] {
			t.Errorf("part %d: %+v, deviation of base %v", i, got, math.Sqrt(v))
		}
		if got := said[1][i].SD; !(got > 0.001 && got < 0.01) {
			t.Errorf("part %d: deviation %v at the last reading", i, got)
		}
		sum += p.Weight
	}
	if !(math.Abs(sum-1) < 1e-12) {
		t.Errorf("weights add to %v", sum)
	}
}

// The departure is small where its size is, and the mean curve rises.
func TestMean(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 4))
	w, ok := Fit(stated(strip(plain, -3.3, 0.15, 21, 0.01, rng), 0.01))
	if !ok {
		t.Fatal("no fit")
	}
	k := w.Mean()
	for i, x := range k.X {
		if d := k.Density[i] - plain(x); !(math.Abs(d) < 0.02) {
			t.Errorf("off by %v at %v", d, x)
		}
		if i > 0 && !(k.Density[i] >= k.Density[i-1] && k.Rate[i] >= 0) {
			t.Errorf("falls at %v", x)
		}
		if i > 0 && i+1 < len(k.X) { // rates are those of the densities
			if num := (k.Density[i+1] - k.Density[i-1]) / (k.X[i+1] - k.X[i-1]); !(math.Abs(num-k.Rate[i]) < 0.01) {
				t.Errorf("rate %v at %v, by differences %v", k.Rate[i], x, num)
			}
		}
	}
}
