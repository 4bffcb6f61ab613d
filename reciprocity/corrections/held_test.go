package corrections

import "math"

// heldLaw has five more laws that the checker does not hold, and that nothing was tuned on, in
// stops of failure over x = log2 m: a Gompertz curve, a logarithm beyond an onset, slopes drawn
// for every two and a half stops and rounded off at the bends, an emulsion of which a share
// fails, the logarithm of a hyperbolic cosine.
func heldLaw(family int, u []float64) func(m float64) float64 {
	x0 := -2 + 4*u[0]
	var of func(d float64) float64 // of the distance from the onset
	switch family {
	case 0:
		most, middle, w := 0.5+2*u[1], 2+4*u[2], 1+1.5*u[3]
		of = func(d float64) float64 {
			return most * (math.Exp(-math.Exp((middle-d)/w)) - math.Exp(-math.Exp(middle/w)))
		}
	case 1:
		a, b := 0.4+1.2*u[1], 1+4*u[2]
		of = func(d float64) float64 { return a * math.Log1p(d/b) }
	case 2:
		of = func(d float64) float64 {
			y := 0.0
			for k := range 4 {
				s, w := 0.12*u[k+1], 0.3+0.5*u[(k+2)%5]
				y += s * w * (math.Log1p(math.Exp((d-2.5*float64(k))/w)) - math.Log1p(math.Exp(-2.5*float64(k)/w)))
			}
			return y
		}
	case 3:
		share, slope := 0.3+0.6*u[1], 0.2+0.6*u[2]
		of = func(d float64) float64 { return -math.Log2(share*math.Exp2(-slope*d) + 1 - share) }
	default:
		slope, w := 0.1+0.3*u[1], 1+3*u[2]
		of = func(d float64) float64 { return slope * w * math.Log(math.Cosh(d/w)) }
	}
	return beyondOnset(x0, of)
}
