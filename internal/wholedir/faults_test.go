package wholedir

import (
	"errors"
	"os"
	"path/filepath"
	"runtime"
	"testing"

	"example.org/actinic/internal/held"
)

// Where a step cannot be done its error comes out, and what was there stays.
func TestFaultsAreErrors(t *testing.T) {
	said := held.New(t)
	dir := t.TempDir()
	t.Chdir(dir) // whatever "no name" may come to mean, it is not this folder of source
	file := filepath.Join(dir, "FILE")
	if err := os.WriteFile(file, []byte("mine"), 0o644); err != nil {
		t.Fatal(err)
	}
	none := filepath.Join(dir, "none")
	fill := func(string) error { return nil }
	all := func(string) bool { return true }
	for name, do := range map[string]func() error{
		"a folder below a file":  func() error { return Write(filepath.Join(file, "x"), all, fill) },
		"a folder over a file":   func() error { return Write(file, all, fill) },
		"no name":                func() error { return Write("", all, fill) },
		"files below a file":     func() error { return Files(filepath.Join(file, "x"), map[string][]byte{"a": nil}) },
		"sync of nothing":        func() error { return syncFolder(none) },
		"clearing nothing":       func() error { return cleared(none) },
		"clearing a file":        func() error { return cleared(file) },
		"recovering nothing":     func() error { return recovered(none, filepath.Join(dir, "x")) },
		"flushing nothing":       func() error { return flush(none) },
		"a lock below a file":    func() error { _, err := lock(filepath.Join(file, "x")); return err },
		"put of nothing":         func() error { return put(dir, none, filepath.Join(dir, "new")) },
		"put of nothing on file": func() error { return put(dir, none, file) },
	} {
		if err := do(); !said.Refused(name, err) && !(runtime.GOOS == "js" && name == "sync of nothing") { // which has no folders to sync
			t.Errorf("%s: no error", name)
		}
	}
	if b, err := os.ReadFile(file); err != nil || string(b) != "mine" {
		t.Errorf("the file is %q, %v", b, err)
	}
	if err := Write(filepath.Join(dir, "new"), all, func(string) error { return os.ErrDeadlineExceeded }); !errors.Is(err, os.ErrDeadlineExceeded) {
		t.Error(err)
	}
	if _, err := os.Stat(filepath.Join(dir, "new")); err == nil {
		t.Error("a folder that could not be filled is there")
	}
}
