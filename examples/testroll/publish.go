package main

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"unicode"

	"example.org/actinic"
	"example.org/actinic/devtime/roll"
)

// publish writes the record as a data package to the directory package below the
// report, whole or not at all, in the place of one that is there already.
func publish(where string, record *roll.Record, p actinic.Provenance) error {
	film, err := actinic.FilmOf(record, p)
	if err != nil {
		return err
	}
	tmp, err := os.MkdirTemp(where, ".writing-")
	if err != nil {
		return err
	}
	defer os.RemoveAll(tmp)
	made := filepath.Join(tmp, "package")
	info := actinic.PackageInfo{Name: slug(record.Film), Title: record.Film, Version: "0.1.0", Description: "A film characterised from a test roll."}
	if err := actinic.WritePackage(made, info, film); err != nil {
		return err
	}
	dir := filepath.Join(where, "package")
	switch _, err := os.Stat(filepath.Join(dir, "datapackage.json")); {
	case err == nil:
		if err := os.Rename(dir, filepath.Join(tmp, "old")); err != nil {
			return err
		}
	case !errors.Is(err, fs.ErrNotExist):
		return err
	}
	if err := os.Rename(made, dir); err != nil {
		return fmt.Errorf("%s is in the way and is no data package: %w", dir, err)
	}
	return nil
}

// slug makes a name of lower case letters, digits and hyphens.
func slug(name string) string {
	words := strings.FieldsFunc(strings.ToLower(name), func(r rune) bool { return r > unicode.MaxASCII || !unicode.IsLetter(r) && !unicode.IsDigit(r) })
	if len(words) == 0 {
		return "film"
	}
	return strings.Join(words, "-")
}
