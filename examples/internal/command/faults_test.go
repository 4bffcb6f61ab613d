package command

import (
	"errors"
	"io/fs"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"testing/fstest"

	"example.org/actinic/internal/held"
)

// faulty opens files that cannot be read, or not even opened.
type faulty struct {
	fstest.MapFS
	open bool
}

func (f faulty) Open(name string) (fs.File, error) {
	if !f.open {
		return nil, errors.New("a fault of the disk")
	}
	file, err := f.MapFS.Open(name)
	return unreadable{file}, err
}

func (f faulty) Stat(name string) (fs.FileInfo, error) { return f.MapFS.Stat(name) }

type unreadable struct{ fs.File }

func (unreadable) Read([]byte) (int, error) { return 0, errors.New("a fault of the disk") }

// What cannot be read, written or said is an error.
func TestFaultsAreErrors(t *testing.T) {
	said := held.New(t)
	files := fstest.MapFS{"a.csv": {Data: []byte("abc")}}
	for name, open := range map[string]bool{"not opened": false, "not read": true} {
		if _, err := MadeOf(faulty{files, open}, "a.csv"); !said.Refused(name, err) {
			t.Errorf("%s: no error", name)
		}
	}
	m := MadeFrom("a", nil)
	for name, v := range map[string]any{"NaN": math.NaN(), "a list": []int{1}, "a text": "{", "nothing": nil} {
		if _, err := m.With(v); !said.Refused(name, err) {
			t.Errorf("%s is an object", name)
		}
		if err := m.Print(&strings.Builder{}, v); err == nil {
			t.Errorf("%s is printed", name)
		}
	}
	if err := m.Print(full{}, struct{}{}); !said.Refused("full disk", err) {
		t.Error("a full disk")
	}
	dir := t.TempDir()
	for name, file := range map[string]string{"no file": "nothing", "folder": "."} {
		if b, err := ReadFile(filepath.Join(dir, file)); b != nil || !said.Refused(name, err) {
			t.Errorf("%s: %q, %v", name, b, err)
		}
	}
	if err := os.WriteFile(filepath.Join(dir, "a"), []byte("abc"), 0o644); err != nil {
		t.Fatal(err)
	}
	if b, err := ReadFile(filepath.Join(dir, "a")); err != nil || string(b) != "abc" {
		t.Errorf("%q, %v", b, err)
	}
	for _, name := range []string{"nothing", "a"} {
		if _, _, err := Folder(filepath.Join(dir, name)); !said.Refused("folder "+name, err) {
			t.Errorf("%s is a folder", name)
		}
	}
	if _, _, err := Light("10K"); !said.Refused("too cold", err) {
		t.Error("a light of 10 K")
	}
	if err := JSON(full{}, 1); !said.Refused("JSON on a full disk", err) {
		t.Error("a full disk")
	}
	line := func(most int, args ...string) error { return New("name", "", &strings.Builder{}).Parse(args, most) }
	said.Refused("a file too many", line(0, "x"))
	said.Refused("two files too many", line(1, "x", "y"))
	said.Refused("unknown flag", line(1, "-x"))
	for name, err := range map[string]error{"one": line(1, "x"), "none": line(0), "one of two": line(2, "x")} {
		if err != nil {
			t.Errorf("%s: %v", name, err)
		}
	}
}
