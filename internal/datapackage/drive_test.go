package datapackage_test

import (
	"bytes"
	"maps"
	"regexp"
	"strings"
	"testing"
	"testing/fstest"

	. "example.org/actinic/internal/datapackage"
	"example.org/actinic/internal/held"
)

func example() (Info, []Filled) {
	info := Info{Name: "a-package", Title: "A package", Description: "Made up.", Version: "1.2.3", ID: "https://example.org/a", Homepage: "https://example.org", Created: "2026-11-25T00:00:00Z",
		Keywords: []string{"film"}, Contributors: []Contributor{{Title: "Nobody", Path: "https://example.org/nobody", Roles: []string{"author"}}}, Sources: []string{"A book, p. 3: https://example.org/book", "invented"},
		Format: &Format{Version: FormatVersion, File: SchemaFile, Schema: []byte("{}")}}
	films := Table{Name: "films", Title: "Films", About: "What there is.", Key: []string{"film"},
		Fields: []Field{Text("film", "its name").Must(), Number("ei", "1", "its index", 1, 1e6), Text("process", "how").OneOf("normal", "pushed").Must(), {Name: "grains", Kind: "integer", About: "a count"}}}
	points := Table{Name: "points", Title: "Points", About: "Readings.", Key: []string{"film", "time_min"}, Foreign: []Foreign{{[]string{"film"}, "films", []string{"film"}}},
		Fields: []Field{Text("film", "whose").Must(), Number("time_min", "min", "its time", 0).Must().Ordered("increasing"), Number("contrast", "1", "reached", 0, 3).Saying("how steep"), Number("log_h_lx_s", "{log10(lx.s)}", "where")}}
	return info, []Filled{{films, [][]string{{"Slate 100", "100", "normal", "7"}, {"Mill 400", "400", "pushed", ""}}},
		{points, [][]string{{"Slate 100", "5", "0.5", "-2"}, {"Slate 100", "8", "0.62", ""}, {"Mill 400", "6", "0.7", "-1.5"}, {"Mill 400", "9", "0.81", "0"}}}}
}

// known are the tables whose layout the reader knows.
func known(name string) *Table {
	_, tables := example()
	for _, t := range tables {
		if t.Name == name {
			return &t.Table
		}
	}
	return nil
}

// What a package with one thing changed is told, in its descriptor and in its tables, is held to what it was: once
// with the sums of its files as they were, and once sealed again.
func TestDrive(t *testing.T) {
	files, err := Files(example())
	if err != nil {
		t.Fatal(err)
	}
	said := held.New(t)
	tell := func(m map[string][]byte) ([]string, error) {
		fsys := fstest.MapFS{}
		for name, content := range m {
			fsys[name] = &fstest.MapFile{Data: content}
		}
		var all []string
		c, err := Check(fsys, known)
		if err != nil {
			return nil, err
		}
		for _, e := range c.Errs {
			all = append(all, e.Error())
		}
		all = append(all, c.Remarks...)
		p, err := Open(fsys)
		if err != nil {
			return all, err
		}
		all = append(all, p.Verify(func(string) bool { return true }).Error())
		for _, name := range []string{"films", "points"} {
			if p.Resource(name) == nil {
				continue
			}
			if table, err := p.Read(known(name)); err != nil {
				all = append(all, err.Error())
			} else {
				all = append(all, strings.Join(table.Names(), " "))
			}
		}
		return all, nil
	}
	sealed := func(m map[string][]byte) ([]string, error) {
		fsys := fstest.MapFS{}
		for name, content := range m {
			fsys[name] = &fstest.MapFile{Data: content}
		}
		again, changed, err := Sealed(fsys, func(string) bool { return true })
		if err != nil {
			return changed, err
		}
		maps.Copy(m, again)
		said, err := tell(m)
		return append(changed, said...), err
	}
	with := func(name string, content []byte) map[string][]byte {
		m := maps.Clone(files)
		m[name] = content
		return m
	}
	var pool []any
	for _, name := range []string{"films.csv", "points.csv"} {
		for _, v := range held.Every(string(files[name])) {
			pool = append(pool, with(name, v.([]byte)))
		}
	}
	lines := strings.Split(string(files[DescriptorFile]), "\n")
	value := regexp.MustCompile(`: .*?(,?)$`)
	for i, line := range lines {
		for k, other := range []string{"", line + "\n" + line, value.ReplaceAllString(line, ": 17$1"), value.ReplaceAllString(line, `: "x y"$1`), value.ReplaceAllString(line, ": null$1"), strings.ToUpper(line)} {
			if k%2 != i%2 || other == line {
				continue
			}
			changed := append([]string(nil), lines...)
			changed[i] = other
			pool = append(pool, with(DescriptorFile, []byte(strings.Join(changed, "\n"))))
		}
	}
	said.Drive([]any{tell, sealed}, append(pool, held.Summed{})...)
}

// What is written of an example, and what is not.
func TestDriveWrites(t *testing.T) {
	info, tables := example()
	_, empty := example()
	empty[0].Rows = nil
	files := func(i Info, t []Filled) ([]string, error) {
		m, err := Files(i, t)
		var all []string
		for _, name := range []string{DescriptorFile, "films.csv", "points.csv"} {
			all = append(all, name)
			for line := range bytes.Lines(m[name]) {
				all = append(all, string(line))
			}
		}
		return all, err
	}
	pool := []any{info, Info{}, tables, empty, "a-package", "A Package", "1.2.3", "1.2", "", "..", "a/b.csv", "../x", "/etc", "a//b", "C:x", "a book: https://example.org/x", "see http://a.b and more", "x", "1.2.3-a", "01.2.3", "a.b", "-a", []byte("x"), []byte{}}
	for _, change := range []func(*Info){func(i *Info) { i.Name = "A b" }, func(i *Info) { i.Version = "1" }, func(i *Info) { i.License = "MIT" }, func(i *Info) { i.Sources = nil }, func(i *Info) { i.Created = "yesterday" },
		func(i *Info) { i.Homepage = "home" }, func(i *Info) { i.Contributors = []Contributor{{}} }, func(i *Info) { i.Format = nil }, func(i *Info) { i.Title = "a\nb" }, func(i *Info) { i.Keywords = []string{""} }} {
		i := info
		change(&i)
		pool = append(pool, i)
	}
	held.New(t).Drive([]any{files, HashOf, IsName, IsVersion, PathOf, SafePath}, pool...)
	held.New(t).Drive([]any{Field.Must, Field.OneOf, Field.Ordered, Field.Saying, (*Field).TitleOf, (*Table).Columns}, tables[0].Fields[0], tables[1].Fields[3], &tables[0].Fields[1], &tables[1].Fields[3], &tables[0].Table, "increasing", "words")
}
