package datapackage_test

import (
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	. "example.org/actinic/internal/datapackage"
	"example.org/actinic/internal/wholedir"
	"example.org/actinic/sensito/datafile"
)

// A table names the citations that its rows quote by their short names, each once and in order; the table of sources
// itself names none.
func TestCited(t *testing.T) {
	sources := Table{Name: "sources", Fields: []Field{Text("source", ""), Text("citation", "")}}
	points := Table{Name: "points", Fields: []Field{Text("film", ""), Text("source", "")}}
	plain := Table{Name: "plain", Fields: []Field{Text("film", "")}}
	files, err := Files(Info{Name: "a", Version: "1.0.0"}, []Filled{
		{sources, [][]string{{"b", "A book (doi: 10.1000/xyz)."}, {"a", "An article, https://example.org/a;"}, {"n", "notes"}}},
		{points, [][]string{{"x", "b"}, {"y", "a"}, {"z", "b"}, {"u", ""}, {"v", "nobody"}}}, {plain, [][]string{{"x"}}},
	})
	if err != nil {
		t.Fatal(err)
	}
	var d struct {
		Licenses  []map[string]string
		Sources   []map[string]string
		Resources []struct {
			Name    string
			Sources []map[string]string
		}
	}
	if err := json.Unmarshal(files[DescriptorFile], &d); err != nil {
		t.Fatal(err)
	}
	if got, want := fmt.Sprint(d.Resources), "[{sources []} {points [map[path:https://doi.org/10.1000/xyz title:A book (doi: 10.1000/xyz).] map[path:https://example.org/a title:An article, https://example.org/a;]]} {plain []}]"; got != want {
		t.Errorf("%s, want %s", got, want)
	}
	if d.Sources != nil || fmt.Sprint(d.Licenses) != "[map[name:CC0-1.0 path:https://creativecommons.org/publicdomain/zero/1.0/ title:CC0 1.0 Universal]]" {
		t.Errorf("%v, %v", d.Sources, d.Licenses)
	}
	for license, want := range map[string]string{"MIT": "[map[name:MIT]]", NoLicense: "[map[name:LicenseRef-not-stated title:No licence was stated: ask who made the package]]"} {
		d.Licenses = nil
		files, err := Files(Info{License: license}, nil)
		if err != nil || json.Unmarshal(files[DescriptorFile], &d) != nil || fmt.Sprint(d.Licenses) != want {
			t.Errorf("%s: %v, %v", license, d.Licenses, err)
		}
	}
	_, err = Files(Info{}, []Filled{{points, [][]string{{"x", "b"}, {"y"}}}})
	if !errors.Is(err, datafile.ErrData) || !strings.HasSuffix(err.Error(), "table points has a row of 1 cells for 2 fields") {
		t.Error(err)
	}
}

// Rows of one film alone are those of a table that begins with films and quotes nothing.
func TestOnly(t *testing.T) {
	table := func(name string) *Table { return &Table{Name: name, Fields: []Field{Text("film", ""), Text("x", "")}} }
	for _, c := range []struct{ content, want string }{
		{"film,x\nmill,1\nslate,2\nmill,3\nmillstone,4\n", "[1 3]"}, {"film,x\nslate,2\nmill,3", "[3]"}, {"film,x\nslate,2\n", "none"}, {"film,x\n", "none"},
		{"film,x\nmill,\"1\"\nslate,2\n", "[1 2]"}, {"x,film\n1,mill\n2,slate\n", "[1 2]"},
	} {
		fsys := fstest.MapFS{"t.csv": {Data: []byte(c.content)}, "u.csv": {Data: []byte("film,x\nmill,9\n")}}
		p := Trusted(fsys, []Table{*table("t"), *table("u"), *table("v")})
		if len(p.Resources) != 2 || p.Resource("v") != nil || p.Resource("u").Path != "u.csv" {
			t.Errorf("%+v", p.Resources)
		}
		got, err := p.Only("mill").Read(table("t"))
		said := "none"
		if got != nil {
			var xs []string
			for _, r := range got.Rows {
				xs = append(xs, got.Text(r, "x"))
			}
			said = fmt.Sprint(xs)
		}
		if err != nil || said != c.want {
			t.Errorf("%q: %s, %v, want %s", c.content, said, err, c.want)
		}
		whole, err := p.Read(table("t")) // the package itself is as it was
		if err != nil || len(whole.Rows) != strings.Count(strings.TrimSuffix(c.content, "\n"), "\n") {
			t.Errorf("%q, whole: %v", c.content, err)
		}
		if none, err := p.Read(table("v")); none != nil || err != nil {
			t.Errorf("a table that is not there: %v, %v", none, err)
		}
	}
}

// A directory is written where none is, below others too; what the check refuses is nowhere.
func TestWriteDir(t *testing.T) {
	files := map[string][]byte{"a.csv": []byte("a\n1\n"), "below/b.csv": []byte("b\n")}
	dir := filepath.Join(t.TempDir(), "package")
	refused := errors.New("refused")
	err := WriteDir(dir, files, func(fsys fs.FS) error {
		if b, err := fs.ReadFile(fsys, "below/b.csv"); err != nil || string(b) != "b\n" {
			t.Errorf("%q, %v", b, err)
		}
		return refused
	})
	if _, stat := os.Stat(dir); !errors.Is(err, refused) || err.Error() != "actinic: refused" || !errors.Is(stat, fs.ErrNotExist) {
		t.Errorf("%v, %v", err, stat)
	}
	bad := fmt.Errorf("%w: bad", datafile.ErrData)
	if err := WriteDir(dir, files, func(fs.FS) error { return bad }); !errors.Is(err, bad) || strings.HasPrefix(err.Error(), "actinic: ") && !strings.HasPrefix(bad.Error(), "actinic: ") {
		t.Error(err)
	}
	fine := func(fs.FS) error { return nil }
	if err := WriteDir(dir, files, fine); err != nil {
		t.Fatal(err)
	}
	var names []string
	if err := filepath.WalkDir(dir, func(name string, e fs.DirEntry, err error) error {
		if err == nil && !e.IsDir() {
			below, _ := filepath.Rel(dir, name)
			names = append(names, filepath.ToSlash(below))
		}
		return err
	}); err != nil || !slices.Equal(names, []string{"a.csv", "below/b.csv"}) {
		t.Errorf("%v, %v", names, err)
	}
	if err := WriteDir(dir, files, fine); !errors.Is(err, os.ErrExist) || !strings.HasSuffix(err.Error(), "; a package is written to a new directory") {
		t.Error(err)
	}
	if err := WriteDir(filepath.Join(dir, "a.csv", "x"), files, fine); err == nil || errors.Is(err, wholedir.ErrBusy) || !strings.HasPrefix(err.Error(), "actinic: ") {
		t.Error(err)
	}
}

// A descriptor whose texts are none cannot be used; a text is not asked of what may be anything.
func TestOpenRefuses(t *testing.T) {
	for _, c := range []struct{ old, now, want string }{
		{`"name": "a"`, `"name": 3`, `datapackage.json:2:45: name: read "3", want a descriptor of a data package (a text)`},
		{`"version": "1.0.0"`, `"version": ["1"]`, `datapackage.json:2:61: version: read "[…]", want a descriptor of a data package (a text)`},
		{`[{"name": "CC0-1.0"}]`, `[{"name": null}]`, `datapackage.json:2:92: name: read "null", want a descriptor of a data package (a text)`},
		{`"name": "places"`, `"name": {}`, `datapackage.json:3:24: name: read "{…}", want a descriptor of a data package (a text)`},
		{`{"name": "level"`, `{"name": true`, `datapackage.json:6:10: name: read "true", want a descriptor of a data package (a text)`},
		{`"sources": [{"title": "invented"}]`, `"sources": [], "contributors": [{"title": 1, "path": "x"}]`, `datapackage.json:2:147: title: read "1", want a descriptor of a data package (a text)`},
		{`"sources": [{"title": "invented"}]`, `"sources": [], "sources": []`, `datapackage.json:2:120: member: read "sources", want each member once`},
		{`{"version": "1.0"}`, `{"version": "9.0"}`, `datapackage.json:2:29: film_package.version: read "9.0", want version 1 of the format, with any number behind the point; a library of that version reads it`},
		{`"name": "a"`, `"name": a`, `datapackage.json:2:45: want a descriptor of a data package ('a' where a value is expected)`},
	} {
		p, err := Open(as(t, c.old, c.now, places))
		if p != nil || !errors.Is(err, datafile.ErrData) || err.Error() != c.want {
			t.Errorf("%s: %v", c.now, err)
		}
	}
	if _, err := Open(nil); !errors.Is(err, datafile.ErrData) || !strings.HasSuffix(err.Error(), "no file system") {
		t.Error(err)
	}
	if _, err := Open(fstest.MapFS{}); !errors.Is(err, fs.ErrNotExist) || !strings.HasPrefix(err.Error(), "actinic: a package needs datapackage.json: ") {
		t.Error(err)
	}
	p, err := Open(as(t, `"sources": [{"title": "invented"}]`, `"sources": [], "keywords": ["x"], "contributors": [{"title": "Nobody", "roles": ["author"]}], "homepage": "h", "id": "i", "created": "c", "title": "T", "description": "D"`, places))
	if err != nil {
		t.Fatal(err)
	}
	if got, want := fmt.Sprintf("%+v", p.Info), "{Name:a Title:T Description:D Version:1.0.0 ID:i Homepage:h Created:c Keywords:[x] Contributors:[{Title:Nobody Path: Roles:[author]}] License:CC0-1.0 Sources:[] Format:<nil>}"; got != want {
		t.Errorf("%s, want %s", got, want)
	}
	if r := p.Resource("places"); r == nil || r.Path != "places.csv" || !slices.Equal(r.Fields, []string{"place", "level"}) {
		t.Errorf("%+v", r)
	}
}
