package main

import (
	"strings"
	"unicode"

	"example.org/actinic"
	"example.org/actinic/devtime/roll"
)

// publish writes the record as a data package to a new directory. What cannot be published
// is an error that wraps [datafile.ErrData].
func publish(dir string, record *roll.Record, p actinic.Provenance) error {
	film, err := actinic.FilmOf(record, p)
	if err != nil {
		return err
	}
	info := actinic.PackageInfo{Name: slug(record.Film), Title: record.Film, Version: "0.1.0", Description: "A film characterised from a test roll."}
	return actinic.WritePackage(dir, info, film)
}

// slug makes a name of lower case letters, digits and hyphens.
func slug(name string) string {
	words := strings.FieldsFunc(strings.ToLower(name), func(r rune) bool { return r > unicode.MaxASCII || !unicode.IsLetter(r) && !unicode.IsDigit(r) })
	if len(words) == 0 {
		return "film"
	}
	return strings.Join(words, "-")
}
