package filmfit

// Curve is a component's or a mixture's curve on an even grid.
type Curve struct {
	First, Step   float64 // exposures are First + i Step
	Base          float64
	Density, Rate []float64 // density and slope at each
}

// trace sets the curve of constants th at every grid point, and unless jd is nil
// the derivatives of densities and slopes, in rows of n.
func (w *worker) trace(c *Component, out *Curve, jd, js []float64) bool {
	w.law, w.tau = c.Toe, c.Departure
	p, ok := w.point(c.Constants)
	if !ok {
		return false
	}
	m, n, cols := w.basis.m, len(c.Constants), w.basis.cols
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
	if jd == nil {
		return true
	}
	w.rates(&p)
	k := w.constants()
	var acc [64]float64
	for i := range m {
		if i > 0 {
			a, b := w.rate[(i-1)*k:i*k], w.rate[i*k:(i+1)*k]
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
			s[closed+j] = w.steep[i] * w.tau * w.basis.phi[i*cols+j]
		}
	}
	return true
}
