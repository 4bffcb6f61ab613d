package structure

import (
	"math"
	"math/cmplx"

	"gonum.org/v1/gonum/dsp/fourier"

	"example.org/actinic/internal/check"
)

// Window is what values are multiplied by before their spectrum is taken, along both axes.
// All are periodic: their sum over any shift by half a length is constant or nearly.
type Window uint8

const (
	Rectangular Window = iota // all values alike
	Hann                      // 0.5 - 0.5 cos
	Hamming                   // 0.54 - 0.46 cos
)

// At returns the window's value at place i of n.
func (w Window) At(i, n int) float64 {
	c := math.Cos(2 * math.Pi * float64(i) / float64(n))
	switch w {
	case Hann:
		return 0.5 - 0.5*c
	case Hamming:
		return 0.54 - 0.46*c
	}
	return 1
}

// MeanSquare returns the mean of the window's square over n places: 3/8 for Hann, 0.3974 for
// Hamming. The spectrum of windowed noise is divided by it.
func (w Window) MeanSquare(n int) float64 {
	ss := 0.0
	for i := range n {
		ss += w.At(i, n) * w.At(i, n)
	}
	return ss / float64(n)
}

// Segments returns the variance of the mean of k noise power values over the square of their
// mean, for segments of n values that overlap by half:
//
//	(1 + 2 rho² (k-1)/k)/k,     rho = sum w(i) w(i + n/2) / sum w(i)²
//
// Segments that lie side by side have 1/k. Source: Welch 1967, from memory.
func (w Window) Segments(k, n int) (float64, error) {
	if k < 1 || n < 2 || n%2 != 0 {
		return 0, check.Errorf(ErrInput, "%d segments of %d values, want one at least of an even number", k, n)
	}
	cross := 0.0
	for i := range n / 2 {
		cross += w.At(i, n) * w.At(i+n/2, n)
	}
	rho := cross / (w.MeanSquare(n) * float64(n))
	return (1 + 2*rho*rho*float64(k-1)/float64(k)) / float64(k), nil
}

// NoisePower returns the noise power spectrum of one patch, width × height values at a pitch
// in µm, row by row, frequencies u = k/(width pitch) from 0 on, the negative ones last:
//
//	W(u, v) = dx dy/(Nx Ny) |sum (D - mean) w exp(-2 pi i (ux + vy))|² / mean(w²)
//
// in the square of the values' unit times µm². Without a window the sum of W du dv is the
// variance (Parseval). A single value scatters by as much as it is; average patches or
// frequencies. Source: IAEA, Diagnostic Radiology Physics (2014), equations 4.41 and 4.42.
// The error wraps [ErrInput].
func NoisePower(values []float64, width, height int, pitch float64, w Window) ([]float64, error) {
	if width < 2 || height < 2 || len(values)/width != height || len(values)%width != 0 || !(pitch > 0) || !check.Finite(pitch) {
		return nil, check.Errorf(ErrInput, "%d values for %d × %d pixels of %v µm", len(values), width, height, pitch)
	}
	mean := 0.0
	for _, v := range values {
		mean += v / float64(len(values))
	}
	if !check.Finite(mean) {
		return nil, check.Errorf(ErrInput, "values that are not finite")
	}
	x := make([]float64, len(values))
	for i, v := range values {
		x[i] = (v - mean) * w.At(i%width, width) * w.At(i/width, height)
	}
	t := newTransform(width, height)
	t.do(x)
	scale := pitch * pitch / float64(len(values)) / (w.MeanSquare(width) * w.MeanSquare(height))
	out := make([]float64, len(values))
	for y := range height {
		for k := range width {
			c := t.at(k, y)
			out[y*width+k] = scale * (real(c)*real(c) + imag(c)*imag(c))
		}
	}
	return out, nil
}

// transform is the Fourier transform of width × height real values: the half plane u >= 0.
type transform struct {
	width, height, half int
	rows                *fourier.FFT
	columns             *fourier.CmplxFFT
	c                   []complex128 // half × height
	column              []complex128
}

func newTransform(width, height int) *transform {
	half := width/2 + 1
	return &transform{width, height, half, fourier.NewFFT(width), fourier.NewCmplxFFT(height),
		make([]complex128, half*height), make([]complex128, height)}
}

func (t *transform) do(x []float64) {
	for y := range t.height {
		t.rows.Coefficients(t.c[y*t.half:(y+1)*t.half], x[y*t.width:(y+1)*t.width])
	}
	for k := range t.half {
		for y := range t.height {
			t.column[y] = t.c[y*t.half+k]
		}
		t.columns.Coefficients(t.column, t.column)
		for y := range t.height {
			t.c[y*t.half+k] = t.column[y]
		}
	}
}

// at returns the coefficient of any frequency of the plane.
func (t *transform) at(k, y int) complex128 {
	if k < t.half {
		return t.c[y*t.half+k]
	}
	return cmplx.Conj(t.c[(t.height-y)%t.height*t.half+t.width-k])
}
