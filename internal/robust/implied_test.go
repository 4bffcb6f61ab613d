package robust

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/mat"
)

// drawnTable is a small table with what is known of it, sets of deviations among which one leaves no coefficient free.
func drawnTable(seed uint64) (l Linear, y, noise []float64) {
	r := rand.New(rand.NewPCG(seed, 3))
	l = Linear{Mean: []float64{1, 0.2, 0}, SD: [][]float64{{0.5, 0.3, 0}, {0, 0, 0}, {0.5, 0.3, 0.1}}, Scatter: []float64{0, 0.1}, Share: 0.05}
	for i := range 8 {
		x := float64(i) - 3
		l.Z = append(l.Z, []float64{1, x, x * x})
		noise = append(noise, 0.1+0.1*r.Float64())
		y = append(y, 1.1+0.17*x+0.1*r.NormFloat64())
	}
	return l, y, noise
}

// whole is the covariance of the table under one set of deviations and one scatter, and its residuals.
func (l Linear) whole(y, noise, sd []float64, scatter float64) (cov *mat.SymDense, res []float64) {
	n := len(y)
	cov, res = mat.NewSymDense(n, nil), make([]float64, n)
	for i := range n {
		res[i] = y[i]
		for j, m := range l.Mean {
			res[i] -= l.Z[i][j] * m
		}
		for k := range i + 1 {
			c := 0.0
			for j := range sd {
				c += l.Z[i][j] * l.Z[k][j] * sd[j] * sd[j]
			}
			if i == k {
				c += noise[i]*noise[i] + scatter*scatter
			}
			cov.SetSym(i, k, c)
		}
	}
	return cov, res
}

// given is the mean and variance of value i by those that are kept, and the log density of these.
func given(t *testing.T, cov *mat.SymDense, res []float64, keep []int, i int) (mean, variance, logL float64) {
	t.Helper()
	m := len(keep)
	sub, c, v := mat.NewSymDense(m, nil), mat.NewVecDense(m, nil), mat.NewVecDense(m, nil)
	for a, k := range keep {
		c.SetVec(a, cov.At(i, k))
		v.SetVec(a, res[k])
		for b, k2 := range keep {
			sub.SetSym(a, b, cov.At(k, k2))
		}
	}
	var ch mat.Cholesky
	var x, z mat.VecDense
	if !ch.Factorize(sub) || ch.SolveVecTo(&x, v) != nil || ch.SolveVecTo(&z, c) != nil {
		t.Fatal("covariance")
	}
	return mat.Dot(c, &x), cov.At(i, i) - mat.Dot(c, &z), -0.5 * (ch.LogDet() + mat.Dot(v, &x))
}

// What is implied of a value is what the others say of it in the whole covariance, over all sets and scatters by what
// the table says of these; the coefficients likewise.
func TestImpliedAgreesWithWholeCovariance(t *testing.T) {
	l, y, noise := drawnTable(1)
	aside := make([]bool, len(y))
	aside[5] = true
	y[5] += 2
	var out Shifts
	if !l.imply(y, noise, aside, l.sparse(), &out) {
		t.Fatal("refused")
	}
	var kept []int
	for i := range y {
		if !aside[i] {
			kept = append(kept, i)
		}
	}
	n, p := len(y), len(l.Mean)
	total := 0.0
	mean, second := make([]float64, n), make([]float64, n)
	coefficients, variances := make([]float64, p), make([]float64, p)
	for _, sd := range l.SD {
		for _, scatter := range l.Scatter {
			cov, res := l.whole(y, noise, sd, scatter)
			_, _, logL := given(t, cov, res, kept, 0)
			w := math.Exp(logL)
			total += w
			for i := range y {
				var others []int
				for _, k := range kept {
					if k != i {
						others = append(others, k)
					}
				}
				m, v, _ := given(t, cov, res, others, i)
				m += y[i] - res[i]
				mean[i] += w * m
				second[i] += w * (v + m*m)
			}
			// A coefficient as one value more, without noise.
			for j := range p {
				more := mat.NewSymDense(n+1, nil)
				for i := range n {
					for k := range i + 1 {
						more.SetSym(i, k, cov.At(i, k))
					}
					more.SetSym(n, i, l.Z[i][j]*sd[j]*sd[j])
				}
				more.SetSym(n, n, sd[j]*sd[j])
				m, v, _ := given(t, more, append(append([]float64(nil), res...), 0), kept, n)
				coefficients[j] += w * (m + l.Mean[j])
				variances[j] += w * v
			}
		}
	}
	for i := range y {
		m := mean[i] / total
		if sd := math.Sqrt(second[i]/total - m*m); math.Abs(out.Implied[i]-m) > 1e-8 || math.Abs(out.SD[i]-sd) > 1e-8 {
			t.Errorf("value %d: %v ± %v, want %v ± %v", i, out.Implied[i], out.SD[i], m, sd)
		}
	}
	for j := range p {
		if m, sd := coefficients[j]/total, math.Sqrt(max(variances[j]/total, 0)); math.Abs(out.Coefficients[j]-m) > 1e-8 || math.Abs(out.CoefficientSD[j]-sd) > 1e-7 {
			t.Errorf("coefficient %d: %v ± %v, want %v ± %v", j, out.Coefficients[j], out.CoefficientSD[j], m, sd)
		}
	}
}

// Each set and scatter by itself has the density of its covariance, also the one that leaves nothing free; and evidence
// multiplies the odds of a slip.
func TestFitAndEvidence(t *testing.T) {
	l, y, noise := drawnTable(2)
	rows := l.sparse()
	var all []int
	for i := range y {
		all = append(all, i)
	}
	for _, sd := range l.SD {
		for _, scatter := range l.Scatter {
			f, ok := l.fit(y, noise, make([]bool, len(y)), rows, sd, scatter)
			cov, res := l.whole(y, noise, sd, scatter)
			if _, _, want := given(t, cov, res, all, 0); !ok || math.Abs(f.logL-want) > 1e-9 {
				t.Errorf("%v, %v: %v, want %v", sd, scatter, f.logL, want)
			}
		}
	}
	// A table of pairs is left out, so that one value's odds are its own: of 65 values none is tried with another.
	big := Linear{Mean: []float64{0}, SD: [][]float64{{1}}, Scatter: []float64{0.1}, Share: 0.03}
	yb, nb, evidence := make([]float64, 65), make([]float64, 65), make([]float64, 65)
	for i := range yb {
		big.Z, nb[i], yb[i] = append(big.Z, []float64{1}), 0.1, 0.1*math.Sin(float64(i*i))
	}
	plain, _, _, _, ok := big.weigh(yb, nb, make([]bool, 65), big.sparse())
	if !ok {
		t.Fatal("refused")
	}
	big.Evidence = evidence
	evidence[7] = 2.5
	said, _, _, _, ok := big.weigh(yb, nb, make([]bool, 65), big.sparse())
	if !ok {
		t.Fatal("refused")
	}
	more := plain[7] * (math.Exp(2.5) - 1)
	for i, p := range plain {
		want := p / (1 + more)
		if i == 7 {
			want = p * math.Exp(2.5) / (1 + more)
		}
		if math.Abs(said[i]-want) > 1e-12 {
			t.Errorf("value %d: %v, want %v", i, said[i], want)
		}
	}
	if _, ok := big.Shifts(yb, nb); !ok {
		t.Error("evidence is refused")
	}
	big.Evidence = evidence[1:]
	if _, ok := big.Shifts(yb, nb); ok {
		t.Error("evidence of fewer values is taken")
	}
}

// The likeliest slip or pair, and what each value has of all; nothing where none of them is likelier than no slip.
func TestShares(t *testing.T) {
	ln := func(v ...float64) []float64 {
		for i := range v {
			v[i] = math.Log(v[i])
		}
		return v
	}
	for _, c := range []struct {
		none        float64
		one, two    []float64 // pairs 1,0; 2,0; 2,1
		best, best2 int
		p           []float64
	}{
		{8, []float64{1, 5, 2}, nil, -1, -1, []float64{1. / 16, 5. / 16, 2. / 16}},
		{1, []float64{2, 4, 1}, nil, 1, -1, []float64{2. / 8, 4. / 8, 1. / 8}},
		{1, []float64{2, 4, 1}, []float64{3, 2, 3}, 1, -1, []float64{7. / 16, 10. / 16, 6. / 16}},
		{1, []float64{2, 2, 1}, []float64{2, 5, 3}, 2, 0, []float64{9. / 16, 7. / 16, 9. / 16}},
		{1, []float64{2, 2, 1}, []float64{2, 3, 5}, 2, 1, []float64{7. / 16, 9. / 16, 9. / 16}},
		{2, []float64{2, 1, 1}, []float64{2, 1, 1}, -1, -1, []float64{5. / 10, 4. / 10, 3. / 10}},
	} {
		p, best, best2, ok := shares(math.Log(c.none), ln(c.one...), ln(c.two...))
		if !ok || best != c.best || best2 != c.best2 {
			t.Errorf("%+v: %d and %d", c, best, best2)
		}
		for i := range p {
			if math.Abs(p[i]-c.p[i]) > 1e-12 {
				t.Errorf("%+v: %v", c, p)
			}
		}
	}
	for _, none := range []float64{math.NaN(), math.Inf(1)} {
		if _, _, _, ok := shares(none, ln(1), nil); ok {
			t.Errorf("%v is taken", none)
		}
	}
}

// In other units of x and y the line is the same line.
func TestBisquareInOtherUnits(t *testing.T) {
	r := rand.New(rand.NewPCG(4, 4))
	for _, n := range []int{7, 20, 40} {
		x, y := make([]float64, n), make([]float64, n)
		for i := range x {
			x[i], y[i] = float64(i), 2+0.3*float64(i)+0.1*r.NormFloat64()
		}
		y[2] += 3
		res := make([]float64, n)
		want, ok := Bisquare(res, x, y, 0)
		if !ok {
			t.Fatal("refused")
		}
		for _, u := range [][2]float64{{1e-9, 1}, {1e9, 1}, {1, 1e-9}, {1, 1e9}, {1e-8, 1e7}} {
			xs, ys, rs := make([]float64, n), make([]float64, n), make([]float64, n)
			for i := range x {
				xs[i], ys[i] = x[i]*u[0], y[i]*u[1]
			}
			got, ok := Bisquare(rs, xs, ys, 0)
			if !ok || math.Abs(got.Slope*u[0]/u[1]/want.Slope-1) > 1e-6 || math.Abs(got.At/u[1]/want.At-1) > 1e-6 || math.Abs(got.Scale/u[1]/want.Scale-1) > 1e-6 {
				t.Errorf("%d points times %v: %+v, want %+v", n, u, got, want)
			}
		}
	}
}
