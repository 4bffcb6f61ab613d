package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"example.org/actinic"
	"example.org/actinic/examples/internal/filmfile"
	"example.org/actinic/internal/held"
	"example.org/actinic/sensito/exposure/camera"
	"example.org/actinic/spectral"
)

// From the readings to a film that others load and use: twice, since the second
// takes the place of the first.
func TestPublish(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "report")
	for range 2 {
		if _, err := try(t, "-out", dir); err != nil {
			t.Fatal(err)
		}
	}
	fsys := os.DirFS(filepath.Join(dir, "package"))
	if err := actinic.CheckPackage(fsys); err != nil {
		t.Error(err)
	}
	p, err := actinic.ReadPackage(fsys)
	if err != nil {
		t.Fatal(err)
	}
	film, err := p.Film("")
	if err != nil {
		t.Fatal(err)
	}
	process, err := film.Process("")
	if err != nil {
		t.Fatal(err)
	}
	if x, err := process.Index(); err != nil || x.From != "bracket" || film.Data().Provenance.Basis != actinic.Invented {
		t.Errorf("index %v (%v), provenance %v", x, err, film.Data().Provenance)
	}
	apertures, err := camera.ApertureMarks(camera.ThirdStops, 2.8, 22)
	if err != nil {
		t.Fatal(err)
	}
	times, err := camera.TimeMarks(camera.ThirdStops, 0, 0)
	if err != nil {
		t.Fatal(err)
	}
	camera, err := camera.New(camera.Scales{Apertures: apertures, Times: times})
	if err != nil {
		t.Fatal(err)
	}
	plan, err := actinic.PlanExposure(actinic.Shot{Scene: actinic.MeteredScene(12, spectral.Light{}), Film: film, Aperture: 8, Camera: camera})
	if err != nil {
		t.Fatal(err)
	}
	// EV 12 and EI 800, +3, is Ev 15; f/8 is Av 6, so Tv 9.
	if plan.Time.String() != "1/500" || plan.Index.Value != 800 || plan.Development.Round(time.Minute) != 14*time.Minute {
		t.Errorf("%v", plan)
	}
}

// What nobody made here is not written over.
func TestPublishKeepsOther(t *testing.T) {
	said := held.New(t)
	dir := t.TempDir()
	mine := filepath.Join(dir, "package", "mine.txt")
	if err := os.MkdirAll(filepath.Dir(mine), 0o755); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(mine, []byte("keep"), 0o644); err != nil {
		t.Fatal(err)
	}
	// The numbers are there, and the folder is as it was.
	out, err := try(t, "-out", dir)
	if err == nil || !strings.Contains(err.Error(), "package/mine.txt") || !strings.Contains(out, "Index") {
		t.Errorf("%v\n%s", err, out)
	}
	if _, err := os.Stat(filepath.Join(dir, "report.html")); !said.Refused("", err) {
		t.Error("half a report was written")
	}
	if b, err := os.ReadFile(mine); err != nil || string(b) != "keep" {
		t.Errorf("%s: %q, %v", mine, b, err)
	}
}

func TestSlug(t *testing.T) {
	for name, want := range map[string]string{"Garnedd Swift (invented)": "garnedd-swift-invented", "Ffilm 400 ä": "ffilm-400", "": "film", "漢字": "film"} {
		if got := filmfile.Slug(name); got != want {
			t.Errorf("%q becomes %q, want %q", name, got, want)
		}
	}
}
