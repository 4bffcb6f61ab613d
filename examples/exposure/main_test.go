package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"flag"
	"io"
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
