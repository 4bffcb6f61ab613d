package quarry

import (
	"testing"

	"example.org/actinic/devtime/roll"
	"example.org/actinic/internal/benchunit"
)

// A whole test roll: five strips of 21 readings and a bracket, first by first-order
// intervals, then by refitting ten thousand drawn strips each.
func BenchmarkTestRoll(b *testing.B) {
	for _, c := range []struct {
		name string
		set  roll.Settings
	}{{"first order", roll.Settings{}}, {"10000 resamplings", roll.Settings{Resamplings: 10000}}} {
		b.Run(c.name, func(b *testing.B) {
			test, err := roll.Read(Files)
			if err != nil {
				b.Fatal(err)
			}
			b.ReportAllocs()
			for b.Loop() {
				if _, err := test.Characterise(c.set); err != nil {
					b.Fatal(err)
				}
			}
			benchunit.Per(b, 1, "roll")
		})
	}
}

// A whole roll takes memory a bounded number of times: measured 3290.
func TestRollAllocates(t *testing.T) {
	test, err := roll.Read(Files)
	if err != nil {
		t.Fatal(err)
	}
	n := testing.AllocsPerRun(3, func() {
		if _, err := test.Characterise(roll.Settings{}); err != nil {
			t.Fatal(err)
		}
	})
	if n > 5000 {
		t.Errorf("%.0f allocations", n)
	}
}
