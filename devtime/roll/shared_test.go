package roll

import (
	"testing"

	"example.org/actinic/sensito"
)

// A doubt about one reading is taken back where another strip has one at the same exposure;
// what is named for sure, one at another exposure and another kind of finding stay.
func TestSharedDoubts(t *testing.T) {
	at := func(x sensito.LogH) *sensito.LogH { return &x }
	r := &builder{}
	r.Findings = []Finding{
		{What: WildReading, Strips: []string{"A"}, Step: 6, LogH: at(-0.80), Probability: 0.2},
		{What: WildReading, Strips: []string{"B"}, Step: 6, LogH: at(-0.81), Probability: 0.3},
		{What: WildReading, Strips: []string{"B"}, Step: 4, LogH: at(-1.60), Probability: 0.3},
		{What: WildReading, Strips: []string{"B"}, Step: 5, LogH: at(-1.60), Probability: 0.2},
		{What: WildReading, Strips: []string{"C"}, Step: 6, LogH: at(-0.80), Probability: 0.8},
		{What: Leak, Strips: []string{"C"}, Step: 6, LogH: at(-0.80), Probability: 0.4},
		{What: Form, Strips: []string{"C"}},
	}
	want := append([]Finding(nil), r.Findings[2:]...)
	r.sharedDoubts()
	if len(r.Findings) != len(want) {
		t.Fatalf("%d left, want %d: %+v", len(r.Findings), len(want), r.Findings)
	}
	for i := range want {
		if r.Findings[i].Step != want[i].Step || r.Findings[i].Strips[0] != want[i].Strips[0] {
			t.Errorf("%+v, want %+v", r.Findings[i], want[i])
		}
	}
}
