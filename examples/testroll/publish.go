package main

import (
	"cmp"
	"slices"
	"strings"

	"example.org/actinic"
	"example.org/actinic/devtime/roll"
	"example.org/actinic/examples/internal/command"
	"example.org/actinic/examples/internal/filmfile"
)

// publish writes the record as a data package to a new directory. What cannot be published
// is an error that wraps [datafile.ErrData].
func publish(dir string, record *roll.Record, p actinic.Provenance, about about) error {
	film, err := actinic.FilmOf(record, p)
	if err != nil {
		return err
	}
	return actinic.WritePackage(dir, about.info(record.Film), film)
}

// noLicence is what a package says whose maker said nothing.
const noLicence = "LicenseRef-not-stated"

// about is what a tester says of the package, and what the outputs were made from.
type about struct {
	licence, author, title, version string
	shipped                         bool // the roll that comes with the program
	made                            command.Made
}

// info names the package, with what is assumed where nothing was said.
func (a about) info(film string) actinic.PackageInfo {
	info := actinic.PackageInfo{Name: filmfile.Slug(film), Title: cmp.Or(a.title, film), Version: cmp.Or(a.version, "0.1.0"),
		Description: "A film characterised from a test roll.", License: a.licence}
	if a.licence == "" && !a.shipped {
		info.License = noLicence
	}
	if a.author != "" {
		info.Contributors = []actinic.Contributor{{Title: a.author, Roles: []string{"author"}}}
	}
	return info
}

// check holds what was said to what a package takes, before anything is computed.
func (a about) check() error {
	if strings.Trim(a.licence, "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789-._+") != "" {
		return command.Usagef("licence %q: want an identifier such as CC-BY-4.0", a.licence)
	}
	parts := strings.Split(a.version, ".")
	if a.version != "" && (len(parts) != 3 || strings.Trim(a.version, "0123456789.") != "" || slices.Contains(parts, "")) {
		return command.Usagef("version %q: want three numbers such as 1.0.0", a.version)
	}
	return nil
}

// assumed says what nobody stated, and how to state it.
func (a about) assumed() []string {
	if a.shipped {
		return nil
	}
	var out []string
	if a.licence == "" {
		out = append(out, "No licence was stated, so nobody may use the package without asking; state one by -licence, such as -licence CC-BY-4.0 or -licence CC0-1.0.")
	}
	if a.author == "" {
		out = append(out, "Nobody is named as its author; -author names one.")
	}
	if a.version == "" {
		out = append(out, "It is version 0.1.0; -version says another.")
	}
	return out
}

// licenceWords is the line of the page about the licence.
func (a about) licenceWords(film string) string {
	info := a.info(film)
	words := "Package: " + info.Title + ", version " + info.Version
	if a.author != "" {
		words += ", by " + a.author
	}
	switch {
	case info.License == noLicence:
		return words + ". No licence is stated: ask before you use it"
	case info.License == "":
		return words + ". Licence: CC0-1.0"
	}
	return words + ". Licence: " + info.License
}
