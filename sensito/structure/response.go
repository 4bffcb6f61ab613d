package structure

import (
	"math"
	"slices"

	"example.org/actinic/internal/check"
	"example.org/actinic/sensito"
)

// Response is how much of a sine's modulation is kept, by frequency in cycles/mm: that of a
// camera, or of a film. It is 1 at 0, and above 1 where edges are sharpened. Between its
// points it is straight, and beyond the last not known.
type Response struct {
	f []float64
	m []sensito.Estimate
}

// NewResponse returns a response from its values at increasing frequencies. Low and high may be
// NaN where they are not known. The error wraps [ErrInput].
func NewResponse(frequencies []float64, m []sensito.Estimate) (*Response, error) {
	if len(frequencies) != len(m) || len(m) < 2 {
		return nil, check.Errorf(ErrInput, "%d frequencies and %d responses, want as many, and two at least", len(frequencies), len(m))
	}
	for i, f := range frequencies {
		if !(f >= 0) || !check.Finite(f, m[i].Value) || i > 0 && !(f > frequencies[i-1]) || m[i].Low > m[i].Value || m[i].High < m[i].Value {
			return nil, check.Errorf(ErrInput, "point %d: response %v at %v cycles/mm; want increasing frequencies, and intervals that hold their value",
				i+1, m[i], f)
		}
	}
	return &Response{slices.Clone(frequencies), slices.Clone(m)}, nil
}

// Points returns frequencies and responses, none of a nil response.
func (r *Response) Points() ([]float64, []sensito.Estimate) {
	if r == nil {
		return nil, nil
	}
	return slices.Clone(r.f), slices.Clone(r.m)
}

// At returns the response at a frequency. The error wraps [ErrInput] where it is not known.
func (r *Response) At(frequency float64) (sensito.Estimate, error) {
	if r == nil || len(r.f) == 0 || !(frequency >= 0) || frequency > r.f[len(r.f)-1] {
		return sensito.Estimate{}, check.Errorf(ErrInput, "no response is known at %v cycles/mm", frequency)
	}
	i, x := r.place(frequency)
	at := func(get func(sensito.Estimate) float64) float64 { return (1-x)*get(r.m[i]) + x*get(r.m[i+1]) }
	return sensito.Estimate{Value: at(func(e sensito.Estimate) float64 { return e.Value }),
		Low:  at(func(e sensito.Estimate) float64 { return e.Low }),
		High: at(func(e sensito.Estimate) float64 { return e.High })}, nil
}

// place returns the points about a frequency within the response, and how far between them
// it lies. Below the first point it is the first.
func (r *Response) place(f float64) (i int, x float64) {
	k, _ := slices.BinarySearch(r.f, f)
	i = min(max(k-1, 0), len(r.f)-2)
	return i, max((f-r.f[i])/(r.f[i+1]-r.f[i]), 0)
}

// value is the response as a number, 0 beyond what is known.
func (r *Response) value(f float64) float64 {
	if len(r.f) == 0 || f > r.f[len(r.f)-1] {
		return 0
	}
	i, x := r.place(f)
	return (1-x)*r.m[i].Value + x*r.m[i+1].Value
}

// sd is the standard deviation at a frequency, 0 where it is not known.
func (r *Response) sd(f float64) float64 {
	e, err := r.At(f)
	if w := e.High - e.Low; err == nil && w > 0 {
		return w / 2 / 1.959963984540054
	}
	return 0
}

// reach is the highest frequency up to which the response stays at m or above.
func (r *Response) reach(m float64) float64 {
	if len(r.f) == 0 {
		return 0
	}
	for i := range r.f {
		if r.m[i].Value < m {
			if i == 0 {
				return 0
			}
			a, b := r.m[i-1].Value, r.m[i].Value
			return r.f[i-1] + (r.f[i]-r.f[i-1])*(a-m)/(a-b)
		}
	}
	return r.f[len(r.f)-1]
}

// Frequency returns the lowest frequency in cycles/mm at which the response falls below m, with
// those at which its interval does. The error wraps [ErrInput] where it does not fall so far
// within what is known; an end of the interval that lies beyond is infinite.
func (r *Response) Frequency(m float64) (sensito.Estimate, error) {
	var e sensito.Estimate
	if r == nil || len(r.f) == 0 || !check.Finite(m) {
		return e, check.Errorf(ErrInput, "a response of %v", m)
	}
	for _, end := range []struct {
		to  *float64
		get func(sensito.Estimate) float64
	}{{&e.Value, func(e sensito.Estimate) float64 { return e.Value }}, {&e.Low, func(e sensito.Estimate) float64 { return e.Low }},
		{&e.High, func(e sensito.Estimate) float64 { return e.High }}} {
		*end.to = math.Inf(1)
		for i := range r.f {
			if b := end.get(r.m[i]); b < m {
				if *end.to = r.f[i]; i > 0 {
					a := end.get(r.m[i-1])
					*end.to = r.f[i-1] + (r.f[i]-r.f[i-1])*(a-m)/(a-b)
				}
				break
			}
		}
	}
	if math.IsInf(e.Value, 1) {
		return e, check.Errorf(ErrInput, "the response does not fall to %v up to %.3g cycles/mm", m, r.f[len(r.f)-1])
	}
	return e, nil
}

// Times returns the response of a chain of two: they multiply. It is known as far as both are.
func (r *Response) Times(other *Response) (*Response, error) {
	if r == nil || other == nil {
		return nil, check.Errorf(ErrInput, "a chain without a response")
	}
	var f []float64
	var m []sensito.Estimate
	for i, at := range r.f {
		o, err := other.At(at)
		if err != nil {
			break
		}
		v := r.m[i].Value * o.Value
		half := math.Hypot(r.sd(at)*o.Value, other.sd(at)*r.m[i].Value) * 1.959963984540054
		f, m = append(f, at), append(m, sensito.Estimate{Value: v, Low: v - half, High: v + half})
	}
	return NewResponse(f, m)
}

// Gaussian returns the response of a spread of standard deviation sigma in µm,
//
//	exp(-2 pi² sigma² f²)
//
// at n points up to a frequency. It is 0.5 at 0.187391/sigma. Derived.
func Gaussian(sigma, upTo float64, n int) (*Response, error) {
	return known(upTo, n, func(f float64) float64 { x := math.Pi * sigma * f / 1000; return math.Exp(-2 * x * x) })
}

// Box returns the response of a slit or pixel of a width in µm, sinc(w f), at n points up to a
// frequency. It is 0.5 at 0.603355/w, and 0 at 1/w. Derived.
func Box(width, upTo float64, n int) (*Response, error) {
	return known(upTo, n, func(f float64) float64 { return math.Abs(sinc(width * f / 1000)) })
}

func known(upTo float64, n int, m func(float64) float64) (*Response, error) {
	if !(upTo > 0) || n < 2 || n > 1<<20 {
		return nil, check.Errorf(ErrInput, "%d points up to %v cycles/mm", n, upTo)
	}
	f, e := make([]float64, n), make([]sensito.Estimate, n)
	for i := range f {
		f[i] = upTo * float64(i) / float64(n-1)
		e[i] = sensito.Exact(m(f[i]))
	}
	return NewResponse(f, e)
}
