package lsq

import (
	"errors"
	"fmt"
	"math"
)

var (
	// ErrInput reports data that no fit can use: not finite, of unequal
	// lengths, or fewer than the parameters.
	ErrInput = errors.New("lsq: unusable input")
	// ErrSingular reports a Jacobian without full rank: the readings do not
	// determine all the parameters.
	ErrSingular = errors.New("lsq: readings do not determine the parameters")
)

// Model fills f with the model's values at the n readings for the parameters p
// and jac, row by row, with the n×len(p) derivatives df_i/dp_j. It returns
// false where p lies outside the model's domain; the fit then takes a shorter
// step. It must not keep the slices.
type Model func(p, f, jac []float64) bool

// Status says how a fit ended.
type Status int

const (
	// Converged: the relative offset, or the relative change of the
	// parameters, fell below its tolerance.
	Converged Status = iota + 1
	// Stalled: no shorter step lowered the residual sum although the tolerance
	// was not reached, or none that the model's domain allows is worth taking.
	Stalled
	// IterationLimit: the iterations ran out.
	IterationLimit
)

// String gives the status in words.
func (s Status) String() string {
	switch s {
	case Converged:
		return "converged"
	case Stalled:
		return "stalled"
	case IterationLimit:
		return "iteration limit"
	}
	return fmt.Sprintf("Status(%d)", int(s))
}

// Settings bound the iteration. The zero value is usable.
type Settings struct {
	MaxIter int     // trial steps; 0 means 200
	Offset  float64 // relative offset; 0 means 1e-9
	Step    float64 // relative change of the scaled parameters; 0 means 1e-13
	Damping float64 // initial damping; 0 means 1e-3
	// NoCovariance leaves Result.Cov as it is, for fits of which only the
	// parameters and the residual sum are wanted.
	NoCovariance bool
}

// Result is a fit. Its slices belong to the workspace or, from [Linear], to
// the caller; the next fit in the same workspace overwrites them.
type Result struct {
	Params []float64
	// Cov is the inverse of J'WJ, row by row, len(Params)² values.
	Cov    []float64
	RSS    float64
	DOF    int
	Iter   int
	Status Status
}

// S2 is the variance of a reading of unit weight,
//
//	s² = RSS/(n-p)
//
// and NaN where no degree of freedom is left.
func (r *Result) S2() float64 {
	if r.DOF <= 0 {
		return math.NaN()
	}
	return r.RSS / float64(r.DOF)
}

// ScaledCov is the covariance of parameters i and j when the weights are only
// relative: s² times Cov.
func (r *Result) ScaledCov(i, j int) float64 {
	return r.S2() * r.Cov[i*len(r.Params)+j]
}

// SD is the standard deviation of parameter j when the weights are only
// relative.
func (r *Result) SD(j int) float64 { return math.Sqrt(r.ScaledCov(j, j)) }

// A Workspace holds the memory of a fit, so that fits of one size after
// another allocate nothing. The zero value is ready. It is not safe for use by
// two goroutines at once.
type Workspace struct {
	n, p           int
	f, ft          []float64
	jac, jact      []float64
	par, trial     []float64
	g, d, step     []float64
	a, chol, cov   []float64
	qr, tau, yq, v []float64
	res            Result
}

func grow(s []float64, n int) []float64 {
	if cap(s) >= n {
		return s[:n]
	}
	return make([]float64, n)
}

func (w *Workspace) resize(n, p int) {
	if w.n == n && w.p == p {
		return
	}
	w.n, w.p = n, p
	for _, s := range []*[]float64{&w.f, &w.ft, &w.yq} {
		*s = grow(*s, n)
	}
	for _, s := range []*[]float64{&w.jac, &w.jact, &w.qr} {
		*s = grow(*s, n*p)
	}
	for _, s := range []*[]float64{&w.par, &w.trial, &w.g, &w.d, &w.step, &w.tau, &w.v} {
		*s = grow(*s, p)
	}
	for _, s := range []*[]float64{&w.a, &w.chol, &w.cov} {
		*s = grow(*s, p*p)
	}
}

func checkData(y, weight []float64, p int) error {
	if p < 1 || len(y) < p {
		return fmt.Errorf("%w: %d readings for %d parameters", ErrInput, len(y), p)
	}
	if weight != nil && len(weight) != len(y) {
		return fmt.Errorf("%w: %d weights for %d readings", ErrInput, len(weight), len(y))
	}
	for i, v := range y {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return fmt.Errorf("%w: reading %d is %v", ErrInput, i, v)
		}
	}
	for i, v := range weight {
		if !(v > 0) || math.IsInf(v, 0) {
			return fmt.Errorf("%w: weight %d is %v, want more than 0", ErrInput, i, v)
		}
	}
	return nil
}

// Fit minimises the weighted residual sum of the model from the given start.
// weight may be nil for equal weights. The start is not changed.
//
// Errors: [ErrInput] for unusable data or a start outside the model's domain,
// [ErrSingular] where the readings do not determine the parameters at the end.
// A fit that stalls or runs out of iterations is returned with its status and
// no error; the caller decides.
func (w *Workspace) Fit(model Model, y, weight, start []float64, set Settings) (*Result, error) {
	p, n := len(start), len(y)
	if err := checkData(y, weight, p); err != nil {
		return nil, err
	}
	if set.MaxIter <= 0 {
		set.MaxIter = 200
	}
	if set.Offset <= 0 {
		set.Offset = 1e-9
	}
	if set.Step <= 0 {
		set.Step = 1e-13
	}
	if set.Damping <= 0 {
		set.Damping = 1e-3
	}
	w.resize(n, p)
	copy(w.par, start)
	if !model(w.par, w.f, w.jac) {
		return nil, fmt.Errorf("%w: the start is outside the model's domain", ErrInput)
	}
	rss := sumSquares(y, weight, w.f)
	if !finite(rss) || !allFinite(w.jac) {
		return nil, fmt.Errorf("%w: the model is not finite at the start", ErrInput)
	}
	for j := range w.d {
		w.d[j] = 0
	}
	var yy float64
	for i, v := range y {
		if weight == nil {
			yy += v * v
		} else {
			yy += weight[i] * v * v
		}
	}
	floor := 1e-30 * yy // a residual sum below this is rounding

	near := set.Offset * set.Offset * float64(p) / float64(max(n-p, 1))
	curved := false // a step was refused, or fell well short of what it predicted

	status := IterationLimit
	mu := set.Damping
	iter := 0
	fresh := true
	for iter < set.MaxIter {
		if rss <= floor {
			status = Converged
			break
		}
		if fresh {
			w.normal(y, weight)
		}
		solved := w.solveDamped(mu)
		pred, length, size := w.measure(mu)
		if fresh && !(solved && pred > near*rss && length > set.Step*set.Step*size) {
			// The undamped step tells how far the minimum still is: its predicted
			// fall g'A⁻¹g against the residual sum, and its length. Both are more
			// than those of the damped step, so it is not needed before.
			if w.solveDamped(0) {
				fall, length, size := w.measure(0)
				if fall <= near*rss || length <= set.Step*set.Step*size {
					status = Converged
					break
				}
			}
			solved = w.solveDamped(mu)
		}
		fresh = false
		iter++
		if !solved {
			mu = math.Max(10*mu, 1e-5)
			if mu > 1e20 {
				status = Stalled
				break
			}
			continue
		}
		if curved && iter > 2 {
			w.bend(model, weight)
		}
		for j := 0; j < p; j++ {
			w.trial[j] = w.par[j] + w.step[j]/w.d[j]
		}
		ok := model(w.trial, w.ft, w.jact)
		rssT := math.Inf(1)
		if ok {
			rssT = sumSquares(y, weight, w.ft)
		}
		// Near the minimum the residual sum can no longer tell steps apart:
		// what it should fall is less than its own rounding. There the step
		// is taken on trust, for it is Newton's and the gradient is still good.
		trust := pred <= 1e-11*rss
		if ok && (rssT <= rss || trust && rssT <= rss*(1+1e-11)) && allFinite(w.jact) && !w.dies(iter) {
			gain := 1.0
			if !trust {
				gain = (rss - rssT) / pred
			}
			w.par, w.trial = w.trial, w.par
			w.f, w.ft = w.ft, w.f
			w.jac, w.jact = w.jact, w.jac
			rss = rssT
			fresh = true
			switch {
			case gain > 0.75:
				mu *= 0.2
			case gain < 0.25:
				curved = true
				// From damping that had all but vanished it would take many
				// steps to matter, and undamped steps can swing to and fro.
				mu = math.Max(4*mu, 1e-3)
			}
			continue
		}
		curved = true
		mu = math.Max(4*mu, 1e-5)
		if mu > 1e20 || !ok && pred <= near*rss { // or at the edge of the domain
			status = Stalled
			break
		}
	}
	if !set.NoCovariance {
		copy(w.qr, w.jac)
		if !w.covariance(weight) {
			return nil, fmt.Errorf("%w (after %d steps)", ErrSingular, iter)
		}
	}
	w.res = Result{Params: w.par, Cov: w.cov, RSS: rss, DOF: n - p, Iter: iter, Status: status}
	return &w.res, nil
}

func sumSquares(y, weight, f []float64) float64 {
	var s float64
	if weight == nil {
		for i, v := range y {
			r := v - f[i]
			s += r * r
		}
		return s
	}
	for i, v := range y {
		r := v - f[i]
		s += weight[i] * r * r
	}
	return s
}

func finite(x float64) bool { return !math.IsNaN(x) && !math.IsInf(x, 0) }

func allFinite(s []float64) bool {
	var z float64
	for _, v := range s {
		z += v * 0
	}
	return z == 0
}

// normal forms the scaled normal matrix a = D⁻¹J'WJD⁻¹ and gradient
// g = D⁻¹J'Wr, where D holds the largest column norms met so far.
func (w *Workspace) normal(y, weight []float64) {
	n, p := w.n, w.p
	a, g := w.a, w.g
	for k := range a {
		a[k] = 0
	}
	for k := range g {
		g[k] = 0
	}
	// Two readings at a time, so that a sum is loaded and stored once for both.
	i := 0
	for ; i+1 < n; i += 2 {
		rows := w.jac[i*p:][:2*p]
		one, two := rows[:p], rows[p:][:p]
		w1, w2 := 1.0, 1.0
		if weight != nil {
			w1, w2 = weight[i], weight[i+1]
		}
		r1, r2 := w1*(y[i]-w.f[i]), w2*(y[i+1]-w.f[i+1])
		for j, v1 := range one {
			v2 := two[j]
			g[j] += v1*r1 + v2*r2
			v1 *= w1
			v2 *= w2
			aj := a[j*p:][:j+1]
			b, c := one[:len(aj)], two[:len(aj)]
			for k, u := range aj {
				aj[k] = u + (v1*b[k] + v2*c[k])
			}
		}
	}
	if i < n {
		row := w.jac[i*p:][:p]
		wt := 1.0
		if weight != nil {
			wt = weight[i]
		}
		r := wt * (y[i] - w.f[i])
		for j, v := range row {
			g[j] += v * r
			v *= wt
			aj := a[j*p:][:j+1]
			for k := range aj {
				aj[k] += v * row[k]
			}
		}
	}
	for j := 0; j < p; j++ {
		w.d[j] = math.Max(w.d[j], math.Sqrt(a[j*p+j]))
		if w.d[j] == 0 {
			w.d[j] = 1
		}
	}
	for j := 0; j < p; j++ {
		g[j] /= w.d[j]
		for k := 0; k <= j; k++ {
			a[j*p+k] /= w.d[j] * w.d[k]
		}
	}
}

// dies reports whether the step, one of the first, leads to where a parameter has all
// but lost its influence: a plateau from which there is no way back, however much
// lower the residual sum is there.
func (w *Workspace) dies(iter int) bool {
	const first, least = 10, 1e-4
	if iter > first {
		return false
	}
	p := w.p
	for j := range p {
		var was, is float64
		for i := j; i < len(w.jac); i += p {
			was += w.jac[i] * w.jac[i]
			is += w.jact[i] * w.jact[i]
		}
		if is < least*least*was {
			return true
		}
	}
	return false
}

// bend adds to the step what the curvature of the model along it asks for:
//
//	-½ (a + mu I)⁻¹ D⁻¹J'W f″,   f″ the second derivative of the model along the step
//
// which follows a bent valley where the straight step would climb its side. A
// correction of more than a part of the step is not to be trusted, and left.
//
// Source: M. K. Transtrum, B. B. Machta and J. P. Sethna, Phys. Rev. E 83 (2011)
// 036701 (geodesic acceleration).
func (w *Workspace) bend(model Model, weight []float64) {
	const h, most = 0.1, 0.75
	n, p := w.n, w.p
	for j, s := range w.step {
		w.v[j] = s / w.d[j]
		w.trial[j] = w.par[j] + h*w.v[j]
	}
	if !model(w.trial, w.ft, w.jact) {
		return
	}
	b := w.tau
	clear(b)
	for i := range n {
		row := w.jac[i*p : i*p+p]
		var along float64
		for j, v := range row {
			along += v * w.v[j]
		}
		r := -(1 / h) * ((w.ft[i]-w.f[i])/h - along)
		if weight != nil {
			r *= weight[i]
		}
		for j, v := range row {
			b[j] += v * r
		}
	}
	var second, first float64
	for j := range b {
		b[j] /= w.d[j]
		first += w.step[j] * w.step[j]
	}
	w.backSolve(b, b)
	for _, v := range b {
		second += v * v
	}
	if 4*second <= most*most*first {
		for j, v := range b {
			w.step[j] += v
		}
	}
}

// measure gives the fall of the residual sum that the present step predicts,
//
//	step'(g + mu step)
//
// and the squared lengths of the step and of the parameters, scaled by D.
func (w *Workspace) measure(mu float64) (fall, length, size float64) {
	for j, s := range w.step {
		fall += s * (w.g[j] + mu*s)
		length += s * s
		x := w.par[j] * w.d[j]
		size += x * x
	}
	return fall, length, size
}

// solveDamped solves (a + mu I) step = g by Cholesky.
func (w *Workspace) solveDamped(mu float64) bool {
	p := w.p
	l := w.chol
	for j := 0; j < p; j++ {
		for k := 0; k <= j; k++ {
			s := w.a[j*p+k]
			if j == k {
				s += mu
			}
			for m := 0; m < k; m++ {
				s -= l[j*p+m] * l[k*p+m]
			}
			if j == k {
				if !(s > 1e-15) {
					return false
				}
				l[j*p+j] = math.Sqrt(s)
			} else {
				l[j*p+k] = s / l[k*p+k]
			}
		}
	}
	w.backSolve(w.step, w.g)
	return true
}

// backSolve solves L L' x = b with the factor of the last solveDamped; x may be b.
func (w *Workspace) backSolve(x, b []float64) {
	p, l := w.p, w.chol
	for j := 0; j < p; j++ {
		s := b[j]
		for m := 0; m < j; m++ {
			s -= l[j*p+m] * x[m]
		}
		x[j] = s / l[j*p+j]
	}
	for j := p - 1; j >= 0; j-- {
		s := x[j]
		for m := j + 1; m < p; m++ {
			s -= l[m*p+j] * x[m]
		}
		x[j] = s / l[j*p+j]
	}
}
