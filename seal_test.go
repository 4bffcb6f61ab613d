package actinic

import (
	"bytes"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"testing/fstest"

	"example.org/actinic/internal/datapackage"
	"example.org/actinic/internal/held"
	"example.org/actinic/sensito/datafile"
)

// thirdParty is a package as somebody else would write it: with a DOI, roles and members
// of its own, columns of its own in our tables, a table, a picture and a list of files of
// its own, all valid by the standard.
func thirdParty(t testing.TB) fstest.MapFS {
	m := smallFS()
	d := datapackage.DescriptorFile
	swap(m, d, `"name": "small",`, `"name": "small", "id":"https://doi.org/10.5281/zenodo.1234567", "laboratory": {"bench":  3, "lamp": ["a", "b"]},`)
	swap(m, d, `"title": "Nobody"`, `"title": "Nobody", "roles": ["author","dataCurator"], "organization": "A school"`)
	swap(m, d, `"name": "log10_sensitivity",`, `"name": "log10_sensitivity_u95", "type": "number", "unit": "dB", "constraints": {"exclusiveMinimum": 0}}, {"name": "seen", "type": "date"}, {"name": "log10_sensitivity",`)
	rows := strings.Split(strings.TrimSpace(string(m["sensitivity_points.csv"].Data)), "\n")
	for i := range rows {
		rows[i] += map[bool]string{true: ",log10_sensitivity_u95,seen", false: ",0.02,2026-11-25"}[i == 0]
	}
	m["sensitivity_points.csv"].Data = []byte(strings.Join(rows, "\r\n") + "\r\n")
	m["grain.csv"] = &fstest.MapFile{Data: []byte("film;rms\nAber;12,5\n")}
	m["grain-plain.csv"] = &fstest.MapFile{Data: []byte("film,rms,ok\nAber,INF,true\n")}
	m["pictures/strip.png"] = &fstest.MapFile{Data: []byte("\x89PNG\x00\xff")}
	m["pictures/strip2.png"] = &fstest.MapFile{Data: []byte("\x89PNG\x00\xfe")}
	m["LICENSE"] = &fstest.MapFile{Data: []byte("as it says\n")}
	swap(m, d, `"resources": [`, `"resources": [
    {"name": "grain", "path": "grain.csv", "type": "table", "dialect": {"delimiter": ";"}, "schema": "grain.schema.json"},
    {"name": "grain-plain", "path": "grain-plain.csv", "type": "table", "format": "csv", "encoding": "utf-8", "schema": {"fields": [{"name": "film", "type": "string"}, {"name": "rms", "type": "number", "unit": "nm rms"}, {"name": "ok", "type": "boolean"}], "foreignKeys": [{"fields": "film", "reference": {"resource": "films", "fields": "film"}}]}},
    {"name": "strip", "path": "pictures/strip.png", "hash": "`+datapackage.HashOf(m["pictures/strip.png"].Data)+`"},
    {"name": "strips", "path": ["pictures/strip.png", "pictures/strip2.png"]},
    {"name": "notes", "data": {"a": 1}},
    {"name": "far", "path": "https://example.org/far.csv"},`)
	seal(m)
	return m
}

// written are the files of a folder.
func written(t testing.TB, dir string) map[string][]byte {
	files := map[string][]byte{}
	err := fs.WalkDir(os.DirFS(dir), ".", func(name string, e fs.DirEntry, err error) error {
		if err == nil && !e.IsDir() {
			files[name], err = os.ReadFile(filepath.Join(dir, name))
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return files
}

// A package of a third party survives byte for byte where nothing was changed.
func TestSealLosesNothing(t *testing.T) {
	m := thirdParty(t)
	if err := CheckPackage(m); err != nil {
		t.Fatalf("a package of a third party is refused:\n%v", err)
	}
	if _, err := ReadPackage(m, Verify); err != nil {
		t.Fatal(err)
	}
	dir := filepath.Join(t.TempDir(), "again")
	changed, err := SealPackage(dir, m)
	if err != nil || len(changed) > 0 {
		t.Fatalf("%q, %v", changed, err)
	}
	files := written(t, dir)
	if len(files) != len(m) {
		t.Errorf("%d files, want %d", len(files), len(m))
	}
	for name, f := range m {
		if !bytes.Equal(files[name], f.Data) {
			t.Errorf("%s is not what it was", name)
		}
	}
	// A table that was edited: its size and hash change, and nothing else.
	swap(m, "films.csv", "Bala", "Bala Lake")
	old := m[datapackage.DescriptorFile].Data
	dir = filepath.Join(t.TempDir(), "edited")
	if changed, err = SealPackage(dir, m); err != nil || len(changed) != 1 || changed[0] != "films.csv" {
		t.Fatalf("%q, %v", changed, err)
	}
	files = written(t, dir)
	for name, f := range m {
		if name != datapackage.DescriptorFile && !bytes.Equal(files[name], f.Data) {
			t.Errorf("%s is not what it was", name)
		}
	}
	a, b := strings.Split(string(old), "\n"), strings.Split(string(files[datapackage.DescriptorFile]), "\n")
	if len(a) != len(b) {
		t.Fatalf("%d lines, want %d", len(b), len(a))
	}
	differ := 0
	for i := range a {
		if a[i] != b[i] {
			differ++
			if !strings.Contains(b[i], `"bytes"`) && !strings.Contains(b[i], `"hash"`) {
				t.Errorf("line %d: %q, was %q", i+1, b[i], a[i])
			}
		}
	}
	if differ != 2 {
		t.Errorf("%d lines differ, want 2", differ)
	}
}

// What cannot be right, or cannot be taken along, is refused and said.
func TestSealRefuses(t *testing.T) {
	said := held.New(t)
	dir := filepath.Join(t.TempDir(), "new")
	m := thirdParty(t)
	swap(m, "films.csv", "measured", "guessed")
	if _, err := SealPackage(dir, m); !said.Is("", err, datafile.ErrData) || !strings.Contains(err.Error(), "films.csv:3") {
		t.Errorf("a word that is none: %v", err)
	}
	m = thirdParty(t)
	delete(m, "pictures/strip2.png")
	if _, err := SealPackage(dir, m); !said.Is("", err, datafile.ErrData) || !strings.Contains(err.Error(), "strip2.png") {
		t.Errorf("a picture that is gone: %v", err)
	}
	m = thirdParty(t)
	m["LINK"] = &fstest.MapFile{Data: []byte("LICENSE"), Mode: fs.ModeSymlink}
	if _, err := SealPackage(dir, m); !said.Is("", err, datafile.ErrData) || !strings.Contains(err.Error(), "LINK") {
		t.Errorf("a link: %v", err)
	}
	if _, err := os.Stat(dir); !said.Refused("", err) {
		t.Error("something was written")
	}
	// A size and a hash that are missing are put in.
	m = smallFS()
	swap(m, datapackage.DescriptorFile, `"bytes"`, `"octets"`)
	if changed, err := SealPackage(dir, m); err != nil || len(changed) != 1 {
		t.Errorf("%q, %v", changed, err)
	}
}
