package main

import (
	"errors"
	"io"
	"os"
	"path/filepath"
	"testing"

	"example.org/actinic/examples/internal/command"
	"example.org/actinic/examples/internal/golden"
)

// What the program prints and writes is what it was.
func TestPrints(t *testing.T) {
	golden.Run(t, "shipped", run)
	golden.Run(t, "written", run, "-write", "OUT/package")
	golden.Run(t, "here", run, "../../data")
	golden.Run(t, "help", run, "-h")
}

// What cannot be done is refused with a sentence, and nothing is written.
func TestRefusesLines(t *testing.T) {
	golden.Refuses(t, run, map[string]string{
		"package/datapackage.json": "{}",
		"broken/datapackage.json":  "{\"name\": 1,",
		"empty/x":                  "",
	},
		"-write FILE/x IN/empty", "-write IN/empty IN/package", "IN/nothing", "IN/FILE", "IN/package", "IN/broken", "IN/empty", "-write OUT IN/package",
		"-write OUT IN/broken", "-write FILE/x", "a b", "-nothing")
}

// A file that cannot be read is an error, whichever it is and whenever; so is a disk that is full.
func TestFaults(t *testing.T) {
	golden.FullDisk(t, run, []uint64{0, 300}, "-write OUT")
	golden.Faults(t, run, golden.Package(t, "Swift"), "IN/package", "-write OUT IN/package")
}

// A film that cannot be, in a package whose sizes and hashes are right, is told with its place.
func TestBadFilm(t *testing.T) {
	files := golden.BadFilm(t)
	golden.Lines(t, "", run, files, "IN/package", "-write OUT IN/package")
}

// A descriptor or a folder that fails once while a package is sealed anew, whenever it is opened, is an error.
func TestFailsOnce(t *testing.T) {
	in := t.TempDir()
	for name, content := range golden.Package(t, "Swift") {
		if err := os.MkdirAll(filepath.Dir(filepath.Join(in, name)), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(filepath.Join(in, name), []byte(content), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	defer func(was func(string) error) { command.Opening = was }(command.Opening)
	for failing := 0; ; failing++ {
		n := 0
		command.Opening = func(name string) error {
			if base := filepath.Base(name); base != "datapackage.json" && base != "package" {
				return nil
			}
			if n++; n-1 == failing {
				return errors.New("a fault of the disk")
			}
			return nil
		}
		err := run([]string{"-write", filepath.Join(t.TempDir(), "package"), filepath.Join(in, "package")}, io.Discard, io.Discard)
		if n <= failing {
			if err != nil || failing < 4 {
				t.Errorf("nothing fails, after %d: %v", failing, err)
			}
			return
		}
		if err == nil {
			t.Errorf("opening %d fails, and nothing is said", failing)
		}
	}
}
