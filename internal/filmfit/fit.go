package filmfit

import "math"

// The iteration is Levenberg and Marquardt's, to the least of
//
//	c = sum of (y - D)²/variance + sum of ((constant - prior mean)/prior SD)²
//
// Source: J. J. Moré, Lecture Notes in Mathematics 630 (1978) 105-116 (from memory).
const (
	firstDamping = 0.01
	gainFactor   = 0.15
	lossFactor   = 6
	longestStep  = 2 // in any constant but base plus fog
	settled      = 0.005
	mostSteps    = 60
)

// prior is independent normal, constant by constant.
type prior struct{ mean, sd []float64 }

// heldSD makes a stated base plus fog one of the constants all the same.
const heldSD = 1e-6

// priors sets the weak expectations of a film of this strip: a shoulder at twice the
// greatest density within a factor e, of sharpness 2.5 within a factor 2, a toe 0.2
// wide within a factor 2, and what the readings say roughly within a factor e.
func (w *worker) priors(d *Data) {
	n := w.constants() + 1
	w.prior.mean, w.prior.sd = grown(w.prior.mean, n), grown(w.prior.sd, n)
	mean, sd := w.prior.mean, w.prior.sd
	b0 := d.Y[0]
	for _, y := range d.Y {
		b0 = min(b0, y)
	}
	if len(d.Base) > 0 {
		b0 = 0
		for _, b := range d.Base {
			b0 += b / float64(len(d.Base))
		}
	}
	top := 0.0
	for _, y := range d.Y {
		top = max(top, y-b0)
	}
	k := max(len(d.Y)/5, 1)
	g, foot := 0.1, d.X[0]
	for i := 0; i+k < len(d.Y); i++ {
		if dx := d.X[i+k] - d.X[i]; dx > 0 && (d.Y[i+k]-d.Y[i])/dx > g {
			g = (d.Y[i+k] - d.Y[i]) / dx
			foot = d.X[i] - (d.Y[i]-b0)/g
		}
	}
	mean[Base], sd[Base] = b0, 1
	if d.Held {
		sd[Base] = heldSD
	}
	mean[LnGamma], sd[LnGamma] = math.Log(g), 1
	mean[Start], sd[Start] = foot, 1
	mean[LnWidth], sd[LnWidth] = math.Log(0.2), 0.7
	mean[LnShoulder], sd[LnShoulder] = math.Log(2*max(top, 0.5)), 1
	mean[LnSharpness], sd[LnSharpness] = math.Log(2.5), 0.7
	for i := closed; i < n-1; i++ {
		mean[i], sd[i] = 0, 1
	}
	mean[n-1], sd[n-1] = 0, ShiftSD
}

// worker fits the components of one strip under one doubt and keeps the memory.
type worker struct {
	kernel
	data    *Data
	doubt   Doubt
	prior   prior
	n       int       // constants in use
	root    []float64 // square roots of the readings' weights
	lnRoots float64   // sum of their logarithms
	f, jac  []float64 // jac in rows of wide, each with its residual behind
	gram    []float64
	res     []float64
	a, l    []float64 // normal matrix and its factor
	grad    []float64
	best    []float64
	trial   []float64
	step    []float64
	th      []float64
	first   []float64 // where a toe starts
	looked  int       // how often the curve was worked out
	misfit  float64   // chi square of the last objective, without priors and wild readings

	mid, up, down Curve     // of Spread
	jd, js        []float64 // derivatives of densities and slopes on the grid
}

// begin readies the worker for data under a doubt.
func (w *worker) begin(d *Data, h Doubt) {
	w.data = d
	w.Tablet.set(d.X)
	w.size()
	w.priors(d)
	w.suppose(h)
}

// suppose readies it for another doubt about the same data.
func (w *worker) suppose(h Doubt) {
	w.doubt, w.n = h, w.constants()
	if h.Leak > 0 {
		w.n++
	}
	p, r := w.n, len(w.data.Y)
	w.root = grown(w.root, r)
	w.f, w.res, w.jac = grown(w.f, r), grown(w.res, r), grown(w.jac, r*w.wide())
	w.gram = grown(w.gram, w.wide()*w.wide())
	w.a, w.l = grown(w.a, p*p), grown(w.l, p*p)
	w.grad, w.best, w.trial, w.step = grown(w.grad, p), grown(w.best, p), grown(w.trial, p), grown(w.step, p)
}

// weigh sets the square roots of the weights in units of density for a noise of so
// much at unit weight.
func (w *worker) weigh(sigma float64) {
	w.lnRoots = 0
	for i, v := range w.data.W {
		w.root[i] = math.Sqrt(v) / sigma
	}
	if w.doubt.Grows {
		for i, y := range w.data.Y {
			w.root[i] /= growth(y - w.prior.mean[Base])
		}
	}
	for _, i := range w.doubt.Wild {
		w.root[i] = 1 / math.Sqrt(1/(w.root[i]*w.root[i])+ShiftSD*ShiftSD)
	}
	for _, r := range w.root {
		w.lnRoots += math.Log(r)
	}
	w.lnRoots -= w.data.Joined * math.Log(sigma)
	if !w.data.Held {
		w.lnRoots += float64(len(w.data.Base)) * 0.5 * math.Log(w.data.BaseW/(sigma*sigma))
	}
	if r := w.doubt.Drift; r > 0 {
		w.lnRoots -= float64(len(w.root)-1) / 2 * math.Log(1-r*r)
	}
}

// growth is how much greater the noise is at a density above base plus fog, where it
// grows: grain and the densitometer's own error together.
func growth(net float64) float64 { return 1 + 2*max(net, 0) }

// objective works out c at th, and leaves residuals and derivatives, in standard
// deviations, in res and jac.
func (w *worker) objective(th []float64, sigma float64) (c float64, ok bool) {
	w.looked++
	if !w.eval(th, w.f, w.jac, w.root) {
		return 0, false
	}
	n, wide := w.n, w.wide()
	if w.doubt.Leak > 0 {
		for i, r := range w.root {
			if i >= w.doubt.Leak {
				r = 0
			}
			w.jac[i*wide+n-1] = r
		}
	}
	if r := w.doubt.Drift; r > 0 {
		s := 1 / math.Sqrt(1-r*r)
		for i := len(w.res) - 1; i > 0; i-- {
			a, b := w.jac[i*wide:i*wide+n], w.jac[(i-1)*wide:i*wide]
			for j := range a {
				a[j] = (a[j] - r*b[j]) * s
			}
		}
	}
	return w.cost(th, sigma)
}

// cost works out c where the curve of th has the densities f at the readings, and leaves the
// residuals in res. Those of errors whose neighbours are correlated are made independent.
func (w *worker) cost(th []float64, sigma float64) (c float64, ok bool) {
	w.misfit = 0
	for i, f := range w.f {
		if i < w.doubt.Leak {
			f += th[w.n-1]
		}
		w.res[i] = (w.data.Y[i] - f) * w.root[i]
	}
	independent(w.res, w.doubt.Drift)
	for _, r := range w.res {
		c += r * r
	}
	for _, i := range w.doubt.Wild { // says nothing of the noise
		w.misfit -= w.res[i] * w.res[i]
	}
	if !w.data.Held {
		for _, b := range w.data.Base {
			e := b - th[Base]
			c += e * e * w.data.BaseW / (sigma * sigma)
		}
	}
	c += w.data.Pure / (sigma * sigma)
	w.misfit += c
	for j, v := range th {
		e := (v - w.prior.mean[j]) / w.prior.sd[j]
		c += e * e
	}
	return c, c-c == 0
}

// independent makes errors independent whose neighbours are correlated by r.
func independent(res []float64, r float64) {
	if !(r > 0) {
		return
	}
	s := 1 / math.Sqrt(1-r*r)
	for i := len(res) - 1; i > 0; i-- {
		res[i] = (res[i] - r*res[i-1]) * s
	}
}

// normal makes the normal matrix and the gradient from res and jac at th.
func (w *worker) normal(th []float64, sigma float64) {
	n, wide := w.n, w.wide()
	for i, r := range w.res {
		w.jac[i*wide+n] = r
	}
	gram(w.gram, w.jac[:len(w.res)*wide], wide, n+1)
	for j := range n {
		copy(w.a[j*n:], w.gram[j*wide:j*wide+j+1])
		w.grad[j] = w.gram[n*wide+j]
	}
	if !w.data.Held {
		v := w.data.BaseW / (sigma * sigma)
		for _, b := range w.data.Base {
			w.a[0] += v
			w.grad[0] += v * (b - th[Base])
		}
	}
	for j := range n {
		v := 1 / (w.prior.sd[j] * w.prior.sd[j])
		w.a[j*n+j] += v
		w.grad[j] += v * (w.prior.mean[j] - th[j])
	}
}

// minimise moves th to the least c for a given noise, and returns it. The normal
// matrix there is left in a.
func (w *worker) minimise(th []float64, sigma float64) (c float64, ok bool) {
	w.weigh(sigma)
	if c, ok = w.objective(th, sigma); !ok {
		return 0, false
	}
	return w.descend(th, c, sigma, 0)
}

// descend is minimise from th, where the objective is c and was worked out last, with the
// weights as they are. A last step that promises to gain less than unseen is taken unseen.
func (w *worker) descend(th []float64, c, sigma, unseen float64) (least float64, ok bool) {
	w.normal(th, sigma)
	n := w.n
	misfit := w.misfit
	lambda := firstDamping
	for range mostSteps {
		copy(w.l, w.a)
		for j := range n {
			w.l[j*n+j] *= 1 + lambda
		}
		if !factor(w.l, n) {
			return 0, false
		}
		copy(w.step, w.grad)
		solve(w.l, w.step, n)
		long := 0.0
		for _, s := range w.step[1:] {
			long = max(long, math.Abs(s))
		}
		cut := min(1, longestStep/max(long, 1e-300))
		promise := 0.0
		for j, v := range th {
			w.trial[j] = v + cut*w.step[j]
			promise += w.grad[j] * w.step[j]
		}
		if promise < unseen && cut == 1 && lambda <= firstDamping {
			copy(th, w.trial)
			return c - promise, true
		}
		next, ok := w.objective(w.trial, sigma)
		if !ok || !(next < c) {
			if ok && next-c < settled/100 || lambda > 1e9 {
				break
			}
			lambda *= lossFactor
			continue
		}
		gain := c - next
		copy(th, w.trial)
		c, misfit = next, w.misfit
		w.normal(th, sigma)
		lambda *= gainFactor
		if gain < settled && cut == 1 {
			break
		}
	}
	w.misfit = misfit
	return c, true
}
