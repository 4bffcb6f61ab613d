package actinic

import (
	"testing"
	"time"

	"example.org/actinic/devtime"
	"example.org/actinic/internal/held"
	"example.org/actinic/reciprocity"
	"example.org/actinic/spectral"
)

// Nothing answers with an error, and never with a number or a panic.
func TestNothingAnswersWithAnError(t *testing.T) {
	said := held.New(t)
	var none *Film
	for name, err := range map[string]error{
		"process of nil":           second(none.Process("")),
		"sensitivity of nil":       second(none.Sensitivity()),
		"reciprocity of nil":       second(none.Reciprocity()),
		"curve of a zero process":  second(new(Process).Curve(0)),
		"speed of a zero process":  second(new(Process).Speed(time.Minute)),
		"index of a nil process":   second((*Process)(nil).Index()),
		"growth of a zero process": second(new(Process).Growth()),
		"plan of nothing":          second(PlanExposure(Shot{})),
		"plan without a camera":    second(PlanExposure(Shot{Film: must(LoadFilm("Swift")), Scene: MeteredScene(12, spectral.Light{})})),
		"a package of nothing":     second(ReadPackage(nil)),
		"a check of nothing":       CheckPackage(nil),
		"a film of no record":      second(FilmOf(nil, Provenance{Basis: Measured, Source: "nobody"})),
		"no fit for a film":        second(must(LoadFilm("Swift")).WithReciprocity(new(reciprocity.Fitted), nil, Provenance{})),
		"a fit for no film":        second(none.WithTemperature("", devtime.TemperatureFit{})),
	} {
		if !said.Is(name, err, ErrInput) {
			t.Errorf("%s: %v, want an error that wraps ErrInput", name, err)
		}
	}
	if none.Name() != "" || none.String() == "" || len(none.Processes()) != 0 || len(none.Missing()) != 3 || new(Process).Name() != "" || new(Process).String() == "" {
		t.Error("a nil film or a zero process says something of itself")
	}
}

func second[T any](_ T, err error) error { return err }

func TestMissingSaysWhatIsMissing(t *testing.T) {
	if m := must(LoadFilm("Garnedd Swift")).Missing(); len(m) != 0 {
		t.Errorf("a film with every part lacks %q", m)
	}
	p := Provenance{Basis: Invented, Source: "made up for a test"}
	f := must(NewFilm(FilmData{Name: "Bare", Provenance: p, Processes: []ProcessData{{Name: "Tarren", Provenance: p}}}))
	want := []string{"spectral sensitivity", "reciprocity law", "curve in Tarren", "index in Tarren", "development family in Tarren"}
	got := f.Missing()
	if len(got) != len(want) {
		t.Fatalf("%q, want %q", got, want)
	}
	for i := range want {
		if got[i] != want[i] {
			t.Errorf("%q, want %q", got[i], want[i])
		}
	}
}
