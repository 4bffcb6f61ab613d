package datapackage

import (
	"fmt"
	"strconv"
	"strings"

	"example.org/actinic/sensito/datafile"
)

// The version of the format that is written here. A version with another major number has
// fields that mean other things, and is not read; one with a higher minor number has
// fields besides.
const (
	Major = 1
	Minor = 0
)

// FormatVersion is the version as descriptors have it, and SchemaFile its schema.
var (
	FormatVersion = fmt.Sprintf("%d.%d", Major, Minor)
	SchemaFile    = "film-package-" + FormatVersion + ".schema.json"
)

// format reads which version a package has. The remark says that it is older or newer than
// this one; a version that cannot be read is an error.
func (p *Package) format() (remark string, errs datafile.Errors) {
	n := p.Root.Get("film_package")
	if n == nil {
		p.before = true
		return DescriptorFile + ": no film_package: the format before version 1.0, which is read with the names that units had then", nil
	}
	v := n.Get("version")
	major, minor, ok := strings.Cut(v.Text(), ".")
	a, err1 := strconv.ParseUint(major, 10, 16)
	b, err2 := strconv.ParseUint(minor, 10, 16)
	switch {
	case !ok || err1 != nil || err2 != nil:
		return "", datafile.Errors{p.fault(v.Or(n), "film_package.version", v.Plain(), "a version of the format such as "+FormatVersion)}
	case a != Major:
		return "", datafile.Errors{p.fault(v.Or(n), "film_package.version", v.Plain(),
			fmt.Sprintf("version %d of the format, with any number behind the point; a library of that version reads it",
				Major))}
	case b > Minor:
		return fmt.Sprintf("%s: version %s of the format is newer than %s: fields that it has besides are passed over",
			DescriptorFile, v.Text(), FormatVersion), nil
	}
	return "", nil
}

// unit is the code of a unit, however the version of the package names it.
func (p *Package) unit(name string) string {
	if now, ok := formerUnits[name]; ok && p.before {
		return now
	}
	return name
}
