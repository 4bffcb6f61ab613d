package filmfit

import "math"

// factor replaces the lower triangle of a symmetric n x n matrix by its Cholesky
// factor. It reports false, with the work half done, if the matrix is not positive
// definite.
func factor(a []float64, n int) bool {
	for j := range n {
		row := a[j*n : j*n+n]
		d := row[j]
		for _, v := range row[:j] {
			d -= v * v
		}
		if !(d > 0) || math.IsInf(d, 0) {
			return false
		}
		d = math.Sqrt(d)
		row[j] = d
		inv := 1 / d
		for i := j + 1; i < n; i++ {
			other := a[i*n : i*n+n]
			s := other[j]
			for k, v := range row[:j] {
				s -= v * other[k]
			}
			other[j] = s * inv
		}
	}
	return true
}

// solve replaces v by the solution of L L' u = v.
func solve(l, v []float64, n int) {
	for i := range n {
		s := v[i]
		row := l[i*n : i*n+n]
		for k := range i {
			s -= row[k] * v[k]
		}
		v[i] = s / row[i]
	}
	for i := n - 1; i >= 0; i-- {
		s := v[i]
		for k := i + 1; k < n; k++ {
			s -= l[k*n+i] * v[k]
		}
		v[i] = s / l[i*n+i]
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
