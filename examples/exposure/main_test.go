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
	"example.org/actinic/examples/internal/command"
	"example.org/actinic/internal/held"
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
	said := held.New(t)
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
	if out, err := try("-h"); !said.Is(out, err, flag.ErrHelp) || !strings.Contains(out, "Usage:") {
		t.Errorf("%s\n%v", out, err)
	}
	for _, args := range [][]string{
		{"-name", "swift"}, {"-name", "nothing"}, {"-film", t.TempDir()}, {"-name", "fine", "-aperture", "eight"}, {"-name", "fine", "-time", "60"},
		{"-name", "fine", "-filter", "99"}, {"-name", "fine", "-filter", "25", "-light", "D99"}, {"word"}, {"-what"},
	} {
		if out, err := try(args...); !said.Refused("", err) {
			t.Errorf("%v: %s", args, out)
		}
	}
}

// A package is held to its hashes before it is used, and nothing leaves its folder.
func TestStrangersPackages(t *testing.T) {
	said := held.New(t)
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
	if out, err := try("-film", dir, "-list"); !said.Refused("", err) || !strings.Contains(err.Error(), "hash") {
		t.Errorf("cut at a line end: %s, %v", out, err)
	}
	if err := errors.Join(os.Remove(name), os.Symlink("/etc/passwd", name)); err != nil {
		t.Skip("no symbolic links here: ", err)
	}
	if out, err := try("-film", dir, "-list"); !said.Refused("", err) || strings.Contains(err.Error(), "root:") {
		t.Errorf("a link: %s, %v", out, err)
	}
	out, err := try("-name", "fine", "-ev", "12", "-aperture", "f/8", "-json")
	if err != nil || !strings.Contains(out, "\"made\"") || !strings.Contains(out, "\"datapackage.json\": \"sha256:") {
		t.Errorf("%s, %v", out, err)
	}
}

// Every plan says which camera it is for, an assumed one that it is; errors about its marks
// say whose they are.
func TestCamera(t *testing.T) {
	said := held.New(t)
	out, err := try("-name", "fine", "-ev", "12")
	if err != nil || !strings.Contains(out, "Camera: camera assumed") || !strings.Contains(out, "no camera was given") {
		t.Errorf("%s, %v", out, err)
	}
	out, err = try("-name", "fine", "-ev", "12", "-camera", "bothy", "-aperture", "f/2", "-json")
	if err != nil || !strings.Contains(out, `"assumed": false`) || !strings.Contains(out, `"camera.json": "sha256:`) {
		t.Errorf("%s, %v", out, err)
	}
	file := filepath.Join(t.TempDir(), "mine.json")
	if err := os.WriteFile(file, []byte(`{"name": "Mine (invented)", "times": "full", "fastest": "1/500", "longest": "1s", "widest": "f/2.8", "smallest": "f/16"}`), 0o644); err != nil {
		t.Fatal(err)
	}
	if out, err := try("-name", "fine", "-ev", "12", "-camera", file); err != nil || !strings.Contains(out, "Camera: Mine (invented)") {
		t.Errorf("%s, %v", out, err)
	}
	if _, err := try("-name", "fine", "-ev", "12", "-aperture", "f/2"); !said.Refused("", err) || !strings.Contains(err.Error(), "-camera") {
		t.Error(err)
	}
	if err := os.WriteFile(file, []byte(`{"times": "fifth"}`), 0o644); err != nil {
		t.Fatal(err)
	}
	if _, err := try("-name", "fine", "-camera", file); !said.Refused("", err) || !strings.Contains(err.Error(), "mine.json:1") {
		t.Error(err)
	}
}

// What stands before the lens: stacked by transmittance, a factor of one's own, a density.
func TestGlass(t *testing.T) {
	said := held.New(t)
	type plan struct {
		Set struct {
			Filter string  `json:"filter"`
			Factor float64 `json:"filter_factor"`
			Worn   float64 `json:"worn_neutral_density"`
		}
		Through *struct{ Correction float64 } `json:"meter_through"`
	}
	of := func(args ...string) plan {
		t.Helper()
		out, err := try(append([]string{"-name", "swift", "-process", "tarren", "-ev", "8", "-json"}, args...)...)
		var p plan
		if err != nil || json.Unmarshal([]byte(out), &p) != nil {
			t.Fatalf("%v: %s, %v", args, out, err)
		}
		return p
	}
	orange, yellow, both := of("-filter", "21"), of("-filter", "8"), of("-filter", "21", "-filter", "8")
	if !(both.Set.Factor > orange.Set.Factor) || !(both.Set.Factor < 0.8*orange.Set.Factor*yellow.Set.Factor) || both.Set.Filter != "21 orange and 8 yellow" {
		t.Errorf("stacked: %+v of %v and %v", both.Set, orange.Set.Factor, yellow.Set.Factor)
	}
	if p := of("-filter", "21", "-factor", "4", "-nd", "0.9", "-meter", "through"); p.Set.Factor != 4 || p.Set.Worn != 0.9 || p.Through == nil || p.Through.Correction < 0 {
		t.Errorf("%+v", p)
	}
	// Without a sensitivity the error names the flag, and the flag helps.
	lantern := []string{"-name", "lantern", "-index", "25", "-ev", "12", "-filter", "8"}
	if _, err := try(lantern...); !said.Refused("", err) || !strings.Contains(err.Error(), "-factor") {
		t.Error(err)
	}
	if out, err := try(append(lantern, "-factor", "2")...); err != nil || !strings.Contains(out, "8 yellow has the factor 2 as given") {
		t.Errorf("%s, %v", out, err)
	}
	if out, err := try("-name", "ortho", "-ev", "12", "-filter", "25"); err != nil || !strings.Contains(out, "hardly sees") {
		t.Errorf("%s, %v", out, err)
	}
}

// Slips on the command line end with status 2, and say what to write.
func TestSlips(t *testing.T) {
	said := held.New(t)
	for _, c := range []struct {
		want string
		args []string
	}{
		{"hand or through", []string{"-meter", "eye"}}, {"-nd 0.9", []string{"-filter", "ND 0.9"}}, {"-start", []string{"-start", "f/8", "-aperture", "f/8"}},
		{"add -card", []string{"-out", "x"}}, {"-ev is of a plan", []string{"-card", "-ev", "12"}},
	} {
		if _, err := try(append([]string{"-name", "fine"}, c.args...)...); !errors.As(err, new(command.UsageError)) || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%v: %v", c.args, err)
		}
	}
	for _, args := range [][]string{{"-light", "shade"}, {"-nd", "-1"}, {"-nd", "NaN"}, {"-ev", "NaN"}, {"-factor", "0.5"}, {"-shadow", "4"}, {"-highlight", "NaN"},
		{"-longest", "60"}, {"-handheld", "soon"}, {"-start", "wide"}, {"-index", "-4"}, {"-camera", "nothing"}, {"-factor", "3", "-meter", "through"}} {
		if out, err := try(append([]string{"-name", "fine"}, args...)...); !said.Refused("", err) {
			t.Errorf("%v: %s", args, out)
		}
	}
}
