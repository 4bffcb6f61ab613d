package plan

import (
	"math"

	"example.org/actinic/internal/bracketfit"
	"example.org/actinic/internal/check"
)

// stop is log10 2.
const stop = 0.301029995663981195

// film is a film that goes with the guess: how its curve lies and how it grows. The axis is
// log10 of an index, negative: -log10 EI + stops × log10 2, at which a tone so many stops
// from the metered one got the same light.
type film struct {
	target bracketfit.Film // at the time for the target
	time   float64         // minutes, for the target
	rate   float64         // of the growth of contrast, per minute
	slower float64         // log10 H by which the speed point moves, times e^(-t/τ)
	tau    float64
	index  float64 // log10, at the time for the target
	rise   float64 // of base plus fog, per minute
}

// What films are like besides the guess, as mean and standard deviation of the logarithm,
// or from and to: what curves of ordinary negative films look like (common practice, no
// source; the shape is that of the weak prior of the fit, narrower).
const (
	toeWidth, toeWidthSD   = 0.19, 0.3  // in log10 H
	shoulder, shoulderSD   = 2.4, 0.2   // above base plus fog, at the target
	sharpness, sharpnessSD = 2.8, 0.45  //
	leastRate, mostRate    = 0.07, 0.18 // per minute where the time for the target is 10 min
	leastBase, mostBase    = 0.2, 0.3
)

// filmsTried is how many films a plan is averaged over.
const filmsTried = 18

// films draws films that go with the guess, evenly: each coordinate but the first by multiples of an
// irrational number, so that few films stand for many.
func (w *Wish) films() ([]film, error) {
	out := make([]film, 0, filmsTried)
	for k := range filmsTried {
		f, err := w.film(func(j int) float64 {
			// The generalised golden ratio in six dimensions, the first coordinate in order.
			if j == 0 {
				return (float64(k) + 0.5) / filmsTried
			}
			_, part := math.Modf(0.5 + float64(k+1)*math.Pow(1/1.1673039782614187, float64(j)))
			return part
		})
		if err != nil {
			return nil, err
		}
		out = append(out, f)
	}
	return out, nil
}

// film makes a film of numbers between 0 and 1, one for each thing that is not known.
func (w *Wish) film(u func(j int) float64) (film, error) {
	normal := func(j int) float64 { return math.Sqrt2 * math.Erfinv(2*u(j)-1) }
	f := film{index: math.Log10(w.Index) + float64(w.Sure)*normal(0)*stop,
		time: w.Development.Minutes() * math.Exp(w.DevelopmentSure*normal(1))}
	scale := w.Development.Minutes() / 10 // slow developers are slow throughout
	f.rate = (leastRate + (mostRate-leastRate)*u(2)) / scale
	f.slower, f.tau, f.rise = 0.4, 4*scale, 0.0045/scale
	width, top, sharp := toeWidth*math.Exp(toeWidthSD*normal(3)), shoulder*math.Exp(shoulderSD*normal(4)), sharpness*math.Exp(sharpnessSD*normal(5))
	base := leastBase + (mostBase-leastBase)*u(6)
	// The gamma that gives the target.
	lo, hi := w.TargetAverageGradient/3, 4*w.TargetAverageGradient
	top *= math.Max(w.TargetAverageGradient/0.58, 1)
	point := -f.index - float64(w.ShadowStopsBelowMeter)*stop
	for range 60 {
		mid := math.Sqrt(lo * hi)
		made, err := bracketfit.NewFilm(base, mid, width, top, sharp, point)
		if err != nil {
			return f, check.Errorf(ErrWish, "no film goes with the guess: %v", err)
		}
		if g, _ := made.Gradient(); g < w.TargetAverageGradient {
			lo = mid
		} else {
			hi = mid
		}
		f.target = made
	}
	return f, nil
}

// at is the film's curve after a development in minutes.
//
//	contrast as 1 - e^(-rate t), the curve along log H by slower e^(-t/tau)
func (f *film) at(minutes float64) bracketfit.Film {
	contrast := math.Expm1(-f.rate*minutes) / math.Expm1(-f.rate*f.time)
	return f.target.Changed(contrast, f.slower*(math.Exp(-minutes/f.tau)-math.Exp(-f.time/f.tau)), f.rise*(minutes-f.time))
}

// speedPoint is where the film has 0.10 above base plus fog after a development; +Inf where
// it never has.
func (f *film) speedPoint(minutes float64) float64 {
	c := f.at(minutes)
	lo, hi := -f.index-12, -f.index+8
	if !(c.Net(hi) > 0.1) {
		return math.Inf(1)
	}
	for range 60 {
		if mid := (lo + hi) / 2; c.Net(mid) < 0.1 {
			lo = mid
		} else {
			hi = mid
		}
	}
	return lo
}
