package actinic

import (
	"math"
	"testing"

	"example.org/actinic/internal/held"
)

func TestCompare(t *testing.T) {
	said := held.New(t)
	swift, fine := must(LoadFilm("Swift")), must(LoadFilm("Ceunant"))
	ds := must(Compare(fine, "", swift, "Tarren"))
	parts := map[string]Difference{}
	for _, d := range ds {
		parts[d.Quantity] = d
		if d.A != nil && d.B != nil && d.Delta == nil {
			t.Errorf("%v: no difference", d)
		}
	}
	// 10 s becomes 20 s on the very fast film; the index is that of the record.
	x, y := must(must(fine.Process("")).Index()), must(must(swift.Process("Tarren")).Index())
	if d := parts["index to set"]; d.Delta == nil || math.Abs(*d.Delta-math.Log2(y.Index.Value/x.Index.Value)) > 1e-12 || !d.Stops {
		t.Errorf("index: %v", d)
	}
	if d := parts["time for a metered 10s"]; d.B == nil || math.Abs(*d.B-20) > 1e-9 {
		t.Errorf("reciprocity: %v", d)
	}
	// The fine film was not tested at 1/10000: missing on its side only.
	if d := parts["time for a metered 1/10000"]; d.A != nil || d.B == nil || d.Delta != nil {
		t.Errorf("reciprocity at short times: %v", d)
	}
	if d := parts["flatness in D55"]; d.Delta == nil || !(*d.Delta > 0) {
		t.Errorf("the very fast film should be flatter: %v", d)
	}
	// Two processes of one film differ in what belongs to the process.
	for _, d := range must(Compare(swift, "Tarren", swift, "Merllyn")) {
		same := d.Delta == nil || *d.Delta == 0
		if ofFilm := d.Part == "spectral sensitivity" || d.Part == "reciprocity law"; ofFilm != same {
			t.Errorf("%s: %v", d.Part, d)
		}
	}
	// A film against itself turned round is the negative.
	for i, d := range must(Compare(swift, "Tarren", fine, "")) {
		if a, b := d.Delta, ds[i].Delta; a != nil && b != nil && math.Abs(*a+*b) > 1e-12 {
			t.Errorf("%v and %v", d, ds[i])
		}
	}
	if _, err := Compare(swift, "", fine, ""); !said.Is("", err, ErrUnknown) {
		t.Errorf("a process that is not named: %v", err)
	}
	if _, err := Compare(nil, "", fine, ""); !said.Refused("", err) {
		t.Error("a film that is nil")
	}
	if ds := must(Compare(lawFilm(nil), "", lawFilm(nil), "")); len(ds) != 0 {
		t.Errorf("films without parts: %v", ds)
	}
}
