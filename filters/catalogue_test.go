package filters

import (
	"math"
	"slices"
	"strings"
	"testing"

	"example.org/actinic/internal/benchunit"
	"example.org/actinic/internal/held"
	"example.org/actinic/sensito"
	"example.org/actinic/spectral"
)

// Red and yellow filters have a smaller factor in tungsten light than in daylight,
// blue ones a larger one (zone-system book, "Filter Factors"; magazine article, p. 3).
func TestDirection(t *testing.T) {
	said := held.New(t)
	film := spectral.Generic(spectral.Panchromatic)
	for _, e := range Catalogue() {
		day := must(Factor(film, spectral.SensitometricDaylight.Light(), e.Filter))
		tungsten := must(Factor(film, spectral.SensitometricTungsten.Light(), e.Filter))
		if e.Number != "" && (e.Number == "47") != (tungsten > day) {
			t.Errorf("%s: %.2f in daylight, %.2f in tungsten", e.Filter.Name(), day, tungsten)
		}
	}
	red := must(FactorsByTemperature(film, must(Find("25")).Filter, 2500, 3200, 4000, 5000, 6500, 10000, 20000))
	if !slices.IsSorted(red) {
		t.Errorf("red by temperature: %v", red)
	}
	if _, err := FactorsByTemperature(film, Clear(), 100); !said.Is("", err, spectral.ErrTemperature) {
		t.Errorf("100 K: %v", err)
	}
}

// The general handbook's table of factors (from memory) for panchromatic film in
// daylight and tungsten, within a third of a stop. It is a test of consistency: the
// generic film was fitted to such a table, the table is rounded to a third or half
// of a stop, and the filters are the catalogue's shapes.
func TestHandbookTable(t *testing.T) {
	film := spectral.Generic(spectral.Panchromatic)
	sum, n := 0.0, 0
	hold := func(f Filter, light spectral.Illuminant, printed float64) {
		computed := must(Factor(film, light.Light(), f))
		off := math.Log2(printed / computed)
		if !(math.Abs(off) <= 1./3) {
			t.Errorf("%s in %v: printed %g, computed %.3f", f.Name(), light, printed, computed)
		}
		sum, n = sum+off*off, n+1
		t.Logf("%-20s printed %4.1f computed %6.3f, %+.2f stop", f.Name(), printed, computed, off)
	}
	for _, r := range []struct {
		number        string
		day, tungsten float64
	}{
		{"6", 1.5, 1.5}, {"8", 2, 1.5}, {"9", 2, 1.5}, {"11", 4, 4}, {"13", 5, 4}, {"15", 2.5, 1.5}, {"21", 3, 2},
		{"23A", 6, 3}, {"25", 8, 5}, {"29", 16, 8}, {"47", 6, 12}, {"58", 6, 6},
	} {
		f := must(Find(r.number)).Filter
		hold(f, spectral.SensitometricDaylight, r.day)
		hold(f, spectral.SensitometricTungsten, r.tungsten)
	}
	for i, d := range []float64{2, 4, 8} {
		hold(must(Neutral(sensito.Density(.3*float64(i+1)))), spectral.SensitometricDaylight, d)
	}
	if rms := math.Sqrt(sum / float64(n)); !(rms < 0.15) {
		t.Errorf("rms %.3f stop", rms)
	}
	// Three values that were read in print: 8 has 2, 11 has 4, 25 has 8
	// (encyclopaedia article "Filter factor", 5600 K; US Navy basic photography;
	// magazine article "Photo Filters").
	for number, want := range map[string]float64{"8": 2, "11": 4, "25": 8} {
		m := must(FactorMarkOf(must(Factor(spectral.Generic(spectral.Panchromatic), spectral.D55.Light(), must(Find(number)).Filter))))
		near(t, number, m.Factor(), want, 0)
	}
}

func TestCatalogue(t *testing.T) {
	seen := map[string]bool{}
	for _, e := range Catalogue() {
		if e.Source == "" || !e.Basis.Valid() || seen[e.Filter.Name()] {
			t.Errorf("%s: %v from %q", e.Filter.Name(), e.Basis, e.Source)
		}
		seen[e.Filter.Name()] = true
		for _, name := range []string{e.Filter.Name(), strings.ToUpper(e.Filter.Name()), e.Number} {
			if name == "" {
				continue
			}
			if got, err := Find(name); err != nil || got.Filter.Name() != e.Filter.Name() {
				t.Errorf("Find(%q) = %v, %v", name, got.Filter.Name(), err)
			}
		}
	}
	// Luminous transmittance in per cent under A, published for the numbers; a
	// logistic edge of peak 0.90 is 1 to 2 % of the light off.
	for _, r := range []struct {
		number string
		want   float64
	}{
		{"8", 86.45}, {"11", 36.23}, {"12", 81.04}, {"15", 75.00}, {"21", 57.28}, {"22", 48.12}, {"23A", 36.22}, {"25", 22.44}, {"29", 10.95}, {"58", 19.81}, {"6", 89.09},
	} {
		got := 100 / must(Factor(spectral.Eye(), spectral.A.Light(), must(Find(r.number)).Filter))
		near(t, r.number, got, r.want, 2.5)
	}
}

func TestFind(t *testing.T) {
	said := held.New(t)
	for _, r := range []struct{ ask, want string }{
		{"25", "25 red"}, {"25 red", "25 red"}, {" 23a ", "23A light red"}, {"PINK", "pink"}, {"23A", "23A light red"},
	} {
		if e, err := Find(r.ask); err != nil || e.Filter.Name() != r.want {
			t.Errorf("%q is %q: %v", r.ask, e.Filter.Name(), err)
		}
	}
	for _, name := range []string{"", " ", "red", "2", "99"} {
		if _, err := Find(name); !said.Is(name, err, ErrInvalid) || !strings.Contains(err.Error(), "23A light red") {
			t.Errorf("%q: %v", name, err)
		}
	}
	for _, r := range []struct{ ask, want, says string }{
		{"25", "25 red", ""}, {"deep r", "29 deep red", ""}, {"red light", "23A light red", ""}, {"blue", "47 blue", ""},
		{"red", "", "25 red, 29 deep red"}, {"", "", "no filter"}, {"mauve", "", "no filter"}, {"ed", "", "no filter"},
	} {
		e, err := FindByPart(r.ask)
		if r.says == "" && (err != nil || e.Filter.Name() != r.want) {
			t.Errorf("%q is %q: %v", r.ask, e.Filter.Name(), err)
		}
		if r.says != "" && (!said.Is("", err, ErrInvalid) || !strings.Contains(err.Error(), r.says)) {
			t.Errorf("%q: %v", r.ask, err)
		}
	}
	// What a caller does to the slice is not seen by the next one.
	Catalogue()[0].Number = "none"
	if Catalogue()[0].Number != "6" {
		t.Error("the catalogue can be changed")
	}
	if n := testing.AllocsPerRun(100, func() { sinkEntry, _ = Find("25") }); n > 0 {
		t.Errorf("%v allocations in a look-up", n)
	}
}

var sinkEntry Entry

func BenchmarkFind(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		sinkEntry, _ = Find("25 red")
	}
	benchunit.Per(b, 1, "filter")
}
