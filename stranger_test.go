package actinic

import (
	"bytes"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"example.org/actinic/internal/datapackage"
	"example.org/actinic/internal/held"
	"example.org/actinic/internal/rooted"
	"example.org/actinic/sensito/datafile"
)

// Checker and reader see one package: what the one refuses of a descriptor, the other
// refuses too. Each of these was passed by one of them once.
func TestOneReaderOneTruth(t *testing.T) {
	const d = datapackage.DescriptorFile
	for _, c := range []struct {
		name   string
		change func(fstest.MapFS)
		want   string // of both; "" where both take it
	}{
		{"a path in two spellings", func(m fstest.MapFS) {
			m["evil.txt"] = &fstest.MapFile{Data: bytes.Replace(m["indexes.csv"].Data, []byte(",200,180,220,"), []byte(",2000,1800,2200,"), 1)}
			swap(m, d, `"path": "indexes.csv",`, `"path": "indexes.csv", "Path": "evil.txt",`)
		}, `member: read "Path", want no name that differs from "path" in capitals only`},
		{"a version in two spellings", func(m fstest.MapFS) {
			swap(m, d, `"version": "1.2.3",`, `"version": "1.2.3", "Version": "9.9.9",`)
		}, `member: read "Version"`},
		{"a path twice", func(m fstest.MapFS) {
			swap(m, d, `"path": "indexes.csv",`, `"path": "indexes.csv", "path": "films.csv",`)
		}, `member: read "path", want each member once`},
		{"bytes that are no text", func(m fstest.MapFS) { swap(m, d, `"title": "Films"`, "\"title\": \"Fil\xffms\"") }, "not UTF-8"},
		{"half a character", func(m fstest.MapFS) { swap(m, d, `"title": "Films"`, `"title": "\ud800"`) }, "half a character"},
		{"a byte order mark", func(m fstest.MapFS) { m[d].Data = append([]byte("\ufeff"), m[d].Data...) }, ""},
		{"a size written 97.0", func(m fstest.MapFS) {
			m[d].Data = bytes.Replace(m[d].Data, []byte(",\n      \"hash\""), []byte(".0,\n      \"hash\""), 1)
		}, ""},
		{"a name in capitals", func(m fstest.MapFS) { swap(m, d, `"name": "films"`, `"Name": "films"`) }, "films"},
		{"a list of paths", func(m fstest.MapFS) { swap(m, d, `"path": "films.csv"`, `"path": ["films.csv"]`) }, `path: read "[…]"`},
		{"a path with an escape sequence", func(m fstest.MapFS) { swap(m, d, `"path": "films.csv"`, `"path": "\u001b[31m.csv"`) }, `path: read "\x1b[31m.csv", want the path of a file in the package`},
		{"a hexadecimal number", func(m fstest.MapFS) { swap(m, "curves.csv", ",0.62,", ",0x1p-1,") }, `gamma: read "0x1p-1", want a number`},
		{"an underscore", func(m fstest.MapFS) { swap(m, "curves.csv", ",0.62,", ",0_0.62,") }, `gamma: read "0_0.62", want a number`},
	} {
		m := smallFS()
		c.change(m)
		seal(m)
		_, read := ReadPackage(m, Verify)
		for what, err := range map[string]error{"check": CheckPackage(m), "read": read} {
			switch {
			case c.want == "" && err != nil:
				t.Errorf("%s: %s: %v", c.name, what, err)
			case c.want != "" && (err == nil || !strings.Contains(err.Error(), c.want)):
				t.Errorf("%s: %s: %v, want %s", c.name, what, err, c.want)
			case err != nil && strings.Contains(err.Error(), "Go "):
				t.Errorf("%s: %s: %v names a type of the language", c.name, what, err)
			}
		}
	}
}

// A package is held to its hashes when it is used, if that is asked for.
func TestVerify(t *testing.T) {
	said := held.New(t)
	m := smallFS()
	swap(m, "indexes.csv", ",200,180,220,", ",202,180,220,")
	if _, err := ReadPackage(m); err != nil {
		t.Errorf("without Verify: %v", err)
	}
	_, err := ReadPackage(m, Verify)
	if !said.Is("", err, datafile.ErrData) || !strings.Contains(err.Error(), "hash: read \"sha256:") {
		t.Errorf("changed since: %v", err)
	}
	m = smallFS()
	delete(m, "readings.csv")
	if _, err = ReadPackage(m, Verify); !said.Is("", err, datafile.ErrData) || !strings.Contains(err.Error(), "readings.csv") {
		t.Errorf("a table that is gone: %v", err)
	}
	m = smallFS()
	swap(m, datapackage.DescriptorFile, "\"hash\"", "\"hush\"")
	if _, err = ReadPackage(m, Verify); !said.Is("", err, datafile.ErrData) {
		t.Errorf("a table without a hash: %v", err)
	}
}

// A link out of the package is refused, and what it leads to is in no message.
func TestNothingLeavesAPackage(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "package")
	if err := WritePackage(dir, smallInfo, must(NewFilm(smallFilm("Aber")))); err != nil {
		t.Fatal(err)
	}
	outside := filepath.Join(t.TempDir(), "secret.csv")
	if err := os.WriteFile(outside, []byte("root:x:0:0:root\n"), 0o644); err != nil {
		t.Fatal(err)
	}
	name := filepath.Join(dir, "films.csv")
	if err := os.Remove(name); err != nil {
		t.Fatal(err)
	}
	for _, to := range []string{outside, "/dev/zero", "../package/films.csv"} {
		os.Remove(name)
		if err := os.Symlink(to, name); err != nil {
			t.Skip("no symbolic links here: ", err)
		}
		root, err := rooted.Open(dir)
		if err != nil {
			t.Fatal(err)
		}
		_, read := ReadPackage(root)
		for what, err := range map[string]error{"check": CheckPackage(root), "read": read} {
			if err == nil || strings.Contains(err.Error(), "root:x") || !strings.Contains(err.Error(), "symbolic link") {
				t.Errorf("%s of a link to %s: %v", what, to, err)
			}
		}
		root.Close()
	}
}

// A text put anywhere into the descriptor or a table: what the check passes, the reader
// takes, with hashes and without, and both see the same; what JSON the one refuses, the
// other refuses.
func FuzzOneVerdict(f *testing.F) {
	f.Add(datapackage.DescriptorFile, 100, 0, `"Path": "evil.txt", `)
	f.Add(datapackage.DescriptorFile, 60, 10, `"version": "1.0.0",`)
	f.Add(datapackage.DescriptorFile, 30, 3, "\xff\\ud800")
	f.Add("curves.csv", 90, 4, ",0x1p4,1_000,")
	f.Add("indexes.csv", 60, 2, "9e9")
	whole := must(datapackage.Open(smallFS()))
	f.Fuzz(func(t *testing.T, name string, at, cut int, text string) {
		m := smallFS()
		if m[name] == nil || at < 0 || cut < 0 || at > len(m[name].Data) || cut > len(m[name].Data)-at {
			return
		}
		old := m[name].Data
		m[name].Data = slices.Concat(old[:at], []byte(text), old[at+cut:])
		seal(m)
		p, err := ReadPackage(m, Verify)
		if check := CheckPackage(m); check != nil {
			return
		}
		if err != nil {
			t.Fatalf("the check passes what the reader refuses: %v", err)
		}
		if _, err := ReadPackage(m); err != nil {
			t.Fatalf("refused without hashes: %v", err)
		}
		for _, film := range p.Films() {
			if _, err := p.Film(film); err != nil {
				t.Fatalf("the check passes a film that cannot be made: %v", err)
			}
		}
		o := must(datapackage.Open(m))
		if o.Info.Version != o.Root.Get("version").Text() || len(o.Resources) < len(whole.Resources) && name != datapackage.DescriptorFile {
			t.Fatalf("two versions of one descriptor: %q", o.Info.Version)
		}
	})
}
