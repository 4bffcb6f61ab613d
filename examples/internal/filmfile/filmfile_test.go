package filmfile

import (
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"example.org/actinic"
	"example.org/actinic/examples/internal/command"
	"example.org/actinic/examples/internal/golden"
	"example.org/actinic/internal/held"
)

func TestSlug(t *testing.T) {
	for name, want := range map[string]string{
		"Garnedd Swift": "garnedd-swift", "Lantern plate of 1911": "lantern-plate-of-1911", "AZ az 09": "az-az-09", "a:b/c@d{e`f[g": "a-b-c-d-e-f-g",
		"": "film", "é": "film", " - ": "film",
	} {
		if got := Slug(name); got != want {
			t.Errorf("%q: %q, want %q", name, got, want)
		}
	}
}

// What a package holds beyond what is written is listed, and only lost with leave; places
// that cannot be are refused.
func TestWrites(t *testing.T) {
	said := held.New(t)
	f, err := Open("Swift", "")
	if err != nil {
		t.Fatal(err)
	}
	dir := filepath.Join(t.TempDir(), "mine")
	if err := f.Write(dir, f.Film, false); err != nil {
		t.Fatal(err)
	}
	said.Refused("written over", f.Write(dir, f.Film, true))
	file := filepath.Join(t.TempDir(), "FILE")
	if err := os.WriteFile(file, nil, 0o644); err != nil {
		t.Fatal(err)
	}
	said.Refused("below a file", f.Write(filepath.Join(file, "x"), f.Film, true))
	for name, where := range map[string]string{"nothing": "nobody", "a file": file, "an empty folder": t.TempDir(), "no name": ""} {
		_, err := Open(where, "")
		if !said.Refused("opening "+name, err) {
			t.Errorf("%s is opened", name)
		}
	}
	broken := filepath.Join(t.TempDir(), "broken")
	if err := os.MkdirAll(broken, 0o755); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(broken, "datapackage.json"), []byte("{"), 0o644); err != nil {
		t.Fatal(err)
	}
	_, err = Open(broken, "")
	if !said.Refused("a broken package", err) {
		t.Error("a broken package is opened")
	}
	_, err = Open(dir, "nobody")
	said.Refused("a film that is not in the package", err)
	// A package with a file, a column and a member of somebody else's.
	films := filepath.Join(dir, "films.csv")
	content, err := os.ReadFile(films)
	if err != nil {
		t.Fatal(err)
	}
	lines := strings.SplitN(string(content), "\n", 3)
	changed := lines[0] + ",x-shelf\n" + lines[1] + ",3\n" + lines[2]
	if err := os.WriteFile(filepath.Join(dir, "note.txt"), []byte("mine"), 0o644); err != nil {
		t.Fatal(err)
	}
	for name, got := range map[string][]string{
		"columns":                lostOf("films.csv", []byte(changed), content),
		"none":                   lostOf("films.csv", content, content),
		"members":                lostOf("datapackage.json", []byte(`{"name": 1, "z": 2, "x-mine": {}}`), []byte(`{"name": 2}`)),
		"nothing of other files": lostOf("note.txt", []byte("a"), nil),
		"broken":                 lostOf("datapackage.json", []byte(`{`), nil),
		"empty":                  lostOf("films.csv", nil, nil),
	} {
		said.Values(name, strings.Join(got, "; "))
	}
	own, err := Open(dir, "")
	if err != nil {
		t.Fatal(err)
	}
	said.Values("made", own.Name == dir, len(own.Made.Inputs), own.Film.Name())
	said.Values("name", strings.TrimSuffix(own.Name, dir))
	said.Values("info", own.pack.Info())
	again := filepath.Join(t.TempDir(), "again")
	if err := own.Write(again, own.Film, false); err != nil {
		said.Refused("with a note", err)
		if _, err := os.Stat(again); err == nil {
			t.Error("written without leave")
		}
	}
	if err := own.Write(again, own.Film, true); err != nil {
		t.Error(err)
	}
	// What a film is written in the place of is the one of its name.
	swift, err := Open("Swift", "")
	if err != nil {
		t.Fatal(err)
	}
	lantern, err := Open("Lantern", "")
	if err != nil {
		t.Fatal(err)
	}
	two := filepath.Join(t.TempDir(), "two")
	if err := actinic.WritePackage(two, actinic.PackageInfo{Name: "two", Version: "1.0.0"}, swift.Film, lantern.Film); err != nil {
		t.Fatal(err)
	}
	both, err := Open(two, "Lantern")
	if err != nil {
		t.Fatal(err)
	}
	third := filepath.Join(t.TempDir(), "third")
	if err := both.Write(third, lantern.Film, false); err != nil {
		t.Fatal(err)
	}
	if read, err := Open(third, "Swift"); err != nil || read.Film.Name() != swift.Film.Name() || len(read.pack.Films()) != 2 {
		t.Errorf("%v", err)
	}
	if err := os.RemoveAll(two); err != nil { // the package goes while it is open
		t.Fatal(err)
	}
	if !said.Refused("a package that is gone", both.Write(filepath.Join(t.TempDir(), "fourth"), lantern.Film, false)) {
		t.Error("what would be lost of a package that is gone is not known")
	}
}

// A file that cannot be read, when a package is opened or looked through for what would be lost, is an error, and nothing
// is written: what is not seen would be lost.
func TestFaults(t *testing.T) {
	said := held.New(t)
	film, err := actinic.LoadFilm("Swift")
	if err != nil {
		t.Fatal(err)
	}
	dir := filepath.Join(t.TempDir(), "package")
	if err := actinic.WritePackage(dir, actinic.PackageInfo{Name: "mine", Version: "1.0.0"}, film); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(dir, "note.txt"), []byte("mine"), 0o644); err != nil {
		t.Fatal(err)
	}
	was := command.Opening
	defer func() { command.Opening = was }()
	n, failing := 0, -1
	command.Opening = func(name string) error {
		if n++; n-1 == failing {
			return errors.New("a fault of the disk")
		}
		return nil
	}
	opened := func() (*File, error) { n = 0; return Open(dir, "") }
	f, err := opened()
	if err != nil {
		t.Fatal(err)
	}
	for failing = range n {
		if _, err := opened(); err == nil || !strings.Contains(err.Error(), "a fault of the disk") {
			t.Errorf("opened though file %d of %d cannot be: %v", failing, n, err)
		}
	}
	out := filepath.Join(t.TempDir(), "out")
	n, failing = 0, -1
	if err := f.Write(out, film, false); !said.Is("a note", err, ErrLoss) {
		t.Errorf("the note: %v", err)
	}
	for failing = range n {
		n = 0
		if err := f.Write(out, film, false); err == nil || !strings.Contains(err.Error(), "a fault of the disk") {
			t.Errorf("written though file %d cannot be read: %v", failing, err)
		}
	}
	failing = -1
	t.Setenv("TMPDIR", filepath.Join(dir, "nowhere"))
	if err := f.Write(out, film, false); !said.Refused("nowhere to look", err) || errors.Is(err, ErrLoss) {
		t.Errorf("without a place for the other package: %v", err)
	}
	if _, err := os.Lstat(out); err == nil {
		t.Error("something is written")
	}
	if _, err := Open("no\x00name", ""); err == nil || errors.Is(err, actinic.ErrUnknown) {
		t.Errorf("a name that cannot be: %v", err)
	}
}

// A package with a film that cannot be is opened for another film, and not written, for that one would be lost.
func TestBadFilm(t *testing.T) {
	said := held.New(t)
	dir := t.TempDir()
	for name, content := range golden.BadFilm(t) {
		name = filepath.Join(dir, name)
		if err := os.MkdirAll(filepath.Dir(name), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(name, []byte(content), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	dir = filepath.Join(dir, "package")
	if _, err := Open(dir, "Tomen"); !said.Refused("the film", err) {
		t.Error("a film that cannot be is opened")
	}
	f, err := Open(dir, "Swift")
	if err != nil {
		t.Fatal(err)
	}
	out := filepath.Join(t.TempDir(), "out")
	for _, lose := range []bool{false, true} {
		if err := f.Write(out, f.Film, lose); !said.Refused("the package", err) || errors.Is(err, ErrLoss) {
			t.Errorf("%v: %v", lose, err)
		}
	}
	if _, err := os.Lstat(out); err == nil {
		t.Error("something is written")
	}
}
