package lsq

import (
	"math"
	"testing"
)

func TestTwoSided95(t *testing.T) {
	// NIST/SEMATECH e-Handbook of Statistical Methods, section 1.3.6.7.2,
	// upper critical values of Student's t, column 0.975.
	for _, c := range []struct {
		dof  int
		want float64
	}{{1, 12.706}, {2, 4.303}, {3, 3.182}, {4, 2.776}, {5, 2.571}, {10, 2.228}, {30, 2.042}, {100, 1.984}} {
		if got := TwoSided95(c.dof); math.Abs(got-c.want) > 0.0005 {
			t.Errorf("dof %d: %v, want %v", c.dof, got, c.want)
		}
	}
	if got := TwoSided95(0); !math.IsNaN(got) {
		t.Errorf("dof 0: %v, want NaN", got)
	}
	if got := TwoSided95(math.MaxInt); got != Normal95 {
		t.Errorf("many: %v", got)
	}
}
