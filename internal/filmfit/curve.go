package filmfit

// Curve is a component's or a mixture's curve on an even grid.
type Curve struct {
	First, Step   float64 // exposures are First + i Step
	Base          float64
	Density, Rate []float64 // density and slope at each
}

// meanStep is how far apart the points of the mean curve lie.
const meanStep = 0.05

// points returns exposures from the first to the last of x, meanStep apart.
func points(x []float64) []float64 {
	lo, hi := x[0], x[len(x)-1]
	n := int((hi-lo)/meanStep + 1e-6)
	out := make([]float64, 0, n+2)
	for i := range n + 1 {
		out = append(out, lo+meanStep*float64(i))
	}
	if hi-out[n] < 1e-6*meanStep+1e-9 {
		out[n] = hi
		return out
	}
	return append(out, hi)
}

// along adds a component's densities and slopes at the exposures of the tablet, times
// weight, and its departure.
func (w *worker) along(c *Component, weight float64, density, rate, departure []float64) bool {
	w.law, w.tau = c.Toe, c.Departure
	p, ok := w.point(c.Constants)
	if !ok {
		return false
	}
	w.f = grown(w.f, len(w.cell))
	w.values(&p, w.f)
	for i, cell := range w.cell {
		j, t := w.basis.m+i, w.in[i]
		a, b := w.extra[cell], w.extra[cell+1]
		density[i] += weight * w.f[i]
		// Between grid points the correction is straight and the closed form is not: the
		// sum could fall where a steep toe is held down, which no film does.
		rate[i] += weight * max(p.gamma*w.slope[j]*w.bend[j]/(1+w.q[j])+a+(b-a)*t/gridStep, 0)
		departure[i] += weight * (w.dep[cell] + (w.dep[cell+1]-w.dep[cell])*t/gridStep)
	}
	return true
}

// values sets f to the densities at the exposures of the tablet.
func (w *worker) values(p *shape, f []float64) {
	m := w.basis.m
	total, at := 0.0, 0
	for i, cell := range w.cell {
		for ; at < cell; at++ {
			total += gridStep / 2 * (w.extra[at] + w.extra[at+1])
		}
		j, t := m+i, w.in[i]
		v := t * t / (2 * gridStep)
		f[i] = p.base + p.gamma*p.w*w.s[j]*w.bend[j] + total + (t-v)*w.extra[cell] + v*w.extra[cell+1]
	}
}

// trace sets the curve of constants th at every grid point, and unless jd is nil
// the derivatives of densities and slopes, in rows of n.
func (w *worker) trace(c *Component, out *Curve, jd, js []float64) bool {
	w.law, w.tau = c.Toe, c.Departure
	p, ok := w.point(c.Constants)
	if !ok {
		return false
	}
	w.whole(&p, out)
	if jd == nil {
		return true
	}
	m, n, cols := w.basis.m, len(c.Constants), w.basis.cols
	w.rates(&p)
	k, wide := w.constants(), w.wide()
	var acc [64]float64
	for i := range m {
		if i > 0 {
			a, b := w.rate[(i-1)*wide:][:k], w.rate[i*wide:][:k]
			for j := range k {
				acc[j] += gridStep / 2 * (a[j] + b[j])
			}
		}
		d, s := jd[i*n:(i+1)*n], js[i*n:(i+1)*n]
		clear(d)
		clear(s)
		w.closedRow(&p, i, d)
		w.lnSlopeRow(&p, i, s)
		for j := range closed {
			d[j] += acc[j]
			s[j] *= w.steep[i]
		}
		for j := range cols {
			d[closed+j] = acc[closed+j]
			s[closed+j] = w.steep[i] * w.tau * w.basis.phi[i*w.basis.stride+j]
		}
	}
	return true
}

// whole sets out to the curve at every grid point.
func (w *worker) whole(p *shape, out *Curve) {
	m := w.basis.m
	out.First, out.Step, out.Base = w.at[0], gridStep, p.base
	out.Density, out.Rate = grown(out.Density, m), grown(out.Rate, m)
	total := 0.0
	for i := range m {
		if i > 0 {
			total += gridStep / 2 * (w.extra[i-1] + w.extra[i])
		}
		out.Density[i] = p.base + p.gamma*p.w*w.s[i]*w.bend[i] + total
		out.Rate[i] = w.steep[i]
	}
}
