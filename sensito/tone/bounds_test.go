package tone

import (
	"math"
	"testing"

	"example.org/actinic/sensito"
)

// At its bounds and beyond: a negative from nothing is one, a sensor of no stated range too.
func TestCopyingAtItsBounds(t *testing.T) {
	for _, c := range []struct {
		thin, dense, sensor float64
		ok                  bool
	}{
		{0, 1, 0, true}, {0, 1, 10, true}, {0.5, 0.5, 0, false}, {-0.001, 1, 0, false}, {0, 0, 0, false}, {0, math.Inf(1), 0, false},
		{0, 1, -0.001, false}, {0, 1, math.Inf(1), false}, {0, math.NaN(), 0, false}, {0, 1, math.NaN(), false},
	} {
		got, err := Copying(sensito.Density(c.thin), sensito.Density(c.dense), sensito.Stops(c.sensor))
		if (err == nil) != c.ok {
			t.Errorf("%+v: %v", c, err)
		}
		if c.ok && (got.Spare != nil) != (c.sensor > 0) {
			t.Errorf("%+v: %+v", c, got)
		}
	}
}
