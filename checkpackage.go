package actinic

import (
	"errors"
	"fmt"
	"io/fs"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"

	"example.org/actinic/internal/figures"
	"example.org/actinic/sensito"
	"example.org/actinic/sensito/datafile"
)

// CheckPackage holds a data package to the rules: ours, or anybody's. It looks at
//
//   - the descriptor: its shape, a version, licences, sources, and for each table
//     a CSV file with its size and hash, fields of known types and units, keys that
//     name fields that are there;
//   - every cell: type, bounds, allowed words, nothing missing that must be there;
//   - the keys: primary ones unique, foreign ones leading somewhere;
//   - the order that a field promises, of wavelengths and exposures above all;
//   - the films: curves that rise and agree with their points, speeds that agree with
//     their curves and are called ISO speeds only where they are, laws whose
//     constants are possible and whose range is that of their tests.
//
// What is found is returned as [datafile.Errors], all of it, sorted, with file, line and
// column; what cannot be opened as the error of fsys. nil means that nothing was
// found.
func CheckPackage(fsys fs.FS) error {
	content, err := fs.ReadFile(fsys, descriptorFile)
	if err != nil {
		return fmt.Errorf("actinic: a package needs %s: %w", descriptorFile, err)
	}
	c := &checker{fsys: fsys, content: content, rows: map[string]*checkedTable{}}
	root, offset, err := parseJSON(content)
	if err != nil {
		c.at(offset, "", "", "a descriptor of a data package ("+err.Error()+")")
		return c.errs
	}
	c.descriptor(root)
	c.keys()
	c.films()
	c.errs.Sort()
	return c.errs.Err()
}

type checker struct {
	fsys    fs.FS
	content []byte
	errs    datafile.Errors
	names   []string // of the tables in order
	rows    map[string]*checkedTable
}

// checkedTable is a table whose cells have been looked at.
type checkedTable struct {
	*datafile.Table
	spec     tableSpec
	keyAt    int64
	foreigns []int64
	index    map[string][]datafile.Row // by the first fields of the key
	indexed  int                       // how many fields
}

// with returns the rows whose key begins with the given values.
func (t *checkedTable) with(key ...string) []datafile.Row {
	if t.index == nil || t.indexed != len(key) {
		t.index, t.indexed = map[string][]datafile.Row{}, len(key)
		for _, r := range t.Rows {
			v := t.values(r, t.spec.key[:len(key)])
			t.index[v] = append(t.index[v], r)
		}
	}
	return t.index[strings.Join(key, "\x00")+"\x00"]
}

// at reports something about the descriptor.
func (c *checker) at(offset int64, field, text, want string) {
	line, column := datafile.Place(c.content, offset)
	c.errs = append(c.errs, &datafile.Error{File: descriptorFile, Line: line, Column: column, Field: field, Text: text, Want: want})
}

// expect reports a member that is not the text it should be.
func (c *checker) expect(of *node, name, want string, ok func(string) bool) string {
	n := of.get(name)
	switch {
	case n == nil:
		c.at(of.offset, name, "", want)
	case n.text() == "" || !ok(n.text()):
		c.at(n.offset, name, fmt.Sprint(n.plain()), want)
	default:
		return n.text()
	}
	return ""
}

// plain is a scalar as text, or what else it is.
func (n *node) plain() any {
	switch n.kind {
	case '{':
		return "{…}"
	case '[':
		return "[…]"
	}
	if n.scalar == nil {
		return "null"
	}
	return n.scalar
}

func anyText(s string) bool { return strings.TrimSpace(s) != "" }

func is(want string) func(string) bool { return func(s string) bool { return s == want } }

func (c *checker) descriptor(root *node) {
	if root.kind != '{' {
		c.at(root.offset, "", "", "a descriptor, an object with name, version, licenses, sources and resources")
		return
	}
	c.doubles(root)
	c.expect(root, "$schema", "\""+packageProfile+"\"", is(packageProfile))
	c.expect(root, "name", "a name of lower case letters, digits and -._", isPackageName)
	c.expect(root, "version", "three numbers such as 1.0.0", isVersion)
	for _, list := range []struct{ name, member, want string }{
		{"licenses", "name", "at least one licence by its name, such as CC0-1.0"},
		{"sources", "title", "at least one source by its title"},
	} {
		n := root.get(list.name)
		if n == nil || len(n.items) == 0 {
			c.at(offsetOr(n, root), list.name, "", list.want)
			continue
		}
		for _, i := range n.items {
			c.expect(i, list.member, list.want, anyText)
		}
	}
	resources := root.get("resources")
	if resources == nil || len(resources.items) == 0 {
		c.at(offsetOr(resources, root), "resources", "", "at least one table")
		return
	}
	seen := map[string]bool{descriptorFile: true}
	for _, r := range resources.items {
		c.resource(r, seen)
	}
	entries, err := fs.ReadDir(c.fsys, ".")
	if err != nil {
		c.at(0, "", "", "a readable directory ("+err.Error()+")")
	}
	for _, e := range entries {
		if strings.HasSuffix(e.Name(), ".csv") && !seen[e.Name()] {
			c.errs = append(c.errs, &datafile.Error{File: e.Name(), Want: "a file that " + descriptorFile + " lists; list it or take it away"})
		}
	}
}

func offsetOr(n, otherwise *node) int64 {
	if n != nil {
		return n.offset
	}
	return otherwise.offset
}

// doubles reports members that stand twice.
func (c *checker) doubles(n *node) {
	seen := map[string]bool{}
	for _, m := range n.members {
		if seen[m.name] {
			c.at(m.at, "member", m.name, "each member once")
		}
		seen[m.name] = true
		c.doubles(m.value)
	}
	for _, i := range n.items {
		c.doubles(i)
	}
}

func (c *checker) resource(r *node, seen map[string]bool) {
	if r.kind != '{' {
		c.at(r.offset, "resource", fmt.Sprint(r.plain()), "an object that describes a table")
		return
	}
	name := c.expect(r, "name", "a name of lower case letters, digits and -._", isPackageName)
	if name != "" && c.rows[name] != nil {
		c.at(r.get("name").offset, "name", name, "each table once")
		return
	}
	c.expect(r, "type", "\"table\"", is("table"))
	c.expect(r, "format", "\"csv\"", is("csv"))
	c.expect(r, "encoding", "\"utf-8\"", is("utf-8"))
	p := c.expect(r, "path", "the path of a file in the package", safePath)
	spec := c.schema(r, name)
	if p == "" {
		return
	}
	seen[p] = true
	content, err := fs.ReadFile(c.fsys, p)
	if err != nil {
		want := "a file of the package"
		if !errors.Is(err, fs.ErrNotExist) {
			want += " (" + err.Error() + ")"
		}
		c.at(r.get("path").offset, "path", p, want)
		return
	}
	const changed = "; where the file is right, write the package anew"
	if n := r.get("bytes"); n == nil || n.scalar != float64(len(content)) {
		c.at(offsetOr(n, r), "bytes", plainOr(n), strconv.Itoa(len(content))+", the size of "+p+changed)
	}
	if n := r.get("hash"); n == nil || n.text() != hashOf(content) {
		c.at(offsetOr(n, r), "hash", plainOr(n), hashOf(content)+", of "+p+changed)
	}
	if spec == nil || name == "" {
		return
	}
	all := make([]string, len(spec.fields))
	for i, f := range spec.fields {
		all[i] = f.name
	}
	t := datafile.ReadBytes(content, p, all, nil)
	ct := &checkedTable{Table: t, spec: *spec, keyAt: offsetOr(r.get("schema").get("primaryKey"), r)}
	for _, k := range items(r.get("schema").get("foreignKeys")) {
		ct.foreigns = append(ct.foreigns, k.offset)
	}
	c.names, c.rows[name] = append(c.names, name), ct
	c.cells(ct)
}

func plainOr(n *node) string {
	if n == nil {
		return ""
	}
	return fmt.Sprint(n.plain())
}

func items(n *node) []*node {
	if n == nil {
		return nil
	}
	return n.items
}

// schema reads the fields of a table as a spec, and reports what is not right with
// them; nil where there is nothing to go by.
func (c *checker) schema(r *node, name string) *tableSpec {
	schema := r.get("schema")
	if schema == nil || len(items(schema.get("fields"))) == 0 {
		c.at(offsetOr(schema, r), "schema", "", "a table schema with fields")
		return nil
	}
	if n := schema.get("missingValues"); n == nil || len(n.items) != 1 || n.items[0].scalar != "" {
		c.at(offsetOr(n, schema), "missingValues", plainOr(n), "[\"\"], said explicitly")
	}
	known := filmTable(name)
	spec := &tableSpec{name: name}
	for _, n := range schema.get("fields").items {
		if f, ok := c.field(n); ok {
			if spec.field(f.name) != nil {
				c.at(n.offset, "name", f.name, "each field once")
				continue
			}
			if known != nil {
				if k := known.field(f.name); k != nil {
					if k.kind != f.kind || k.unit != f.unit {
						c.at(n.offset, f.name, strings.TrimSpace(f.kind+" "+f.unit), strings.TrimSpace(k.kind+" "+k.unit)+", as this table has it")
					}
					f.order, f.required = k.order, f.required || k.required
				}
			}
			spec.fields = append(spec.fields, f)
		}
	}
	if known != nil {
		for _, k := range known.fields {
			if spec.field(k.name) == nil && k.required {
				c.at(schema.get("fields").offset, k.name, "", "a field of this name in the table "+name)
			}
		}
		spec.key, spec.foreign = known.key, known.foreign
		if got := schema.get("primaryKey").texts(); !slices.Equal(got, known.key) {
			c.at(offsetOr(schema.get("primaryKey"), schema), "primaryKey", strings.Join(got, ","), strings.Join(known.key, ",")+", as this table has it")
		}
		return spec
	}
	spec.key = schema.get("primaryKey").texts()
	if len(spec.key) == 0 {
		c.at(offsetOr(schema.get("primaryKey"), schema), "primaryKey", "", "the fields that tell the rows apart")
	}
	for _, k := range spec.key {
		if spec.field(k) == nil {
			c.at(offsetOr(schema.get("primaryKey"), schema), "primaryKey", k, "a field of the table")
		}
	}
	for _, k := range items(schema.get("foreignKeys")) {
		f := foreignSpec{k.get("fields").texts(), k.get("reference").get("resource").text(), k.get("reference").get("fields").texts()}
		if len(f.fields) == 0 || len(f.fields) != len(f.to) || f.resource == "" {
			c.at(k.offset, "foreignKeys", "", "fields, and a reference with resource and as many fields")
			continue
		}
		ok := true
		for _, name := range f.fields {
			if spec.field(name) == nil {
				c.at(k.offset, "foreignKeys", name, "a field of the table")
				ok = false
			}
		}
		if ok {
			spec.foreign = append(spec.foreign, f)
		}
	}
	return spec
}

func (c *checker) field(n *node) (fieldSpec, bool) {
	f := fieldSpec{name: c.expect(n, "name", "the name of a field", anyText)}
	f.kind = c.expect(n, "type", "string, number or integer", func(s string) bool { return s == "string" || s == "number" || s == "integer" })
	if f.name == "" || f.kind == "" {
		return f, false
	}
	unit := n.get("unit")
	f.unit = unit.text()
	switch suffix, ok := units[f.unit]; {
	case f.kind == "string" && unit == nil:
	case f.kind == "string":
		c.at(unit.offset, f.name, f.unit, "no unit for a text")
	case !ok:
		c.at(offsetOr(unit, n), f.name, f.unit, "a unit for a number, one of "+strings.Join(unitNames(), ", ")+" (1 for none)")
	case !strings.HasSuffix(f.name, suffix):
		c.at(offsetOr(n.get("name"), n), "name", f.name, "a name that ends with its unit, "+suffix)
	}
	f.order = n.get("order").text()
	if o := n.get("order"); o != nil && f.order != "increasing" && f.order != "nondecreasing" {
		c.at(o.offset, "order", plainOr(o), "increasing or nondecreasing")
		f.order = ""
	}
	cons := n.get("constraints")
	if cons == nil {
		return f, true
	}
	for _, m := range cons.members {
		switch v, isNumber := m.value.scalar.(float64); m.name {
		case "required":
			f.required, _ = m.value.scalar.(bool)
		case "minimum", "maximum":
			if !isNumber || f.kind == "string" {
				c.at(m.at, m.name, plainOr(m.value), "a number, for a field of numbers")
			} else if m.name == "minimum" {
				f.min = &v
			} else {
				f.max = &v
			}
		case "enum":
			if f.enum = m.value.texts(); len(f.enum) == 0 {
				c.at(m.at, m.name, plainOr(m.value), "a list of words")
			}
		default:
			c.at(m.at, "constraints", m.name, "required, minimum, maximum or enum; others are not looked at here")
		}
	}
	return f, true
}

func unitNames() []string {
	var names []string
	for u := range units {
		names = append(names, u)
	}
	slices.Sort(names)
	return names
}

// cells holds every cell to its field, and the rows to their order.
func (c *checker) cells(t *checkedTable) {
	type last struct {
		group string
		value float64
	}
	lasts := make([]last, len(t.spec.fields))
	for _, r := range t.Rows {
		for i := range t.spec.fields {
			f := &t.spec.fields[i]
			s := t.Text(r, f.name)
			if s == "" {
				if f.required {
					t.FailAt(r, f.name, "not to be missing")
				}
				continue
			}
			if len(f.enum) > 0 && !slices.Contains(f.enum, s) {
				t.FailAt(r, f.name, "one of "+figures.Quoted(f.enum))
			}
			if f.kind == "string" {
				continue
			}
			v, err := strconv.ParseFloat(s, 64)
			switch {
			case err == nil && math.IsInf(v, 1) && s == "INF" && f.kind == "number" && strings.Contains(f.name, "_high"):
			case f.kind == "integer":
				if _, err := strconv.ParseInt(s, 10, 64); err != nil {
					t.FailAt(r, f.name, "a whole number")
					continue
				}
			default:
				if _, ok := t.Number(r, f.name, "a number"); !ok {
					continue
				}
			}
			if f.min != nil && v < *f.min {
				t.FailAt(r, f.name, "at least "+figures.Numeral(*f.min))
			}
			if f.max != nil && v > *f.max {
				t.FailAt(r, f.name, "at most "+figures.Numeral(*f.max))
			}
			if f.order == "" {
				continue
			}
			group := t.group(r, f.name)
			if was := lasts[i]; was.group == group && (f.order == "increasing" && !(v > was.value) || f.order == "nondecreasing" && !(v >= was.value)) {
				how := "more than "
				if f.order == "nondecreasing" {
					how = "not less than "
				}
				t.FailAt(r, f.name, how+figures.Numeral(was.value)+" of the row above: the rows are in order")
			}
			lasts[i] = last{group, v}
		}
	}
	c.errs = append(c.errs, t.Errs...)
	t.Errs = nil
}

// group is what the rows of a series agree in: the key without ordered fields.
func (t *checkedTable) group(r datafile.Row, name string) string {
	var b strings.Builder
	b.WriteByte('.') // never empty
	for _, k := range t.spec.key {
		if f := t.spec.field(k); f != nil && f.order == "" && k != name {
			b.WriteString(t.Text(r, k))
			b.WriteByte(0)
		}
	}
	return b.String()
}

func (t *checkedTable) values(r datafile.Row, fields []string) string {
	var b strings.Builder
	for _, f := range fields {
		b.WriteString(t.Text(r, f))
		b.WriteByte(0)
	}
	return b.String()
}

// keys holds primary keys to being unique and foreign ones to leading somewhere.
func (c *checker) keys() {
	for _, name := range c.names {
		t := c.rows[name]
		seen := map[string]int{}
		for _, r := range t.Rows {
			v := t.values(r, t.spec.key)
			if line, ok := seen[v]; ok && len(t.spec.key) > 0 {
				t.FailAt(r, t.spec.key[len(t.spec.key)-1], fmt.Sprintf("a key (%s) of its own; line %d has it", strings.Join(t.spec.key, ", "), line))
				continue
			}
			seen[v] = r.Line
		}
		for i, k := range t.spec.foreign {
			to := c.rows[k.resource]
			if to == nil || slices.ContainsFunc(k.to, func(f string) bool { return to.spec.field(f) == nil }) {
				at := t.keyAt
				if i < len(t.foreigns) {
					at = t.foreigns[i]
				}
				c.at(at, "foreignKeys", k.resource+"("+strings.Join(k.to, ", ")+")", "a table of the package with these fields")
				continue
			}
			if len(to.Rows) == 0 {
				continue // it could not be read, which has been said
			}
			there := map[string]bool{}
			for _, r := range to.Rows {
				there[to.values(r, k.to)] = true
			}
			for _, r := range t.Rows {
				missing := slices.ContainsFunc(k.fields, func(f string) bool { return t.Text(r, f) == "" })
				if !missing && !there[t.values(r, k.fields)] {
					t.FailAt(r, k.fields[len(k.fields)-1], fmt.Sprintf("a row of the table %s (%s)", k.resource, strings.Join(k.to, ", ")))
				}
			}
		}
		c.errs = append(c.errs, t.Errs...)
		t.Errs = nil
	}
}

// films holds the films to the laws. What another check has found in a row is not
// said again.
func (c *checker) films() {
	if c.rows["films"] == nil {
		return
	}
	for _, name := range c.names {
		if t := c.rows[name]; filmTable(name) != nil && len(t.Rows) == 0 {
			return // a table that cannot be read: nothing to hold the films to
		}
	}
	said := map[string]bool{}
	key := func(e *datafile.Error) string { return e.File + ":" + strconv.Itoa(e.Line) }
	for _, e := range c.errs {
		said[key(e)] = true
	}
	add := func(e *datafile.Error) {
		if !said[key(e)] && e.File != descriptorFile { // the descriptor has been looked at
			c.errs = append(c.errs, e)
		}
	}
	d, errs := readDescriptor(c.content)
	if len(errs) > 0 {
		return // said above, of the member that is of another kind
	}
	r := reader{fsys: c.fsys, descriptor: d, tables: map[string]*datafile.Table{}, citations: map[string]string{}}
	films := r.films()
	for _, t := range r.tables {
		for _, e := range t.Errs {
			add(e)
		}
	}
	// fail reports a row of a table by its key.
	fail := func(name, field, want string, key ...string) {
		t := c.rows[name]
		if t == nil {
			return
		}
		if rows := t.with(key...); len(rows) > 0 {
			if !t.Has(field) {
				field = t.spec.key[0]
			}
			t.FailAt(rows[0], field, want)
		}
	}
	problem := func(name, field string, err error, key ...string) bool {
		if err != nil {
			fail(name, field, "what can be: "+err.Error(), key...)
		}
		return err != nil
	}
	bad := c.badFilms(said)
	for _, t := range r.tables {
		for _, e := range t.Errs {
			said[key(e)] = true
		}
	}
	for name := range c.badFilms(said) {
		bad[name] = true
	}
	for _, f := range films {
		d := f.data
		if bad[d.Name] {
			continue // mend the cells first: what follows from them would only confuse
		}
		problem("films", "film", errors.Join(checkName(d.Name), d.Provenance.check()), d.Name)
		for i := range d.Processes {
			p := &d.Processes[i]
			problem("processes", "process", errors.Join(checkName(p.Name), p.check()), d.Name, p.Name)
			if p.Index != nil {
				problem("indexes", "ei", p.Index.check(), d.Name, p.Name)
			}
			if p.Growth != nil {
				_, err := p.Growth.law()
				problem("development_families", "limit", err, d.Name, p.Name)
			}
			for j := range p.Curves {
				q := &p.Curves[j]
				curve, err := q.curve()
				if problem("curves", "curve", err, d.Name, p.Name, q.Name) {
					continue
				}
				problem("curves", "speed", speedAgrees(q, curve), d.Name, p.Name, q.Name)
				c.pointsAgree(d.Name, p.Name, q, curve)
			}
		}
		if s := d.Sensitivity; s != nil {
			_, err := s.sensitivity()
			if !problem("sensitivities", "film", err, d.Name) {
				c.sensitivityRange(d.Name, s)
			}
		}
		if l := d.Reciprocity; l != nil {
			_, err := l.law()
			if n := len(l.Readings); err == nil && n > 0 && (short(l.Shortest, l.Readings[0].Metered) || short(l.Readings[n-1].Metered, l.Longest)) {
				err = fmt.Errorf("a range from %v to %v, and tests from %v to %v only", l.Shortest, l.Longest, l.Readings[0].Metered, l.Readings[n-1].Metered)
			}
			problem("reciprocity_laws", "law", err, d.Name)
		}
	}
	for _, name := range c.names {
		for _, e := range c.rows[name].Errs {
			add(e)
		}
	}
}

// badFilms returns the films that rows with errors belong to.
func (c *checker) badFilms(said map[string]bool) map[string]bool {
	bad := map[string]bool{}
	for name, t := range c.rows {
		if filmTable(name) == nil || !t.Has("film") {
			continue
		}
		for _, r := range t.Rows {
			if said[t.File+":"+strconv.Itoa(r.Line)] {
				bad[t.Text(r, "film")] = true
			}
		}
	}
	return bad
}

// short reports whether a is under b by more than a rounding.
func short(a, b time.Duration) bool { return a.Seconds() < b.Seconds()*(1-1e-6) }

// speedSlack is how far a stated speed may lie from that of its curve: the last
// third of a printed step, in stops.
const speedSlack = 0.12

func speedAgrees(q *CurveData, curve sensito.Curve) error {
	if !q.Speed.Valid() || q.Speed.Criterion == sensito.Stated || q.Speed.Criterion == sensito.Field {
		return nil
	}
	by := q.Speed.Criterion
	if by == sensito.ISO6 {
		by = sensito.FixedDensity
		dd, err := sensito.ISOContrast(curve)
		if err != nil {
			return fmt.Errorf("an ISO speed of a curve whose contrast cannot be told: %w", err)
		}
		if !sensito.MeetsISO(figures.Round(dd, 4)) {
			return fmt.Errorf("an index, EI: ΔD of the curve is %.3f, and an ISO speed needs %.2f ± %.2f", dd, sensito.ISODeltaD, sensito.ISOTolerance)
		}
	}
	v, err := sensito.Index(curve, by)
	if err != nil {
		return err
	}
	if off := math.Log2(q.Speed.Value / v); math.Abs(off) > speedSlack {
		return fmt.Errorf("the speed of the curve, %.4g by %v, which is %+.2f stops off", v, by, -off)
	}
	return nil
}

// pointsAgree holds the points beside constants to the curve.
func (c *checker) pointsAgree(film, process string, q *CurveData, curve sensito.Curve) {
	t := c.rows["curve_points"]
	if t == nil || q.Shape == nil {
		return
	}
	for _, r := range t.with(film, process, q.Name) {
		x, err1 := strconv.ParseFloat(t.Text(r, "log_h_lx_s"), 64)
		d, err2 := strconv.ParseFloat(t.Text(r, "density"), 64)
		if err1 != nil || err2 != nil {
			continue
		}
		switch v, err := curve.Density(sensito.LogH(x)); {
		case err != nil:
			t.FailAt(r, "log_h_lx_s", "an exposure within the bounds of its curve, "+figures.Numeral(float64(q.Shape.From))+" to "+figures.Numeral(float64(q.Shape.To)))
		case math.Abs(float64(v)-d) > 1e-3:
			t.FailAt(r, "density", fmt.Sprintf("%.4f, as the constants of its curve give", float64(v)))
		}
	}
}

func (c *checker) sensitivityRange(film string, s *SensitivityData) {
	t := c.rows["sensitivities"]
	if t == nil {
		return
	}
	for _, r := range t.with(film) {
		for _, end := range []struct {
			field string
			nm    float64
		}{{"shortest_nm", s.Wavelengths[0]}, {"longest_nm", s.Wavelengths[len(s.Wavelengths)-1]}} {
			if v, err := strconv.ParseFloat(t.Text(r, end.field), 64); err == nil && v != end.nm {
				t.FailAt(r, end.field, figures.Numeral(end.nm)+", as its points have it")
			}
		}
	}
}
