package datapackage

import (
	"io/fs"
	"slices"
	"strings"
	"unicode"

	"example.org/actinic/sensito/datafile"
)

// Checker holds a package to its descriptor, and collects what is not right.
type Checker struct {
	*Package
	Errs  datafile.Errors
	Names []string // of the tables in order
	// Remarks are what is no fault and should be known.
	Remarks []string

	tables map[string]*Checked
	known  func(name string) *Table
}

// Check reads a package and holds it to its descriptor: the descriptor's shape, every
// cell, the order of the rows, and the keys. known says what a table must be like by its
// name, nil for one that is anybody's. What is found is in Errs; the error is that of a
// descriptor that cannot be opened, or read as JSON.
func Check(fsys fs.FS, known func(name string) *Table) (*Checker, error) {
	p, err := parse(fsys)
	if err != nil {
		return nil, err
	}
	c := &Checker{Package: p, tables: map[string]*Checked{}, known: known}
	c.descriptor(p.Root)
	c.keys()
	return c, nil
}

// Table returns a table that was read; nil where there is none.
func (c *Checker) Table(name string) *Checked { return c.tables[name] }

// at reports something about the descriptor.
func (c *Checker) at(offset int64, field, text, want string) {
	c.Errs = append(c.Errs, c.fault(offset, field, text, want))
}

// expect reports a member that is not the text it should be.
func (c *Checker) expect(of *Node, name, want string, ok func(string) bool) string {
	n := of.Get(name)
	switch {
	case n == nil:
		c.at(of.Offset, name, "", want)
	case n.Text() == "" || !ok(n.Text()):
		c.at(n.Offset, name, n.Plain(), want)
	default:
		return n.Text()
	}
	return ""
}

func anyText(s string) bool { return strings.TrimSpace(s) != "" }

func is(want string) func(string) bool { return func(s string) bool { return s == want } }

func (c *Checker) descriptor(root *Node) {
	if root.Kind != '{' {
		c.at(root.Offset, "", "", "a descriptor, an object with name, version, licenses, sources and resources")
		return
	}
	c.Errs = append(c.Errs, c.doubles...)
	remark, wrong := c.format()
	if c.Errs = append(c.Errs, wrong...); remark != "" {
		c.Remarks = append(c.Remarks, remark)
	}
	c.expect(root, "$schema", "\""+Profile+"\"", is(Profile))
	c.expect(root, "name", "a name of lower case letters, digits and -._", IsName)
	c.expect(root, "version", "three numbers such as 1.0.0", IsVersion)
	for _, list := range []struct{ name, member, want string }{
		{"licenses", "name", "at least one licence by its name, such as CC0-1.0"},
		{"sources", "title", "at least one source by its title"},
	} {
		n := root.Get(list.name)
		if n == nil || len(n.Items) == 0 {
			c.at(n.Or(root), list.name, "", list.want)
			continue
		}
		for _, i := range n.Items {
			c.expect(i, list.member, list.want, anyText)
		}
	}
	resources := root.Get("resources")
	if resources == nil || len(resources.Items) == 0 {
		c.at(resources.Or(root), "resources", "", "at least one table")
		return
	}
	seen := map[string]bool{DescriptorFile: true}
	for _, r := range resources.Items {
		c.resource(r, seen)
	}
	entries, err := fs.ReadDir(c.FS, ".")
	if err != nil {
		c.at(0, "", "", "a readable directory ("+err.Error()+")")
	}
	for _, e := range entries {
		if strings.HasSuffix(e.Name(), ".csv") && !seen[e.Name()] {
			c.Errs = append(c.Errs, &datafile.Error{File: e.Name(),
				Want: "a file that " + DescriptorFile + " lists; list it or take it away"})
		}
	}
}

func (c *Checker) resource(r *Node, seen map[string]bool) {
	if r.Kind != '{' {
		c.at(r.Offset, "resource", r.Plain(), "an object that describes a table")
		return
	}
	name := c.expect(r, "name", "a name of lower case letters, digits and -._", IsName)
	if name != "" && c.tables[name] != nil {
		c.at(r.Get("name").Offset, "name", name, "each table once")
		return
	}
	if c.known(name) == nil && !plainTable(r) {
		c.other(r, seen)
		return
	}
	c.expect(r, "type", "\"table\"", is("table"))
	c.expect(r, "format", "\"csv\"", is("csv"))
	c.expect(r, "encoding", "\"utf-8\"", is("utf-8"))
	p := c.expect(r, "path", "the path of a file in the package", SafePath)
	spec := c.schema(r, name)
	if p == "" {
		return
	}
	seen[p] = true
	content, ok := c.readable(r, p)
	if !ok {
		return
	}
	c.sizeAndHash(r, p, content, c.known(name) != nil)
	if spec == nil || name == "" {
		return
	}
	all := make([]string, len(spec.Fields))
	for i, f := range spec.Fields {
		all[i] = f.Name
	}
	t := datafile.ReadBytes(content, p, all, nil)
	ct := &Checked{Table: t, Spec: *spec, keyAt: r.Get("schema").Get("primaryKey").Or(r)}
	for _, k := range r.Get("schema").Get("foreignKeys").Values() {
		ct.foreigns = append(ct.foreigns, k.Offset)
	}
	c.Names, c.tables[name] = append(c.Names, name), ct
	c.cells(ct)
}

// schema reads the fields of a table as a spec, and reports what is not right with
// them; nil where there is nothing to go by.
func (c *Checker) schema(r *Node, name string) *Table {
	schema := r.Get("schema")
	if schema == nil || len(schema.Get("fields").Values()) == 0 {
		c.at(schema.Or(r), "schema", "", "a table schema with fields")
		return nil
	}
	known := c.known(name)
	if n := schema.Get("missingValues"); known != nil && (n == nil || len(n.Items) != 1 || n.Items[0].Scalar != "") {
		c.at(n.Or(schema), "missingValues", n.Plain(), "[\"\"], said explicitly")
	}
	spec := &Table{Name: name}
	for _, n := range schema.Get("fields").Items {
		var k *Field
		if known != nil {
			k = known.Field(n.Get("name").Text())
		}
		if f, ok := c.field(n, k == nil); ok {
			if spec.Field(f.Name) != nil {
				c.at(n.Offset, "name", f.Name, "each field once")
				continue
			}
			if k != nil {
				if k.Kind != f.Kind || k.Unit != f.Unit {
					c.at(n.Offset, f.Name, strings.TrimSpace(f.Kind+" "+f.Unit),
						strings.TrimSpace(k.Kind+" "+k.Unit)+", as this table has it")
				}
				f.Order, f.Required = k.Order, f.Required || k.Required
			}
			spec.Fields = append(spec.Fields, f)
		}
	}
	if known != nil {
		for _, k := range known.Fields {
			if spec.Field(k.Name) == nil && k.Required {
				c.at(schema.Get("fields").Offset, k.Name, "", "a field of this name in the table "+name)
			}
		}
		spec.Key, spec.Foreign = known.Key, known.Foreign
		if got := schema.Get("primaryKey").Texts(); !slices.Equal(got, known.Key) {
			c.at(schema.Get("primaryKey").Or(schema), "primaryKey", strings.Join(got, ","),
				strings.Join(known.Key, ",")+", as this table has it")
		}
		return spec
	}
	c.anyKeys(schema, spec)
	return spec
}

// anyKeys reads the keys of a table of anybody's.
func (c *Checker) anyKeys(schema *Node, spec *Table) {
	spec.Key = schema.Get("primaryKey").Texts()
	for _, k := range spec.Key {
		if spec.Field(k) == nil {
			c.at(schema.Get("primaryKey").Or(schema), "primaryKey", k, "a field of the table")
			spec.Key = nil // no row is accused for it
		}
	}
	for _, k := range schema.Get("foreignKeys").Values() {
		f := Foreign{k.Get("fields").Texts(), k.Get("reference").Get("resource").Text(), k.Get("reference").Get("fields").Texts()}
		if f.Resource == "" && k.Get("reference").Has("fields") {
			f.Resource = spec.Name // the table itself
		}
		if len(f.Fields) == 0 || len(f.Fields) != len(f.To) || f.Resource == "" {
			c.at(k.Offset, "foreignKeys", "", "fields, and a reference with resource and as many fields")
			continue
		}
		ok := true
		for _, name := range f.Fields {
			if spec.Field(name) == nil {
				c.at(k.Offset, "foreignKeys", name, "a field of the table")
				ok = false
			}
		}
		if ok {
			spec.Foreign = append(spec.Foreign, f)
		}
	}
}

// IsName reports whether s is of lower case letters, digits and -._ and begins
// with one of the first two.
func IsName(s string) bool {
	return s != "" && strings.Trim(s, "abcdefghijklmnopqrstuvwxyz0123456789-._") == "" && !strings.ContainsAny(s[:1], "-._")
}

// IsVersion reports whether s is three numbers, and perhaps a hyphen and more.
func IsVersion(s string) bool {
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
