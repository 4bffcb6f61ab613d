package robust

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/mat"
)

// logNormal is the log density of y, 0 expected, under a covariance.
func logNormal(t *testing.T, y []float64, cov *mat.SymDense) float64 {
	t.Helper()
	var ch mat.Cholesky
	if !ch.Factorize(cov) {
		t.Fatal("covariance")
	}
	v := mat.NewVecDense(len(y), y)
	var x mat.VecDense
	if err := ch.SolveVecTo(&x, v); err != nil {
		t.Fatal(err)
	}
	return -0.5 * (ch.LogDet() + mat.Dot(v, &x))
}

// The probabilities agree with those of the whole covariance, Z diag(SD²) Z' plus the
// noise plus the shifts, hypothesis by hypothesis.
func TestWeighAgreesWithWholeCovariance(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 0))
	const n = 7
	l := Linear{Mean: []float64{1, 0.2, 0}, SD: [][]float64{{1, 0.3, 0}, {1, 0.3, 0.1}}, Scatter: []float64{0, 0.1}, Share: 0.05}
	y, noise, aside := make([]float64, n), make([]float64, n), make([]bool, n)
	for i := range n {
		x := float64(i) - 3
		l.Z = append(l.Z, []float64{1, x, x * x})
		noise[i] = 0.05 + 0.05*r.Float64()
		y[i] = 1.3 + 0.1*x + 0.07*r.NormFloat64()
	}
	y[2] += 0.5
	y[6] -= 0.3
	got, _, _, _, ok := l.weigh(y, noise, aside, l.sparse())
	if !ok {
		t.Fatal("refused")
	}
	var total float64
	want := make([]float64, n)
	res := make([]float64, n)
	for i := range y {
		for j, m := range l.Mean {
			res[i] -= l.Z[i][j] * m
		}
		res[i] += y[i]
	}
	for _, sd := range l.SD {
		for _, s := range l.Scatter {
			base := mat.NewSymDense(n, nil)
			for i := range n {
				for k := i; k < n; k++ {
					var c float64
					for j := range sd {
						c += l.Z[i][j] * l.Z[k][j] * sd[j] * sd[j]
					}
					if i == k {
						c += noise[i]*noise[i] + s*s
					}
					base.SetSym(i, k, c)
				}
			}
			odds := l.Share / (1 - l.Share)
			total += math.Exp(logNormal(t, res, base))
			for i := range n {
				for k := -1; k < i; k++ { // k = -1: i alone
					var w float64
					for _, v := range slipSpread {
						cov := mat.NewSymDense(n, nil)
						cov.CopySym(base)
						cov.SetSym(i, i, cov.At(i, i)+v*v)
						o := odds
						if k >= 0 {
							cov.SetSym(k, k, cov.At(k, k)+v*v)
							o *= odds
						}
						w += o * math.Exp(logNormal(t, res, cov)) / float64(len(slipSpread))
					}
					total += w
					want[i] += w
					if k >= 0 {
						want[k] += w
					}
				}
			}
		}
	}
	for i := range want {
		if w := want[i] / total; math.Abs(got[i]-w) > 1e-9 {
			t.Errorf("value %d: probability %v, want %v", i, got[i], w)
		}
	}
}

func TestShifts(t *testing.T) {
	line := func(n int) (Linear, []float64, []float64) {
		l := Linear{Mean: []float64{0, 0}, SD: [][]float64{{2, 1}}, Scatter: []float64{0, 0.05}, Share: 0.02}
		y, noise := make([]float64, n), make([]float64, n)
		for i := range n {
			l.Z = append(l.Z, []float64{1, float64(i)})
			y[i] = 1 + 0.1*float64(i) + 0.01*math.Sin(float64(3*i))
			noise[i] = 0.01
		}
		return l, y, noise
	}
	l, y, noise := line(12)
	s, ok := l.Shifts(y, noise)
	if !ok || math.Abs(s.Coefficients[1]-0.1) > 0.005 || !(s.CoefficientSD[1] < 0.005) {
		t.Fatalf("%v %+v", ok, s)
	}
	for i, p := range s.Probability {
		if p > 0.05 || math.Abs(s.Implied[i]-y[i]) > 0.05 {
			t.Errorf("value %d: %v, implied %v for %v", i, p, s.Implied[i], y[i])
		}
	}
	// Three, two of them at one end, pulling the line.
	was := y[11]
	y[10], y[11], y[3] = y[10]+0.6, y[11]+0.6, y[3]-2
	s, _ = l.Shifts(y, noise)
	for i, p := range s.Probability {
		if bad := i == 10 || i == 11 || i == 3; bad != (p > 0.95) {
			t.Errorf("value %d: %v", i, p)
		}
	}
	if math.Abs(s.Implied[11]-was) > 0.05 {
		t.Errorf("implied %v, was %v", s.Implied[11], was)
	}
	// More than pairs are tried for; nonsense ends.
	l, y, noise = line(200)
	y[77] += 1
	if s, ok = l.Shifts(y, noise); !ok || !(s.Probability[77] > 0.95) {
		t.Errorf("%v %v", ok, s.Probability[77])
	}
	r := rand.New(rand.NewPCG(1, 1))
	for i := range y {
		y[i] = 5 * r.NormFloat64()
	}
	if _, ok = l.Shifts(y, noise); !ok {
		t.Error("nonsense refused")
	}
	for name, spoil := range map[string]func(l *Linear, y, noise []float64) ([]float64, []float64){
		"NaN":         func(l *Linear, y, noise []float64) ([]float64, []float64) { y[1] = math.NaN(); return y, noise },
		"no noise":    func(l *Linear, y, noise []float64) ([]float64, []float64) { noise[1] = 0; return y, noise },
		"empty":       func(l *Linear, y, noise []float64) ([]float64, []float64) { return nil, nil },
		"short noise": func(l *Linear, y, noise []float64) ([]float64, []float64) { return y, noise[1:] },
		"no sets":     func(l *Linear, y, noise []float64) ([]float64, []float64) { l.SD = nil; return y, noise },
		"no scatter":  func(l *Linear, y, noise []float64) ([]float64, []float64) { l.Scatter = nil; return y, noise },
		"ragged":      func(l *Linear, y, noise []float64) ([]float64, []float64) { l.Z[2] = l.Z[2][:1]; return y, noise },
	} {
		l, y, noise := line(6)
		y, noise = spoil(&l, y, noise)
		if _, ok := l.Shifts(y, noise); ok {
			t.Errorf("%s: accepted", name)
		}
	}
}

// A sum of logarithms is that of what they are of, in either order, far apart and without one.
func TestLogAdd(t *testing.T) {
	for _, c := range []struct{ a, b, want float64 }{
		{0, 0, math.Log(2)}, {1, -2, math.Log(math.E + math.Exp(-2))}, {-700, -701, -700 + math.Log1p(math.Exp(-1))}, {2, -39, 2 + math.Exp(-41)},
		{3, -60, 3}, {math.Inf(-1), -5, -5}, {math.Inf(-1), math.Inf(-1), math.Inf(-1)},
	} {
		for _, got := range []float64{logAdd(c.a, c.b), logAdd(c.b, c.a)} {
			if got != c.want && !(math.Abs(got-c.want) <= 1e-15*math.Abs(c.want)) {
				t.Errorf("%v and %v make %v, want %v", c.a, c.b, got, c.want)
			}
		}
	}
}
