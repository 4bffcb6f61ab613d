package actinic

import (
	"errors"
	"fmt"
	"io/fs"
	"maps"
	"slices"
	"strings"
	"sync"

	"example.org/actinic/internal/datapackage"
	"example.org/actinic/internal/figures"
	"example.org/actinic/reciprocity"
	"example.org/actinic/sensito"
	"example.org/actinic/sensito/datafile"
)

// Package is a set of films read from a data package: the built-in one, or a
// person's own. It is safe for concurrent use.
type Package struct {
	info  PackageInfo
	named names
	films map[string]func() (*Film, error)
}

// ReadPackage reads the films of a data package: datapackage.json and the CSV files
// that it names. A file as a spreadsheet writes it is read too: byte order mark,
// CRLF, quoted numbers, columns in another order; a decimal comma is refused. What
// a table says of films is all read here; each film is put together when it is
// asked for, once.
//
// Names in the descriptor are taken exactly as they are written, as [CheckPackage] takes
// them: one that stands twice, or that differs from another in capitals only, is an error.
// With [Verify] the files are held to the sizes and hashes of the descriptor, as a program
// should that uses the package of somebody else.
//
// Nothing but plain files below [MostBytes] is read. Whether a symbolic link can lead out
// of fsys is a matter of fsys: that of os.OpenRoot is a boundary, os.DirFS is none.
//
// What cannot be used is returned as [datafile.Errors], all of it, with file, line and
// column; what cannot be opened as the error of fsys. For all the rest that a
// package should keep to, see [CheckPackage].
func ReadPackage(fsys fs.FS, how ...ReadOption) (*Package, error) {
	opened, err := datapackage.Open(fsys)
	if err != nil {
		return nil, err
	}
	if slices.Contains(how, Verify) {
		if errs := opened.Verify(isFilmTable); len(errs) > 0 {
			return nil, errs
		}
	}
	r := newReader(opened)
	films := r.films()
	if err := r.problems(); err != nil {
		return nil, err
	}
	p := newPackage(infoOf(opened.Info))
	// Films are made on demand: who wants one of hundreds does not wait for all.
	for _, f := range films {
		p.films[f.data.Name] = sync.OnceValues(func() (*Film, error) {
			film, err := NewFilm(*f.data)
			if err != nil {
				return nil, fmt.Errorf("%s:%d: %w", r.tables["films"].File, f.line, err)
			}
			return film, nil
		})
	}
	p.order()
	return p, nil
}

func newPackage(info PackageInfo) *Package {
	return &Package{info: info, films: map[string]func() (*Film, error){}}
}

// order names the films that are there.
func (p *Package) order() {
	for _, name := range slices.Sorted(maps.Keys(p.films)) {
		p.named.add(name)
	}
}

// Info returns the package's name, version and what else identifies it.
func (p *Package) Info() PackageInfo {
	info := p.info
	info.Contributors, info.Keywords = slices.Clone(info.Contributors), slices.Clone(info.Keywords)
	for i := range info.Contributors {
		info.Contributors[i].Roles = slices.Clone(info.Contributors[i].Roles)
	}
	return info
}

// Films returns the names of the films in order.
func (p *Package) Films() []string { return slices.Clone(p.named.said) }

// Film returns a film by its name, or by a part of it that no other film of the
// package has; capitals do not matter. The error wraps [ErrUnknown], or is that of
// [NewFilm] with the film's line.
func (p *Package) Film(name string) (*Film, error) {
	i, err := p.named.find(name)
	if err != nil {
		return nil, fmt.Errorf("%w: film: %w", ErrUnknown, err)
	}
	return p.films[p.named.said[i]]()
}

// ReadOption says how a package is read.
type ReadOption uint8

// Verify holds the files of a package to the sizes and hashes that its descriptor has.
const Verify ReadOption = 1

// MostBytes is how large a file of a package may be.
const MostBytes = datafile.MostBytes

// isFilmTable tells the tables of films from others' that stand beside them.
func isFilmTable(name string) bool { return filmTable(name) != nil }

// infoOf leaves out what is a matter of the format.
func infoOf(i datapackage.Info) PackageInfo {
	return PackageInfo{
		Name:         i.Name,
		Title:        i.Title,
		Description:  i.Description,
		Version:      i.Version,
		Contributors: i.Contributors,
		License:      i.License,
		ID:           i.ID,
		Homepage:     i.Homepage,
		Created:      i.Created,
		Keywords:     i.Keywords,
	}
}

// reader reads the tables of films, each into the parts that its rows belong to.
type reader struct {
	opened    *datapackage.Package
	tables    map[string]*datafile.Table
	citations map[string]string // of the sources, by short name
	lost      map[string]bool   // rows that lead nowhere, reported once for a series
	err       error             // of the file system

	// The parts by their places, and in the order of the files.
	filmAt     map[string]*FilmData
	processAt  map[place]*ProcessData
	curveAt    map[place]*CurveData
	read       []readFilm
	processes  []readProcess
	curvesRead []readCurve
	last       *CurveData // that curve found, and where it is
	lastAt     place
	// pointsNeeded says that a curve has no constants; where all have, the points are
	// not read.
	pointsNeeded bool
}

type (
	readFilm struct {
		data *FilmData
		line int
	}
	readProcess struct {
		of   *FilmData
		data *ProcessData
	}
	readCurve struct {
		of   *ProcessData
		data *CurveData
	}
)

// place is the film, the process and the curve that a row belongs to.
type place struct{ film, process, curve string }

func newReader(p *datapackage.Package) *reader {
	return &reader{opened: p, tables: map[string]*datafile.Table{}, citations: map[string]string{}, lost: map[string]bool{},
		filmAt: map[string]*FilmData{}, processAt: map[place]*ProcessData{}, curveAt: map[place]*CurveData{}}
}

// tableRow is a row of a table with its place.
type tableRow struct {
	*datafile.Table
	datafile.Row
	at place
}

func (r tableRow) fail(column, want string) { r.FailAt(r.Row, column, want) }

// readTable reads the rows of a table into parts, and gives each to who knows where it
// belongs. A package without the table has no such rows.
func readTable[T any](r *reader, t *table[T], each func(tableRow, T)) {
	spec := filmTable(t.Name)
	file, err := r.opened.Read(spec)
	if err != nil {
		r.err = errors.Join(r.err, err)
		return
	}
	if file == nil {
		return
	}
	r.tables[t.Name] = file
	for _, line := range file.Rows {
		at := tableRow{file, line, place{file.Text(line, "film"), file.Text(line, "process"), file.Text(line, "curve")}}
		each(at, readPart(r, t, at))
	}
}

// readPart reads the columns of a part, and reports the cells that cannot be.
func readPart[T any](r *reader, t *table[T], at tableRow) T {
	part := t.new()
	for i := range t.columns {
		c := &t.columns[i]
		if c.derived {
			continue
		}
		text := at.Text(at.Row, c.Name)
		switch {
		// A cell is missing, or missing where another is given, or points to a source, or is read:
		// in this order, so that each wrong cell has one message.
		case text == "" && c.needed && at.Text(at.Row, c.with) != "":
			at.fail(c.Name, "not to be missing where "+c.with+" is given")
		case text == "" && c.Required && c.Name != "source" && c.Name != "basis":
			if c.raw != nil {
				at.fail(c.Name, "a number")
			}
		case c.Name == "source" && t.Name != sourcesTable.Name:
			citation, ok := r.citations[text]
			if !ok {
				at.fail("source", "the short name of a row of the table sources")
			}
			_ = c.set(&part, citation) // a text takes any
		case text == "" && c.Name == "basis":
			at.fail(c.Name, "one of "+figures.Quoted(c.Enum))
		case text == "", c.with != "" && at.Text(at.Row, c.with) == "":
		default:
			if err := c.set(&part, text); err != nil {
				at.fail(c.Name, err.Error())
			}
		}
	}
	return part
}

// astray reports a row that leads nowhere, the first of a series that does.
func (r *reader) astray(at tableRow, column, want string) {
	// One name misspelt in films.csv would be a thousand messages about its points.
	key := strings.Join([]string{at.File, column, at.at.film, at.at.process, at.at.curve}, "\x00")
	if !r.lost[key] {
		r.lost[key] = true
		at.fail(column, want)
	}
}

// allErrors returns what was wrong in all tables, in the order of file and line.
func (r *reader) allErrors() error {
	var all, whole datafile.Errors
	for _, t := range r.tables {
		all = append(all, t.Errs...)
		if len(t.Rows) == 0 {
			whole = append(whole, t.Errs...)
		}
	}
	if len(whole) > 0 {
		all = whole // rows that point into a table that could not be read say nothing
	}
	all.Sort()
	return all.Err()
}

// film returns the film that a row belongs to.
func (r *reader) film(at tableRow) *FilmData {
	f := r.filmAt[at.at.film]
	if f == nil {
		r.astray(at, "film", "a film of the table films")
	}
	return f
}

// process returns the process that a row belongs to.
func (r *reader) process(at tableRow) *ProcessData {
	if r.film(at) == nil {
		return nil
	}
	p := r.processAt[place{at.at.film, at.at.process, ""}]
	if p == nil {
		r.astray(at, "process", "a process of the film in the table processes")
	}
	return p
}

// curve returns the curve that a row belongs to: mostly that of the row before.
func (r *reader) curve(at tableRow) *CurveData {
	if r.last != nil && at.at == r.lastAt {
		return r.last
	}
	if r.process(at) == nil {
		return nil
	}
	c := r.curveAt[at.at]
	if c == nil || at.at.curve == "" {
		r.astray(at, "curve", "a curve of the process in the table curves")
		return nil
	}
	r.last, r.lastAt = c, at.at
	return c
}

// films reads all tables.
func (r *reader) films() []readFilm {
	if r.opened.Resource("films") == nil {
		r.tables["films"] = &datafile.Table{File: datapackage.DescriptorFile, Errs: datafile.Errors{
			{File: datapackage.DescriptorFile, Field: "resources", Want: "a resource named films"}}}
		return nil
	}
	r.filmRows()
	r.readProcesses()
	readTable(r, &sensitivitiesTable, func(at tableRow, d SensitivityData) {
		if f := r.film(at); f != nil {
			f.Sensitivity = &d
		}
	})
	readTable(r, &sensitivityPointsTable, func(at tableRow, p pointRow) {
		switch f := r.film(at); {
		case f == nil:
		case f.Sensitivity == nil:
			r.astray(at, "film", "a film of the table sensitivities")
		default:
			f.Sensitivity.Wavelengths = append(f.Sensitivity.Wavelengths, p.nm)
			f.Sensitivity.Log10 = append(f.Sensitivity.Log10, p.log10)
			f.Sensitivity.SD = append(f.Sensitivity.SD, p.sd)
		}
	})
	readTable(r, lawsTable(), func(at tableRow, d ReciprocityData) {
		if f := r.film(at); f != nil {
			f.Reciprocity = &d
		}
	})
	readTable(r, &lawReadingsTable, func(at tableRow, q reciprocity.Reading) {
		switch f := r.film(at); {
		case f == nil:
		case f.Reciprocity == nil:
			r.astray(at, "film", "a film of the table reciprocity_laws")
		default:
			f.Reciprocity.Form.Readings = append(f.Reciprocity.Form.Readings, q)
		}
	})
	for _, f := range r.read {
		if s := f.data.Sensitivity; s != nil && !slices.ContainsFunc(s.SD, func(v float64) bool { return v != 0 }) {
			s.SD = nil // none is known
		}
	}
	// Parts are joined to their owners at the end: until then they may still grow.
	for _, c := range r.curvesRead {
		c.of.Curves = append(c.of.Curves, *c.data)
	}
	for _, p := range r.processes {
		p.of.Processes = append(p.of.Processes, *p.data)
	}
	return r.read
}

// filmRows reads the sources, and the films without what belongs to them.
func (r *reader) filmRows() {
	readTable(r, &sourcesTable, func(_ tableRow, s sourceRow) { r.citations[s.short] = s.citation })
	readTable(r, &filmsTable, func(at tableRow, d FilmData) {
		if r.filmAt[d.Name] != nil {
			at.fail("film", "each film once")
			return
		}
		r.filmAt[d.Name] = &d
		r.read = append(r.read, readFilm{&d, at.Line})
	})
}

// problems are what the file system refused, or else what was wrong in the tables.
func (r *reader) problems() error {
	if r.err != nil {
		return r.err
	}
	return r.allErrors()
}

// readPoints reads a part of a process and the table of its points.
func readPoints[T, P any](r *reader, t *table[T], points *table[P], at func(*ProcessData) **T, of func(*T) *[]P) {
	readTable(r, t, func(row tableRow, d T) {
		if p := r.process(row); p != nil {
			*at(p) = &d
		}
	})
	readTable(r, points, func(row tableRow, q P) {
		switch p := r.process(row); {
		case p == nil:
		case *at(p) == nil:
			r.astray(row, "process", "a process of the table "+t.Name)
		default:
			*of(*at(p)) = append(*of(*at(p)), q)
		}
	})
}

// readProcesses reads the tables of processes and of what belongs to them.
func (r *reader) readProcesses() {
	readTable(r, &processesTable, func(at tableRow, d ProcessData) {
		if f := r.film(at); f != nil {
			r.processAt[place{at.at.film, d.Name, ""}] = &d
			r.processes = append(r.processes, readProcess{f, &d})
		}
	})
	readTable(r, &indexesTable, func(at tableRow, d IndexData) {
		if p := r.process(at); p != nil {
			p.Index = &d
		}
	})
	readTable(r, &familiesTable, func(at tableRow, d GrowthData) {
		if p := r.process(at); p != nil {
			p.Growth = &d
		}
	})
	readTable(r, &testsTable, func(at tableRow, d TestData) {
		if p := r.process(at); p != nil {
			p.Test = &d
		}
	})
	readTable(r, &findingsTable, func(at tableRow, f findingRow) {
		if p := r.process(at); p != nil {
			p.Findings = append(p.Findings, f.FindingData)
		}
	})
	readPoints(r, &granularitiesTable, &granularityPointsTable, func(p *ProcessData) **GranularityData { return &p.Granularity },
		func(d *GranularityData) *[]GranularityPoint { return &d.Points })
	readPoints(r, &responsesTable, &responsePointsTable, func(p *ProcessData) **ResponseData { return &p.Response },
		func(d *ResponseData) *[]ResponsePoint { return &d.Points })
	readTable(r, &curvesTable, func(at tableRow, d CurveData) {
		p := r.process(at)
		if p == nil {
			return
		}
		if d.Shape != nil {
			d.Shape.BaseFog = d.BaseFog
		} else {
			r.pointsNeeded = true
		}
		r.curveAt[place{at.at.film, at.at.process, d.Name}] = &d
		r.curvesRead = append(r.curvesRead, readCurve{p, &d})
	})
	readTable(r, &readingsTable, func(at tableRow, q readingRow) {
		switch d := r.curve(at); {
		case d == nil:
		case q.exposed:
			d.Readings = append(d.Readings, q.Reading)
		default:
			d.Unexposed = append(d.Unexposed, q.Density)
		}
	})
	// Points are most of a package; where constants are given they are not looked at.
	if r.pointsNeeded {
		readTable(r, &pointsTable, func(at tableRow, p sensito.Reading) {
			if d := r.curve(at); d != nil && d.Shape == nil {
				d.Points = append(d.Points, p)
			}
		})
	}
}
