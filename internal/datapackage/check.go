package datapackage

import (
	"errors"
	"io/fs"
	"slices"
	"strconv"
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
			c.Errs = append(c.Errs, &datafile.Error{File: e.Name(), Want: "a file that " + DescriptorFile + " lists; list it or take it away"})
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
	c.expect(r, "type", "\"table\"", is("table"))
	c.expect(r, "format", "\"csv\"", is("csv"))
	c.expect(r, "encoding", "\"utf-8\"", is("utf-8"))
	p := c.expect(r, "path", "the path of a file in the package", SafePath)
	spec := c.schema(r, name)
	if p == "" {
		return
	}
	seen[p] = true
	content, err := c.file(p)
	if err != nil {
		want := "a file of the package"
		if !errors.Is(err, fs.ErrNotExist) {
			want += " (" + err.Error() + ")"
		}
		c.at(r.Get("path").Offset, "path", p, want)
		return
	}
	if n := r.Get("bytes"); n == nil || n.Scalar != float64(len(content)) { // 97.0 is 97
		c.at(n.Or(r), "bytes", n.Plain(), strconv.Itoa(len(content))+", the size of "+p+changed)
	}
	if n := r.Get("hash"); n == nil || n.Text() != HashOf(content) {
		c.at(n.Or(r), "hash", n.Plain(), HashOf(content)+", of "+p+changed)
	}
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
	if n := schema.Get("missingValues"); n == nil || len(n.Items) != 1 || n.Items[0].Scalar != "" {
		c.at(n.Or(schema), "missingValues", n.Plain(), "[\"\"], said explicitly")
	}
	known := c.known(name)
	spec := &Table{Name: name}
	for _, n := range schema.Get("fields").Items {
		if f, ok := c.field(n); ok {
			if spec.Field(f.Name) != nil {
				c.at(n.Offset, "name", f.Name, "each field once")
				continue
			}
			if known != nil {
				if k := known.Field(f.Name); k != nil {
					if k.Kind != f.Kind || k.Unit != f.Unit {
						c.at(n.Offset, f.Name, strings.TrimSpace(f.Kind+" "+f.Unit), strings.TrimSpace(k.Kind+" "+k.Unit)+", as this table has it")
					}
					f.Order, f.Required = k.Order, f.Required || k.Required
				}
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
			c.at(schema.Get("primaryKey").Or(schema), "primaryKey", strings.Join(got, ","), strings.Join(known.Key, ",")+", as this table has it")
		}
		return spec
	}
	spec.Key = schema.Get("primaryKey").Texts()
	if len(spec.Key) == 0 {
		c.at(schema.Get("primaryKey").Or(schema), "primaryKey", "", "the fields that tell the rows apart")
	}
	for _, k := range spec.Key {
		if spec.Field(k) == nil {
			c.at(schema.Get("primaryKey").Or(schema), "primaryKey", k, "a field of the table")
		}
	}
	for _, k := range schema.Get("foreignKeys").Values() {
		f := Foreign{k.Get("fields").Texts(), k.Get("reference").Get("resource").Text(), k.Get("reference").Get("fields").Texts()}
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
	return spec
}

func (c *Checker) field(n *Node) (Field, bool) {
	f := Field{Name: c.expect(n, "name", "the name of a field", anyText)}
	f.Kind = c.expect(n, "type", "string, number or integer", func(s string) bool { return s == "string" || s == "number" || s == "integer" })
	if f.Name == "" || f.Kind == "" {
		return f, false
	}
	unit := n.Get("unit")
	f.Unit = c.unit(unit.Text())
	switch suffix, ok := Units[f.Unit]; {
	case f.Kind == "string" && unit == nil:
	case f.Kind == "string":
		c.at(unit.Offset, f.Name, f.Unit, "no unit for a text")
	case !ok:
		c.at(unit.Or(n), f.Name, f.Unit, "a unit for a number, one of "+strings.Join(unitNames(), ", ")+" (1 for none)")
	case !strings.HasSuffix(f.Name, suffix):
		c.at(n.Get("name").Or(n), "name", f.Name, "a name that ends with its unit, "+suffix)
	}
	f.Order = n.Get("order").Text()
	if o := n.Get("order"); o != nil && f.Order != "increasing" && f.Order != "nondecreasing" {
		c.at(o.Offset, "order", o.Plain(), "increasing or nondecreasing")
		f.Order = ""
	}
	cons := n.Get("constraints")
	if cons == nil {
		return f, true
	}
	for _, m := range cons.Members {
		switch v, isNumber := m.Value.Scalar.(float64); m.Name {
		case "required":
			f.Required, _ = m.Value.Scalar.(bool)
		case "minimum", "maximum":
			if !isNumber || f.Kind == "string" {
				c.at(m.At, m.Name, m.Value.Plain(), "a number, for a field of numbers")
			} else if m.Name == "minimum" {
				f.Min = &v
			} else {
				f.Max = &v
			}
		case "enum":
			if f.Enum = m.Value.Texts(); len(f.Enum) == 0 {
				c.at(m.At, m.Name, m.Value.Plain(), "a list of words")
			}
		default:
			c.at(m.At, "constraints", m.Name, "required, minimum, maximum or enum; others are not looked at here")
		}
	}
	return f, true
}

func unitNames() []string {
	var names []string
	for u := range Units {
		names = append(names, u)
	}
	slices.Sort(names)
	return names
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
