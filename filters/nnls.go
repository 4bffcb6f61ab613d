package filters

import (
	"errors"
	"math"

	"gonum.org/v1/gonum/mat"
)

var errNNLS = errors.New("filters: non-negative least squares did not settle")

// nnls returns the x >= 0 that makes |a x - b| least, by the active-set method of
// C. L. Lawson and R. J. Hanson, Solving Least Squares Problems, 1974, chapter 23.
// a must have full column rank.
func nnls(a *mat.Dense, b []float64) ([]float64, error) {
	m, n := a.Dims()
	x := make([]float64, n)
	free := make([]bool, n)
	rhs := mat.NewVecDense(m, b)
	scale := mat.Norm(a, 2) * mat.Norm(rhs, 2)
	residual, w := mat.NewVecDense(m, nil), mat.NewVecDense(n, nil)

	solve := func() ([]float64, error) {
		var cols []int
		for j, f := range free {
			if f {
				cols = append(cols, j)
			}
		}
		sub := mat.NewDense(m, len(cols), nil)
		for k, j := range cols {
			for i := range m {
				sub.Set(i, k, a.At(i, j))
			}
		}
		var s mat.VecDense
		if err := s.SolveVec(sub, rhs); err != nil {
			return nil, err
		}
		z := make([]float64, n)
		for k, j := range cols {
			z[j] = s.AtVec(k)
		}
		return z, nil
	}
	if err := startPositive(free, x, solve); err != nil {
		return nil, err
	}
	for range 10 * n {
		residual.MulVec(a, mat.NewVecDense(n, x))
		residual.SubVec(rhs, residual)
		w.MulVec(a.T(), residual)
		best := -1
		for j := range n {
			if !free[j] && w.AtVec(j) > 1e-12*scale && (best < 0 || w.AtVec(j) > w.AtVec(best)) {
				best = j
			}
		}
		if best < 0 {
			return x, nil
		}
		free[best] = true
		for {
			z, err := solve()
			if err != nil {
				return nil, err
			}
			step := 1.0
			for j := range n {
				if free[j] && !(z[j] > 0) {
					step = min(step, x[j]/(x[j]-z[j]))
				}
			}
			if math.IsNaN(step) {
				step = 0
			}
			done := true
			for j := range n {
				if !free[j] {
					continue
				}
				neg := !(z[j] > 0)
				x[j] += step * (z[j] - x[j])
				if neg && !(x[j] > 1e-14*math.Abs(z[j])) {
					x[j], free[j], done = 0, false, false
				}
			}
			if done {
				break
			}
		}
	}
	return nil, errNNLS
}

// startPositive begins with all columns free and lets go of those that come out
// negative, so that a solution without zeros takes one step. It leaves x and free at
// the least squares of the columns that remain, all above zero.
func startPositive(free []bool, x []float64, solve func() ([]float64, error)) error {
	for j := range free {
		free[j] = true
	}
	for left := len(free); left > 0; {
		z, err := solve()
		if err != nil {
			return err
		}
		gone := 0
		for j := range free {
			if free[j] && !(z[j] > 0) {
				free[j] = false
				gone++
			}
		}
		if gone == 0 {
			copy(x, z)
			return nil
		}
		left -= gone
	}
	return nil
}
