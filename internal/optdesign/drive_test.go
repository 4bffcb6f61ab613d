package optdesign

import (
	"testing"

	"example.org/actinic/internal/cholesky"
	"example.org/actinic/internal/held"
)

// What the package does with typical and impossible arguments is held to what it did.
func TestDrive(t *testing.T) {
	f, c := speedPoint()
	x := grid(-3, 3, 25)
	one1 := one(t, Variance, x, f, c)
	all := one(t, Determinant, x, f)
	scenario := Scenario{Weight: 1, Wanted: [][]float64{{1, 0.5}}}
	for _, at := range []float64{-1, 0, 0.5, 1} {
		scenario.Info = append(scenario.Info, Reading(line(at), 0.1))
	}
	prior := scenario
	prior.Prior, prior.Weight = Reading([]float64{1, 1}, 0.5), 2
	broken := scenario
	broken.Info = append(broken.Info[:3:3], cholesky.New(3))
	held.New(t).Drive([]any{
		(*Problem).Best, (*Problem).Exact, HowMany, Reading, New,
		(*Problem).Value, (*Problem).AtMost, (*Problem).Candidates,
		(*Problem).After,
	}, held.Preconditions{}, scenario, prior, broken, Scenario{}, one1, all, Variance, Determinant, Criterion(3), 12.0, 1.0, 3.0, 0.5, 0.0, -1.0, 1e5,
		12, 3, 1, 0, -1, 25, 5, []int(nil), []int{1, 2}, make([]int, 25), []float64{1, 0.5}, []float64(nil), even(25), true, false)
}
