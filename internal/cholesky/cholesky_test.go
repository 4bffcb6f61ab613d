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

// What is left of a diagonal element, over the element itself, tells: 451 units in the last place of 1 are more than
// 1e-13 of it, and 450 are less, in any units of the rows.
func TestThirteenDigits(t *testing.T) {
	const unit = 0x1p-52
	for _, scales := range [][3]float64{{1, 1, 1}, {1, 1024, 1}, {1024, 1, 1}, {1, 1, 1024}, {0x1p-30, 0x1p20, 0x1p-10}, {1, 1, 0x1p40}} {
		for units, want := range map[float64]bool{449: false, 450: false, 451: true, 452: true, -451: false, 0: false} {
			for last := 1; last < 3; last++ { // the row that nearly repeats the first
				m := New(3)
				for i := range 3 {
					for j := range 3 {
						v := 0.0
						switch {
						case i == j && i == last:
							v = 1 + units*unit
						case i == j || i+j == last:
							v = 1
						}
						m.Add(i, j, v*scales[i]*scales[j])
					}
				}
				if _, ok := m.Factor(New(3)); ok != want {
					t.Errorf("scales %v, row %d, %v units: %v", scales, last, units, ok)
				}
			}
		}
	}
}

func TestRefuses(t *testing.T) {
	for _, a := range [][]float64{{1, 2, 2, 1}, {0, 0, 0, 0}, {math.NaN(), 0, 0, 1}, {math.Inf(1), 0, 0, 1}, {1, math.NaN(), math.NaN(), 1}} {
		if _, ok := (Matrix{2, a}).Factor(New(2)); ok {
			t.Errorf("%v was factored", a)
		}
	}
}
