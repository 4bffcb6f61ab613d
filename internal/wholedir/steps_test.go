//go:build linux

package wholedir

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"syscall"
	"testing"
)

var errStep = errors.New("the disk fails")

// failing has steps on the disk fail, counted from 0: those that fails says. It returns how many there
// were so far, and what puts all right again.
func failing(fails func(step int) bool) (steps func() int, right func()) {
	n := -1
	after := func(do func() error) error {
		if n++; fails(n) {
			return errStep
		}
		return do()
	}
	exchangeWas, openWas := exchange, openFile
	exchange = func(a, b string) error { return after(func() error { return exchangeWas(a, b) }) }
	mkdir = func(a string, m fs.FileMode) error { return after(func() error { return os.Mkdir(a, m) }) }
	mkdirAll = func(a string, m fs.FileMode) error { return after(func() error { return os.MkdirAll(a, m) }) }
	rename = func(a, b string) error { return after(func() error { return os.Rename(a, b) }) }
	remove = func(a string) error { return after(func() error { return os.Remove(a) }) }
	removeAll = func(a string) error { return after(func() error { return os.RemoveAll(a) }) }
	fsync = func(*os.File) error { return after(func() error { return nil }) } // takes long
	readDir = func(a string) (e []fs.DirEntry, err error) {
		err = after(func() error { e, err = os.ReadDir(a); return err })
		return e, err
	}
	lstat = func(a string) (i fs.FileInfo, err error) {
		err = after(func() error { i, err = os.Lstat(a); return err })
		return i, err
	}
	openFile = func(a string, flag int) (f *os.File, err error) {
		err = after(func() error { f, err = openWas(a, flag); return err })
		return f, err
	}
	return func() int { return n + 1 }, func() {
		exchange, mkdir, mkdirAll, rename, remove, removeAll = exchangeWas, os.Mkdir, os.MkdirAll, os.Rename, os.Remove, os.RemoveAll
		readDir, lstat, openFile, fsync = os.ReadDir, os.Lstat, openWas, func(*os.File) error { return nil }
	}
}

// noFlush spares a test the wait for the disk.
func noFlush(t *testing.T) {
	fsync = func(*os.File) error { return nil }
	t.Cleanup(func() { fsync = (*os.File).Sync })
}

// A few files are enough here.
func fillFew(word string) func(string) error {
	return func(dir string) error {
		if err := os.Mkdir(filepath.Join(dir, "package"), 0o755); err != nil {
			return err
		}
		return errors.Join(os.WriteFile(filepath.Join(dir, "a.csv"), []byte(word), 0o644), os.WriteFile(filepath.Join(dir, "package", "b.csv"), []byte(word), 0o644))
	}
}

func fewWord(dir string) string {
	a, err1 := os.ReadFile(filepath.Join(dir, "a.csv"))
	b, err2 := os.ReadFile(filepath.Join(dir, "package", "b.csv"))
	if err := errors.Join(err1, err2); err != nil || string(a) != string(b) {
		return fmt.Sprint(string(a), string(b), err)
	}
	return string(a)
}

// Whichever step on the disk fails, alone or with all after it, the error comes out and the folder is
// the old one or the new one, whole; what is left in the work folder is cleared by the next writer.
func TestEachStepMayFail(t *testing.T) {
	noFlush(t)
	both(t, func(t *testing.T) {
		for _, first := range []bool{true, false} {
			for _, lasting := range []bool{false, true} {
				reached, passed := true, 0
				for k := 0; reached; k++ {
					parent := t.TempDir()
					dir := filepath.Join(parent, "report")
					if !first {
						if err := Write(dir, anyPart, fillFew("old")); err != nil {
							t.Fatal(err)
						}
					}
					steps, right := failing(func(n int) bool { return n == k || lasting && n > k })
					err := Write(dir, anyPart, fillFew("new"))
					right()
					if reached = steps() > k; reached && err == nil && fewWord(dir) == "new" {
						passed++ // the look at the lock, which is tried again
					} else if reached != errors.Is(err, errStep) {
						t.Errorf("step %d of %d fails, lasting %t: %v", k, steps(), lasting, err)
					}
					stop := errors.New("stop")
					if err := Write(dir, anyPart, func(string) error { return stop }); !errors.Is(err, stop) || errors.Is(err, errStep) {
						t.Errorf("the next writer: %v", err)
					}
					got := fewWord(dir)
					if _, err := os.Stat(dir); got != "new" && !(!first && got == "old") && !(first && errors.Is(err, fs.ErrNotExist)) || !reached && got != "new" {
						t.Errorf("step %d fails, lasting %t: the folder says %q", k, lasting, got)
					}
					if err := Write(dir, anyPart, fillFew("next")); err != nil || fewWord(dir) != "next" {
						t.Errorf("step %d fails, lasting %t, then: %v", k, lasting, err)
					}
					only(t, parent, "report")
				}
				if passed > 1 || lasting && passed > 0 {
					t.Errorf("lasting %t: %d steps failed and nobody was told", lasting, passed)
				}
			}
		}
	})
}

// The same of files put into a folder.
func TestEachStepOfFilesMayFail(t *testing.T) {
	noFlush(t)
	reached, passed := true, 0
	for k := 0; reached; k++ {
		dir := t.TempDir()
		steps, right := failing(func(n int) bool { return n == k })
		err := Files(dir, map[string][]byte{"a": []byte("new"), "b": []byte("new")})
		right()
		if reached = steps() > k; reached && err == nil {
			passed++ // the look at the lock, which is tried again
		} else if reached != errors.Is(err, errStep) {
			t.Errorf("step %d of %d fails: %v", k, steps(), err)
		}
		if err := Files(dir, map[string][]byte{"a": []byte("next"), "b": []byte("next")}); err != nil {
			t.Error(err)
		}
		if e, err := os.ReadDir(dir); err != nil || len(e) != 2 {
			t.Errorf("%v, %v", e, err)
		}
	}
	if passed > 1 {
		t.Errorf("%d steps failed and nobody was told", passed)
	}
}

// A file system that cannot bring folders to the disk is none to complain of; any other error is.
func TestFolderSync(t *testing.T) {
	defer func() { fsync = (*os.File).Sync }()
	for err, want := range map[error]error{nil: nil, syscall.EINVAL: nil, syscall.ENOTSUP: nil, syscall.EIO: syscall.EIO} {
		fsync = func(*os.File) error { return err }
		if got := syncFolder(t.TempDir()); !errors.Is(got, want) || (got == nil) != (want == nil) {
			t.Errorf("%v: %v", err, got)
		}
	}
}

// A work folder that is no folder, or that another takes away again and again, is somebody else's.
func TestLockIsTheFolderThatIsThere(t *testing.T) {
	dir := t.TempDir()
	work := filepath.Join(dir, "work")
	if err := os.WriteFile(work, nil, 0o644); err != nil {
		t.Fatal(err)
	}
	if _, err := lock(work); !errors.Is(err, ErrBusy) {
		t.Errorf("a file: %v", err)
	}
	if err := os.Remove(work); err != nil {
		t.Fatal(err)
	}
	other, openWas := t.TempDir(), openFile
	defer func() { lstat, openFile = os.Lstat, openWas }()
	looks := 0
	lstat = func(string) (fs.FileInfo, error) {
		if looks++; looks < 3 {
			return os.Lstat(other) // another one by now
		}
		return os.Lstat(work)
	}
	unlock, err := lock(work)
	if err != nil || looks != 3 {
		t.Fatalf("%d looks: %v", looks, err)
	}
	if err := unlock(); err != nil {
		t.Error(err)
	}
	opened := 0
	openFile = func(string, int) (*os.File, error) { opened++; return nil, fs.ErrNotExist }
	if _, err := lock(work); !errors.Is(err, ErrBusy) || opened != 100 {
		t.Errorf("after %d tries: %v", opened, err)
	}
}

// Nothing but what a killed writer left is passed over: names that only begin or end so are looked at.
func TestWhatIsPassedOver(t *testing.T) {
	for name, passed := range map[string]bool{
		".writing-1": true, ".x.writing": true, "x.writing": false, ".x": false, "writing-1": false, ".x.writing-2": false,
	} {
		for _, folder := range []bool{true, false} {
			dir := t.TempDir()
			path := filepath.Join(dir, name)
			err := os.WriteFile(path, nil, 0o644)
			if folder {
				err = errors.Join(os.Remove(path), os.Mkdir(path, 0o755))
			}
			if err != nil {
				t.Fatal(err)
			}
			if err := refused(dir, func(string) bool { return false }); (err == nil) != (passed && folder) || err != nil && !errors.Is(err, ErrOther) {
				t.Errorf("%s, a folder %t: %v", name, folder, err)
			}
		}
	}
	dir := t.TempDir()
	if err := os.Symlink("nowhere", filepath.Join(dir, "a.csv")); err != nil {
		t.Fatal(err)
	}
	if err := refused(dir, anyPart); !errors.Is(err, ErrOther) {
		t.Errorf("a link: %v", err)
	}
}

// Files come to the disk before the folders that name them, and inner folders before outer ones.
func TestFlushGoesFromWithin(t *testing.T) {
	dir := t.TempDir()
	for _, name := range []string{"a/b/c.csv", "a/d.csv", "e.csv"} {
		file := filepath.Join(dir, name)
		if err := errors.Join(os.MkdirAll(filepath.Dir(file), 0o755), os.WriteFile(file, nil, 0o644)); err != nil {
			t.Fatal(err)
		}
	}
	var order []string
	fsync = func(f *os.File) error {
		below, err := filepath.Rel(dir, f.Name())
		order = append(order, below)
		return err
	}
	t.Cleanup(func() { fsync = (*os.File).Sync })
	if err := flush(dir); err != nil || !slices.Equal(order, []string{"a/b/c.csv", "a/d.csv", "e.csv", "a/b", "a", "."}) {
		t.Errorf("%q, %v", order, err)
	}
}

// A name that depends on where we are needs a folder to be in.
func TestNowhere(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "gone")
	if err := os.Mkdir(dir, 0o755); err != nil {
		t.Fatal(err)
	}
	t.Chdir(dir)
	if err := os.Remove(dir); err != nil {
		t.Fatal(err)
	}
	if err := Write("report", nil, fillFew("new")); !errors.Is(err, fs.ErrNotExist) {
		t.Error(err)
	}
}
