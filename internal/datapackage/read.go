package datapackage

import (
	"bytes"
	"fmt"
	"io/fs"
	"path"
	"strings"

	"example.org/actinic/internal/jsonplace"
	"example.org/actinic/internal/rooted"
	"example.org/actinic/sensito/datafile"
)

// Package is a data package opened for reading: its descriptor, parsed once and for all
// who ask.
type Package struct {
	FS      fs.FS
	Content []byte // of the descriptor
	Root    *Node
	Info    Info
	doubles datafile.Errors // members that stand twice
	files   map[string][]byte
	before  bool   // the version before 1.0
	only    string // rows of other films are passed over
	// Resources are the tables by the order of the descriptor.
	Resources []Resource
}

// Resource is a table that a descriptor names.
type Resource struct {
	Name, Path string
	Fields     []string // names
	node       *Node
}

// Open reads the descriptor of a package. What cannot be used of it is returned as
// [datafile.Errors], and what cannot be opened as the error of fsys.
func Open(fsys fs.FS) (*Package, error) {
	p, err := parse(fsys)
	if err != nil {
		return nil, err
	}
	return p.opened()
}

// Opened is the package that was checked, opened for reading: its files are those that the check has read. The errors are
// those of what cannot be used of the descriptor.
func (c *Checker) Opened() (*Package, error) {
	p := *c.Package
	return p.opened()
}

// opened fills in what the descriptor says.
func (p *Package) opened() (*Package, error) {
	var errs datafile.Errors
	text := func(n *Node, name string) string {
		v := n.Get(name)
		if _, ok := v.IsText(); v != nil && !ok {
			errs = append(errs, p.fault(v.Offset, name, v.Plain(), "a descriptor of a data package (a text)"))
		}
		return v.Text()
	}
	errs = append(errs, p.doubles...)
	p.Info = Info{Name: text(p.Root, "name"), Title: text(p.Root, "title"), Description: text(p.Root, "description"),
		Version: text(p.Root, "version")}
	p.Info.ID, p.Info.Homepage, p.Info.Created = text(p.Root, "id"), text(p.Root, "homepage"), text(p.Root, "created")
	p.Info.Keywords = p.Root.Get("keywords").Texts()
	for _, c := range p.Root.Get("contributors").Values() {
		p.Info.Contributors = append(p.Info.Contributors, Contributor{text(c, "title"), text(c, "path"), c.Get("roles").Texts()})
	}
	_, wrong := p.format()
	errs = append(errs, wrong...)
	if l := p.Root.Get("licenses").Values(); len(l) > 0 {
		p.Info.License = text(l[0], "name")
	}
	for _, r := range p.Root.Get("resources").Values() {
		d := Resource{Name: text(r, "name"), Path: r.Get("path").Text(), node: r} // a list of paths is somebody else's
		for _, f := range r.Get("schema").Get("fields").Values() {
			d.Fields = append(d.Fields, text(f, "name"))
		}
		p.Resources = append(p.Resources, d)
	}
	if len(errs) > 0 {
		return nil, errs
	}
	return p, nil
}

// Trusted opens a package of ours without its descriptor: each table that is there is the
// file of its name.
func Trusted(fsys fs.FS, tables []Table) *Package {
	p := &Package{FS: fsys}
	for _, t := range tables {
		if name := t.Name + ".csv"; exists(fsys, name) {
			p.Resources = append(p.Resources, Resource{Name: t.Name, Path: name})
		}
	}
	return p
}

func exists(fsys fs.FS, name string) bool {
	_, err := fs.Stat(fsys, name)
	return err == nil
}

// Only is the package as it would be if the tables that begin with films, and quote
// nothing, had rows of one film alone.
func (p *Package) Only(film string) *Package {
	q := *p
	q.files, q.only = nil, film
	return &q
}

// rowsOf leaves the header and the rows of a film; nil where there are none.
func rowsOf(film string, content []byte) []byte {
	if bytes.IndexByte(content, '"') >= 0 || !bytes.HasPrefix(content, []byte("film,")) {
		return content
	}
	head := bytes.IndexByte(content, '\n') + 1
	out := append([]byte(nil), content[:head]...)
	begins := []byte(film + ",")
	for rest := content[head:]; len(rest) > 0; {
		n := bytes.IndexByte(rest, '\n') + 1
		if n == 0 {
			n = len(rest)
		}
		if bytes.HasPrefix(rest, begins) {
			out = append(out, rest[:n]...)
		}
		rest = rest[n:]
	}
	if len(out) == head {
		return nil
	}
	return out
}

// parse reads the descriptor as JSON.
func parse(fsys fs.FS) (*Package, error) {
	if fsys == nil {
		return nil, fmt.Errorf("%w: no file system", datafile.ErrData)
	}
	content, err := rooted.ReadFile(fsys, DescriptorFile)
	if err != nil {
		return nil, fmt.Errorf("actinic: a package needs %s: %w", DescriptorFile, err)
	}
	p := &Package{FS: fsys, Content: content}
	root, faults := jsonplace.Parse(content)
	if root == nil {
		return nil, datafile.Errors{p.fault(faults[0].Offset, "", "", "a descriptor of a data package ("+faults[0].What+")")}
	}
	for _, f := range faults {
		p.doubles = append(p.doubles, p.fault(f.Offset, "member", f.Name, f.What))
	}
	p.Root = root
	return p, nil
}

// fault is an error about a place of the descriptor.
func (p *Package) fault(offset int64, field, text, want string) *datafile.Error {
	line, column := datafile.Place(p.Content, offset)
	return &datafile.Error{File: DescriptorFile, Line: line, Column: column, Field: field, Text: text, Want: want}
}

// Resource returns a table by its name; nil where there is none.
func (p *Package) Resource(name string) *Resource {
	for i := range p.Resources {
		if p.Resources[i].Name == name {
			return &p.Resources[i]
		}
	}
	return nil
}

// Read reads the file of a table: the columns of the table, those that must be there
// and the others, and those that the descriptor adds. It returns nil where the package
// has no such table. The error is that of the file system.
func (p *Package) Read(t *Table) (*datafile.Table, error) {
	r := p.Resource(t.Name)
	if r == nil {
		return nil, nil
	}
	if !SafePath(r.Path) {
		path := r.node.Get("path")
		return &datafile.Table{File: DescriptorFile,
			Errs: datafile.Errors{p.fault(path.Or(r.node), "path", path.Plain(), "the path of a file in the package")}}, nil
	}
	content, err := p.file(r.Path)
	if err != nil {
		return nil, fmt.Errorf("actinic: table %s: %w", t.Name, err)
	}
	if p.only != "" {
		if content = rowsOf(p.only, content); content == nil {
			return nil, nil
		}
	}
	required, optional := t.Columns()
	for _, f := range r.Fields {
		if t.Field(f) == nil {
			optional = append(optional, f)
		}
	}
	return datafile.ReadBytes(content, r.Path, required, optional), nil
}

// SafePath reports whether a path stays in the package, and says nothing to a terminal.
func SafePath(p string) bool {
	return datafile.Plain(p) == p && !strings.ContainsAny(p, "\t\n") && fs.ValidPath(p) && p != "." && !strings.Contains(p,
		`\`) && path.Clean(p) == p
}
