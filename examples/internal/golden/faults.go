package golden

import (
	"bytes"
	"errors"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"example.org/actinic"
	"example.org/actinic/examples/internal/command"
)

// errFault is what a disk says that fails.
var errFault = errors.New("a fault of the disk")

// mostFaults is how many of the files fail, if there are more: evenly over the run.
const mostFaults = 12

// Faults runs a program once for each time that a command line has it open a file, which fails from then on: that is an
// error that says so, and nothing is written. IN and OUT among the arguments are as for [Lines]; the line must run where no
// file fails, but may find something.
func Faults(t *testing.T, run func(args []string, stdout, stderr io.Writer) error, files map[string]string, lines ...string) {
	t.Helper()
	was := command.Opening
	defer func() { command.Opening = was }()
	for _, line := range lines {
		in := folder(t, files)
		failing, n, name := -1, 0, ""
		command.Opening = func(opened string) error {
			if n++; n-1 == failing {
				name = opened
			}
			if opened == name {
				return errFault
			}
			return nil
		}
		start := func() (said string, err error) {
			out := filepath.Join(t.TempDir(), "out")
			args := strings.Fields(line)
			for i, a := range args {
				args[i] = strings.ReplaceAll(strings.ReplaceAll(a, "IN", in), "OUT", out)
			}
			n, name = 0, ""
			var stdout, stderr bytes.Buffer
			err = run(args, &stdout, &stderr)
			if _, there := os.Lstat(out); err != nil && there == nil && !strings.HasPrefix(name, out) {
				t.Errorf("%s: something is written, though %s cannot be read", line, name)
			}
			return stdout.String() + stderr.String(), err
		}
		if _, err := start(); err != nil && !errors.Is(err, command.ErrFindings) {
			t.Errorf("%s: %v", line, err)
			continue
		}
		all := n
		if all == 0 {
			t.Errorf("%s: it opens nothing", line)
		}
		for i := range min(all, mostFaults) {
			failing = i * all / min(all, mostFaults)
			said, err := start()
			switch {
			case err == nil:
				t.Errorf("%s: %s cannot be read, and nothing is said", line, name)
			case errors.Is(err, command.ErrFindings): // among them what follows from a table that is not there
			case !errors.Is(err, errFault) && !strings.Contains(err.Error()+said, errFault.Error()):
				t.Errorf("%s: %s cannot be read, which is said as %v: %s", line, name, err, said)
			}
		}
	}
	tidy(t)
}

// full is a standard output that takes a number of bytes.
type full struct{ left int }

func (f *full) Write(p []byte) (int, error) {
	n := min(len(p), f.left)
	if f.left -= n; n < len(p) {
		return n, errFault
	}
	return n, nil
}

// FullOutput runs a program with a standard output that takes a number of bytes and no more: the program says so.
// It is for outputs that other programs read, written in one piece; what is printed line by line is [command.Run]'s.
func FullOutput(t *testing.T, run func(args []string, stdout, stderr io.Writer) error, lines ...string) {
	t.Helper()
	for _, line := range lines {
		for _, room := range []int{0, 20} {
			out := filepath.Join(t.TempDir(), "out")
			err := run(strings.Fields(strings.ReplaceAll(line, "OUT", out)), &full{room}, io.Discard)
			if !errors.Is(err, errFault) {
				t.Errorf("%s: with room for %d bytes: %v", line, room, err)
			}
		}
	}
}

// leavesNothing fails where anything but folders is below a folder.
func leavesNothing(t *testing.T, dir string) {
	t.Helper()
	err := filepath.WalkDir(dir, func(name string, d fs.DirEntry, err error) error {
		if err == nil && !d.IsDir() {
			t.Errorf("%s is left", name[len(dir):])
		}
		return err
	})
	if err != nil {
		t.Error(err)
	}
}

// Package is the package of a film that comes with the library, for [Faults] and [Lines]: its files below package/.
func Package(t *testing.T, name string) map[string]string {
	t.Helper()
	film, err := actinic.LoadFilm(name)
	if err != nil {
		t.Fatal(err)
	}
	dir := filepath.Join(t.TempDir(), "package")
	if err := actinic.WritePackage(dir, actinic.PackageInfo{Name: "mine", Version: "1.0.0"}, film); err != nil {
		t.Fatal(err)
	}
	files := map[string]string{}
	entries, err := os.ReadDir(dir)
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range entries {
		content, err := os.ReadFile(filepath.Join(dir, e.Name()))
		if err != nil {
			t.Fatal(err)
		}
		files["package/"+e.Name()] = string(content)
	}
	return files
}
