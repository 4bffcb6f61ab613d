package rolls_test

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"example.org/actinic"
	"example.org/actinic/examples/page/answer"
	"example.org/actinic/examples/page/rolls"
	"example.org/actinic/examples/testroll/quarry"
	"example.org/actinic/internal/held"
)

func files(t testing.TB, fsys fs.FS, below string) map[string][]byte {
	t.Helper()
	out := map[string][]byte{}
	names, err := fs.Glob(fsys, "*")
	if err != nil {
		t.Fatal(err)
	}
	for _, name := range names {
		if out[below+name], err = fs.ReadFile(fsys, name); err != nil {
			t.Fatal(err)
		}
	}
	return out
}

func text(t testing.TB, a answer.Answer) string {
	t.Helper()
	b := a.JSON()
	if !json.Valid(b) || bytes.Contains(b, []byte("cannot be written")) {
		t.Fatalf("%s", b)
	}
	return string(b)
}

func TestTest(t *testing.T) {
	said := held.New(t)
	for _, below := range []string{"", "mytest/"} {
		got := text(t, rolls.Answer(files(t, quarry.Files, below)))
		said.Values("", got)
		for _, want := range []string{"Garnedd Swift (invented)", "EI 800 (730)", "14:00", "record.json", "safety data sheet", "strip E from density"} {
			if !strings.Contains(got, want) {
				t.Errorf("lacks %q: %.500s", want, got)
			}
		}
	}
}

func TestPackage(t *testing.T) {
	said := held.New(t)
	dir := filepath.Join(t.TempDir(), "package")
	film, err := actinic.LoadFilm("Garnedd Swift")
	if err != nil {
		t.Fatal(err)
	}
	if err := actinic.WritePackage(dir, actinic.PackageInfo{Name: "mine", Title: "My film", Version: "1.0.0"}, film); err != nil {
		t.Fatal(err)
	}
	all := files(t, os.DirFS(dir), "myfilm/")
	got := text(t, rolls.Answer(all))
	said.Values("", got)
	for _, want := range []string{"My film", "Tarren 1+31", "Merllyn", "Long exposures", "nothing found"} {
		if !strings.Contains(got, want) {
			t.Errorf("lacks %q: %.500s", want, got)
		}
	}
	// A table that was edited no longer has its hash.
	all["myfilm/indexes.csv"] = bytes.Replace(all["myfilm/indexes.csv"], []byte("1+31"), []byte("1+13"), 1)
	a := rolls.Answer(all)
	said.Values("edited", a.Title, a.Errors)
	if len(a.Errors) == 0 || !strings.Contains(strings.Join(a.Errors, " "), "indexes.csv") {
		t.Errorf("%+v", a)
	}
}

// The tables of the films that come with the library are what they were.
func TestShippedFilms(t *testing.T) {
	said := held.New(t)
	a := rolls.Answer(files(t, actinic.Data(), ""))
	if len(a.Errors) > 0 || len(a.Sections) < 7 {
		t.Fatalf("%q, %d sections", a.Errors, len(a.Sections))
	}
	for _, s := range a.Sections {
		said.Values(s.Heading, s.Texts, s.Findings)
		for _, table := range s.Tables {
			said.Values(s.Heading+", "+table.Caption, table.Head, table.Rows)
		}
	}
}

// How many faults of a test are told, on both sides of the most; a package without a title; one of a film of little.
func TestTold(t *testing.T) {
	said := held.New(t)
	for _, n := range []int{99, 100, 101, 102} {
		strips := "strip,development,log_h_lx_s,density\n" + strings.Repeat("A,5,x,0.2\n", n)
		a := rolls.Answer(map[string][]byte{"test.json": []byte(`{"film": "A (invented)", "process": "B (invented)", "light": "daylight", "target_average_gradient": 0.58}`), "strips.csv": []byte(strips)})
		said.Values(fmt.Sprint(n, " faults"), a.Title, len(a.Errors), a.Errors[len(a.Errors)-1])
	}
	invented := actinic.Provenance{Basis: actinic.Invented, Source: "made up for a test"}
	for name, data := range map[string]actinic.FilmData{
		"nothing":   {Name: "Nothing (invented)", Provenance: invented},
		"a formula": {Name: "=1+1", Description: "Of a test.", Provenance: invented},
	} {
		film, err := actinic.NewFilm(data)
		if err != nil {
			t.Fatal(err)
		}
		dir := filepath.Join(t.TempDir(), "package")
		if err := actinic.WritePackage(dir, actinic.PackageInfo{Name: "mine", Version: "1.0.0"}, film); err != nil {
			t.Fatal(err)
		}
		said.Values(name, text(t, rolls.Answer(files(t, os.DirFS(dir), ""))))
	}
	all := files(t, actinic.Data(), "")
	for name := range all { // a table that is gone
		if !strings.HasSuffix(name, ".csv") {
			continue
		}
		was := all[name]
		delete(all, name)
		a := rolls.Answer(all)
		if len(a.Errors) == 0 || len(a.Sections) > 0 || a.Title != "This package breaks a rule" {
			t.Errorf("without %s: %s, %d errors, %d sections", name, a.Title, len(a.Errors), len(a.Sections))
		}
		all[name] = was
	}
}

func FuzzAnswer(f *testing.F) {
	quarryFiles := files(f, quarry.Files, "")
	f.Add(string(quarryFiles["test.json"]), string(quarryFiles["strips.csv"]), string(quarryFiles["bracket.csv"]))
	f.Add(`{"film":"a","process":"b","light":"c","target_average_gradient":0.5}`, "strip,development,log_h_lx_s,density\nA,5,-1,1\n", "")
	f.Fuzz(func(t *testing.T, test, strips, bracket string) {
		all := map[string][]byte{"test.json": []byte(test), "strips.csv": []byte(strips)}
		if bracket != "" {
			all["bracket.csv"] = []byte(bracket)
		}
		a := rolls.Answer(all)
		text(t, a)
		if len(a.Errors) == 0 && len(a.Box) == 0 {
			t.Error("neither an answer nor an error")
		}
	})
}
