package actinic

import (
	"fmt"
	"io/fs"
	"maps"
	"net/url"
	"slices"
	"strings"
	"time"
	"unicode"

	"example.org/actinic/internal/datapackage"
	"example.org/actinic/internal/figures"
	"example.org/actinic/sensito"
	"example.org/actinic/sensito/datafile"
)

// PackageInfo names a package of films.
type PackageInfo struct {
	Name         string // lower case letters, digits and -._
	Title        string
	Description  string
	Version      string // such as 1.0.0
	Contributors []Contributor
	License      string // an open licence's identifier; "" stands for CC0-1.0

	// What makes a package easy to find and to cite; each may be empty.
	ID       string   // a DOI as an address, https://doi.org/10.…
	Homepage string   // an address
	Created  string   // day or time as RFC 3339 has it, such as 2026-11-25T12:00:00Z
	Keywords []string // as a library would search them
}

// Contributor is who had a part in a package: a name, perhaps an address, and the roles as
// Data Package 2.0 has them, such as author, publisher or measured.
type Contributor = datapackage.Contributor

// FormatVersion is the version of the tables that [WritePackage] writes and [ReadPackage]
// reads, and SchemaName the file with their JSON Schema, which goes with every package.
// Packages from before version 1.0 are read; so are newer ones with the same number before
// the point, of which [PackageRemarks] says so; others are refused.
var (
	FormatVersion = datapackage.FormatVersion
	SchemaName    = datapackage.SchemaFile
)

// check holds the information to what Data Package 2.0 asks for.
func (info PackageInfo) check() error {
	switch {
	case !datapackage.IsName(info.Name):
		return fmt.Errorf("%w: name of the package %q, want lower case letters, digits and -._", datafile.ErrData, info.Name)
	case !datapackage.IsVersion(info.Version):
		return fmt.Errorf("%w: version %q, want three numbers such as 1.0.0", datafile.ErrData, info.Version)
	}
	for _, address := range []string{info.ID, info.Homepage} {
		if u, err := url.Parse(address); err != nil || address != "" && (u.Scheme != "https" && u.Scheme != "http" || u.Host == "") {
			return fmt.Errorf("%w: address %q, want one that begins with https://", datafile.ErrData, address)
		}
	}
	if _, err := time.Parse(time.RFC3339, info.Created); err != nil && info.Created != "" {
		return fmt.Errorf("%w: created %q, want a time such as 2026-11-25T12:00:00Z", datafile.ErrData, info.Created)
	}
	for _, c := range info.Contributors {
		if strings.TrimSpace(c.Title) == "" {
			return fmt.Errorf("%w: a contributor without a name", datafile.ErrData)
		}
	}
	return nil
}

// WritePackage writes films as a new package, a Data Package 2.0 of CSV files that
// [ReadPackage] and other languages read. The directory must not exist: the files are
// written beside it, held to [CheckPackage], and the whole is moved there, so nobody ever
// sees half a package, or one that the check refuses.
//
// The error wraps [datafile.ErrData] if the films or the information cannot be used,
// [os.ErrExist] if the directory is there already, and otherwise is that of the
// file system. Of two writers of one directory one wins, and the other is told.
func WritePackage(dir string, info PackageInfo, films ...*Film) error {
	files, err := packageFiles(info, films)
	if err != nil {
		return err
	}
	return datapackage.WriteDir(dir, files, func(written fs.FS) error { return CheckPackage(written) })
}

// SealPackage writes a package whose tables were edited to a new directory, with sizes and
// hashes put right, and returns the files that they were wrong of. All else is taken along
// byte for byte: columns, tables, files and members of the descriptor that this library
// does not know, their order and their spaces. The result is held to [CheckPackage] first;
// what it finds is the error, and nothing is written then. A link, a device or a pipe
// among the files cannot be taken along, and is an error that wraps [datafile.ErrData].
// The other errors are those of [WritePackage].
func SealPackage(dir string, fsys fs.FS) ([]string, error) {
	files, changed, err := datapackage.Sealed(fsys, isFilmTable)
	if err != nil {
		return nil, err
	}
	return changed, datapackage.WriteDir(dir, files, func(written fs.FS) error { return CheckPackage(written) })
}

// packageFiles makes all files of a package, by name.
func packageFiles(info PackageInfo, films []*Film) (map[string][]byte, error) {
	if err := info.check(); err != nil {
		return nil, err
	}
	tables, citations, err := filmRows(films)
	if err != nil {
		return nil, err
	}
	return datapackage.Files(infoFor(info, citations), tables)
}

// infoFor adds the sources and the format to what the caller says.
func infoFor(info PackageInfo, citations []string) datapackage.Info {
	return datapackage.Info{Name: info.Name, Title: info.Title, Description: info.Description, Version: info.Version,
		Contributors: info.Contributors, License: info.License, Sources: citations,
		ID: info.ID, Homepage: info.Homepage, Created: info.Created, Keywords: info.Keywords,
		Format: &datapackage.Format{Version: FormatVersion, File: SchemaName, Schema: formatSchema()}}
}

// filmRows puts films into the tables, and returns the sources in order.
func filmRows(films []*Film) ([]datapackage.Filled, []string, error) {
	if len(films) == 0 {
		return nil, nil, fmt.Errorf("%w: a package without a film", datafile.ErrData)
	}
	for i, f := range films {
		if f == nil || f.data.Name == "" {
			return nil, nil, fmt.Errorf("%w: film %d is empty; make films by NewFilm", datafile.ErrData, i+1)
		}
	}
	films = slices.Clone(films)
	// Sorted by name, so that the same films give the same bytes.
	slices.SortStableFunc(films, func(a, b *Film) int { return strings.Compare(a.data.Name, b.data.Name) })
	w := rowWriter{rows: map[string][][]string{}, shorts: map[string]string{}, taken: map[string]bool{}}
	for i, f := range films {
		if i > 0 && films[i-1].data.Name == f.data.Name {
			return nil, nil, fmt.Errorf("%w: two films are named %q", datafile.ErrData, f.data.Name)
		}
		w.film(&f.data)
	}
	for _, citation := range slices.SortedFunc(maps.Keys(w.shorts),
		func(a, b string) int { return strings.Compare(w.shorts[a], w.shorts[b]) }) {
		writeRow(&w, &sourcesTable, place{}, &sourceRow{w.shorts[citation], citation})
	}
	var out []datapackage.Filled
	for _, spec := range filmTables() {
		out = append(out, datapackage.Filled{Table: spec, Rows: w.rows[spec.Name]})
	}
	return out, slices.Sorted(maps.Keys(w.shorts)), nil
}

// rowWriter collects the rows of the tables.
type rowWriter struct {
	rows   map[string][][]string
	shorts map[string]string // short names of the sources, by citation
	taken  map[string]bool
}

// source returns the short name of a citation: its first words.
func (w *rowWriter) source(citation string) string {
	if s, ok := w.shorts[citation]; ok {
		return s
	}
	words := strings.FieldsFunc(strings.ToLower(citation),
		func(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsDigit(r) })
	base := strings.Join(words[:min(len(words), 4)], "-")
	if base == "" {
		base = "source"
	}
	s := base
	for n := 2; w.taken[s]; n++ {
		s = fmt.Sprintf("%s-%d", base, n)
	}
	w.shorts[citation], w.taken[s] = s, true
	return s
}

// writeRow adds the row of a part at its place.
func writeRow[T any](w *rowWriter, t *table[T], at place, part *T) {
	cells := append(make([]string, 0, len(t.keys)+len(t.columns)), []string{at.film, at.process, at.curve}[:len(t.keys)]...)
	for i := range t.columns {
		c := &t.columns[i]
		text := c.text(part)
		if c.Name == "source" && t.Name != sourcesTable.Name {
			text = w.source(text)
		}
		cells = append(cells, text)
	}
	w.rows[t.Name] = append(w.rows[t.Name], cells)
}

// film adds the rows of a film, part by part as [reader] expects them.
func (w *rowWriter) film(d *FilmData) {
	at := place{film: d.Name}
	writeRow(w, &filmsTable, at, d)
	for i := range d.Processes {
		w.process(at, &d.Processes[i])
	}
	if s := d.Sensitivity; s != nil {
		writeRow(w, &sensitivitiesTable, at, s)
		for i, nm := range s.Wavelengths {
			p := pointRow{nm: nm, log10: s.Log10[i]}
			if len(s.SD) > 0 {
				p.sd = s.SD[i]
			}
			writeRow(w, &sensitivityPointsTable, at, &p)
		}
	}
	if r := d.Reciprocity; r != nil {
		writeRow(w, lawsTable(), at, r)
		for i := range r.Form.Readings {
			writeRow(w, &lawReadingsTable, at, &r.Form.Readings[i])
		}
	}
}

// process adds the rows of a process and what belongs to it.
func (w *rowWriter) process(at place, d *ProcessData) {
	writeRow(w, &processesTable, at, d)
	at.process = d.Name
	if d.Index != nil {
		writeRow(w, &indexesTable, at, d.Index)
	}
	for i := range d.Curves {
		w.curve(at, &d.Curves[i])
	}
	if d.Growth != nil {
		writeRow(w, &familiesTable, at, d.Growth)
	}
	if g := d.Granularity; g != nil {
		writeRow(w, &granularitiesTable, at, g)
		for i := range g.Points {
			writeRow(w, &granularityPointsTable, at, &g.Points[i])
		}
	}
	if r := d.Response; r != nil {
		writeRow(w, &responsesTable, at, r)
		for i := range r.Points {
			writeRow(w, &responsePointsTable, at, &r.Points[i])
		}
	}
}

// curve adds a strip: its constants, its points, and what was read; unexposed patches have
// no exposure.
func (w *rowWriter) curve(at place, c *CurveData) {
	writeRow(w, &curvesTable, at, c)
	at.curve = c.Name
	for _, p := range c.points() {
		writeRow(w, &pointsTable, at, &p)
	}
	n := 0
	for _, d := range c.Unexposed {
		n++
		writeRow(w, &readingsTable, at, &readingRow{number: n, Reading: sensito.Reading{Density: d}})
	}
	for _, r := range c.Readings {
		n++
		writeRow(w, &readingsTable, at, &readingRow{n, true, r})
	}
}

// pointStep is the distance of the points that go with constants, in log10 H, and
// pointDigits how many digits of density they have.
const (
	pointStep   = 0.15
	pointDigits = 4
)

// points returns the curve as points: its own, or those computed from the constants.
func (c *CurveData) points() []sensito.Reading {
	if c.Shape == nil {
		return c.Points
	}
	form, err := sensito.NewClosedForm(*c.Shape)
	if err != nil {
		return nil // NewFilm has made it once
	}
	n := max(int((c.Shape.To-c.Shape.From)/pointStep+0.999), 1)
	var out []sensito.Reading
	for i := range n + 1 {
		x := c.Shape.From + (c.Shape.To-c.Shape.From)*sensito.LogH(i)/sensito.LogH(n)
		// Rounded as it is written, so that density and exposure in the file belong together.
		x = sensito.LogH(figures.Round(float64(x), 4))
		x = min(max(x, c.Shape.From), c.Shape.To)
		if d, err := form.Density(x); err == nil {
			out = append(out, sensito.Reading{LogH: x, Density: sensito.Density(figures.Round(float64(d), pointDigits))})
		}
	}
	return out
}
