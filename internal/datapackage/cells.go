package datapackage

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"example.org/actinic/internal/figures"
	"example.org/actinic/sensito/datafile"
)

// Checked is a table whose cells have been looked at.
type Checked struct {
	*datafile.Table
	Spec     Table
	keyAt    int64
	foreigns []int64
	index    map[string][]datafile.Row // by the first fields of the key
	indexed  int                       // how many fields
}

// With returns the rows whose key begins with the given values.
func (t *Checked) With(key ...string) []datafile.Row {
	if t.index == nil || t.indexed != len(key) {
		t.index, t.indexed = map[string][]datafile.Row{}, len(key)
		for _, r := range t.Rows {
			v := t.values(r, t.Spec.Key[:len(key)])
			t.index[v] = append(t.index[v], r)
		}
	}
	return t.index[strings.Join(key, "\x00")+"\x00"]
}

// cells holds every cell to its field, and the rows to their order.
func (c *Checker) cells(t *Checked) {
	type last struct {
		group string
		value float64
	}
	lasts := make([]last, len(t.Spec.Fields))
	var formulas formulas
	for _, r := range t.Rows {
		for i := range t.Spec.Fields {
			f := &t.Spec.Fields[i]
			s := t.Text(r, f.Name)
			if s == "" {
				if f.Required {
					t.FailAt(r, f.Name, "not to be missing")
				}
				continue
			}
			if len(f.Enum) > 0 && !slices.Contains(f.Enum, s) {
				t.FailAt(r, f.Name, "one of "+figures.Quoted(f.Enum))
			}
			if f.Kind == "string" {
				formulas.see(t, r, f.Name, s)
				continue
			}
			v, _ := datafile.ParseNumber(s)
			switch {
			case s == "INF" && f.Kind == "number" && strings.Contains(f.Name, "_high"):
				v = math.Inf(1)
			case f.others && (s == "INF" || s == "-INF" || s == "NaN"):
				continue // numbers of Table Schema; ours are finite
			case f.Kind == "integer":
				if _, err := strconv.ParseInt(s, 10, 64); err != nil {
					t.FailAt(r, f.Name, "a whole number")
					continue
				}
			default:
				if _, ok := t.Number(r, f.Name, "a number"); !ok {
					continue
				}
			}
			if f.Min != nil && v < *f.Min {
				t.FailAt(r, f.Name, "at least "+figures.Numeral(*f.Min))
			}
			if f.Max != nil && v > *f.Max {
				t.FailAt(r, f.Name, "at most "+figures.Numeral(*f.Max))
			}
			if f.Order == "" {
				continue
			}
			group := t.group(r, f.Name)
			if was := lasts[i]; was.group == group && (f.Order == "increasing" && !(v > was.value) || f.Order == "nondecreasing" && !(v >= was.value)) {
				how := "more than "
				if f.Order == "nondecreasing" {
					how = "not less than "
				}
				t.FailAt(r, f.Name, how+figures.Numeral(was.value)+" of the row above: the rows are in order")
			}
			lasts[i] = last{group, v}
		}
	}
	c.Errs = append(c.Errs, t.Errs...)
	t.Errs = nil
	c.Remarks = append(c.Remarks, formulas.remark()...)
}

// formulas counts the texts of a table that a spreadsheet would run.
type formulas struct {
	n     int
	first string
}

func (f *formulas) see(t *Checked, r datafile.Row, field, text string) {
	if !datafile.Formula(text) {
		return
	}
	if f.n++; f.n == 1 {
		f.first = fmt.Sprintf("%s:%d: %s: %.60q", t.File, r.Line, field, text)
	}
}

func (f *formulas) remark() []string {
	if f.n == 0 {
		return nil
	}
	return []string{fmt.Sprintf("%s: a spreadsheet that opens the table would run this text as a formula (%d such in the table)", f.first, f.n)}
}

// group is what the rows of a series agree in: the key without ordered fields.
func (t *Checked) group(r datafile.Row, name string) string {
	var b strings.Builder
	b.WriteByte('.') // never empty
	for _, k := range t.Spec.Key {
		if f := t.Spec.Field(k); f != nil && f.Order == "" && k != name {
			b.WriteString(t.Text(r, k))
			b.WriteByte(0)
		}
	}
	return b.String()
}

func (t *Checked) values(r datafile.Row, fields []string) string {
	var b strings.Builder
	for _, f := range fields {
		b.WriteString(t.Text(r, f))
		b.WriteByte(0)
	}
	return b.String()
}

// keys holds primary keys to being unique and foreign ones to leading somewhere.
func (c *Checker) keys() {
	for _, name := range c.Names {
		t := c.tables[name]
		seen := map[string]int{}
		for _, r := range t.Rows {
			v := t.values(r, t.Spec.Key)
			if line, ok := seen[v]; ok && len(t.Spec.Key) > 0 {
				t.FailAt(r, t.Spec.Key[len(t.Spec.Key)-1], fmt.Sprintf("a key (%s) of its own; line %d has it",
					strings.Join(t.Spec.Key, ", "), line))
				continue
			}
			seen[v] = r.Line
		}
		for i, k := range t.Spec.Foreign {
			to := c.tables[k.Resource]
			if to == nil || slices.ContainsFunc(k.To, func(f string) bool { return to.Spec.Field(f) == nil }) {
				at := t.keyAt
				if i < len(t.foreigns) {
					at = t.foreigns[i]
				}
				c.at(at, "foreignKeys", k.Resource+"("+strings.Join(k.To, ", ")+")", "a table of the package with these fields")
				continue
			}
			if len(to.Rows) == 0 {
				continue // it could not be read, which has been said
			}
			there := map[string]bool{}
			for _, r := range to.Rows {
				there[to.values(r, k.To)] = true
			}
			for _, r := range t.Rows {
				missing := slices.ContainsFunc(k.Fields, func(f string) bool { return t.Text(r, f) == "" })
				if !missing && !there[t.values(r, k.Fields)] {
					t.FailAt(r, k.Fields[len(k.Fields)-1], fmt.Sprintf("a row of the table %s (%s)", k.Resource, strings.Join(k.To, ", ")))
				}
			}
		}
		c.Errs = append(c.Errs, t.Errs...)
		t.Errs = nil
	}
}
