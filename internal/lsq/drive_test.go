package lsq_test

import (
	"math"
	"testing"

	"example.org/actinic/internal/held"
	"example.org/actinic/internal/lsq"
)

// What the package does with typical and impossible arguments is held to what it did.
func TestDrive(t *testing.T) {
	x := []float64{0, 1, 2, 3, 4, 5, 6}
	var y []float64
	for i, v := range x {
		y = append(y, 1.2*math.Exp(-0.4*v)+0.01*float64(i%3))
	}
	model := lsq.Model(func(p, f, jac []float64) bool {
		for i, v := range x {
			f[i] = p[0] * math.Exp(-p[1]*v)
			jac[2*i], jac[2*i+1] = math.Exp(-p[1]*v), -v*f[i]
		}
		return p[1] > -1
	})
	line := make([]float64, 2*len(x))
	for i, v := range x {
		line[2*i], line[2*i+1] = 1, v
	}
	held.New(t).Drive([]any{
		lsq.Linear, lsq.Status.String, (*lsq.Result).S2, (*lsq.Result).ScaledCov, (*lsq.Result).SD,
		(*lsq.Workspace).Fit, lsq.TwoSided95,
	}, held.Preconditions{}, model, &lsq.Workspace{}, y, line, []float64{1, 0.3}, []float64{1, 2, 1, 1, 3, 1, 0.5}, []float64(nil), []float64{1, -1, 1, 1, 1, 1, 1}, []float64{1, -2}, 2, 1, 0, 3, 30, -1,
		lsq.Settings{}, lsq.Settings{MaxIter: 3, Damping: 0.1}, lsq.Settings{NoCovariance: true, Offset: 1e-3}, lsq.Converged, lsq.Stalled, lsq.IterationLimit, lsq.Status(0))
}
