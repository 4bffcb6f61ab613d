// Package rolltest makes test rolls of films whose truth is known, for tests: their
// curves are of several families, which need not be what a fit expects, and what
// befalls rolls can befall them. All films are invented.
package rolltest

import (
	"math"
	"math/rand/v2"
)

// Families are the names of the forms that a film's curve can have.
var Families = []string{"closed form", "exponential shoulder", "1/x toe", "long toe", "upswept", "logistic", "two emulsions"}

// Film is a truth: how density depends on exposure and development.
type Film struct {
	Family string
	shape  func(x float64) float64 // density above base plus fog where contrast is 1

	Limit, Rate, Induction float64 // of the growth of contrast; per minute and minutes
	Base, Rise             float64 // base plus fog, and how it rises a minute
	Slower                 float64 // log10 H by which the curve lies higher, times e^(-t/4 min)
}

// NewFilm draws a film of a family.
func NewFilm(family string, r *rand.Rand) *Film {
	f := &Film{Family: family, Limit: in(r, 0.85, 1.35), Rate: in(r, 0.07, 0.18), Induction: in(r, 0, 0.8),
		Base: in(r, 0.18, 0.32), Rise: in(r, 0.002, 0.007), Slower: in(r, 0.2, 0.6)}
	if r.IntN(2) == 0 {
		f.Induction = 0
	}
	f.shape = shape(family, r)
	return f
}

func in(r *rand.Rand, lo, hi float64) float64 { return lo + (hi-lo)*r.Float64() }

func softplus(z float64) float64 { return math.Max(z, 0) + math.Log1p(math.Exp(-math.Abs(z))) }

// shape draws the curve of a family; its toe lies near log10 H = -3.
func shape(family string, r *rand.Rand) func(x float64) float64 {
	x0, w := in(r, -3.2, -2.6), in(r, 0.10, 0.30)
	m, k := in(r, 2, 3), in(r, 1.3, 6)
	bend := func(u float64) float64 { return u * math.Pow(1+math.Pow(u/m, k), -1/k) }
	switch family {
	case "exponential shoulder":
		return func(x float64) float64 { return m * -math.Expm1(-w*softplus((x-x0)/w)/m) }
	case "1/x toe":
		return func(x float64) float64 {
			z := (x - x0) / w
			return bend(w * (z + math.Sqrt(z*z+4)) / 2)
		}
	case "long toe": // no straight part for two units of log H
		a := in(r, 0.3, 0.5)
		return func(x float64) float64 { return bend(0.8 * math.Pow(a*softplus((x-x0)/a), 1.25)) }
	case "upswept":
		a := in(r, 0.08, 0.15)
		return func(x float64) float64 {
			u := w * softplus((x-x0)/w)
			return 0.7*u + a*u*u
		}
	case "logistic":
		s := in(r, 0.35, 0.6)
		return func(x float64) float64 { return 4 * s / (1 + math.Exp(-(x-x0-1.2)/s)) }
	case "two emulsions":
		gap := in(r, 0.7, 1.2)
		return func(x float64) float64 {
			return 1.1/(1+math.Exp(-(x-x0-0.7)/0.27)) + 1.2/(1+math.Exp(-(x-x0-0.7-gap)/0.3))
		}
	}
	return func(x float64) float64 { return bend(w * softplus((x-x0)/w)) }
}

// Contrast is the factor of the curve at a development of so many minutes.
func (f *Film) Contrast(minutes float64) float64 {
	return f.Limit * -math.Expm1(-f.Rate*math.Max(minutes-f.Induction, 0))
}

// Net is the density above base plus fog at x = log10 H.
func (f *Film) Net(x, minutes float64) float64 {
	return f.Contrast(minutes) * f.shape(x-f.Slower*math.Exp(-minutes/4))
}

// BaseFog is base plus fog.
func (f *Film) BaseFog(minutes float64) float64 { return f.Base + f.Rise*minutes }

// SpeedPoint is log10 H at 0.10 above base plus fog; NaN where there is none.
func (f *Film) SpeedPoint(minutes float64) float64 {
	// Above what an unexposed patch has: a toe that fades slowly has some density there.
	lo, hi := -7.0, 4.0
	if !(f.Net(hi, minutes) > 0.1) {
		return math.NaN()
	}
	for range 70 {
		if mid := (lo + hi) / 2; f.Net(mid, minutes) < 0.1 {
			lo = mid
		} else {
			hi = mid
		}
	}
	return lo
}

// Gradient is the average gradient over 1.50 from the speed point.
func (f *Film) Gradient(minutes float64) float64 {
	x := f.SpeedPoint(minutes)
	return (f.Net(x+1.5, minutes) - 0.1) / 1.5
}

// DevelopFor is the development in minutes for an average gradient; NaN beyond 24 h.
func (f *Film) DevelopFor(gradient float64) float64 {
	lo, hi := 0.2, 1440.0
	if !(f.Gradient(hi) > gradient) {
		return math.NaN()
	}
	for range 70 {
		if mid := (lo + hi) / 2; !(f.Gradient(mid) > gradient) {
			lo = mid
		} else {
			hi = mid
		}
	}
	return lo
}
