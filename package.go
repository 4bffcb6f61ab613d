package actinic

import (
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"math"
	"path"
	"slices"
	"strings"
	"sync"
	"time"

	"example.org/actinic/sensito/datafile"

	"example.org/actinic/devtime"
	"example.org/actinic/internal/figures"
	"example.org/actinic/reciprocity"
	"example.org/actinic/sensito"
)

// Package is a set of films read from a data package: the built-in one, or a
// person's own. It is safe for concurrent use.
type Package struct {
	info  PackageInfo
	names []string
	films map[string]func() (*Film, error)
}

// ReadPackage reads the films of a data package: datapackage.json and the CSV files
// that it names. A file as a spreadsheet writes it is read too: byte order mark,
// CRLF, quoted numbers, columns in another order; a decimal comma is refused. What
// a table says of films is all read here; each film is put together when it is
// asked for, once.
//
// What cannot be used is returned as [datafile.Errors], all of it, with file, line and
// column; what cannot be opened as the error of fsys. For all the rest that a
// package should keep to, see [CheckPackage].
func ReadPackage(fsys fs.FS) (*Package, error) {
	content, err := fs.ReadFile(fsys, descriptorFile)
	if err != nil {
		return nil, fmt.Errorf("actinic: a package needs %s: %w", descriptorFile, err)
	}
	d, errs := readDescriptor(content)
	if len(errs) > 0 {
		return nil, errs
	}
	r := reader{fsys: fsys, descriptor: d, tables: map[string]*datafile.Table{}, citations: map[string]string{}}
	films := r.films()
	if r.err != nil {
		return nil, r.err
	}
	if err := r.allErrors(); err != nil {
		return nil, err
	}
	p := &Package{info: d.info(), films: map[string]func() (*Film, error){}}
	for _, f := range films {
		p.names = append(p.names, f.data.Name)
		p.films[f.data.Name] = sync.OnceValues(func() (*Film, error) {
			film, err := NewFilm(*f.data)
			if err != nil {
				return nil, fmt.Errorf("%s:%d: %w", r.tables["films"].File, f.line, err)
			}
			return film, nil
		})
	}
	slices.Sort(p.names)
	return p, nil
}

// Info returns the package's name, version and what else identifies it.
func (p *Package) Info() PackageInfo {
	info := p.info
	info.Contributors = slices.Clone(info.Contributors)
	return info
}

// Films returns the names of the films in order.
func (p *Package) Films() []string { return slices.Clone(p.names) }

// Film returns a film by its name, or by a part of it that no other film of the
// package has; capitals do not matter. The error wraps [ErrUnknown], or is that of
// [NewFilm] with the film's line.
func (p *Package) Film(name string) (*Film, error) {
	i, err := findName(p.names, name)
	if err != nil {
		return nil, fmt.Errorf("%w: film: %w", ErrUnknown, err)
	}
	return p.films[p.names[i]]()
}

func (d *descriptor) info() PackageInfo {
	info := PackageInfo{Name: d.Name, Title: d.Title, Description: d.Description, Version: d.Version}
	for _, c := range d.Contributors {
		info.Contributors = append(info.Contributors, c.Title)
	}
	if len(d.Licenses) > 0 {
		info.License = d.Licenses[0].Name
	}
	return info
}

// readDescriptor reads what the library needs of a descriptor; the checker looks
// at the rest.
func readDescriptor(content []byte) (*descriptor, datafile.Errors) {
	var d descriptor
	if err := json.Unmarshal(content, &d); err != nil {
		e := &datafile.Error{File: descriptorFile, Want: "a descriptor of a data package (" + err.Error() + ")"}
		var syn *json.SyntaxError
		var typ *json.UnmarshalTypeError
		switch {
		case errors.As(err, &syn):
			e.Line, e.Column = datafile.Place(content, syn.Offset-1)
		case errors.As(err, &typ):
			e.Line, e.Column = datafile.Place(content, typ.Offset-1)
			e.Field, e.Text = typ.Field, typ.Value
		}
		return nil, datafile.Errors{e}
	}
	return &d, nil
}

func (d *descriptor) resource(name string) *resourceJSON {
	for i := range d.Resources {
		if d.Resources[i].Name == name {
			return &d.Resources[i]
		}
	}
	return nil
}

// reader reads the tables of films.
type reader struct {
	fsys       fs.FS
	descriptor *descriptor
	tables     map[string]*datafile.Table
	citations  map[string]string
	lostRows   map[string]bool
	// pointsNeeded says that a curve has no constants; where all have, the points are
	// not read.
	pointsNeeded bool
	err          error
}

type readFilm struct {
	data *FilmData
	line int
}

// rows reads a table of films; none where the package has not got it.
func (r *reader) rows(name string) []rowCursor {
	res := r.descriptor.resource(name)
	if res == nil {
		return nil
	}
	if !safePath(res.Path) {
		r.tables[name] = &datafile.Table{File: descriptorFile, Errs: datafile.Errors{{File: descriptorFile, Field: "path", Text: res.Path, Want: "the path of a file in the package"}}}
		return nil
	}
	content, err := fs.ReadFile(r.fsys, res.Path)
	if err != nil {
		r.err = errors.Join(r.err, fmt.Errorf("actinic: table %s: %w", name, err))
		return nil
	}
	required, optional := filmTable(name).extended(res)
	t := datafile.ReadBytes(content, res.Path, required, optional)
	r.tables[name] = t
	out := make([]rowCursor, len(t.Rows))
	for i, row := range t.Rows {
		out[i] = rowCursor{t, row}
	}
	return out
}

// extended returns the columns of a table and of what its descriptor adds.
func (s *tableSpec) extended(res *resourceJSON) (required, optional []string) {
	required, optional = s.columns()
	for _, f := range res.Schema.Fields {
		if s.field(f.Name) == nil {
			optional = append(optional, f.Name)
		}
	}
	return required, optional
}

func safePath(p string) bool {
	return fs.ValidPath(p) && p != "." && !strings.Contains(p, `\`) && path.Clean(p) == p
}

// lost reports a row that leads nowhere, the first of a series that does.
func (r *reader) lost(c rowCursor, name, want string) {
	key := strings.Join([]string{c.t.File, name, c.text("film"), c.text("process"), c.text("curve")}, "\x00")
	if r.lostRows == nil {
		r.lostRows = map[string]bool{}
	}
	if !r.lostRows[key] {
		r.lostRows[key] = true
		c.fail(name, want)
	}
}

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

// rowCursor reads the cells of a row, and reports what is not right.
type rowCursor struct {
	t *datafile.Table
	r datafile.Row
}

func (c rowCursor) text(name string) string { return c.t.Text(c.r, name) }

func (c rowCursor) fail(name, want string) { c.t.FailAt(c.r, name, want) }

// number is 0 where the cell is empty.
func (c rowCursor) number(name string) float64 {
	s := c.text(name)
	switch {
	case s == "":
		return 0
	case s == "INF" && strings.Contains(name, "_high"):
		return math.Inf(1)
	}
	v, _ := c.t.Number(c.r, name, "a number, or nothing where it is not known")
	return v
}

// must is a number that cannot be missing.
func (c rowCursor) must(name string) float64 {
	if c.text(name) == "" {
		c.fail(name, "a number")
		return math.NaN()
	}
	return c.number(name)
}

func (c rowCursor) duration(name string) time.Duration {
	s := c.number(name)
	if !(math.Abs(s) < 1e9) {
		c.fail(name, "a time in seconds below 1e9")
		return 0
	}
	return figures.Seconds(s)
}

// estimate reads a value and the ends of its interval; nil where there is none.
func (c rowCursor) estimate(value, low, high string) *sensito.Estimate {
	if c.text(value) == "" {
		return nil
	}
	e := sensito.Estimate{Value: c.number(value), Low: math.NaN(), High: math.NaN()}
	if c.text(low) != "" {
		e.Low = c.number(low)
	}
	if c.text(high) != "" {
		e.High = c.number(high)
	}
	return &e
}

func (c rowCursor) mustEstimate(value, low, high string) sensito.Estimate {
	if e := c.estimate(value, low, high); e != nil {
		return *e
	}
	c.fail(value, "a number")
	return sensito.Estimate{}
}

func (r *reader) provenance(c rowCursor) Provenance {
	p := Provenance{Conditions: c.text("conditions")}
	if err := p.Basis.UnmarshalText([]byte(c.text("basis"))); err != nil {
		c.fail("basis", "one of "+figures.Quoted(basisNames[1:]))
	}
	var ok bool
	if p.Source, ok = r.citations[c.text("source")]; !ok {
		c.fail("source", "the short name of a row of the table sources")
	}
	return p
}

// films reads all tables.
func (r *reader) films() []readFilm {
	if r.descriptor.resource("films") == nil {
		r.tables["films"] = &datafile.Table{File: descriptorFile, Errs: datafile.Errors{{File: descriptorFile, Field: "resources", Want: "a resource named films"}}}
		return nil
	}
	for _, c := range r.rows("sources") {
		r.citations[c.text("source")] = c.text("citation")
	}
	var out []readFilm
	films := map[string]*FilmData{}
	for _, c := range r.rows("films") {
		name := c.text("film")
		if films[name] != nil {
			c.fail("film", "each film once")
			continue
		}
		films[name] = &FilmData{Name: name, Description: c.text("description"), Provenance: r.provenance(c)}
		out = append(out, readFilm{films[name], c.r.Line})
	}
	film := func(c rowCursor) *FilmData {
		f := films[c.text("film")]
		if f == nil {
			r.lost(c, "film", "a film of the table films")
		}
		return f
	}
	r.processes(film)
	for _, c := range r.rows("sensitivities") {
		if f := film(c); f != nil {
			f.Sensitivity = &SensitivityData{AboveFog: sensito.Density(c.number("density_above_fog")), Provenance: r.provenance(c)}
		}
	}
	for _, c := range r.rows("sensitivity_points") {
		switch f := film(c); {
		case f == nil:
		case f.Sensitivity == nil:
			r.lost(c, "film", "a film of the table sensitivities")
		default:
			f.Sensitivity.Wavelengths = append(f.Sensitivity.Wavelengths, c.must("wavelength_nm"))
			f.Sensitivity.Log10 = append(f.Sensitivity.Log10, c.must("log10_sensitivity"))
		}
	}
	for _, c := range r.rows("reciprocity_laws") {
		if f := film(c); f != nil {
			f.Reciprocity = &ReciprocityData{
				Law: c.text("law"), Onset: c.number("onset_s"), P: c.number("p"), ShortOnset: c.number("short_onset_s"), ShortP: c.number("short_p"),
				A: c.number("a"), B: c.number("b"), Optimum: c.number("optimum_s"), Reference: c.number("reference_s"),
				Shortest: c.duration("shortest_s"), Longest: c.duration("longest_s"), Provenance: r.provenance(c),
			}
		}
	}
	for _, c := range r.rows("reciprocity_readings") {
		switch f := film(c); {
		case f == nil:
		case f.Reciprocity == nil:
			r.lost(c, "film", "a film of the table reciprocity_laws")
		default:
			f.Reciprocity.Readings = append(f.Reciprocity.Readings, reciprocity.Reading{
				Metered: c.duration("metered_s"), Adjusted: c.duration("adjusted_s"), SD: sensito.Stops(c.number("adjusted_sd_stops")),
			})
		}
	}
	return out
}

func (r *reader) processes(film func(rowCursor) *FilmData) {
	type key struct{ film, process, curve string }
	at := map[key]int{}
	for _, c := range r.rows("processes") {
		f := film(c)
		if f == nil {
			continue
		}
		at[key{f.Name, c.text("process"), ""}] = len(f.Processes)
		f.Processes = append(f.Processes, ProcessData{
			Name: c.text("process"), Developer: c.text("developer"), Dilution: c.text("dilution"), Temperature: devtime.Celsius(c.number("temperature_degc")),
			Agitation: c.text("agitation"), Light: c.text("light"), Provenance: r.provenance(c),
		})
	}
	process := func(c rowCursor) *ProcessData {
		f := film(c)
		if f == nil {
			return nil
		}
		i, ok := at[key{f.Name, c.text("process"), ""}]
		if !ok {
			r.lost(c, "process", "a process of the film in the table processes")
			return nil
		}
		return &f.Processes[i]
	}
	for _, c := range r.rows("indexes") {
		if p := process(c); p != nil {
			p.Index = &IndexData{
				Index: c.mustEstimate("ei", "ei_low", "ei_high"), From: c.text("ei_from"),
				Development: c.estimate("development_s", "development_low_s", "development_high_s"),
				Gradient:    c.number("average_gradient"), Provenance: r.provenance(c),
			}
		}
	}
	for _, c := range r.rows("development_families") {
		if p := process(c); p != nil {
			p.Growth = &GrowthData{
				Limit: c.mustEstimate("limit", "limit_low", "limit_high"), Rate: c.mustEstimate("rate_per_min", "rate_low_per_min", "rate_high_per_min"),
				Induction: c.mustEstimate("induction_min", "induction_low_min", "induction_high_min"),
				Shortest:  c.duration("shortest_s"), Longest: c.duration("longest_s"),
				Q10: c.number("q10"), Coldest: devtime.Celsius(c.number("coldest_degc")), Warmest: devtime.Celsius(c.number("warmest_degc")), Provenance: r.provenance(c),
			}
		}
	}
	for _, c := range r.rows("curves") {
		p := process(c)
		if p == nil {
			continue
		}
		d := CurveData{
			Name: c.text("curve"), Development: c.duration("development_s"), BaseFog: sensito.Density(c.must("base_fog")),
			SpeedLow: c.number("speed_low"), SpeedHigh: c.number("speed_high"),
			Gradient: c.estimate("average_gradient", "average_gradient_low", "average_gradient_high"), Provenance: r.provenance(c),
		}
		if c.text("gamma") == "" {
			r.pointsNeeded = true
		} else {
			d.Shape = &sensito.Shape{
				BaseFog: d.BaseFog, Gamma: c.number("gamma"), Toe: sensito.LogH(c.must("toe_log_h_lx_s")), ToeWidth: c.must("toe_width"),
				Shoulder: sensito.Density(c.number("shoulder")), Sharpness: c.number("sharpness"),
				From: sensito.LogH(c.must("from_log_h_lx_s")), To: sensito.LogH(c.must("to_log_h_lx_s")),
			}
		}
		if c.text("speed") != "" {
			d.Speed.Value = c.number("speed")
			if err := d.Speed.Kind.UnmarshalText([]byte(c.text("speed_kind"))); err != nil {
				c.fail("speed_kind", "EI or ISO")
			}
			if err := d.Speed.Criterion.UnmarshalText([]byte(c.text("speed_criterion"))); err != nil {
				c.fail("speed_criterion", "the criterion of the speed")
			}
		}
		at[key{c.text("film"), p.Name, d.Name}] = len(p.Curves)
		p.Curves = append(p.Curves, d)
	}
	curve := func(c rowCursor) *CurveData {
		p := process(c)
		if p == nil {
			return nil
		}
		i, ok := at[key{c.text("film"), p.Name, c.text("curve")}]
		if !ok || c.text("curve") == "" {
			r.lost(c, "curve", "a curve of the process in the table curves")
			return nil
		}
		return &p.Curves[i]
	}
	for _, c := range r.rows("readings") {
		d := curve(c)
		switch {
		case d == nil:
		case c.text("log_h_lx_s") == "":
			d.Unexposed = append(d.Unexposed, sensito.Density(c.must("density")))
		default:
			d.Readings = append(d.Readings, sensito.Reading{LogH: sensito.LogH(c.number("log_h_lx_s")), Density: sensito.Density(c.must("density")), SD: c.number("density_sd")})
		}
	}
	if !r.pointsNeeded {
		return
	}
	for _, c := range r.rows("curve_points") {
		if d := curve(c); d != nil && d.Shape == nil {
			d.Points = append(d.Points, sensito.Reading{LogH: sensito.LogH(c.must("log_h_lx_s")), Density: sensito.Density(c.must("density"))})
		}
	}
}
