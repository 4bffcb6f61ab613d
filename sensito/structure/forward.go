package structure

import (
	"errors"
	"math"
	"math/cmplx"
	"slices"

	"example.org/actinic/internal/check"
	"example.org/actinic/internal/lsq"
)

// distortion is by how much the steps that find a response change it, as shares of the step.
// A response exp(-p f - q f²) is put through curve, camera and the same steps, with p and q such
// that what is found of it is nearest to what was found of the film; the distortion is what the
// steps change of that.
func (d *deconvolver) distortion(profile []float64, find func([]float64) ([]complex128, error),
	exposure func(float64) (float64, error), low, high float64) ([]float64, error) {
	found, err := find(profile)
	if err != nil {
		return nil, err
	}
	n := len(found)
	want := moduli(found)
	inverse, err := newInverse(exposure, low/10, high+(high-low))
	if err != nil {
		return nil, err
	}
	a, err1 := exposure(low)
	b, err2 := exposure(high)
	if err := errors.Join(err1, err2); err != nil {
		return nil, err
	}
	again := func(p []float64) ([]float64, bool) {
		if top := p[0] + p[1]; !(top > 0.01 && top < 30 && p[1] > -0.2*top) {
			return nil, false
		}
		r, err := find(d.image(func(k int) float64 {
			x := float64(k) / float64(n-1)
			return math.Exp(-p[0]*x - p[1]*x*x)
		}, a, b, inverse))
		if err != nil {
			return nil, false
		}
		v := moduli(r)
		return v, check.Finite(v...)
	}
	p, ok := nearest(again, want)
	if !ok {
		return nil, check.Errorf(ErrEdge, "its profile is no film's")
	}
	off := make([]float64, n)
	last, ok := again(p)
	for k := 1; ok && k < n; k++ {
		x := float64(k) / float64(n-1)
		off[k] = math.Exp(-p[0]*x-p[1]*x*x) - last[k]
	}
	return off, nil
}

// nearest fits the two numbers of a response, from starts over what films have.
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
	rss := math.Inf(1)
	for _, start := range [][]float64{{0.3, 0.3}, {0.5, 2}, {2, 4}} {
		var w lsq.Workspace
		r, err := w.Fit(model, want, nil, start, lsq.Settings{MaxIter: 20, NoCovariance: true})
		if err == nil && r.RSS < rss {
			best, rss = slices.Clone(r.Params), r.RSS
		}
	}
	return best, best != nil
}

// turn is the phase at a place of the transform of what is even about the middle.
func (d *deconvolver) turn(k int) float64 {
	return -math.Pi * float64(k) / float64(d.n) * float64(d.n-1)
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
// place of the frequency.
func (d *deconvolver) image(response func(k int) float64, a, b float64, inverse *inverse) []float64 {
	c := make([]complex128, d.n)
	for k := 1; 2*k < d.n; k++ {
		c[k] = cmplx.Rect(response(k)*(b-a)/float64(d.n), d.turn(k)) / complex(0, 2*math.Pi*d.frequency(k)/perPixel)
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
		t[i] = inverse.at(h[i] + shift)
	}
	return d.blur(t)
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
		c[k] *= complex(d.m(f)*sinc(f/4)/float64(d.n), 0)
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
