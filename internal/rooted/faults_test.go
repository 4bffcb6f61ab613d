package rooted

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"testing/fstest"

	"example.org/actinic/internal/held"
)

func TestKindsByName(t *testing.T) {
	said := held.New(t)
	for name, m := range map[string]fs.FileMode{
		"link": fs.ModeSymlink, "folder": fs.ModeDir, "pipe": fs.ModeNamedPipe, "device": fs.ModeDevice,
		"character device": fs.ModeDevice | fs.ModeCharDevice, "socket": fs.ModeSocket, "irregular": fs.ModeIrregular,
	} {
		if err := kind(m | 0o644); !said.Is(name, err, ErrKind) {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// faulty is a file system of one file that fails at a place.
type faulty struct {
	fstest.MapFS
	at string
}

var errFault = errors.New("a fault of the disk")

func (f faulty) Stat(name string) (fs.FileInfo, error) {
	if f.at == "stat" {
		return nil, errFault
	}
	return f.MapFS.Stat(name)
}

func (f faulty) Open(name string) (fs.File, error) {
	if f.at == "open" {
		return nil, errFault
	}
	file, err := f.MapFS.Open(name)
	return faultyFile{file, f.at}, err
}

type faultyFile struct {
	fs.File
	at string
}

func (f faultyFile) Stat() (fs.FileInfo, error) {
	if f.at == "stat of the open file" {
		return nil, errFault
	}
	return f.File.Stat()
}

func (f faultyFile) Read(b []byte) (int, error) {
	if f.at == "read" {
		return 0, errFault
	}
	return f.File.Read(b)
}

func TestFaultsAreErrors(t *testing.T) {
	said := held.New(t)
	files := fstest.MapFS{"a.csv": {Data: []byte("abc")}, "dir/b": {}}
	for _, at := range []string{"stat", "open", "stat of the open file", "read"} {
		if b, err := ReadFile(faulty{files, at}, "a.csv"); b != nil || !said.Is(at, err, errFault) {
			t.Errorf("%s: %q, %v", at, b, err)
		}
	}
	if b, err := ReadFile(faulty{files, ""}, "a.csv"); err != nil || string(b) != "abc" {
		t.Errorf("without a fault: %q, %v", b, err)
	}
	for name, file := range map[string]string{"nothing": "x", "a folder": "dir", "beyond": "../x", "a file as a folder": "a.csv/b"} {
		if _, err := ReadFile(files, file); !said.Refused(name, err) {
			t.Errorf("%s is read", name)
		}
	}
	many := io.LimitReader(zeros{}, Most)
	if b, err := Limited(many); err != nil || len(b) != Most {
		t.Errorf("%d bytes, %v", len(b), err)
	}
	if _, err := Limited(io.LimitReader(zeros{}, Most+1)); !said.Is("one byte more", err, ErrSize) {
		t.Error(err)
	}
}

type zeros struct{}

func (zeros) Read(b []byte) (int, error) { clear(b); return len(b), nil }

// A folder that is closed, or is none, is an error at every call, with the folder's name.
func TestFolders(t *testing.T) {
	said := held.New(t)
	dir := t.TempDir()
	if err := errors.Join(os.WriteFile(filepath.Join(dir, "a"), []byte("abc"), 0o644), os.MkdirAll(filepath.Join(dir, "b", "c"), 0o755)); err != nil {
		t.Fatal(err)
	}
	for _, name := range []string{"nothing", "a", "a/b"} {
		d, err := Open(filepath.Join(dir, name))
		if d != nil || !said.Refused(fmt.Sprintf("open %s as a folder", name), err) {
			t.Errorf("%s: %v, %v", name, d, err)
		}
	}
	d, err := Open(dir)
	if err != nil {
		t.Fatal(err)
	}
	for _, name := range []string{"a", "b", "b/c", "."} {
		f, err := d.Open(name)
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		f.Close()
	}
	for _, name := range []string{"", "/a", "a/b", "b/x", "x/y"} {
		if _, err := d.Open(name); !said.Refused("open "+name, err) || !strings.Contains(err.Error(), dir) {
			t.Errorf("%s: %v", name, err)
		}
	}
	_, err = d.Lstat("x")
	said.Refused("lstat", err)
	_, err = d.ReadLink("a")
	said.Refused("read a link", err)
	if err := d.Close(); err != nil {
		t.Error(err)
	}
	_, err = d.Open("a")
	said.Refused("open when closed", err)
}

// Between the look at a file and its opening all may happen.
func TestFaultsAfterTheLook(t *testing.T) {
	dir := t.TempDir()
	if err := os.WriteFile(filepath.Join(dir, "a"), []byte("abc"), 0o644); err != nil {
		t.Fatal(err)
	}
	d, err := Open(dir)
	if err != nil {
		t.Fatal(err)
	}
	defer d.Close()
	openIn = func(*os.Root, string) (*os.File, error) { return nil, errFault }
	defer func() { openRoot, openIn = os.OpenRoot, (*os.Root).Open }()
	if f, err := d.Open("a"); f != nil || err != errFault {
		t.Errorf("%v, %v", f, err)
	}
	openIn = func(r *os.Root, _ string) (*os.File, error) { return r.Open("gone") }
	if _, err := d.Open("a"); !errors.Is(err, fs.ErrNotExist) || !strings.Contains(err.Error(), "open "+filepath.Join(dir, "gone")+": ") {
		t.Error(err)
	}
	openRoot = func(string) (*os.Root, error) { return nil, errFault }
	if d, err := Open(dir); d != nil || err != errFault {
		t.Errorf("%v, %v", d, err)
	}
}

// Room for a file of known size is made once.
func TestReadsInOnePiece(t *testing.T) {
	files := fstest.MapFS{"none": {}, "large": {Data: make([]byte, 1<<20)}, "one": {Data: []byte{1}}}
	made := map[string]float64{}
	for name := range files {
		made[name] = testing.AllocsPerRun(20, func() {
			if b, err := ReadFile(files, name); err != nil || len(b) != len(files[name].Data) {
				t.Errorf("%s: %d bytes, %v", name, len(b), err)
			}
		})
	}
	if made["large"] != made["one"] || made["none"] != made["one"] {
		t.Errorf("allocations: %v", made)
	}
}
