package structure

import (
	"errors"
	"math"
	"math/cmplx"
	"slices"

	"example.org/actinic/internal/check"
	"example.org/actinic/internal/lsq"
)

// smooth is a response by the place of the frequency, from 0 to 1 at the last that is known:
//
//	(1 + s) exp(-p x - q x²) - s exp(-(x/w)²)
//
// spread in the film, and the share s that development sharpens by over a wider range.
func smooth(p []float64, x float64) float64 {
	v := math.Exp(-p[0]*x - p[1]*x*x)
	if len(p) > 2 {
		v = (1+p[2])*v - p[2]*math.Exp(-x*x/(p[3]*p[3]))
	}
	return v
}

// within keeps a smooth response to what films do.
func within(p []float64) bool {
	top := p[0] + p[1]
	return top > 0.01 && top < 30 && p[1] > -0.2*top && (len(p) == 2 || p[2] > -0.3 && p[2] < 1 && p[3] > 0.02 && p[3] < 0.5)
}

// distortion is by how much the steps that find a response change it, as shares of the step.
// A smooth response is put through curve, camera and the same steps, such that what is found of
// it is nearest to what was found of the film; the distortion is what the steps change of that.
func (d *deconvolver) distortion(profile []float64, find func([]float64) ([]complex128, error),
	exposure func(float64) (float64, error), low, high float64) ([]float64, error) {
	found, err := find(profile)
	if err != nil {
		return nil, err
	}
	n := len(found)
	inverse, err := newInverse(exposure, low/10, 4*high)
	if err != nil {
		return nil, err
	}
	a, err1 := exposure(low)
	b, err2 := exposure(high)
	if err := errors.Join(err1, err2); err != nil {
		return nil, err
	}
	last := float64(n - 1)
	again := func(p []float64) ([]float64, bool) {
		if !within(p) {
			return nil, false
		}
		image, ok := d.image(func(k int) float64 { return smooth(p, float64(k)/last) }, a, b, inverse)
		if !ok {
			return nil, false
		}
		r, err := find(image)
		if err != nil {
			return nil, false
		}
		v := moduli(r)
		return v, check.Finite(v...)
	}
	p, ok := nearest(again, moduli(found))
	if !ok {
		return nil, check.Errorf(ErrEdge, "its profile is no film's")
	}
	off := make([]float64, n)
	at, ok := again(p)
	for k := 1; ok && k < n; k++ {
		off[k] = math.Abs(smooth(p, float64(k)/last)) - at[k]
	}
	return off, nil
}

// nearest fits a smooth response, from starts over what films have, with sharpening where what
// was found rises above 1.
func nearest(again func([]float64) ([]float64, bool), want []float64) ([]float64, bool) {
	model := func(p, f, jac []float64) bool {
		at, ok := again(p)
		if !ok {
			return false
		}
		copy(f, at)
		const step = 1e-4
		for j := range p {
			q := slices.Clone(p)
			q[j] += step
			v, ok := again(q)
			if !ok {
				return false
			}
			for i := range v {
				jac[i*len(p)+j] = (v[i] - at[i]) / step
			}
		}
		return true
	}
	best := []float64(nil)
	least := math.Inf(1)
	starts := [][]float64{{0.3, 0.3}, {0.5, 2}, {2, 4}}
	if slices.Max(want) > 1.01 {
		starts = append(starts, []float64{0.2, 1, 0.05, 0.15}, []float64{0.5, 2, 0.15, 0.25}, []float64{0.2, 1, 0.1, 0.1})
	}
	for _, start := range starts {
		var w lsq.Workspace
		r, err := w.Fit(model, want, nil, start, lsq.Settings{MaxIter: 25, NoCovariance: true})
		if err != nil {
			continue
		}
		if r.RSS < least {
			best, least = slices.Clone(r.Params), r.RSS
		}
	}
	return best, best != nil
}

// moduli are those of slopes over their value at 0. The middle of an edge in exposure is not
// that in transmittance, and so phases say nothing.
func moduli(r []complex128) []float64 {
	out := make([]float64, len(r))
	for k := range r {
		out[k] = cmplx.Abs(r[k] / r[0])
	}
	return out
}

// image is the profile that a camera has of an edge of exposures a to b, with a response by the
// place of the frequency; false where that leaves no exposure on the side that gets less.
func (d *deconvolver) image(response func(k int) float64, a, b float64, inverse *inverse) ([]float64, bool) {
	c := make([]complex128, d.n)
	for k := 1; 2*k < d.n; k++ {
		turn := cmplx.Rect(1, -math.Pi*float64(k)/float64(d.n)*float64(d.n-1)) // even about the middle
		c[k] = turn * complex(response(k)*(b-a)/float64(d.n), 0) / complex(0, 2*math.Pi*d.frequency(k)/perPixel)
		c[d.n-k] = cmplx.Conj(c[k])
	}
	c = d.fft.Sequence(c, c)
	h := make([]float64, d.n)
	for i := range h {
		h[i] = real(c[i]) + (b-a)*(float64(i)+0.5)/float64(d.n)
	}
	q := max(d.n/8, 1)
	shift := a - meanOf(h[:q])
	t := make([]float64, d.n)
	for i := range h {
		if !(h[i]+shift > 0) {
			return nil, false
		}
		t[i] = inverse.at(h[i] + shift)
	}
	return d.blur(t), true
}

// blur puts the camera and the bins to a profile.
func (d *deconvolver) blur(t []float64) []float64 {
	q := max(d.n/8, 1)
	step := meanOf(t[d.n-q:]) - meanOf(t[:q])
	c := make([]complex128, d.n)
	for i, x := range t {
		c[i] = complex(x-step*(float64(i)+0.5)/float64(d.n), 0)
	}
	c = d.fft.Coefficients(c, c)
	for k := range c {
		f := math.Abs(d.frequency(k))
		c[k] *= complex(d.m(f)/float64(d.n), 0)
	}
	c = d.fft.Sequence(c, c)
	out := make([]float64, d.n)
	for i := range out {
		out[i] = real(c[i]) + step*(float64(i)+0.5)/float64(d.n)
	}
	return out
}

// inverse is the transmittance of an exposure, from a table of a curve the other way.
type inverse struct{ h, t []float64 } // h rising

func newInverse(exposure func(float64) (float64, error), from, to float64) (*inverse, error) {
	const n = 600
	inv := &inverse{}
	for i := range n + 1 {
		t := from * math.Pow(to/from, float64(i)/n)
		h, err := exposure(t)
		if err != nil {
			return nil, err
		}
		inv.h, inv.t = append(inv.h, h), append(inv.t, t)
	}
	if inv.h[0] > inv.h[n] {
		slices.Reverse(inv.h)
		slices.Reverse(inv.t)
	}
	for i := range n {
		if !(inv.h[i+1] >= inv.h[i]) || !check.Finite(inv.h[i+1], inv.h[i]) {
			return nil, check.Errorf(ErrInput, "a curve on which exposures do not follow transmittances from %.3g to %.3g", from, to)
		}
	}
	return inv, nil
}

func (v *inverse) at(h float64) float64 {
	i, _ := slices.BinarySearch(v.h, h)
	if i == 0 {
		return v.t[0]
	}
	if i == len(v.h) {
		return v.t[i-1]
	}
	if v.h[i] == v.h[i-1] {
		return v.t[i]
	}
	x := (h - v.h[i-1]) / (v.h[i] - v.h[i-1])
	return (1-x)*v.t[i-1] + x*v.t[i]
}
