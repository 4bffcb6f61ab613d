package main

import (
	"bytes"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"example.org/actinic/examples/testroll/quarry"
	"example.org/actinic/internal/held"
)

// The shipped strips under a light that is not known: contrast and development, no speed
// anywhere, and nothing published as if there were one. The page says who tested.
func TestRelativeRoll(t *testing.T) {
	said := held.New(t)
	dir := t.TempDir()
	strips, err := quarry.Files.ReadFile("strips.csv")
	if err != nil {
		t.Fatal(err)
	}
	head := `{"film": "Garnedd Swift (invented)", "process": "Tarren 1+31 (invented)", "light": "a lamp", "target_average_gradient": 0.58,
"exposure": "relative", "tester": "A. Tester", "date": "2026-05-01", "x-water": "soft"}`
	for name, b := range map[string][]byte{"test.json": []byte(head), "strips.csv": strips} {
		if err := os.WriteFile(filepath.Join(dir, name), b, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	out, err := try(t, "-dir", dir, "-out", filepath.Join(dir, "report"))
	if err != nil {
		t.Fatal(err)
	}
	page, err := os.ReadFile(filepath.Join(dir, "report", "report.html"))
	if err != nil {
		t.Fatal(err)
	}
	speed := regexp.MustCompile(`(ISO|EI) [0-9]+`)
	if got := speed.FindString(out); got != "" || speed.Match(regexp.MustCompile(`data:image/png;base64,[^"]*|ISO 6`).ReplaceAll(page, nil)) {
		t.Errorf("a speed, %q, of a relative roll:\n%s", got, out)
	}
	for _, want := range []string{"Develop ", "relative"} {
		if !strings.Contains(out, want) {
			t.Errorf("the output lacks %q", want)
		}
	}
	for _, want := range []string{"A. Tester", "2026-05-01", "soft"} {
		if !bytes.Contains(page, []byte(want)) {
			t.Errorf("the page lacks %q", want)
		}
	}
	if _, err := os.Stat(filepath.Join(dir, "report", "package")); !said.Refused("", err) {
		t.Error("a package of relative exposures was written")
	}
}
