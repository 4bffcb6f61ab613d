package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"flag"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"example.org/actinic"
)

func try(args ...string) (string, error) {
	var out bytes.Buffer
	err := run(args, &out, io.Discard)
	return out.String(), err
}

// The two classic cases: grey filters in the sun, reciprocity failure at dusk.
func TestQuarry(t *testing.T) {
	out, err := try()
	if err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{"invented", "Set 1/15 at f/18 behind ND 1.8", "Set 13s at f/8 with the filter 21 orange", "does not protect the eye", "safety data sheet", "Develop "} {
		if !strings.Contains(out, want) {
			t.Errorf("lacks %q:\n%s", want, out)
		}
	}
}

func TestOptions(t *testing.T) {
	film, err := actinic.LoadFilm("Ceunant")
	if err != nil {
		t.Fatal(err)
	}
	dir := filepath.Join(t.TempDir(), "package")
	if err := actinic.WritePackage(dir, actinic.PackageInfo{Name: "mine", Version: "1.0.0"}, film); err != nil {
		t.Fatal(err)
	}
	if out, err := try("-film", dir, "-ev", "12", "-aperture", "f/8", "-filter", "25", "-light", "7500K"); err != nil || !strings.Contains(out, "Ceunant Fine at EI 40") || !strings.Contains(out, "25 red") {
		t.Errorf("%s\n%v", out, err)
	}
	if out, err := try("-list"); err != nil || strings.Count(out, "\n") != 7 {
		t.Errorf("%s\n%v", out, err)
	}
	out, err := try("-name", "ortho", "-ev", "9", "-handheld", "1/60", "-json")
	var plan map[string]any
	if err != nil || json.Unmarshal([]byte(out), &plan) != nil || plan["steps"] == nil {
		t.Errorf("%s\n%v", out, err)
	}
	if out, err := try("-h"); !errors.Is(err, flag.ErrHelp) || !strings.Contains(out, "Usage:") {
		t.Errorf("%s\n%v", out, err)
	}
	for _, args := range [][]string{
		{"-name", "swift"}, {"-name", "nothing"}, {"-film", t.TempDir()}, {"-name", "fine", "-aperture", "eight"}, {"-name", "fine", "-time", "60"},
		{"-name", "fine", "-filter", "99"}, {"-name", "fine", "-filter", "25", "-light", "D99"}, {"word"}, {"-what"},
	} {
		if out, err := try(args...); err == nil {
			t.Errorf("%v: %s", args, out)
		}
	}
}

// A package is held to its hashes before it is used, and nothing leaves its folder.
func TestStrangersPackages(t *testing.T) {
	film, err := actinic.LoadFilm("Fine")
	if err != nil {
		t.Fatal(err)
	}
	dir := filepath.Join(t.TempDir(), "package")
	if err := actinic.WritePackage(dir, actinic.PackageInfo{Name: "mine", Version: "1.0.0"}, film); err != nil {
		t.Fatal(err)
	}
	name := filepath.Join(dir, "readings.csv")
	text, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(name, text[:bytes.LastIndexByte(text[:len(text)-1], '\n')+1], 0o644); err != nil {
		t.Fatal(err)
	}
	if out, err := try("-film", dir, "-list"); err == nil || !strings.Contains(err.Error(), "hash") {
		t.Errorf("cut at a line end: %s, %v", out, err)
	}
	if err := errors.Join(os.Remove(name), os.Symlink("/etc/passwd", name)); err != nil {
		t.Skip("no symbolic links here: ", err)
	}
	if out, err := try("-film", dir, "-list"); err == nil || strings.Contains(err.Error(), "root:") {
		t.Errorf("a link: %s, %v", out, err)
	}
	out, err := try("-name", "fine", "-ev", "12", "-aperture", "f/8", "-json")
	if err != nil || !strings.Contains(out, "\"made\"") || !strings.Contains(out, "\"datapackage.json\": \"sha256:") {
		t.Errorf("%s, %v", out, err)
	}
}
