package actinic

import (
	"bytes"
	"cmp"
	"crypto/sha256"
	"encoding/csv"
	"encoding/json"
	"errors"
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"time"
	"unicode"

	"example.org/actinic/internal/figures"
	"example.org/actinic/sensito"
	"example.org/actinic/sensito/datafile"
)

// PackageInfo names a package of films.
type PackageInfo struct {
	Name         string // lower case letters, digits and -._
	Title        string
	Description  string
	Version      string   // such as 1.0.0
	Contributors []string // who made it
	License      string   // an open licence's identifier; "" stands for CC0-1.0
}

// isPackageName reports whether s is of lower case letters, digits and -._ and begins
// with one of the first two.
func isPackageName(s string) bool {
	return s != "" && strings.Trim(s, "abcdefghijklmnopqrstuvwxyz0123456789-._") == "" && !strings.ContainsAny(s[:1], "-._")
}

// isVersion reports whether s is three numbers, and perhaps a hyphen and more.
func isVersion(s string) bool {
	numbers, more, cut := strings.Cut(s, "-")
	parts := strings.Split(numbers, ".")
	for _, p := range parts {
		if p == "" || strings.Trim(p, "0123456789") != "" {
			return false
		}
	}
	return len(parts) == 3 && (!cut || more != "" && !strings.ContainsFunc(more, func(r rune) bool {
		return r != '.' && r != '-' && (r > unicode.MaxASCII || !unicode.IsLetter(r) && !unicode.IsDigit(r))
	}))
}

func (info PackageInfo) check() error {
	switch {
	case !isPackageName(info.Name):
		return fmt.Errorf("%w: name of the package %q, want lower case letters, digits and -._", datafile.ErrData, info.Name)
	case !isVersion(info.Version):
		return fmt.Errorf("%w: version %q, want three numbers such as 1.0.0", datafile.ErrData, info.Version)
	}
	return nil
}

// WritePackage writes films as a new package, a Data Package 2.0 of CSV files that
// [ReadPackage] and other languages read and [CheckPackage] accepts. The directory
// must not exist: the files are written beside it and the whole is moved there when
// it is complete, so nobody ever sees half a package.
//
// The error wraps [datafile.ErrData] if the films or the information cannot be used,
// [os.ErrExist] if the directory is there already, and otherwise is that of the
// file system.
func WritePackage(dir string, info PackageInfo, films ...*Film) error {
	files, err := packageFiles(info, films)
	if err != nil {
		return err
	}
	if _, err := os.Lstat(dir); err == nil {
		return fmt.Errorf("actinic: %s: %w; a package is written to a new directory", dir, os.ErrExist)
	}
	dir = filepath.Clean(dir)
	if err := os.MkdirAll(filepath.Dir(dir), 0o755); err != nil {
		return fmt.Errorf("actinic: %w", err)
	}
	work, err := os.MkdirTemp(filepath.Dir(dir), "."+filepath.Base(dir)+"-*")
	if err != nil {
		return fmt.Errorf("actinic: %w", err)
	}
	defer os.RemoveAll(work)
	inside := filepath.Join(work, "package")
	if err := os.Mkdir(inside, 0o755); err != nil {
		return fmt.Errorf("actinic: %w", err)
	}
	for name, content := range files {
		if err := os.WriteFile(filepath.Join(inside, name), content, 0o644); err != nil {
			return fmt.Errorf("actinic: %w", err)
		}
	}
	if err := os.Rename(inside, dir); err != nil {
		return fmt.Errorf("actinic: %w", err)
	}
	return nil
}

// filledTable is a table with its rows, ready to be written.
type filledTable struct {
	tableSpec
	rows [][]string
}

func packageFiles(info PackageInfo, films []*Film) (map[string][]byte, error) {
	if err := info.check(); err != nil {
		return nil, err
	}
	tables, citations, err := filmRows(films)
	if err != nil {
		return nil, err
	}
	return descriptorFiles(info, tables, citations)
}

// filmRows puts films into the tables, and returns the sources in order.
func filmRows(films []*Film) ([]filledTable, []string, error) {
	if len(films) == 0 {
		return nil, nil, fmt.Errorf("%w: a package without a film", datafile.ErrData)
	}
	films = slices.Clone(films)
	for i, f := range films {
		if f == nil {
			return nil, nil, fmt.Errorf("%w: film %d is nil", datafile.ErrData, i+1)
		}
	}
	slices.SortStableFunc(films, func(a, b *Film) int { return strings.Compare(a.data.Name, b.data.Name) })
	w := rowWriter{rows: map[string][][]string{}, slugs: map[string]string{}, taken: map[string]bool{}}
	for i, f := range films {
		if i > 0 && films[i-1].data.Name == f.data.Name {
			return nil, nil, fmt.Errorf("%w: two films are named %q", datafile.ErrData, f.data.Name)
		}
		w.film(&f.data)
	}
	for _, citation := range slices.SortedFunc(maps.Keys(w.slugs), func(a, b string) int { return strings.Compare(w.slugs[a], w.slugs[b]) }) {
		w.add("sources", w.slugs[citation], citation)
	}
	var out []filledTable
	for _, spec := range filmTables() {
		out = append(out, filledTable{spec, w.rows[spec.name]})
	}
	return out, slices.Sorted(maps.Keys(w.slugs)), nil
}

type rowWriter struct {
	rows  map[string][][]string
	slugs map[string]string // by citation
	taken map[string]bool
}

// source returns the short name of a citation: its first words.
func (w *rowWriter) source(citation string) string {
	if s, ok := w.slugs[citation]; ok {
		return s
	}
	words := strings.FieldsFunc(strings.ToLower(citation), func(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsDigit(r) })
	base := strings.Join(words[:min(len(words), 4)], "-")
	if base == "" {
		base = "source"
	}
	s := base
	for n := 2; w.taken[s]; n++ {
		s = fmt.Sprintf("%s-%d", base, n)
	}
	w.slugs[citation], w.taken[s] = s, true
	return s
}

func (w *rowWriter) add(table string, cells ...string) { w.rows[table] = append(w.rows[table], cells) }

// addOf adds a row that ends with its provenance.
func (w *rowWriter) addOf(table string, p Provenance, cells ...string) {
	w.add(table, append(cells, p.Basis.String(), w.source(p.Source), p.Conditions)...)
}

// known0 is numeral for a number of which 0 means that it is not known.
func known0(v float64) string {
	if v == 0 {
		return ""
	}
	return figures.Numeral(v)
}

func secondsCell(d time.Duration) string { return figures.Numeral(d.Seconds()) }

// triple prints a value and its interval, nothing for none.
func triple(e *sensito.Estimate) []string {
	if e == nil {
		return []string{"", "", ""}
	}
	return []string{figures.Numeral(e.Value), figures.Numeral(e.Low), figures.Numeral(e.High)}
}

func (w *rowWriter) film(d *FilmData) {
	w.addOf("films", d.Provenance, d.Name, d.Description)
	for i := range d.Processes {
		w.process(d.Name, &d.Processes[i])
	}
	if s := d.Sensitivity; s != nil {
		w.addOf("sensitivities", s.Provenance, d.Name, known0(float64(s.AboveFog)), figures.Numeral(s.Wavelengths[0]), figures.Numeral(s.Wavelengths[len(s.Wavelengths)-1]))
		for i, nm := range s.Wavelengths {
			w.add("sensitivity_points", d.Name, figures.Numeral(nm), figures.Numeral(s.Log10[i]))
		}
	}
	if r := d.Reciprocity; r != nil {
		cells := []string{d.Name, r.Law}
		for _, v := range r.constants() {
			cells = append(cells, known0(v))
		}
		w.addOf("reciprocity_laws", r.Provenance, append(cells, secondsCell(r.Shortest), secondsCell(r.Longest))...)
		for _, q := range r.Readings {
			w.add("reciprocity_readings", d.Name, secondsCell(q.Metered), secondsCell(q.Adjusted), known0(float64(q.SD)))
		}
	}
}

func (w *rowWriter) process(film string, d *ProcessData) {
	w.addOf("processes", d.Provenance, film, d.Name, d.Developer, d.Dilution, known0(float64(d.Temperature)), d.Agitation, d.Light)
	if x := d.Index; x != nil {
		cells := append([]string{film, d.Name}, triple(&x.Index)...)
		cells = append(append(cells, x.From), triple(x.Development)...)
		w.addOf("indexes", x.Provenance, append(cells, known0(x.Gradient))...)
	}
	for i := range d.Curves {
		w.curve(film, d.Name, &d.Curves[i])
	}
	if g := d.Growth; g != nil {
		cells := append([]string{film, d.Name}, triple(&g.Limit)...)
		cells = append(append(cells, triple(&g.Rate)...), triple(&g.Induction)...)
		w.addOf("development_families", g.Provenance, append(cells, secondsCell(g.Shortest), secondsCell(g.Longest),
			known0(g.Q10), known0(float64(g.Coldest)), known0(float64(g.Warmest)))...)
	}
}

// pointStep is the distance of the points that go with constants, in log10 H, and
// pointDigits how many digits of density they have.
const (
	pointStep   = 0.15
	pointDigits = 4
)

func (w *rowWriter) curve(film, process string, c *CurveData) {
	cells := []string{film, process, c.Name, secondsCell(c.Development), figures.Numeral(float64(c.BaseFog))}
	if s := c.Shape; s != nil {
		cells = append(cells, figures.Numeral(s.Gamma), figures.Numeral(float64(s.Toe)), figures.Numeral(s.ToeWidth), known0(float64(s.Shoulder)), known0(s.Sharpness), figures.Numeral(float64(s.From)), figures.Numeral(float64(s.To)))
	} else {
		cells = append(cells, "", "", "", "", "", "", "")
	}
	speed := []string{"", "", "", "", ""}
	if c.Speed.Valid() {
		speed = []string{figures.Numeral(c.Speed.Value), known0(c.SpeedLow), known0(c.SpeedHigh), c.Speed.Kind.String(), c.Speed.Criterion.String()}
	}
	w.addOf("curves", c.Provenance, append(append(cells, speed...), triple(c.Gradient)...)...)
	for _, p := range c.points() {
		w.add("curve_points", film, process, c.Name, figures.Numeral(float64(p.LogH)), figures.Numeral(float64(p.Density)))
	}
	n := 0
	reading := func(x string, d sensito.Density, sd float64) {
		n++
		w.add("readings", film, process, c.Name, strconv.Itoa(n), x, figures.Numeral(float64(d)), known0(sd))
	}
	for _, d := range c.Unexposed {
		reading("", d, 0)
	}
	for _, r := range c.Readings {
		reading(figures.Numeral(float64(r.LogH)), r.Density, r.SD)
	}
}

// points returns the curve as points: its own, or those computed from the constants.
func (c *CurveData) points() []sensito.Reading {
	if c.Shape == nil {
		return c.Points
	}
	form, err := sensito.NewForm(*c.Shape)
	if err != nil {
		return nil // NewFilm has made it once
	}
	n := max(int((c.Shape.To-c.Shape.From)/pointStep+0.999), 1)
	var out []sensito.Reading
	for i := range n + 1 {
		x := c.Shape.From + (c.Shape.To-c.Shape.From)*sensito.LogH(i)/sensito.LogH(n)
		x = sensito.LogH(figures.Round(float64(x), 4))
		x = min(max(x, c.Shape.From), c.Shape.To)
		if d, err := form.Density(x); err == nil {
			out = append(out, sensito.Reading{LogH: x, Density: sensito.Density(figures.Round(float64(d), pointDigits))})
		}
	}
	return out
}

// descriptorFiles writes the tables and their descriptor.
func descriptorFiles(info PackageInfo, tables []filledTable, citations []string) (map[string][]byte, error) {
	files := map[string][]byte{}
	license := cmp.Or(info.License, "CC0-1.0")
	d := descriptor{
		Schema: packageProfile, Name: info.Name, Title: info.Title, Description: info.Description, Version: info.Version,
		Licenses: []licenseJSON{{Name: license}},
	}
	if license == "CC0-1.0" {
		d.Licenses[0].Path, d.Licenses[0].Title = "https://creativecommons.org/publicdomain/zero/1.0/", "CC0 1.0 Universal"
	}
	for _, c := range info.Contributors {
		d.Contributors = append(d.Contributors, titled{c})
	}
	for _, c := range citations {
		d.Sources = append(d.Sources, titled{c})
	}
	for _, t := range tables {
		if len(t.rows) == 0 {
			continue
		}
		content, err := t.csv()
		if err != nil {
			return nil, err
		}
		file := t.name + ".csv"
		files[file] = content
		d.Resources = append(d.Resources, t.resource(file, content))
	}
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetIndent("", "  ")
	e.SetEscapeHTML(false)
	if err := e.Encode(d); err != nil {
		return nil, fmt.Errorf("actinic: %w", err)
	}
	files[descriptorFile] = b.Bytes()
	return files, nil
}

func (t *filledTable) csv() ([]byte, error) {
	var b bytes.Buffer
	w := csv.NewWriter(&b)
	head := make([]string, len(t.fields))
	for i, f := range t.fields {
		head[i] = f.name
	}
	errs := []error{w.Write(head)}
	for _, row := range t.rows {
		if len(row) != len(head) {
			return nil, fmt.Errorf("%w: table %s has a row of %d cells for %d fields", datafile.ErrData, t.name, len(row), len(head))
		}
		errs = append(errs, w.Write(row))
	}
	w.Flush()
	return b.Bytes(), errors.Join(append(errs, w.Error())...)
}

const (
	descriptorFile = "datapackage.json"
	packageProfile = "https://datapackage.org/profiles/2.0/datapackage.json"
)

// The descriptor, in the order in which it is written.
type (
	descriptor struct {
		Schema       string         `json:"$schema"`
		Name         string         `json:"name"`
		Title        string         `json:"title,omitempty"`
		Description  string         `json:"description,omitempty"`
		Version      string         `json:"version"`
		Contributors []titled       `json:"contributors,omitempty"`
		Licenses     []licenseJSON  `json:"licenses"`
		Sources      []titled       `json:"sources"`
		Resources    []resourceJSON `json:"resources"`
	}
	titled struct {
		Title string `json:"title"`
	}
	licenseJSON struct {
		Name  string `json:"name"`
		Path  string `json:"path,omitempty"`
		Title string `json:"title,omitempty"`
	}
	resourceJSON struct {
		Name        string     `json:"name"`
		Title       string     `json:"title,omitempty"`
		Description string     `json:"description,omitempty"`
		Type        string     `json:"type"`
		Path        string     `json:"path"`
		Format      string     `json:"format"`
		MediaType   string     `json:"mediatype"`
		Encoding    string     `json:"encoding"`
		Bytes       int        `json:"bytes"`
		Hash        string     `json:"hash"`
		Schema      schemaJSON `json:"schema"`
	}
	schemaJSON struct {
		Fields        []fieldJSON   `json:"fields"`
		MissingValues []string      `json:"missingValues"`
		PrimaryKey    []string      `json:"primaryKey,omitempty"`
		ForeignKeys   []foreignJSON `json:"foreignKeys,omitempty"`
	}
	fieldJSON struct {
		Name        string           `json:"name"`
		Type        string           `json:"type"`
		Description string           `json:"description,omitempty"`
		Unit        string           `json:"unit,omitempty"`
		Order       string           `json:"order,omitempty"`
		Constraints *constraintsJSON `json:"constraints,omitempty"`
	}
	constraintsJSON struct {
		Required bool     `json:"required,omitempty"`
		Minimum  *float64 `json:"minimum,omitempty"`
		Maximum  *float64 `json:"maximum,omitempty"`
		Enum     []string `json:"enum,omitempty"`
	}
	foreignJSON struct {
		Fields    []string      `json:"fields"`
		Reference referenceJSON `json:"reference"`
	}
	referenceJSON struct {
		Resource string   `json:"resource"`
		Fields   []string `json:"fields"`
	}
)

func (s *tableSpec) resource(file string, content []byte) resourceJSON {
	r := resourceJSON{
		Name: s.name, Title: s.title, Description: s.about, Type: "table", Path: file,
		Format: "csv", MediaType: "text/csv", Encoding: "utf-8",
		Bytes: len(content), Hash: hashOf(content),
		Schema: schemaJSON{MissingValues: []string{""}, PrimaryKey: s.key},
	}
	for _, f := range s.fields {
		j := fieldJSON{Name: f.name, Type: f.kind, Description: f.about, Unit: f.unit, Order: f.order}
		if f.required || f.min != nil || f.max != nil || f.enum != nil {
			j.Constraints = &constraintsJSON{f.required, f.min, f.max, f.enum}
		}
		r.Schema.Fields = append(r.Schema.Fields, j)
	}
	for _, k := range s.foreign {
		r.Schema.ForeignKeys = append(r.Schema.ForeignKeys, foreignJSON{k.fields, referenceJSON{k.resource, k.to}})
	}
	return r
}

func hashOf(content []byte) string { return fmt.Sprintf("sha256:%x", sha256.Sum256(content)) }
