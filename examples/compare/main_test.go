package main

import (
	"bytes"
	"encoding/json"
	"flag"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"example.org/actinic"
	"example.org/actinic/devtime/roll"
	"example.org/actinic/examples/internal/page/pagetest"
	"example.org/actinic/examples/testroll/quarry"
	"example.org/actinic/internal/held"
	"example.org/actinic/sensito"
)

func try(args ...string) (string, error) {
	var out bytes.Buffer
	err := run(args, &out, io.Discard)
	return out.String(), err
}

// printed is what -json prints, as somebody else would read it.
type printed struct {
	Rows []struct {
		Name, Process string
		DevelopmentS  *float64          `json:"development_s"`
		Speed, Index  *sensito.Estimate `json:",omitempty"`
		BaseFog       *sensito.Estimate `json:"base_fog"`
		Grain         *sensito.Estimate
		Response      *sensito.Estimate
	}
	Not [][2]int `json:"not_told_apart"`
}

func tryJSON(t *testing.T, args ...string) printed {
	t.Helper()
	out, err := try(append([]string{"-json"}, args...)...)
	if err != nil {
		t.Fatal(err)
	}
	var p printed
	if err := json.Unmarshal([]byte(out), &p); err != nil {
		t.Fatal(err)
	}
	return p
}

func TestShippedFilms(t *testing.T) {
	p := tryJSON(t)
	if len(p.Rows) != 8 || p.Rows[0].Name != "Garnedd Swift" || p.Rows[7].Name != "Ceunant Fine" || len(p.Not) != 0 {
		t.Errorf("%d rows, %+v", len(p.Rows), p)
	}
	all := tryJSON(t, "-all", "-by", "base_fog")
	if len(all.Rows) < 17 {
		t.Fatalf("%d rows", len(all.Rows))
	}
	for i := range all.Rows[1:] {
		a, b := all.Rows[i], all.Rows[i+1]
		if a.BaseFog.Value > b.BaseFog.Value {
			t.Errorf("row %d has more base plus fog than row %d, and less ranks first", i+1, i+2)
		}
	}
	if len(all.Not) == 0 {
		t.Error("all rows are told apart by base plus fog")
	}
	for _, pair := range all.Not {
		if pair[0] < 1 || pair[1] > len(all.Rows) || pair[0] >= pair[1] {
			t.Errorf("pair %v of %d rows", pair, len(all.Rows))
		}
	}
}

// recorded is the record of the quarry's roll, and what it is in JSON.
func recorded(t *testing.T) (record *roll.Record, text string) {
	t.Helper()
	test, err := roll.Read(quarry.Files)
	if err != nil {
		t.Fatal(err)
	}
	if record, err = test.Characterise(roll.Settings{}); err != nil {
		t.Fatal(err)
	}
	written, err := json.Marshal(record)
	if err != nil {
		t.Fatal(err)
	}
	return record, string(written)
}

// The same roll as the files of a test, as a record, as a report with its package and as a
// package gives the same numbers.
func TestKindsOfPaths(t *testing.T) {
	dir := t.TempDir()
	if err := os.CopyFS(filepath.Join(dir, "test"), quarry.Files); err != nil {
		t.Fatal(err)
	}
	record, text := recorded(t)
	file := filepath.Join(dir, "record.json")
	if err := os.WriteFile(file, []byte(text), 0o644); err != nil {
		t.Fatal(err)
	}
	film, err := actinic.FilmOf(record, actinic.Provenance{Basis: actinic.Invented, Source: "a test"})
	if err != nil {
		t.Fatal(err)
	}
	info := actinic.PackageInfo{Name: "mine", Version: "1.0.0"}
	if err := os.Mkdir(filepath.Join(dir, "report"), 0o755); err != nil {
		t.Fatal(err)
	}
	if err := actinic.WritePackage(filepath.Join(dir, "report", "package"), info, film); err != nil {
		t.Fatal(err)
	}
	paths := []string{filepath.Join(dir, "test"), file, filepath.Join(dir, "report"), filepath.Join(dir, "report", "package")}
	p := tryJSON(t, paths...)
	if len(p.Rows) != 4 || len(p.Not) != 6 {
		t.Fatalf("%d rows, %d pairs not told apart", len(p.Rows), len(p.Not))
	}
	for _, row := range p.Rows {
		if fmt.Sprintf("%.0f", row.Speed.Value) != fmt.Sprintf("%.0f", p.Rows[0].Speed.Value) || !(row.Speed.Low < row.Speed.Value) {
			t.Errorf("speed %v, want %v", *row.Speed, *p.Rows[0].Speed)
		}
	}
}

func TestMerge(t *testing.T) {
	said := held.New(t)
	dir := t.TempDir()
	swift, err := actinic.LoadFilm("Garnedd Swift")
	if err != nil {
		t.Fatal(err)
	}
	var paths []string
	for i := range 2 {
		d := swift.Data()
		d.Processes = d.Processes[i : i+1]
		if i == 1 { // with the structure of a film in one of them
			d.Processes[0].Granularity = &actinic.GranularityData{Aperture: 48, Provenance: d.Provenance,
				Points: []actinic.GranularityPoint{{Density: 0.3, SD: sensito.Exact(0.015)}, {Density: 2, SD: sensito.Exact(0.03)}}}
		}
		f, err := actinic.NewFilm(d)
		if err != nil {
			t.Fatal(err)
		}
		paths = append(paths, filepath.Join(dir, fmt.Sprint("part", i)))
		if err := actinic.WritePackage(paths[i], actinic.PackageInfo{Name: "part", Version: "1.0.0"}, f); err != nil {
			t.Fatal(err)
		}
	}
	merged := filepath.Join(dir, "merged")
	if out, err := try(append([]string{"-json", "-merge", merged}, paths...)...); err != nil {
		t.Fatal(out, err)
	}
	if err := actinic.CheckPackage(os.DirFS(merged)); err != nil {
		t.Error(err)
	}
	p := tryJSON(t, "-by", "grain", merged)
	if len(p.Rows) != 2 || p.Rows[0].Grain == nil || p.Rows[1].Grain != nil {
		t.Errorf("%+v", p.Rows)
	}
	if _, err := try("-json", "-merge", merged, paths[0]); !said.Is("", err, os.ErrExist) {
		t.Errorf("over a package that is there: %v", err)
	}
	if _, err := try("-json", "-merge", filepath.Join(dir, "other"), paths[0], paths[0]); !said.Is("", err, actinic.ErrInput) {
		t.Errorf("a process twice: %v", err)
	}
}

func TestRefusals(t *testing.T) {
	said := held.New(t)
	dir := t.TempDir()
	for name, text := range map[string]string{"cut.json": `{"film": "x"`, "twice.json": `{"film": "x", "film": "y"}`, "none.json": `[1]`, "other.json": `{"film": 3}`} {
		file := filepath.Join(dir, name)
		if err := os.WriteFile(file, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
		if out, err := try("-json", file); !said.Refused(name, err) || !strings.Contains(err.Error(), name) {
			t.Errorf("%s: %s %v", name, out, err)
		}
	}
	if out, err := try("-h"); !said.Is(out, err, flag.ErrHelp) || !strings.Contains(out, "Usage:") {
		t.Errorf("%s\n%v", out, err)
	}
	for _, args := range [][]string{{"-by", "beauty"}, {"-by", "speed=0"}, {"-by", "speed=x"}, {"-by", "speed,speed"}, {"-by", ""}, {"nosuchfilm"}, {dir}, {"-what"}} {
		if out, err := try(append([]string{"-json"}, args...)...); !said.Refused("", err) {
			t.Errorf("%v: %s", args, out)
		}
	}
}

func TestPage(t *testing.T) {
	in, err := read(nil)
	if err != nil {
		t.Fatal(err)
	}
	// More than seventeen rows stay readable.
	c, err := compare(in, true, []actinic.Criterion{{Trait: actinic.TraitSpeed, Weight: 2}, {Trait: actinic.TraitBaseFog, Weight: 1}})
	if err != nil {
		t.Fatal(err)
	}
	files, lacks := c.page()
	if len(lacks) > 0 {
		t.Fatal(lacks)
	}
	pagetest.Said(t, files[pageFile])
	for name := range files {
		if !ours(name) {
			t.Errorf("%s is written and not known as ours", name)
		}
	}
	out := filepath.Join(t.TempDir(), "out")
	for range 2 { // over itself
		if _, err := c.write(out); err != nil {
			t.Fatal(err)
		}
	}
	pagetest.Whole(t, files[pageFile], pagetest.A4, pagetest.Letter)
}

func TestRanges(t *testing.T) {
	for want, n := range map[string][]int{"": nil, "3": {3}, "1, 2": {1, 2}, "1 to 3, 7": {1, 2, 3, 7}, "2, 4, 5": {2, 4, 5}} {
		if got := ranges(n); got != want {
			t.Errorf("%v: %q, want %q", n, got, want)
		}
	}
}
