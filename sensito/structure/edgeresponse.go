package structure

import (
	"math"
	"math/cmplx"

	"gonum.org/v1/gonum/dsp/fourier"

	"example.org/actinic/internal/check"
	"example.org/actinic/internal/lsq"
	"example.org/actinic/sensito"
)

const (
	// finest is the frequency step of a response in cycles a pixel, and highest its end.
	finest  = 0.01
	highest = 1.0
	// binding is the part of an error that does not show between rows: bins whose values do
	// not lie evenly, and the window. A choice, from the study of edges in the tests.
	binding = 0.001
	// passing is the part of what the camera sees that is kept whole when its response is taken
	// out of a profile; the rest falls to nothing.
	passing = 0.9
)

// Response returns the response along the normal of the edge, lens and pixels together, up to
// a cycle a pixel:
//
//	M(f) = |DFT(w(x) e'(x))| / ( its value at 0 · sinc(f/2) sinc(f/4) ),   e' = [-1/2, 0, 1/2] on quarter pixels
//
// f in cycles a pixel, and for sinc(f/4) the width that the bins have by the places of the values
// in them, which is less where the slant brings these to few places. The derivative's own response
// and the bins' are taken out (derived; printed texts mix up that of [-1/2, 0, 1/2] with that of
// [-1, 1]). The window is flat as far as the profile departs from its sides by more than noise,
// and falls as a cosine over as much again. What noise adds to the modulus is taken off by its
// variance, which comes from leaving out blocks of rows one after another (the jackknife); so does
// the interval, by Student's law. Where noise is left alone the modulus is too high: 0.033 for a
// true 0.018 in a step fifty times the noise.
//
// Domain: an edge whose light is linear in what is wanted: the camera's, from a razor blade
// on the light table. For a film see [Edge.FilmResponse].
//
// Source: ISO 12233's edge method, from memory; the correction for the two sincs is worked
// out here.
func (e *Edge) Response() (*Response, error) {
	var f []float64
	for k := 0; float64(k)*finest <= highest+1e-9; k++ {
		f = append(f, float64(k)*finest)
	}
	if len(e.profile) == 0 {
		return nil, check.Errorf(ErrInput, "no edge; take one from FindEdge")
	}
	at := func(p []float64) ([]complex128, error) { return transformAt(derivative(p), f, e.width), nil }
	return e.known(f, at, nil)
}

// derivative is [-1/2, 0, 1/2] under the window.
func derivative(p []float64) []float64 {
	d := make([]float64, len(p))
	for i := 1; i < len(p)-1; i++ {
		d[i] = (p[i+1] - p[i-1]) / 2 * flatTop(i, len(p))
	}
	return d
}

// flatTop is 1 over the inner half of n places, and falls to 0 at the ends as a cosine.
func flatTop(i, n int) float64 {
	x := math.Abs((float64(i)+0.5)/float64(n)*2 - 1)
	if x <= 0.5 {
		return 1
	}
	return 0.5 + 0.5*math.Cos(2*math.Pi*(x-0.5))
}

// transformAt is the Fourier transform of a derivative at frequencies in cycles a pixel, over
// the responses of derivative and bins of a width.
func transformAt(d, frequencies []float64, width float64) []complex128 {
	out := make([]complex128, len(frequencies))
	for k, f := range frequencies {
		step := cmplx.Exp(complex(0, -2*math.Pi*f/perPixel))
		turn := cmplx.Exp(complex(0, math.Pi*f/perPixel*float64(len(d)-1)))
		var sum complex128
		for _, v := range d {
			sum += complex(v, 0) * turn
			turn *= step
		}
		out[k] = sum / complex(sinc(f/2)*sinc(f*width), 0)
	}
	return out
}

// known returns a response with its intervals, from the transforms of all rows and of all but
// one block of them. doubt, nil for none, is what was put to each for a reason that may be off
// by a quarter.
func (e *Edge) known(f []float64, at func(profile []float64) ([]complex128, error), doubt []float64) (*Response, error) {
	all, err := at(e.profile)
	if err != nil {
		return nil, err
	}
	n := len(e.without)
	parts := make([][]complex128, n)
	for k, p := range e.without {
		if parts[k], err = at(p); err != nil {
			return nil, err
		}
		for i := len(parts[k]) - 1; i >= 0; i-- {
			parts[k][i] /= parts[k][0]
		}
	}
	t := lsq.TwoSided95(n - 1)
	freq := make([]float64, len(f))
	m := make([]sensito.Estimate, len(f))
	for i := range f {
		r := all[i] / all[0]
		var mean complex128
		for k := range parts {
			mean += parts[k][i] / complex(float64(n), 0)
		}
		var along, whole float64
		unit := r
		if a := cmplx.Abs(r); a > 0 {
			unit = r / complex(a, 0)
		}
		for k := range parts {
			d := parts[k][i] - mean
			p := real(d * cmplx.Conj(unit))
			along, whole = along+p*p, whole+real(d)*real(d)+imag(d)*imag(d)
		}
		share := float64(n-1) / float64(n)
		along, whole = along*share, whole*share
		a := cmplx.Abs(r)
		v := math.Sqrt(max(a*a-whole, 0))
		half := math.Hypot(t*math.Sqrt(along), 2*binding)
		if doubt != nil {
			half = math.Hypot(half, doubt[i]/4)
		}
		if i == 0 {
			v, half = 1, 0
		}
		if !check.Finite(v, half) {
			return nil, check.Errorf(ErrEdge, "its profile has no step")
		}
		freq[i] = f[i] * 1000 / e.pitch
		m[i] = sensito.Estimate{Value: v, Low: max(v-half, 0), High: v + half}
	}
	return NewResponse(freq, m)
}

// FilmResponse returns the film's response in exposure, along the normal of an edge that was
// printed on it, from transmittances and the camera's response:
//
//	profile -> less the camera's response -> exposure of each transmittance -> M(f) = |DFT(dH/dx)| / its value at 0
//
// A sine of exposure is none in density (a modulation of 0.5 at a gradient of 1 has a first
// harmonic of 0.2327 in place of 0.2171), so the profile goes through the characteristic curve:
// exposure gives the exposure, in any unit, of a transmittance. Where the edge came through a
// lens, the response is that of lens and film. Development that sharpens edges shows as values
// above 1, and is not cut.
//
// What the camera does not pass is missing where the curve bends, too: a smooth response near
// the film's goes through curve, camera and the same steps, and what these change of it is taken
// off.
//
// It ends at half the sampling rate, or just before where the camera's response is 0.2; camera nil
// leaves the camera's response in. The error wraps [ErrInput], [ErrEdge], or [ErrCoarse]
// where fewer than four frequencies are left.
//
// Source: worked out here; the exposure that a density stands for is the effective exposure
// of the textbooks (from memory).
func (e *Edge) FilmResponse(camera *Response, exposure func(transmittance float64) (float64, error)) (*Response, error) {
	n := len(e.profile)
	if n == 0 || exposure == nil {
		return nil, check.Errorf(ErrInput, "no edge, or no exposure; take an edge from FindEdge")
	}
	upTo := perPixel / 2.0
	m := func(f float64) float64 { return sinc(f * e.width) }
	if camera != nil {
		upTo = min(camera.reach(LeastResponse)*e.pitch/1000, highest)
		m = func(f float64) float64 { return camera.value(f*1000/e.pitch) * sinc(f*e.width) }
	}
	var f []float64
	for k := 0; ; k++ {
		at := float64(k) * perPixel / float64(n)
		if at > 0.5+1e-9 || camera != nil && at > passing*upTo {
			break
		}
		f = append(f, at)
	}
	if len(f) < 4 {
		return nil, check.Errorf(ErrCoarse, "the camera's response falls to %.1f at %.3g cycles/mm, which leaves nothing of the film's to see",
			LeastResponse, upTo*1000/e.pitch)
	}
	d := deconvolver{n: n, fft: fourier.NewCmplxFFT(n), upTo: upTo, m: m}
	low, err := exposure(e.low)
	if err != nil {
		return nil, err
	}
	high, err := exposure(e.high)
	if err != nil {
		return nil, err
	}
	if low > high { // a negative: where more light came, less passes
		low, high = high, low
	}
	if !(low > 0) || !(high > low) || !check.Finite(low, high) {
		return nil, check.Errorf(ErrInput, "exposures of %v and %v on the sides of the edge", low, high)
	}
	at := func(p []float64) ([]complex128, error) {
		t := d.sharpen(p)
		for i, v := range t {
			// nothing passes less than no light; a profile that rings may
			h, err := exposure(max(v, e.low/10))
			if err != nil {
				return nil, err
			}
			t[i] = h
		}
		return d.slopes(t, len(f)), nil
	}
	off, err := d.distortion(e.profile, at, exposure, e.low, e.high)
	if err != nil {
		return nil, err
	}
	return e.known(f, func(p []float64) ([]complex128, error) {
		r, err := at(p)
		for i := range r {
			if a := cmplx.Abs(r[i]); a > 0 {
				r[i] *= complex(1+off[i]*cmplx.Abs(r[0])/a, 0)
			}
		}
		return r, err
	}, off)
}

// deconvolver takes a camera's response out of profiles of one length.
type deconvolver struct {
	n    int
	fft  *fourier.CmplxFFT
	upTo float64                 // cycles a pixel
	m    func(f float64) float64 // the camera's response with that of the bins
}

// frequency is that of a place of the transform, in cycles a pixel.
func (d *deconvolver) frequency(k int) float64 {
	if 2*k > d.n {
		k -= d.n
	}
	return float64(k) * perPixel / float64(d.n)
}

// sharpen returns a profile without the camera's response: its derivative over that, and
// integrated again, both by frequency.
func (d *deconvolver) sharpen(p []float64) []float64 {
	slope := derivative(p)
	c := make([]complex128, d.n)
	for i, v := range slope {
		c[i] = complex(v, 0)
	}
	c = d.fft.Coefficients(c, c)
	step := real(c[0])
	for k := range c {
		f := d.frequency(k)
		a := math.Abs(f)
		if k == 0 || a >= d.upTo {
			c[k] = 0
			continue
		}
		pass := 1.0
		if edge := passing * d.upTo; a > edge {
			pass = 0.5 + 0.5*math.Cos(math.Pi*(a-edge)/(d.upTo-edge))
		}
		by := sinc(a/2) * d.m(a)
		c[k] *= complex(pass/by/float64(d.n), 0) / complex(0, 2*math.Pi*f/perPixel)
	}
	c = d.fft.Sequence(c, c)
	out := make([]float64, d.n)
	for i := range out {
		out[i] = real(c[i]) + step*(float64(i)+0.5)/float64(d.n)
	}
	// the ends are the sides of the profile
	q := max(d.n/8, 1)
	shift := meanOf(p[:q]) - meanOf(out[:q])
	for i := range out {
		out[i] += shift
	}
	return out
}

// slopes is the transform of the derivative of values whose ends differ by a step, at the
// first frequencies.
func (d *deconvolver) slopes(v []float64, count int) []complex128 {
	q := max(d.n/8, 1)
	step := meanOf(v[d.n-q:]) - meanOf(v[:q])
	c := make([]complex128, d.n)
	for i, x := range v {
		c[i] = complex(x-step*(float64(i)+0.5)/float64(d.n), 0)
	}
	c = d.fft.Coefficients(c, c)
	out := make([]complex128, count)
	out[0] = complex(step, 0)
	for k := 1; k < count; k++ {
		out[k] = c[k] * complex(0, 2*math.Pi*d.frequency(k)/perPixel)
	}
	return out
}
