package main

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"example.org/actinic"
	"example.org/actinic/devtime/roll"
	"example.org/actinic/examples/internal/command"
	"example.org/actinic/examples/internal/filmfile"
	"example.org/actinic/internal/jsonplace"
	"example.org/actinic/internal/rooted"
	"example.org/actinic/sensito/datafile"
)

// inputs are the films of what was named, in its order.
type inputs struct {
	films    []*actinic.Film
	from     []string // what each was named by
	invented bool     // nothing was named
	made     command.Made
}

// read finds the films of all paths.
func read(paths []string) (*inputs, error) {
	in := &inputs{made: command.MadeFrom("", nil)}
	in.made.Inputs = map[string]string{}
	if len(paths) == 0 {
		in.invented = true
		return in, in.addPackage("", actinic.Data())
	}
	for _, p := range paths {
		if err := in.add(p); err != nil {
			return nil, fmt.Errorf("%s: %w", p, err)
		}
	}
	return in, nil
}

// add finds the films of one path.
func (in *inputs) add(name string) error {
	info, err := os.Stat(name)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		film, err := actinic.LoadFilm(name)
		if err != nil {
			return fmt.Errorf("neither a file or directory nor a film that comes with the library: %w", err)
		}
		in.films, in.from = append(in.films, film), append(in.from, "")
		return nil
	case err != nil:
		return err
	case !info.IsDir():
		content, err := command.ReadFile(name)
		if err != nil {
			return err
		}
		return in.addRecord(name, filepath.Base(name), content)
	}
	folder, closed, err := command.Package(name)
	if err != nil {
		return err
	}
	defer closed()
	has := func(file string) bool {
		_, err := fs.Stat(folder, file)
		return !errors.Is(err, fs.ErrNotExist) // what cannot be read is there, and its reader says why
	}
	switch {
	case has("datapackage.json"):
		return in.addPackage(name, folder)
	case has("record.json"):
		content, err := rooted.ReadFile(folder, "record.json")
		if err != nil {
			return err
		}
		return in.addRecord(name, "record.json", content)
	case has("test.json"):
		return in.addTest(name, folder)
	}
	return errors.New("want datapackage.json, record.json or test.json in the directory")
}

// note keeps the hash of a file that was read.
func (in *inputs) note(name string, fsys fs.FS, files ...string) error {
	made, err := command.MadeOf(fsys, files...)
	if err != nil {
		return err
	}
	for file, hash := range made.Inputs {
		in.made.Inputs[strings.TrimPrefix(filepath.ToSlash(filepath.Join(name, file)), "./")] = hash
	}
	return nil
}

func (in *inputs) addPackage(name string, fsys fs.FS) error {
	pack, err := actinic.ReadPackage(fsys, actinic.Verify)
	if err != nil {
		return err
	}
	for _, film := range pack.Films() {
		f, err := pack.Film(film)
		if err != nil {
			return err
		}
		in.films, in.from = append(in.films, f), append(in.from, name)
	}
	return in.note(name, fsys, "datapackage.json")
}

func (in *inputs) addRecord(name, file string, content []byte) error {
	const want = "record.json of a report"
	if _, faults := jsonplace.Parse(content); len(faults) > 0 {
		line, column := datafile.Place(content, faults[0].Offset)
		return &datafile.Error{File: file, Line: line, Column: column, Want: want + " (" + faults[0].What + ")"}
	}
	var record roll.Record
	if err := json.Unmarshal(content, &record); err != nil || record.Film == "" {
		e := &datafile.Error{File: file, Want: want}
		if wrong := (*json.UnmarshalTypeError)(nil); errors.As(err, &wrong) {
			e.Line, e.Column = datafile.Place(content, wrong.Offset)
			e.Field, e.Text = wrong.Field, wrong.Value
		}
		return e
	}
	in.made.Inputs[name] = command.MadeFrom(file, content).Inputs[file]
	return in.addFilm(name, &record)
}

func (in *inputs) addTest(name string, fsys fs.FS) error {
	test, err := roll.Read(fsys)
	if err != nil {
		return err
	}
	record, err := test.Characterise(roll.Settings{})
	if err != nil {
		return err
	}
	if err := in.note(name, fsys, "test.json", "strips.csv", "bracket.csv"); err != nil {
		return err
	}
	return in.addFilm(name, record)
}

func (in *inputs) addFilm(name string, record *roll.Record) error {
	film, err := actinic.FilmOf(record, actinic.Provenance{Basis: actinic.Measured, Source: "the test in " + filepath.Base(name)})
	if err != nil {
		return err
	}
	in.films, in.from = append(in.films, film), append(in.from, name)
	return nil
}

// merge writes all processes as one film.
func merge(where string, in *inputs, notes io.Writer) error {
	film, err := actinic.Merge(in.films...)
	if err != nil {
		return fmt.Errorf("-merge: %w", err)
	}
	for i, f := range in.films {
		if f.Name() != film.Name() && !slices.Contains(in.from[:i], in.from[i]) {
			command.Paragraph(notes, "Note: ", fmt.Sprintf("%s of %s goes into the film as %s.", f.Name(), in.from[i], film.Name()), 78, 0)
		}
	}
	info := actinic.PackageInfo{Name: filmfile.Slug(film.Name()), Title: film.Name(), Version: "0.1.0", License: "LicenseRef-not-stated",
		Description: "A film in several processes, merged of several records."}
	return actinic.WritePackage(where, info, film)
}
