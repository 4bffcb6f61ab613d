package lsq

import (
	"fmt"
	"math"
)

// Linear fits y = X b by weighted least squares. x holds the n×p design matrix
// row by row; weight may be nil. The columns are scaled to unit length before
// the reflections, so columns of very different size (1, x, x²) do no harm.
//
// Errors: [ErrInput], [ErrSingular].
func Linear(x []float64, p int, y, weight []float64) (*Result, error) {
	if err := checkData(y, weight, p); err != nil {
		return nil, err
	}
	n := len(y)
	if len(x) != n*p {
		return nil, fmt.Errorf("%w: design has %d values, want %d×%d", ErrInput, len(x), n, p)
	}
	if !allFinite(x) {
		return nil, fmt.Errorf("%w: design is not finite", ErrInput)
	}
	var w Workspace
	w.resize(n, p)
	copy(w.qr, x)
	copy(w.yq, y)
	for i, v := range weight {
		w.yq[i] *= math.Sqrt(v)
	}
	if !w.covariance(weight) {
		return nil, ErrSingular
	}
	// Apply the reflections to y, then back-substitute.
	for j := 0; j < p; j++ {
		s := 0.0
		for i := j; i < n; i++ {
			s += w.reflector(i, j) * w.yq[i]
		}
		s *= w.tau[j]
		for i := j; i < n; i++ {
			w.yq[i] -= s * w.reflector(i, j)
		}
	}
	b := make([]float64, p)
	for j := p - 1; j >= 0; j-- {
		s := w.yq[j]
		for k := j + 1; k < p; k++ {
			s -= w.qr[j*p+k] * b[k]
		}
		b[j] = s / w.v[j]
	}
	for j := range b {
		b[j] /= w.d[j]
	}
	var rss float64
	for i := 0; i < n; i++ {
		r := y[i]
		for j := 0; j < p; j++ {
			r -= x[i*p+j] * b[j]
		}
		if weight != nil {
			r *= math.Sqrt(weight[i])
		}
		rss += r * r
	}
	return &Result{Params: b, Cov: w.cov, RSS: rss, DOF: n - p, Iter: 1, Status: Converged}, nil
}

// reflector is element i of Householder vector j; its head is kept on the
// diagonal of qr, the diagonal of R in v.
func (w *Workspace) reflector(i, j int) float64 { return w.qr[i*w.p+j] }

// covariance factors the weighted matrix in qr, column-scaled, and leaves the
// inverse of X'WX in cov, the diagonal of R in v and the scales in d. It
// reports false when the rank is not full.
func (w *Workspace) covariance(weight []float64) bool {
	n, p := w.n, w.p
	a := w.qr
	for i, wt := range weight {
		s := math.Sqrt(wt)
		for j := 0; j < p; j++ {
			a[i*p+j] *= s
		}
	}
	for j := 0; j < p; j++ {
		var s float64
		for i := 0; i < n; i++ {
			s += a[i*p+j] * a[i*p+j]
		}
		if s = math.Sqrt(s); !(s > 1e-140 && s < 1e140) { // squares out of range
			s = 0
			for i := 0; i < n; i++ {
				s = math.Hypot(s, a[i*p+j])
			}
		}
		if !(s > 0) || math.IsInf(s, 0) {
			return false
		}
		w.d[j] = s
		for i := 0; i < n; i++ {
			a[i*p+j] /= s
		}
	}
	for j := 0; j < p; j++ {
		var norm float64
		for i := j; i < n; i++ {
			norm += a[i*p+j] * a[i*p+j]
		}
		norm = math.Sqrt(norm)
		if !(norm > 1e-13*float64(p)) {
			return false
		}
		if a[j*p+j] > 0 {
			norm = -norm
		}
		a[j*p+j] -= norm // head of the reflector
		w.v[j] = norm    // diagonal of R
		w.tau[j] = -1 / (norm * a[j*p+j])
		for k := j + 1; k < p; k++ {
			var s float64
			for i := j; i < n; i++ {
				s += a[i*p+j] * a[i*p+k]
			}
			s *= w.tau[j]
			for i := j; i < n; i++ {
				a[i*p+k] -= s * a[i*p+j]
			}
		}
	}
	// Inverse of R into chol (upper triangle), then R⁻¹R⁻ᵀ.
	inv := w.chol
	for j := 0; j < p; j++ {
		inv[j*p+j] = 1 / w.v[j]
		for i := j - 1; i >= 0; i-- {
			var s float64
			for k := i + 1; k <= j; k++ {
				s += a[i*p+k] * inv[k*p+j]
			}
			inv[i*p+j] = -s / w.v[i]
		}
	}
	for i := 0; i < p; i++ {
		for j := i; j < p; j++ {
			var s float64
			for k := j; k < p; k++ {
				s += inv[i*p+k] * inv[j*p+k]
			}
			s /= w.d[i] * w.d[j]
			w.cov[i*p+j], w.cov[j*p+i] = s, s
		}
	}
	return true
}
