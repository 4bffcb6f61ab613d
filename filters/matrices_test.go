package filters

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"gonum.org/v1/gonum/mat"

	"example.org/actinic/spectral"
)

func random(r *rand.Rand, rows, columns int) *mat.Dense {
	m := mat.NewDense(rows, columns, nil)
	for i := range rows {
		for j := range columns {
			m.Set(i, j, r.NormFloat64())
		}
	}
	return m
}

func equal(t *testing.T, what string, got, want mat.Matrix, tol float64) {
	t.Helper()
	if !mat.EqualApprox(got, want, tol) {
		t.Errorf("%s:\n%v, want\n%v", what, mat.Formatted(got), mat.Formatted(want))
	}
}

// The covariance of two factors by one error is the sum over all pairs, written down.
func TestTermIsASumOverPairs(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 8))
	for _, n := range []int{1, 2, 3, 8} {
		for _, keep := range []float64{0, 0.3, 0.97, 1} {
			a, b := term{keep: keep}, term{keep: keep}
			for range n {
				a.slopes, b.slopes = append(a.slopes, r.NormFloat64()), append(b.slopes, r.NormFloat64())
			}
			pairs := func(cov func(i, j int) float64, x, y term) (sum float64) {
				for i := range n {
					for j := range n {
						sum += x.slopes[i] * y.slopes[j] * cov(i, j)
					}
				}
				return sum
			}
			along := func(i, j int) float64 { return math.Pow(keep, math.Abs(float64(i-j))) }
			near(t, "covariance", a.with(b), pairs(along, a, b), 1e-12)
			near(t, "variance", a.variance(), pairs(along, a, a), 1e-12)
			given := random(r, n, n)
			given.Mul(given, given.T())
			for _, x := range []*term{&a, &b} {
				x.covariance = slices.Clone(given.RawMatrix().Data)
			}
			near(t, "given covariance", a.with(b), pairs(given.At, a, b), 1e-9)
		}
	}
	if v := (term{slopes: []float64{1, -1}, covariance: []float64{1, 2, 2, 1}}).variance(); v != 0 {
		t.Errorf("a variance of %v", v)
	}
}

// made is a system of readings at nodes, with or without errors that they share.
func made(r *rand.Rand, m, n int, shared bool) *system {
	s := &system{w: random(r, m, n)}
	for i := range n {
		s.nm = append(s.nm, 400+13*float64(i)+3*r.Float64())
	}
	for range m {
		s.sd = append(s.sd, 0.1+0.2*r.Float64())
	}
	if shared {
		c := random(r, m, m)
		s.shared = mat.NewSymDense(m, nil)
		s.shared.SymOuterK(0.02, c)
	}
	return s
}

// Evidence and what the readings leave are those of the normal distribution, worked out with the whole covariance; and
// over several priors the mixture's moments.
func TestSmootherIsTheWholeCovariance(t *testing.T) {
	r := rand.New(rand.NewPCG(2, 8))
	const m, n = 5, 7
	for _, shared := range []bool{false, true} {
		s := made(r, m, n, shared)
		var each []posterior
		var priors []prior
		smoothers := map[float64]*smoother{}
		for k, length := range []float64{15, 40} {
			const size = 0.7
			o := newSmoother(s, length)
			smoothers[length] = o
			prior1 := mat.NewDense(n, n, nil)
			for i := range n {
				for j := range n {
					d := math.Sqrt(3) * math.Abs(s.nm[i]-s.nm[j]) / length
					prior1.Set(i, j, size*size*(1+d)*math.Exp(-d))
				}
			}
			var wk, c, inv, gain, left, mean, resolution mat.Dense
			wk.Mul(s.w, prior1)
			c.Mul(&wk, s.w.T())
			for i := range m {
				c.Set(i, i, c.At(i, i)+s.sd[i]*s.sd[i])
				for j := range m {
					if shared {
						c.Set(i, j, c.At(i, j)+s.shared.At(i, j))
					}
				}
			}
			if err := inv.Inverse(&c); err != nil {
				t.Fatal(err)
			}
			ones := mat.NewVecDense(m, slices.Repeat([]float64{1}, m))
			gain.Mul(wk.T(), &inv)
			mean.Mul(&gain, ones)
			resolution.Mul(&gain, s.w)
			left.Mul(&gain, &wk)
			left.Sub(prior1, &left)
			quadratic := mat.Inner(ones, &inv, ones)
			logDet, _ := mat.LogDet(&c)
			e, ok := o.evidence(size)
			if near(t, "evidence", e, -(quadratic+logDet)/2, 1e-7); !ok {
				t.Error("refused")
			}
			p := prior{size, length, []float64{0.3, 0.7}[k]}
			got, err := o.posterior(p)
			if err != nil {
				t.Fatal(err)
			}
			equal(t, "mean", got.mean, &mean, 1e-7)
			equal(t, "resolution", got.resolution, &resolution, 1e-7)
			equal(t, "covariance", got.cov, &left, 1e-7)
			for i := range n {
				near(t, "known", got.known[i], 1-left.At(i, i)/prior1.At(i, i), 1e-7)
			}
			each, priors = append(each, got), append(priors, p)
		}
		all, err := s.average(smoothers, priors)
		if err != nil {
			t.Fatal(err)
		}
		for i := range n {
			mean := 0.3*each[0].mean.AtVec(i) + 0.7*each[1].mean.AtVec(i)
			near(t, "mean of two", all.mean.AtVec(i), mean, 1e-12)
			near(t, "known by two", all.known[i], 0.3*each[0].known[i]+0.7*each[1].known[i], 1e-12)
			for j := range n {
				apart := func(k int) float64 { return each[0].mean.AtVec(k) - each[1].mean.AtVec(k) }
				near(t, "covariance of two", all.cov.At(i, j), 0.3*each[0].cov.At(i, j)+0.7*each[1].cov.At(i, j)+0.21*apart(i)*apart(j), 1e-12)
				near(t, "resolution of two", all.resolution.At(i, j), 0.3*each[0].resolution.At(i, j)+0.7*each[1].resolution.At(i, j), 1e-12)
			}
		}
		// Readings made independent, and how far they are off by their covariance.
		c := mat.NewDense(m, m, nil)
		for i := range m {
			c.Set(i, i, s.sd[i]*s.sd[i])
			for j := range m {
				if shared {
					c.Set(i, j, c.At(i, j)+s.shared.At(i, j))
				}
			}
			near(t, "spread", s.spread(i), math.Sqrt(c.At(i, i)), 1e-12)
		}
		white, ok := s.whitened()
		if !ok {
			t.Fatal("not whitened")
		}
		var one mat.Dense
		one.Mul(white, c)
		one.Mul(&one, white.T())
		equal(t, "whitened", &one, mat.NewDiagDense(m, slices.Repeat([]float64{1}, m)), 1e-9)
		off := []float64{0.1, -0.3, 0.2, 0.05, -0.1}
		var inv mat.Dense
		if err := inv.Inverse(c); err != nil {
			t.Fatal(err)
		}
		v := mat.NewVecDense(m, off)
		near(t, "chi square", must(s.chiSquare(off, s.sd)), mat.Inner(v, &inv, v), 1e-9)
	}
}

// Priors are weighed by their evidence over all sizes and lengths, best first, and those of less than 0.003 of the best
// are left out.
func TestPriorsByTheirEvidence(t *testing.T) {
	s := made(rand.New(rand.NewPCG(3, 8)), 6, 9, false)
	lengths := []float64{15, 40, 90}
	smoothers, got := s.priors(lengths)
	type key struct{ size, length float64 }
	evidence := map[key]float64{}
	best := math.Inf(-1)
	for _, l := range lengths {
		for k := range 26 {
			size := math.Pow(10, -0.5+0.1*float64(k))
			e, ok := newSmoother(s, l).evidence(size)
			if !ok {
				t.Fatal("refused")
			}
			evidence[key{math.Round(1e6 * size), l}], best = e, max(best, e)
		}
	}
	sum, many := 0.0, 0
	for _, e := range evidence {
		if w := math.Exp(e - best); w >= 0.003 {
			sum, many = sum+w, many+1
		}
	}
	if len(got) != many || len(smoothers) != 3 {
		t.Errorf("%d priors of %d lengths, want %d", len(got), len(smoothers), many)
	}
	for i, p := range got {
		near(t, "weight", p.weight, math.Exp(evidence[key{math.Round(1e6 * p.size), p.length}]-best)/sum, 1e-9)
		if i > 0 && p.weight > got[i-1].weight {
			t.Errorf("%d is heavier than the one before", i)
		}
	}
}

// A plan's numbers against the covariance written down: what a reading gains, what is left of the curve at its own
// scale, and how many numbers are fixed.
func TestDesignIsTheWholeCovariance(t *testing.T) {
	film, light := spectral.Generic(spectral.Panchromatic), spectral.D55.Light()
	var set []Filter
	for _, name := range []string{"8", "25", "47", "58"} {
		set = append(set, must(Find(name)).Filter)
	}
	nm := must(spectral.Grid(400, 680, 20))
	n := len(nm)
	const sd, length = 0.02, 40.0
	s, err := newDesign(film, light, set, nm, length, Design{SD: sd})
	if err != nil {
		t.Fatal(err)
	}
	noise := sd * sd * math.Ln10 * math.Ln10
	near(t, "noise", s.noise, noise, 1e-15)
	peak, mean := 0.0, 0.0
	for _, l := range nm {
		v := must(film.At(l))
		peak, mean = max(peak, v), mean+v/float64(n)
	}
	exposure := 0.0
	for i, l := range nm {
		near(t, "curve", s.z[i], must(film.At(l))/peak, 1e-12)
		exposure += s.bare[i] * s.z[i]
		for j := range nm {
			d := math.Sqrt(3) * math.Abs(l-nm[j]) / length
			near(t, "prior", s.prior.At(i, j), mean*mean/peak/peak*(1+d)*math.Exp(-d), 1e-9)
		}
	}
	near(t, "exposure of the curve", exposure, 1, 1e-12)
	for i, row := range s.rows { // ln speed does not change with the scale, and its slopes are those of the exposure
		near(t, fmt.Sprint("slopes of filter ", i), mat.Dot(row, mat.NewVecDense(n, s.z)), 1, 1e-12)
	}
	scaled := func(c mat.Matrix) *mat.Dense { // (1 - z bᵀ) C (1 - b zᵀ)
		p := mat.NewDense(n, n, nil)
		for i := range n {
			for j := range n {
				v := -s.z[i] * s.bare[j]
				if i == j {
					v++
				}
				p.Set(i, j, v)
			}
		}
		var out mat.Dense
		out.Mul(p, c)
		out.Mul(&out, p.T())
		return &out
	}
	after := func(c mat.Matrix, row *mat.VecDense) *mat.Dense {
		var u mat.VecDense
		u.MulVec(c, row)
		var out mat.Dense
		out.Outer(-1/(noise+mat.Dot(row, &u)), &u, &u)
		out.Add(&out, c)
		return &out
	}
	whole := mat.DenseCopyOf(s.prior)
	taken := []int{2, 0, 1, 2, 3}
	for _, k := range taken {
		next := after(whole, s.rows[k])
		worth, _, _ := s.gain(k, 1, false)
		before, _ := mat.LogDet(whole)
		left, _ := mat.LogDet(next)
		near(t, "gain in volume", worth, before-left, 1e-6)
		worth, _, _ = s.gain(k, 1, true)
		near(t, "gain in variance", worth, mat.Trace(scaled(whole))-mat.Trace(scaled(next)), 1e-9)
		s.take(k, 1)
		near(t, "deviation", s.deviation(), math.Sqrt(mat.Trace(scaled(next))/float64(n)), 1e-9)
		equal(t, "covariance", s.cov, next, 1e-9)
		whole = next
	}
	var inv, r mat.Dense
	if err := inv.Inverse(s.prior); err != nil {
		t.Fatal(err)
	}
	r.Sub(s.prior, whole)
	r.Mul(&r, &inv)
	near(t, "degrees", s.degrees(taken), mat.Trace(&r), 1e-6)
	s.take(3, -1) // and back
	s.take(2, -1)
	s.take(1, -1)
	s.take(0, -1)
	s.take(2, -1)
	equal(t, "taken back", s.cov, s.prior, 1e-7)
}

// Runs of nodes by name.
func TestRanges(t *testing.T) {
	nm := []float64{400, 410, 420, 430, 440, 450}
	for marks, want := range map[string]string{
		"......": "[]", "x.....": "[400 nm]", ".....x": "[450 nm]", "xxxxxx": "[400 to 450 nm]", "xx.x.x": "[400 to 410 nm 430 nm 450 nm]", ".xx.xx": "[410 to 420 nm 440 to 450 nm]",
	} {
		marked := make([]bool, len(marks))
		for i := range marks {
			marked[i] = marks[i] == 'x'
		}
		if got := fmt.Sprint(ranges(nm, marked)); got != want {
			t.Errorf("%s: %s, want %s", marks, got, want)
		}
	}
}
