package check

import (
	"errors"
	"math"
	"testing"

	"example.org/actinic/internal/held"
)

func TestFinite(t *testing.T) {
	type density float64
	for _, c := range []struct {
		vs   []density
		want bool
	}{
		{nil, true},
		{[]density{0, -1, math.MaxFloat64}, true},
		{[]density{0, density(math.NaN())}, false},
		{[]density{density(math.Inf(1))}, false},
		{[]density{1, density(math.Inf(-1)), 2}, false},
	} {
		if got := Finite(c.vs...); got != c.want {
			t.Errorf("%v: %v", c.vs, got)
		}
	}
}

func TestErrorf(t *testing.T) {
	said := held.New(t)
	base := errors.New("film: unusable input")
	err := Errorf(base, "density %v, want 0 or more", -1)
	if !said.Is("", err, base) || err.Error() != "film: unusable input: density -1, want 0 or more" {
		t.Error(err)
	}
}
