package structure

import "testing"

// A nil response and the zero value answer; none panics.
func TestNoResponse(t *testing.T) {
	for name, r := range map[string]*Response{"nil": nil, "zero": {}} {
		if f, m := r.Points(); len(f)+len(m) != 0 {
			t.Errorf("%s has points", name)
		}
		if _, err := r.At(10); err == nil {
			t.Errorf("%s is known at 10 cycles/mm", name)
		}
		if _, err := r.Frequency(0.5); err == nil {
			t.Errorf("%s falls to a half somewhere", name)
		}
		if _, err := r.Times(r); err == nil {
			t.Errorf("%s has a chain", name)
		}
	}
}
