package lsq

import (
	"math"
	"math/rand/v2"
	"testing"

	"example.org/actinic/internal/held"
)

func line(x []float64) Model {
	return func(p, f, jac []float64) bool {
		for i, v := range x {
			f[i] = p[0] + p[1]*v
			jac[2*i], jac[2*i+1] = 1, v
		}
		return true
	}
}

// The two solvers must agree where the model is linear, weights included, and
// a weight of 2 must count as two readings.
func TestSolversAgree(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	for range 50 {
		n := 3 + rng.IntN(20)
		x, y, wt := make([]float64, n), make([]float64, n), make([]float64, n)
		design := make([]float64, 0, 2*n)
		var xx, yy []float64
		for i := range x {
			x[i], y[i] = rng.NormFloat64()*3, rng.NormFloat64()
			wt[i] = float64(1 + rng.IntN(3))
			design = append(design, 1, x[i])
			for range int(wt[i]) {
				xx, yy = append(xx, x[i]), append(yy, y[i])
			}
		}
		a, err := Linear(design, 2, y, wt)
		if err != nil {
			t.Fatal(err)
		}
		var w Workspace
		b, err := w.Fit(line(x), y, wt, []float64{10, -10}, Settings{})
		if err != nil {
			t.Fatal(err)
		}
		var w2 Workspace
		c, err := w2.Fit(line(xx), yy, nil, []float64{0, 0}, Settings{})
		if err != nil {
			t.Fatal(err)
		}
		for j := range 2 {
			for _, o := range []*Result{b, c} {
				if math.Abs(a.Params[j]-o.Params[j]) > 1e-9 {
					t.Fatalf("parameter %d: %v and %v", j, a.Params[j], o.Params[j])
				}
				if math.Abs(a.Cov[3*j]-o.Cov[3*j]) > 1e-9*a.Cov[3*j] {
					t.Fatalf("covariance %d: %v and %v", j, a.Cov[3*j], o.Cov[3*j])
				}
			}
		}
	}
}

// The covariance of a weighted line against its textbook form,
//
//	cov(a, b) = -xm/Sxx,  var(b) = 1/Sxx,  var(a) = 1/W + xm²/Sxx
func TestCovarianceOfLine(t *testing.T) {
	x, y, wt := []float64{1, 2, 4, 7, 11}, []float64{2, 3, 3, 5, 8}, []float64{1, 2, .5, 1, 3}
	var design []float64
	var w, m, sxx float64
	for i, v := range x {
		design = append(design, 1, v)
		w += wt[i]
		m += wt[i] * v
	}
	m /= w
	for i, v := range x {
		sxx += wt[i] * (v - m) * (v - m)
	}
	want := []float64{1/w + m*m/sxx, -m / sxx, -m / sxx, 1 / sxx}
	lin, err := Linear(design, 2, y, wt)
	if err != nil {
		t.Fatal(err)
	}
	var ws Workspace
	non, err := ws.Fit(line(x), y, wt, []float64{0, 0}, Settings{})
	if err != nil {
		t.Fatal(err)
	}
	for i := range want {
		for name, got := range map[string]float64{"linear": lin.Cov[i], "iterated": non.Cov[i]} {
			if math.Abs(got-want[i]) > 1e-13 {
				t.Errorf("%s: element %d is %v, want %v", name, i, got, want[i])
			}
		}
	}
}

func TestExactFit(t *testing.T) {
	x := []float64{1, 2, 4, 8}
	y := make([]float64, 4)
	for i, v := range x {
		y[i] = 1.2 * -math.Expm1(-0.17*v)
	}
	model := func(p, f, jac []float64) bool {
		if !(p[1] > 0) {
			return false
		}
		for i, v := range x {
			e := -math.Expm1(-p[1] * v)
			f[i], jac[2*i], jac[2*i+1] = p[0]*e, e, p[0]*v*(1-e)
		}
		return true
	}
	var w Workspace
	r, err := w.Fit(model, y, nil, []float64{0.3, 2}, Settings{})
	if err != nil || r.Status != Converged {
		t.Fatal(err, r)
	}
	if math.Abs(r.Params[0]-1.2) > 1e-12 || math.Abs(r.Params[1]-0.17) > 1e-12 {
		t.Fatalf("got %v, want 1.2, 0.17", r.Params)
	}
}

func TestBadInput(t *testing.T) {
	said := held.New(t)
	x := []float64{1, 2, 3}
	good := []float64{1, 2, 3}
	var w Workspace
	for _, c := range []struct {
		name     string
		y, wt, p []float64
	}{
		{"no readings", nil, nil, []float64{1, 1}},
		{"fewer readings than parameters", good[:1], nil, []float64{1, 1}},
		{"NaN reading", []float64{1, math.NaN(), 3}, nil, []float64{1, 1}},
		{"infinite reading", []float64{1, math.Inf(1), 3}, nil, []float64{1, 1}},
		{"zero weight", good, []float64{1, 0, 1}, []float64{1, 1}},
		{"NaN weight", good, []float64{1, math.NaN(), 1}, []float64{1, 1}},
		{"short weights", good, []float64{1}, []float64{1, 1}},
		{"NaN start", good, nil, []float64{math.NaN(), 1}},
		{"no parameters", good, nil, nil},
	} {
		if _, err := w.Fit(line(x), c.y, c.wt, c.p, Settings{}); !said.Is("", err, ErrInput) {
			t.Errorf("%s: error %v, want ErrInput", c.name, err)
		}
	}
	same := []float64{2, 2, 2} // slope and intercept cannot be told apart
	if _, err := w.Fit(line(same), good, nil, []float64{0, 0}, Settings{}); !said.Is("", err, ErrSingular) {
		t.Errorf("equal x: error %v, want ErrSingular", err)
	}
	if _, err := Linear([]float64{1, 2, 1, 2, 1, 2}, 2, good, nil); !said.Is("", err, ErrSingular) {
		t.Errorf("Linear with equal x: error %v, want ErrSingular", err)
	}
	if _, err := Linear([]float64{1, 2}, 2, good, nil); !said.Is("", err, ErrInput) {
		t.Errorf("Linear with short design: error %v, want ErrInput", err)
	}
}

// toe is a six-parameter curve of the kind fitted to 21 steps of a tablet:
// a softplus toe and a saturating shoulder.
func toe(x []float64) Model {
	return func(p, f, jac []float64) bool {
		if !(p[2] > 0) || !(p[4] > 0) {
			return false
		}
		for i, h := range x {
			// f = p0 + p1*(sp((h-p3)/p2)*p2 - sp((h-p5)/p4)*p4)
			ea, eb := math.Exp(-(h-p[3])/p[2]), math.Exp(-(h-p[5])/p[4])
			a, b := 1/(1+ea), 1/(1+eb)
			sa, sb := (h-p[3])/p[2]+math.Log1p(ea), (h-p[5])/p[4]+math.Log1p(eb)
			d := jac[6*i : 6*i+6]
			f[i] = p[0] + p[1]*(p[2]*sa-p[4]*sb)
			d[0] = 1
			d[1] = p[2]*sa - p[4]*sb
			d[2] = p[1] * (sa - a*(h-p[3])/p[2])
			d[3] = -p[1] * a
			d[4] = -p[1] * (sb - b*(h-p[5])/p[4])
			d[5] = p[1] * b
		}
		return true
	}
}

func toeData() (x, y []float64) {
	x, y = make([]float64, 21), make([]float64, 21)
	jac := make([]float64, 126)
	for i := range x {
		x[i] = -3.2 + 0.15*float64(i)
	}
	toe(x)([]float64{0.25, 0.62, 0.15, -2.4, 0.2, -0.6}, y, jac)
	rng := rand.New(rand.NewPCG(7, 7))
	for i := range y {
		y[i] += 0.01 * rng.NormFloat64()
	}
	return x, y
}

func TestNoAllocation(t *testing.T) {
	x, y := toeData()
	m := toe(x)
	var w Workspace
	start := []float64{0.3, 0.5, 0.2, -2.6, 0.3, -0.3}
	fit := func() {
		if r, err := w.Fit(m, y, nil, start, Settings{}); err != nil || r.Status != Converged {
			t.Fatal(err, r)
		}
	}
	fit()
	if a := testing.AllocsPerRun(20, fit); a != 0 {
		t.Errorf("%v allocations a fit, want 0", a)
	}
}

func BenchmarkFitSixParameters21Points(b *testing.B) {
	x, y := toeData()
	m := toe(x)
	var w Workspace
	start := []float64{0.3, 0.5, 0.2, -2.6, 0.3, -0.3}
	b.ReportAllocs()
	iter := 0
	for b.Loop() {
		r, err := w.Fit(m, y, nil, start, Settings{})
		if err != nil {
			b.Fatal(err)
		}
		iter = r.Iter
	}
	b.ReportMetric(float64(iter), "steps")
}

// A valley that bends: H. H. Rosenbrock's (Comput. J. 3 (1960) 175), narrower than his,
// from his start and four others. The straight step climbs its side.
func TestFollowsABentValley(t *testing.T) {
	steps := 0
	for _, start := range [][]float64{{-1.2, 1}, {-2, 0}, {3, 0}, {-3, 9}, {0, 5}} {
		var w Workspace
		r, err := w.Fit(func(p, f, jac []float64) bool {
			f[0], f[1] = 1000*(p[1]-p[0]*p[0]), 1-p[0]
			jac[0], jac[1], jac[2], jac[3] = -2000*p[0], 1000, -1, 0
			return true
		}, []float64{0, 0}, nil, start, Settings{})
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(r.Params[0]-1) > 1e-6 || math.Abs(r.Params[1]-1) > 1e-6 {
			t.Errorf("from %v: %v after %d steps at %v", start, r.Status, r.Iter, r.Params)
		}
		steps += r.Iter
	}
	t.Logf("%d steps", steps)
}

// Where the least lies beyond the edge of the domain, the fit says so at the edge
// instead of creeping up to it.
func TestStopsAtTheEdge(t *testing.T) {
	x := []float64{0, 1, 2, 3, 4, 5}
	y := []float64{1.2, 0.1, 2.9, 2.1, 5.1, 4.6} // scatter such as readings have
	evaluations := 0
	model := func(p, f, jac []float64) bool {
		evaluations++
		if !(p[1] < 0.7) { // the slope is 0.9
			return false
		}
		return line(x)(p, f, jac)
	}
	var w Workspace
	r, err := w.Fit(model, y, nil, []float64{0, 0.2}, Settings{Offset: 5e-2, MaxIter: 500})
	if err != nil {
		t.Fatal(err)
	}
	t.Logf("%d evaluations, %v at %v", evaluations, r.Status, r.Params)
	if r.Status != Stalled || math.Abs(r.Params[1]-0.7) > 0.01 {
		t.Errorf("%v at %v", r.Status, r.Params)
	}
	if evaluations > 60 {
		t.Errorf("%d evaluations", evaluations)
	}
}

// Columns whose squares are out of the range of numbers.
func TestColumnsOfAnySize(t *testing.T) {
	for _, size := range []float64{1e-170, 1e-150, 1e150, 1e170} {
		design := []float64{1, 0, 1, size, 1, 2 * size, 1, 3 * size}
		r, err := Linear(design, 2, []float64{1, 3, 5, 7}, nil)
		if err != nil {
			t.Errorf("%g: %v", size, err)
			continue
		}
		if math.Abs(r.Params[0]-1) > 1e-12 || math.Abs(r.Params[1]*size-2) > 1e-12 {
			t.Errorf("%g: %v", size, r.Params)
		}
	}
}
