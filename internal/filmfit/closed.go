package filmfit

import (
	"math"

	"gonum.org/v1/gonum/mathext"
)

// ClosedSD is the deviation, in density, with which a closed form is laid through a
// curve.
const ClosedSD = 1e-4

// Closed returns the constants of the closed form of the exponential toe that lies
// nearest to points of a curve, Base to LnSharpness. The points rise in exposure.
func Closed(x, y []float64, base float64) ([]float64, bool) {
	w := workers.Get().(*worker)
	defer workers.Put(w)
	d := &Data{X: x, Y: y, W: make([]float64, len(x)), Known: true, UnitSD: 1,
		Base: []float64{base}, BaseW: 1 / (ClosedSD * ClosedSD)}
	for i := range d.W {
		d.W[i] = 1 / (ClosedSD * ClosedSD)
	}
	w.plain = true
	w.begin(d, Doubt{})
	w.plain = false
	th := append([]float64(nil), w.prior.mean[:w.constants()]...)
	w.law, w.tau = Exponential, 0
	best := make([]float64, closed)
	if _, ok := w.minimiseClosed(th); !ok {
		return nil, false
	}
	copy(best, th)
	return best, true
}

// minimiseClosed is minimise for the closed form alone.
func (w *worker) minimiseClosed(th []float64) (c float64, ok bool) {
	for _, sd := range [...]float64{100, 10, 1} { // the nearer the steeper
		if c, ok = w.minimise(th, sd); !ok {
			return c, false
		}
	}
	return c, true
}

// Chance is the probability that a chi square of so many degrees of freedom is
// greater than x.
func Chance(x, freedom float64) float64 {
	if !(freedom > 0) || !(x >= 0) {
		return math.NaN()
	}
	return mathext.GammaIncRegComp(freedom/2, x/2)
}
