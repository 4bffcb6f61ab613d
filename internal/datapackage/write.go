package datapackage

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"

	"example.org/actinic/internal/wholedir"
	"example.org/actinic/sensito/datafile"
)

// DescriptorFile is the name of the descriptor, and Profile what it says to keep to.
const (
	DescriptorFile = "datapackage.json"
	Profile        = "https://datapackage.org/profiles/2.0/datapackage.json"
)

// Filled is a table with its rows, ready to be written.
type Filled struct {
	Table
	Rows [][]string
}

// Info identifies a package. What is empty is not written.
type Info struct {
	Name, Title, Description, Version string
	ID, Homepage, Created             string
	Keywords                          []string
	Contributors                      []Contributor
	License                           string // "" stands for CC0-1.0
	Sources                           []string
	Format                            *Format
}

// Contributor is who had a part in a package.
type Contributor struct {
	Title string   `json:"title"`
	Path  string   `json:"path,omitempty"`
	Roles []string `json:"roles,omitempty"`
}

// Format is the format of the tables: its version, and its schema, which goes with the
// package.
type Format struct {
	Version, File string
	Schema        []byte
}

// The descriptor, in the order in which it is written.
type (
	descriptor struct {
		Schema       string         `json:"$schema"`
		Format       *formatJSON    `json:"film_package,omitempty"`
		Name         string         `json:"name"`
		ID           string         `json:"id,omitempty"`
		Title        string         `json:"title,omitempty"`
		Description  string         `json:"description,omitempty"`
		Version      string         `json:"version"`
		Homepage     string         `json:"homepage,omitempty"`
		Created      string         `json:"created,omitempty"`
		Keywords     []string       `json:"keywords,omitempty"`
		Contributors []Contributor  `json:"contributors,omitempty"`
		Licenses     []licenseJSON  `json:"licenses"`
		Sources      []sourceJSON   `json:"sources"`
		Resources    []resourceJSON `json:"resources"`
	}
	formatJSON struct {
		Version string `json:"version"`
		Schema  string `json:"schema"`
		Units   string `json:"units"`
	}
	sourceJSON struct {
		Title string `json:"title"`
		Path  string `json:"path,omitempty"`
	}
	licenseJSON struct {
		Name  string `json:"name"`
		Path  string `json:"path,omitempty"`
		Title string `json:"title,omitempty"`
	}
	resourceJSON struct {
		Name        string       `json:"name"`
		Title       string       `json:"title,omitempty"`
		Description string       `json:"description,omitempty"`
		Type        string       `json:"type"`
		Path        string       `json:"path"`
		Format      string       `json:"format"`
		MediaType   string       `json:"mediatype"`
		Encoding    string       `json:"encoding"`
		Bytes       int          `json:"bytes"`
		Hash        string       `json:"hash"`
		Sources     []sourceJSON `json:"sources,omitempty"`
		Schema      schemaJSON   `json:"schema"`
	}
	schemaJSON struct {
		Fields        []fieldJSON   `json:"fields"`
		MissingValues []string      `json:"missingValues"`
		PrimaryKey    []string      `json:"primaryKey,omitempty"`
		ForeignKeys   []foreignJSON `json:"foreignKeys,omitempty"`
	}
	fieldJSON struct {
		Name        string           `json:"name"`
		Title       string           `json:"title,omitempty"`
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

// DefaultLicense is the licence of a package that states none.
const DefaultLicense = "CC0-1.0"

// NoLicense is what a package says whose maker stated no licence, as SPDX writes names of
// one's own.
const NoLicense = "LicenseRef-not-stated"

// Files writes the tables that have rows and their descriptor. The error wraps
// [datafile.ErrData] where a row has another number of cells than the table fields.
func Files(info Info, tables []Filled) (map[string][]byte, error) {
	files := map[string][]byte{}
	if info.License == "" {
		info.License = DefaultLicense
	}
	d := descriptor{
		Schema: Profile, Name: info.Name, ID: info.ID, Title: info.Title, Description: info.Description, Version: info.Version,
		Homepage: info.Homepage, Created: info.Created, Keywords: info.Keywords, Contributors: info.Contributors,
		Licenses: []licenseJSON{{Name: info.License}}, Sources: sourcesOf(info.Sources),
	}
	if info.License == DefaultLicense {
		d.Licenses[0].Path, d.Licenses[0].Title = "https://creativecommons.org/publicdomain/zero/1.0/", "CC0 1.0 Universal"
	}
	if info.License == NoLicense {
		d.Licenses[0].Title = "No licence was stated: ask who made the package"
	}
	if info.Format != nil {
		d.Format = &formatJSON{info.Format.Version, info.Format.File, UnitSystem}
		files[info.Format.File] = info.Format.Schema
	}
	citations := citationsOf(tables)
	for i := range tables {
		t := &tables[i]
		if len(t.Rows) == 0 {
			continue
		}
		content, err := t.csv()
		if err != nil {
			return nil, err
		}
		file := t.Name + ".csv"
		files[file] = content
		r := t.resource(file, content)
		r.Sources = sourcesOf(t.cited(citations))
		d.Resources = append(d.Resources, r)
	}
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetIndent("", "  ")
	e.SetEscapeHTML(false)
	if err := e.Encode(d); err != nil {
		return nil, fmt.Errorf("actinic: %w", err)
	}
	files[DescriptorFile] = b.Bytes()
	return files, nil
}

// UnitSystem is where the units of the fields are explained.
const UnitSystem = "https://ucum.org"

// sourcesOf puts citations as a descriptor has them, with the address or the identifier
// that a citation names.
func sourcesOf(citations []string) []sourceJSON {
	out := []sourceJSON{}
	for _, c := range citations {
		out = append(out, sourceJSON{c, PathOf(c)})
	}
	if len(citations) == 0 {
		return nil
	}
	return out
}

var identifier = regexp.MustCompile(`https?://[^\s<>"]+|\bdoi:\s*(10\.\d{4,9}/\S+)`)

// PathOf returns the address in a citation, or that of the DOI in it; "" where it has
// neither.
func PathOf(citation string) string {
	m := identifier.FindStringSubmatch(citation)
	switch {
	case m == nil:
		return ""
	case m[1] != "":
		return "https://doi.org/" + strings.TrimRight(m[1], ".,;)")
	}
	return strings.TrimRight(m[0], ".,;)")
}

// citationsOf are the citations by short name.
func citationsOf(tables []Filled) map[string]string {
	out := map[string]string{}
	for _, t := range tables {
		if t.Name == "sources" {
			for _, r := range t.Rows {
				out[r[0]] = r[1]
			}
		}
	}
	return out
}

// cited are the citations that the rows of a table name, in order.
func (t *Filled) cited(citations map[string]string) []string {
	i := slices.IndexFunc(t.Fields, func(f Field) bool { return f.Name == "source" })
	if i < 0 || t.Name == "sources" {
		return nil
	}
	var out []string
	for _, r := range t.Rows {
		if c := citations[r[i]]; c != "" && !slices.Contains(out, c) {
			out = append(out, c)
		}
	}
	slices.Sort(out)
	return out
}

func (t *Filled) csv() ([]byte, error) {
	var b bytes.Buffer
	w := csv.NewWriter(&b)
	head := make([]string, len(t.Fields))
	for i, f := range t.Fields {
		head[i] = f.Name
	}
	errs := []error{w.Write(head)}
	for _, row := range t.Rows {
		if len(row) != len(head) {
			return nil, fmt.Errorf("%w: table %s has a row of %d cells for %d fields", datafile.ErrData, t.Name, len(row), len(head))
		}
		errs = append(errs, w.Write(row))
	}
	w.Flush()
	return b.Bytes(), errors.Join(append(errs, w.Error())...)
}

func (t *Table) resource(file string, content []byte) resourceJSON {
	r := resourceJSON{
		Name: t.Name, Title: t.Title, Description: t.About, Type: "table", Path: file,
		Format: "csv", MediaType: "text/csv", Encoding: "utf-8",
		Bytes: len(content), Hash: HashOf(content),
		Schema: schemaJSON{MissingValues: []string{""}, PrimaryKey: t.Key},
	}
	for _, f := range t.Fields {
		j := fieldJSON{Name: f.Name, Title: f.TitleOf(), Type: f.Kind, Description: f.About, Unit: f.Unit, Order: f.Order}
		if f.Required || f.Min != nil || f.Max != nil || f.Enum != nil {
			j.Constraints = &constraintsJSON{f.Required, f.Min, f.Max, f.Enum}
		}
		r.Schema.Fields = append(r.Schema.Fields, j)
	}
	for _, k := range t.Foreign {
		r.Schema.ForeignKeys = append(r.Schema.ForeignKeys, foreignJSON{k.Fields, referenceJSON{k.Resource, k.To}})
	}
	return r
}

// WriteDir writes files into a directory that must not exist: beside it first, then the
// whole is held to check and moved there, so that nobody ever sees half of it, or what the
// check refuses. The error is that of check, wraps [os.ErrExist] if the directory is there
// already and [wholedir.ErrBusy] if somebody else is writing it, and otherwise is that of
// the file system.
func WriteDir(dir string, files map[string][]byte, check func(fs.FS) error) error {
	err := wholedir.Write(dir, nil, func(made string) error {
		for name, content := range files {
			file := filepath.Join(made, filepath.FromSlash(name))
			if err := os.MkdirAll(filepath.Dir(file), 0o755); err != nil {
				return err
			}
			if err := os.WriteFile(file, content, 0o644); err != nil {
				return err
			}
		}
		return check(os.DirFS(made))
	})
	switch {
	case errors.Is(err, os.ErrExist):
		return fmt.Errorf("actinic: %w; a package is written to a new directory", err)
	case err != nil && !errors.Is(err, datafile.ErrData):
		return fmt.Errorf("actinic: %w", err)
	}
	return err
}
