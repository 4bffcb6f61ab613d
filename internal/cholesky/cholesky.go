// Package cholesky solves small symmetric positive systems: covariances and normal
// matrices of a few constants, by plain loops that need no memory of their own.
package cholesky

import "math"

// Matrix is a square matrix by rows.
type Matrix struct {
	N int
	A []float64
}

// New returns a matrix of zeros.
func New(n int) Matrix { return Matrix{n, make([]float64, n*n)} }

// At returns element i, j.
func (m Matrix) At(i, j int) float64 { return m.A[i*m.N+j] }

// Add adds v to element i, j.
func (m Matrix) Add(i, j int, v float64) { m.A[i*m.N+j] += v }

// Factor puts the lower Cholesky factor of m into l, which must be as large, and
// returns the logarithm of m's determinant. Only the lower triangle of m is read. ok is
// false where m is not positive definite to 13 digits, or not finite.
func (m Matrix) Factor(l Matrix) (logDet float64, ok bool) {
	n := m.N
	for i := range n {
		row := l.A[i*n : i*n+i+1]
		for j := range row {
			v := m.A[i*n+j]
			other := l.A[j*n : j*n+j+1]
			for k, u := range row[:j] {
				v -= u * other[k]
			}
			if i != j {
				row[j] = v / other[j]
				continue
			}
			if !(v > 1e-13*m.A[i*n+i]) { // nor is infinity above infinity
				return 0, false
			}
			row[i] = math.Sqrt(v)
			logDet += math.Log(v)
		}
	}
	return logDet, true
}

// Solve solves L L' x = b in place, with l from [Matrix.Factor].
func (l Matrix) Solve(b []float64) {
	n := l.N
	for i := range n {
		v := b[i]
		for k, u := range l.A[i*n : i*n+i] {
			v -= u * b[k]
		}
		b[i] = v / l.A[i*n+i]
	}
	for i := n - 1; i >= 0; i-- { // along the rows, which lie together
		v := b[i] / l.A[i*n+i]
		b[i] = v
		for k, u := range l.A[i*n : i*n+i] {
			b[k] -= u * v
		}
	}
}

// Inverse returns the inverse of L L', with l from [Matrix.Factor].
func (l Matrix) Inverse() Matrix {
	out := New(l.N)
	col := make([]float64, l.N)
	for j := range l.N {
		clear(col)
		col[j] = 1
		l.Solve(col)
		for i := range l.N {
			out.A[i*l.N+j] = col[i]
		}
	}
	return out
}

// Quadratic returns g' M g.
func (m Matrix) Quadratic(g []float64) float64 {
	s := 0.0
	for i, a := range g {
		for j, b := range g {
			s += a * b * m.A[i*m.N+j]
		}
	}
	return s
}
