package actinic

import (
	"encoding/json"
	"errors"
	"math/rand/v2"
	"testing"

	"github.com/google/go-cmp/cmp"

	"example.org/actinic/internal/held"
	"example.org/actinic/sensito/datafile"
)

// Plans are stored as one document however they are held, and read back equal.
func TestPlanIsStored(t *testing.T) {
	rng := rand.New(rand.NewPCG(8, 8))
	films := planFilms()
	stored := 0
	for range 300 {
		p, err := PlanExposure(randomShot(rng, films))
		if err != nil {
			continue
		}
		stored++
		text := must(json.Marshal(p))
		if byValue := must(json.Marshal(*p)); string(byValue) != string(text) {
			t.Fatalf("by value\n%s\nby pointer\n%s", byValue, text)
		}
		var back Plan
		if err := json.Unmarshal(text, &back); err != nil {
			t.Fatal(err)
		}
		if d := cmp.Diff(*p, back, asParts); d != "" {
			t.Fatalf("(-stored +read)\n%s", d)
		}
	}
	if stored < 100 {
		t.Errorf("only %d plans of 300", stored)
	}
	for _, text := range []string{`{"metered_s": -1}`, `{"metered_s": 1e300}`, `{"development_s": 0}`, `{"set": {"time_s": -3}}`} {
		if err := json.Unmarshal([]byte(text), new(Plan)); !errors.Is(err, datafile.ErrData) {
			t.Errorf("%s: %v", text, err)
		}
	}
}

// A film is stored as its parts, and reads back as the same film.
func TestFilmIsStored(t *testing.T) {
	said := held.New(t)
	films := append(everyLaw(), must(NewFilm(smallFilm("Aber"))))
	for _, name := range Films() {
		films = append(films, must(LoadFilm(name)))
	}
	for _, f := range films {
		var back Film
		if err := json.Unmarshal(must(json.Marshal(f)), &back); err != nil {
			t.Fatalf("%s: %v", f.Name(), err)
		}
		if d := cmp.Diff(f.Data(), back.Data(), asParts); d != "" {
			t.Errorf("%s (-stored +read)\n%s", f.Name(), d)
		}
	}
	if _, err := json.Marshal(new(Film)); !said.Is("", err, datafile.ErrData) {
		t.Errorf("an empty film: %v", err)
	}
	for _, text := range []string{`{}`, `{"name": "Aber"}`, `{"name": "Aber", "provenance": {"basis": "guessed", "source": "x"}}`} {
		if err := json.Unmarshal([]byte(text), new(Film)); !said.Is(text, err, ErrInput) {
			t.Errorf("%s: %v", text, err)
		}
	}
}
