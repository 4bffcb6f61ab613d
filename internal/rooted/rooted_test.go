package rooted

import (
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"testing/fstest"

	"example.org/actinic/internal/held"
)

// What is a file is read, what is none is refused, by a root and by os.DirFS alike.
func TestNothingLeaves(t *testing.T) {
	said := held.New(t)
	outside := filepath.Join(t.TempDir(), "secret")
	dir := t.TempDir()
	if err := os.WriteFile(outside, []byte("secret"), 0o644); err != nil {
		t.Fatal(err)
	}
	for _, err := range []error{
		os.WriteFile(filepath.Join(dir, "plain"), []byte("content"), 0o644),
		os.Mkdir(filepath.Join(dir, "folder"), 0o755),
		os.WriteFile(filepath.Join(dir, "folder", "plain"), []byte("content"), 0o644),
	} {
		if err != nil {
			t.Fatal(err)
		}
	}
	for name, to := range map[string]string{"out": outside, "above": "../" + filepath.Base(filepath.Dir(outside)), "in": "plain", "zero": "/dev/zero", "loop": "loop", "folderlink": "folder"} {
		if err := os.Symlink(to, filepath.Join(dir, name)); err != nil {
			t.Skip("no symbolic links here: ", err)
		}
	}
	bad := []string{"out", "above/secret", "in", "zero", "loop", "folder", "folderlink/plain"}
	if err := exec.Command("mkfifo", filepath.Join(dir, "pipe")).Run(); !said.Refused("", err) {
		bad = append(bad, "pipe")
	}
	root, err := Open(dir)
	if err != nil {
		t.Fatal(err)
	}
	defer root.Close()
	for what, fsys := range map[string]fs.FS{"root": root, "os.DirFS": lstats{os.DirFS(dir), dir}} {
		for _, name := range []string{"plain", "folder/plain"} {
			if b, err := ReadFile(fsys, name); err != nil || string(b) != "content" {
				t.Errorf("%s: %s: %q, %v", what, name, b, err)
			}
		}
		for _, name := range bad {
			if b, err := ReadFile(fsys, name); !said.Is(what, err, ErrKind) {
				t.Errorf("%s: %s: %q, %v", what, name, b, err)
			}
		}
		for _, name := range []string{"../secret", "/etc/passwd", "", "a//b"} {
			if b, err := ReadFile(fsys, name); !said.Refused(what, err) {
				t.Errorf("%s: %s: %q", what, name, b)
			}
		}
		if _, err := ReadFile(fsys, "absent"); !said.Is(what, err, fs.ErrNotExist) {
			t.Errorf("%s: %v", what, err)
		}
	}
	if _, err := root.Open("absent"); !said.Refused("", err) || !strings.Contains(err.Error(), dir) {
		t.Errorf("%v does not name the folder", err)
	}
	if _, err := Open(filepath.Join(dir, "plain")); !said.Refused("", err) {
		t.Error("a file is opened as a folder")
	}
}

// lstats is os.DirFS with the Lstat that it has from go1.25 on.
type lstats struct {
	fs.FS
	dir string
}

func (l lstats) Lstat(name string) (fs.FileInfo, error) {
	return os.Lstat(filepath.Join(l.dir, filepath.FromSlash(name)))
}

func TestLimit(t *testing.T) {
	said := held.New(t)
	m := fstest.MapFS{"large": {Data: make([]byte, Most+1)}, "most": {Data: make([]byte, Most)}}
	if _, err := ReadFile(m, "large"); !said.Is("", err, ErrSize) {
		t.Error(err)
	}
	if b, err := ReadFile(m, "most"); err != nil || len(b) != Most {
		t.Error(len(b), err)
	}
}
