package filmfit

import "math"

// factor replaces the lower triangle of a symmetric n x n matrix by its Cholesky
// factor. It reports false, with the work half done, if the matrix is not positive
// definite.
func factor(a []float64, n int) bool {
	var memory [64]float64
	if n > len(memory) {
		return false
	}
	for j := range n {
		d := a[j*n+j]
		if !(d > 0) || math.IsInf(d, 0) {
			return false
		}
		d = math.Sqrt(d)
		a[j*n+j] = d
		inv := 1 / d
		// What column j takes from the rows below, along these: the terms of a sum wait
		// for each other, those of a row do not.
		column := memory[j+1 : n]
		for i := range column {
			column[i] = a[(j+1+i)*n+j] * inv
		}
		for i, v := range column {
			row := a[(j+1+i)*n+j:]
			row[0] = v
			row = row[1 : i+2]
			for k, u := range column[:len(row)] {
				row[k] -= v * u
			}
		}
	}
	return true
}

// solve replaces v by the solution of L L' u = v.
func solve(l, v []float64, n int) {
	for i := range n {
		s := v[i]
		for k, a := range l[i*n : i*n+i] {
			s -= a * v[k]
		}
		v[i] = s / l[i*n+i]
	}
	for i := n - 1; i >= 0; i-- { // along the rows, which lie together
		row := l[i*n : i*n+i+1]
		u := v[i] / row[i]
		v[i] = u
		for k, a := range row[:i] {
			v[k] -= a * u
		}
	}
}

// inverse sets u to the inverse of the lower factor l; L^-T L^-1 is then the
// covariance, and a row of u a direction of one standard deviation.
func inverse(u, l []float64, n int) {
	for j := range n {
		for i := range j {
			u[i*n+j] = 0
		}
		u[j*n+j] = 1 / l[j*n+j]
		for i := j + 1; i < n; i++ {
			s := 0.0
			row := l[i*n : i*n+n]
			for k := j; k < i; k++ {
				s -= row[k] * u[k*n+j]
			}
			u[i*n+j] = s / row[i]
		}
	}
}
