package stripset

import (
	"testing"

	"example.org/actinic/internal/held"
)

// What the package does with typical and impossible arguments is held to what it did.
func TestDrive(t *testing.T) {
	six := some(6)
	fogged := some(6)
	fogged[1].Value[Base] += 0.15
	swapped := some(6)
	swapped[2].Minutes, swapped[4].Minutes = swapped[4].Minutes, swapped[2].Minutes
	slow := some(5)
	slow[3].Value[Speed] += 0.2
	soft := some(7)
	soft[0].Value[LnGradient] -= 0.4
	leave := make([]bool, 6)
	gone := make([]bool, 6)
	gone[2] = true
	pool := []any{
		six, fogged, swapped, slow, soft, some(3), some(2), []Strip(nil), leave, gone, 6.0, 8.0, 5.0, 18.0, 3.0, 40.0, 0.0, -1.0, 12.0, 17.9,
		Fog, Slower, Contrast, Swapped, Time, Unlike, Kind(0), Kind(7),
	}
	held.New(t).Drive([]any{
		(*Course).Range, (*Course).At, (*Course).Slope, Kind.String,
	}, pool...)
	held.New(t).Drive([]any{
		NewCourse, (*Course).Move, Compare,
	}, append(pool, held.Few{})...)
}
