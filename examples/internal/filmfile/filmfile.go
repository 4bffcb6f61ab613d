// Package filmfile opens a film for a program that adds to it, and writes its package with
// the film as it is then. It takes nothing away unseen: what a package holds that would not
// be in the new one is listed, and nothing is written without leave.
package filmfile

import (
	"encoding/csv"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"example.org/actinic"
	"example.org/actinic/examples/internal/command"
	"example.org/actinic/internal/rooted"
)

// File is a film with the package that it is in.
type File struct {
	Film *actinic.Film
	// Name is what the film was named by, for messages.
	Name string
	// Made has the hash of the package's descriptor; of a film that comes with the library
	// nothing.
	Made command.Made

	pack   *actinic.Package
	folder string // of a person's own package; "" for films that come with the library
}

// Open finds a film: of a directory with a data package, or with a report that has one in
// package; or one that comes with the library, by its name or a part of it. name is that of
// the film in a package of several.
func Open(where, name string) (*File, error) {
	info, err := os.Stat(where)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		film, err := actinic.LoadFilm(where)
		if err != nil {
			return nil, fmt.Errorf("%s: neither a directory nor a film that comes with the library: %w", where, err)
		}
		return &File{Film: film, Name: film.Name(), Made: command.Made{Library: command.Library, Version: actinic.Version,
			Inputs: map[string]string{}}}, nil
	case err != nil:
		return nil, err
	case !info.IsDir():
		return nil, fmt.Errorf("%s: want a directory with datapackage.json", where)
	}
	if _, err := os.Stat(filepath.Join(where, "datapackage.json")); errors.Is(err, fs.ErrNotExist) {
		if _, err := os.Stat(filepath.Join(where, "package", "datapackage.json")); err == nil {
			where = filepath.Join(where, "package")
		}
	}
	folder, closed, err := command.Folder(where)
	if err != nil {
		return nil, err
	}
	defer closed()
	f := &File{folder: where}
	if f.pack, err = actinic.ReadPackage(folder, actinic.Verify); err != nil {
		return nil, fmt.Errorf("%s: %w", where, err)
	}
	if f.Film, err = f.pack.Film(name); err != nil {
		return nil, err
	}
	f.Name = f.Film.Name() + " of " + where
	f.Made, err = command.MadeOf(folder, "datapackage.json")
	return f, err
}

// ErrLoss is wrapped where a package holds what the new one would not.
var ErrLoss = errors.New("the package holds what the new one would not")

// Write writes the package to a new directory with the film in place of the one that was
// opened: alone where it comes with the library, with the others of its package otherwise.
// What the package holds besides films (columns, tables, files and members of its
// descriptor that this library does not know) would not be in the new one: unless lose is
// set that is an error that wraps [ErrLoss] and lists it.
func (f *File) Write(dir string, film *actinic.Film, lose bool) error {
	if f.pack == nil {
		return actinic.WritePackage(dir, actinic.PackageInfo{Name: Slug(film.Name()), Title: film.Name(), Version: "0.1.0",
			Description: "A film that comes with the library, with what was measured."}, film)
	}
	films, err := f.films()
	if err != nil {
		return err
	}
	if !lose {
		if lost, err := f.lost(films); err != nil {
			return err
		} else if len(lost) > 0 {
			return fmt.Errorf("%w: %s", ErrLoss, strings.Join(lost, "; "))
		}
	}
	for i := range films {
		if films[i].Name() == f.Film.Name() {
			films[i] = film
		}
	}
	return actinic.WritePackage(dir, f.pack.Info(), films...)
}

func (f *File) films() ([]*actinic.Film, error) {
	var out []*actinic.Film
	for _, name := range f.pack.Films() {
		film, err := f.pack.Film(name)
		if err != nil {
			return nil, err
		}
		out = append(out, film)
	}
	return out, nil
}

// lost writes the package as it is to a folder of its own, and looks for what is missing.
func (f *File) lost(films []*actinic.Film) ([]string, error) {
	work, err := os.MkdirTemp("", "film")
	if err != nil {
		return nil, err
	}
	defer os.RemoveAll(work)
	again := filepath.Join(work, "package")
	if err := actinic.WritePackage(again, f.pack.Info(), films...); err != nil {
		return nil, err
	}
	was, closed, err := command.Folder(f.folder)
	if err != nil {
		return nil, err
	}
	defer closed()
	var lost []string
	entries, err := fs.ReadDir(was, ".")
	if err != nil {
		return nil, err // what is not seen would be lost
	}
	for _, e := range entries {
		name := e.Name()
		content, err := os.ReadFile(filepath.Join(again, name))
		if err != nil { // it is not there
			// A schema belongs to the format, and an empty table to nobody.
			if !strings.HasSuffix(name, ".schema.json") {
				lost = append(lost, "the file "+name)
			}
			continue
		}
		old, err := rooted.ReadFile(was, name)
		if err != nil {
			return nil, err
		}
		lost = append(lost, lostOf(name, old, content)...)
	}
	return lost, nil
}

// lostOf finds columns of a table and members of a descriptor that the new one lacks.
func lostOf(name string, old, content []byte) []string {
	var had, has []string
	what := "the column "
	switch {
	case name == "datapackage.json":
		what = "the member "
		had, has = members(old), members(content)
	case strings.HasSuffix(name, ".csv"):
		had, has = head(old), head(content)
	}
	var lost []string
	for _, one := range had {
		if !slices.Contains(has, one) {
			lost = append(lost, what+one+" of "+name)
		}
	}
	return lost
}

func members(descriptor []byte) []string {
	var m map[string]json.RawMessage
	if json.Unmarshal(descriptor, &m) != nil {
		return nil // it was read before
	}
	var out []string
	for name := range m {
		out = append(out, name)
	}
	slices.Sort(out)
	return out
}

func head(table []byte) []string {
	r := csv.NewReader(strings.NewReader(strings.TrimPrefix(string(table), "\ufeff")))
	names, err := r.Read()
	if err != nil {
		return nil
	}
	return names
}

// Slug makes a name for a package of a name for people: lower case letters, digits and
// hyphens.
func Slug(name string) string {
	words := strings.FieldsFunc(strings.ToLower(name), func(r rune) bool { return (r < 'a' || r > 'z') && (r < '0' || r > '9') })
	if len(words) == 0 {
		return "film"
	}
	return strings.Join(words, "-")
}
