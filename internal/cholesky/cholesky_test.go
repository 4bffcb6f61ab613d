package cholesky

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/mat"
)

// Factor, Solve, Inverse and Quadratic agree with gonum.
func TestAgainstGonum(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	for n := 1; n <= 9; n++ {
		x := mat.NewDense(n+3, n, nil)
		for i := range n + 3 {
			for j := range n {
				x.Set(i, j, r.NormFloat64())
			}
		}
		var s mat.SymDense
		s.SymOuterK(1, x.T())
		m, l := New(n), New(n)
		g := make([]float64, n)
		for i := range n {
			g[i] = r.NormFloat64()
			for j := range n {
				m.Add(i, j, s.At(i, j))
			}
		}
		logDet, ok := m.Factor(l)
		var c mat.Cholesky
		if !ok || !c.Factorize(&s) {
			t.Fatalf("%d: not positive", n)
		}
		near := func(what string, got, want float64) {
			if !(math.Abs(got-want) <= 1e-9*(1+math.Abs(want))) {
				t.Errorf("%d: %s is %v, want %v", n, what, got, want)
			}
		}
		near("log determinant", logDet, c.LogDet())
		var x2 mat.VecDense
		if err := c.SolveVecTo(&x2, mat.NewVecDense(n, g)); err != nil {
			t.Fatal(err)
		}
		b := append([]float64(nil), g...)
		l.Solve(b)
		inv := l.Inverse()
		for i := range n {
			near("solution", b[i], x2.AtVec(i))
		}
		near("g' M^-1 g", inv.Quadratic(g), mat.Dot(mat.NewVecDense(n, g), &x2))
	}
}

func TestRefuses(t *testing.T) {
	for _, a := range [][]float64{{1, 2, 2, 1}, {0, 0, 0, 0}, {math.NaN(), 0, 0, 1}, {math.Inf(1), 0, 0, 1}, {1, math.NaN(), math.NaN(), 1}} {
		if _, ok := (Matrix{2, a}).Factor(New(2)); ok {
			t.Errorf("%v was factored", a)
		}
	}
}
