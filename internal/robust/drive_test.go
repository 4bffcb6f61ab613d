package robust

import (
	"testing"

	"example.org/actinic/internal/held"
)

// What the package does with typical and impossible arguments is held to what it did.
func TestDrive(t *testing.T) {
	x := []float64{-2, -1.5, -1, -0.4, 0, 0.3, 0.9, 1.6, 2.2}
	y := []float64{1, 1.3, 1.4, 1.9, 2.2, 2.1, 2.6, 9, 3.1}
	zs := [][]float64{{1, -1}, {1, -0.5}, {1, 0}, {1, 0.4}, {1, 0.8}, {1, 1.3}}
	l := Linear{Z: zs, Mean: []float64{0.2, 1}, SD: [][]float64{{1, 0.3}, {1, 0.05}}, Scatter: []float64{0, 0.03, 0.1}, Share: 0.02}
	curve := NewCurve(5)
	for i := range 5 {
		for j := range 5 {
			curve.K[5*i+j] = 0.5 + Wiener(float64(i), float64(j), 2)
		}
		curve.K[6*i] += 0.1
		curve.Y[i] = []float64{0.1, -0.3, 0.4, 0.2, 0.9}[i]
	}
	inverted := *curve
	inverted.K, inverted.Y = append([]float64(nil), curve.K...), append([]float64(nil), curve.Y...)
	inverted.Invert()
	held.New(t).Drive([]any{
		NewCurve, Wiener, (*Curve).Invert, (*Curve).LogLikelihood,
		(*Curve).Without, (*Curve).WithoutTwo, Bisquare, Median, MAD,
		Scale, Linear.Shifts,
	}, held.Preconditions{}, y, x, y[:5], y[:1], y[:2], make([]float64, 9), []float64{1, 1, 1, 1, 1, 1, 1, 1, 7}, []float64{0.2, 0.1, 0.3, 0.9, 1.4, 2.9}, []float64{0.01, 0.02, 0.01, 0.02, 0.01, 0.02}, []float64(nil),
		l, &inverted, 0, 1, 2, 4, 3, 0.5, 0.01, 1.5, 3.0, 0.0, -1.0)
}
