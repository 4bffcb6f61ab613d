package main

import (
	"bytes"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"example.org/actinic"
	"example.org/actinic/examples/internal/command"
	"example.org/actinic/internal/held"
)

func TestDatacheck(t *testing.T) {
	said := held.New(t)
	try := func(args ...string) (string, int, error) {
		var out bytes.Buffer
		err := run(args, &out, io.Discard)
		n := 0
		if said.Is("", err, command.ErrFindings) {
			last := strings.Split(strings.TrimSpace(out.String()), "\n")
			if _, err := fmt.Sscanf(last[len(last)-1][len(args[len(args)-1]):], ": %d found", &n); err != nil {
				t.Fatal(err)
			}
			err = nil
		}
		return out.String(), n, err
	}
	out, n, err := try()
	if err != nil || n != 0 || !strings.Contains(out, "7 films, nothing found") {
		t.Errorf("the built-in package: %s, %d, %v", out, n, err)
	}
	film, err := actinic.LoadFilm("Swift")
	if err != nil {
		t.Fatal(err)
	}
	dir := filepath.Join(t.TempDir(), "package")
	if err := actinic.WritePackage(dir, actinic.PackageInfo{Name: "mine", Version: "1.0.0"}, film); err != nil {
		t.Fatal(err)
	}
	if out, n, err := try(dir); err != nil || n != 0 {
		t.Errorf("a written package: %s, %d, %v", out, n, err)
	}
	// Edited with care: only size and hash are off, and -write puts them right.
	name := filepath.Join(dir, "films.csv")
	b, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	b = bytes.ReplaceAll(append([]byte("\ufeff"), b...), []byte("\n"), []byte("\r\n"))
	if err := os.WriteFile(name, b, 0o644); err != nil {
		t.Fatal(err)
	}
	out, n, err = try(dir)
	if err != nil || n != 2 || !strings.Contains(out, "datapackage.json:") || !strings.Contains(out, "write the package anew") {
		t.Errorf("an edited package: %s, %d, %v", out, n, err)
	}
	again := filepath.Join(t.TempDir(), "again")
	out, n, err = try("-write", again, dir)
	said.Values("put right", strings.ReplaceAll(out, again, "NEW"))
	if err != nil || n != 0 || !strings.Contains(out, "1 film written") {
		t.Errorf("written anew: %s, %d, %v", out, n, err)
	}
	if out, n, err := try(again); err != nil || n != 0 {
		t.Errorf("what was written anew: %s, %d, %v", out, n, err)
	}
	// And carelessly.
	if err := os.WriteFile(name, bytes.Replace(b, []byte("invented,"), []byte("guessed,"), 1), 0o644); err != nil {
		t.Fatal(err)
	}
	if out, n, err := try(dir); err != nil || n != 3 || !strings.Contains(out, "films.csv:2:") {
		t.Errorf("a careless edit: %s, %d, %v", out, n, err)
	}
	if _, _, err := try(filepath.Join(dir, "nothing")); !said.Refused("", err) {
		t.Error("a directory that is not there")
	}
	if _, _, err := try(t.TempDir()); !said.Refused("", err) {
		t.Error("a directory without a package")
	}
	if _, _, err := try("a", "b"); !said.Refused("", err) {
		t.Error("two directories")
	}
}

// However much is wrong, what is printed is bounded, and all of it is counted.
func TestFindingsAreBounded(t *testing.T) {
	said := held.New(t)
	film, err := actinic.LoadFilm("Swift")
	if err != nil {
		t.Fatal(err)
	}
	dir := filepath.Join(t.TempDir(), "package")
	if err := actinic.WritePackage(dir, actinic.PackageInfo{Name: "mine", Version: "1.0.0"}, film); err != nil {
		t.Fatal(err)
	}
	name := filepath.Join(dir, "readings.csv")
	b, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	const wrong = 20000
	b = append(b, strings.Repeat("Nobody,x,y,"+strings.Repeat("z", 300)+",no,no,no\n", wrong)...)
	if err := os.WriteFile(name, b, 0o644); err != nil {
		t.Fatal(err)
	}
	var out bytes.Buffer
	if err := run([]string{dir}, &out, io.Discard); !said.Is("", err, command.ErrFindings) {
		t.Fatal(err)
	}
	lines := strings.Split(strings.TrimSpace(out.String()), "\n")
	var n int
	if _, err := fmt.Sscanf(lines[len(lines)-1][len(dir):], ": %d found", &n); err != nil || n < wrong || len(lines) > most+5 || out.Len() > 1<<20 {
		t.Errorf("%d found in %d lines and %d bytes: %s", n, len(lines), out.Len(), lines[len(lines)-1])
	}
	// -write lists it too, and writes nothing.
	again := filepath.Join(t.TempDir(), "again")
	if err := run([]string{"-write", again, dir}, io.Discard, io.Discard); !said.Is("", err, command.ErrFindings) {
		t.Errorf("written: %v", err)
	}
	if _, err := os.Stat(again); !said.Refused("", err) {
		t.Error("a package with faults was written")
	}
}

// A text that a spreadsheet would run is remarked on, and no fault.
func TestFormulasAreRemarkedOn(t *testing.T) {
	data := actinic.FilmData{Name: "=HYPERLINK(1)", Provenance: actinic.Provenance{Basis: actinic.Invented, Source: "made up for a test"}}
	film, err := actinic.NewFilm(data)
	if err != nil {
		t.Fatal(err)
	}
	dir := filepath.Join(t.TempDir(), "package")
	if err := actinic.WritePackage(dir, actinic.PackageInfo{Name: "mine", Version: "1.0.0"}, film); err != nil {
		t.Fatal(err)
	}
	var out bytes.Buffer
	if err := run([]string{dir}, &out, io.Discard); err != nil || !strings.Contains(out.String(), "Remark: films.csv:2: film: \"=HYPERLINK(1)\": a spreadsheet") {
		t.Errorf("%s, %v", out.String(), err)
	}
}
