package golden

import (
	"bytes"
	"crypto/sha256"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"sync"
	"testing"

	"example.org/actinic"
	"example.org/actinic/examples/internal/command"
)

// errFault is what a disk says that fails.
var errFault = errors.New("a fault of the disk")

// mostFaults is how many of the files fail, if there are more: evenly over the run.
const mostFaults = 12

// Faults runs a program once for each time that a command line has it open a file, which fails from then on, and once more
// for each time that it opens one again, which fails that time: that is an error that says so, and nothing is written. IN and
// OUT among the arguments are as for [Lines]; the line must run where no file fails, but may find something.
func Faults(t *testing.T, run func(args []string, stdout, stderr io.Writer) error, files map[string]string, lines ...string) {
	t.Helper()
	was := command.Opening
	defer func() { command.Opening = was }()
	for _, line := range lines {
		in := folder(t, files)
		var opened []string
		failing, once, name := -1, false, ""
		var lock sync.Mutex // a program may open several at once
		command.Opening = func(opening string) error {
			lock.Lock()
			defer lock.Unlock()
			now := len(opened) == failing
			if opened = append(opened, opening); now {
				name = opening
			}
			if now || opening == name && !once {
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
			opened, name = nil, ""
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
		var all, again []int
		for i, opening := range opened {
			if all = append(all, i); slices.Contains(opened[:i], opening) {
				again = append(again, i)
			}
		}
		if len(all) == 0 {
			t.Errorf("%s: it opens nothing", line)
		}
		try := func(at []int) {
			for i := range min(len(at), mostFaults) {
				failing = at[i*len(at)/min(len(at), mostFaults)]
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
		try(all)
		once = true
		try(again)
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

// PackageFolder writes films that come with the library as a package with an identifier, or with none, and returns its folder.
func PackageFolder(t *testing.T, id string, names ...string) string {
	t.Helper()
	var films []*actinic.Film
	for _, name := range names {
		film, err := actinic.LoadFilm(name)
		if err != nil {
			t.Fatal(err)
		}
		films = append(films, film)
	}
	dir := filepath.Join(t.TempDir(), "package")
	if err := actinic.WritePackage(dir, actinic.PackageInfo{Name: "mine", Version: "1.0.0", ID: id}, films...); err != nil {
		t.Fatal(err)
	}
	return dir
}

// Package is the package of films that come with the library, for [Faults] and [Lines]: its files below package/.
func Package(t *testing.T, names ...string) map[string]string {
	t.Helper()
	dir := PackageFolder(t, "", names...)
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

// BadFilm are the files of a package of two films, the second with an index outside its interval.
func BadFilm(t *testing.T) map[string]string {
	t.Helper()
	files := Package(t, "Swift", "Tomen")
	row := regexp.MustCompile(`(\nTomen Fast,[^\n]*?,[0-9.]+,)([0-9]+)`).FindStringSubmatch(files["package/indexes.csv"])
	if row == nil {
		t.Fatalf("no index of the film: %s", files["package/indexes.csv"])
	}
	return Resealed(t, files, "indexes.csv", row[0], row[1]+"9"+row[2])
}

// Resealed are the files of a package with a text in one of its tables exchanged, and the size and hash of the table put
// right: what is wrong with it then is what it says.
func Resealed(t *testing.T, files map[string]string, name, was, is string) map[string]string {
	t.Helper()
	files = maps.Clone(files)
	table, descriptor := files["package/"+name], files["package/datapackage.json"]
	if !strings.Contains(table, was) {
		t.Fatalf("%s has no %q:\n%s", name, was, table)
	}
	sealed := func(text string) (string, string) {
		return fmt.Sprintf("\"bytes\": %d", len(text)), fmt.Sprintf("%x", sha256.Sum256([]byte(text)))
	}
	changed := strings.Replace(table, was, is, 1)
	oldSize, oldHash := sealed(table)
	size, hash := sealed(changed)
	at := strings.Index(descriptor, oldHash)
	if at < 0 {
		t.Fatalf("the descriptor has no hash of %s", name)
	}
	sizeAt := strings.LastIndex(descriptor[:at], oldSize)
	if sizeAt < 0 {
		t.Fatalf("the descriptor has no size of %s before its hash:\n%s", name, descriptor[max(0, at-400):at])
	}
	descriptor = descriptor[:sizeAt] + size + descriptor[sizeAt+len(oldSize):]
	files["package/"+name], files["package/datapackage.json"] = changed, strings.Replace(descriptor, oldHash, hash, 1)
	return files
}
