package datapackage

import (
	"slices"
	"strings"
)

// types are those of Table Schema 2.0. Ours are the first three; cells of the others are
// not looked at.
var types = []string{"string", "number", "integer", "boolean", "object", "array", "list", "datetime", "date", "time",
	"year", "yearmonth", "duration", "geopoint", "geojson", "any"}

// constraints are those of Table Schema 2.0; required, minimum, maximum and enum are held
// to here.
var constraints = []string{"required", "minimum", "maximum", "enum", "unique", "minLength", "maxLength",
	"exclusiveMinimum", "exclusiveMaximum", "jsonSchema", "pattern"}

// field reads a field. others says that it is one of somebody else's, which may have any
// type, unit and constraint that Table Schema lets it have.
func (c *Checker) field(n *Node, others bool) (Field, bool) {
	f := Field{Name: c.expect(n, "name", "the name of a field", anyText), others: others}
	want := types[:3]
	if others {
		want = types
		if !n.Has("type") { // any, by the standard
			f.Kind = "string"
			return f, f.Name != ""
		}
	}
	f.Kind = c.expect(n, "type", strings.Join(want[:len(want)-1], ", ")+" or "+want[len(want)-1],
		func(s string) bool { return slices.Contains(want, s) })
	if f.Name == "" || f.Kind == "" {
		return f, false
	}
	if !slices.Contains(types[:3], f.Kind) || n.Has("decimalChar") || n.Has("groupChar") || n.Has("bareNumber") {
		f.Kind = "string" // as far as its cells are looked at
	}
	f.Unit = c.unit(n.Get("unit").Text())
	if !others {
		c.ourUnit(n, &f)
	}
	f.Order = n.Get("order").Text()
	if o := n.Get("order"); o != nil && f.Order != "increasing" && f.Order != "nondecreasing" {
		if f.Order = ""; !others {
			c.at(o.Offset, "order", o.Plain(), "increasing or nondecreasing")
		}
	}
	c.constraints(n.Get("constraints"), &f)
	return f, true
}

// ourUnit holds a field of ours to its unit.
func (c *Checker) ourUnit(n *Node, f *Field) {
	unit := n.Get("unit")
	switch suffix, ok := Units[f.Unit]; {
	case f.Kind == "string" && unit == nil:
	case f.Kind == "string":
		c.at(unit.Offset, f.Name, f.Unit, "no unit for a text")
	case !ok:
		c.at(unit.Or(n), f.Name, f.Unit, "a unit for a number, one of "+strings.Join(unitNames(), ", ")+" (1 for none)")
	case !strings.HasSuffix(f.Name, suffix):
		c.at(n.Get("name").Or(n), "name", f.Name, "a name that ends with its unit, "+suffix)
	}
}

func (c *Checker) constraints(cons *Node, f *Field) {
	if cons == nil {
		return
	}
	for _, m := range cons.Members {
		switch v, isNumber := m.Value.Number(); m.Name {
		case "required":
			f.Required, _ = m.Value.Scalar.(bool)
		case "minimum", "maximum":
			switch {
			case f.others && (!isNumber || f.Kind == "string"):
			case !isNumber || f.Kind == "string":
				c.at(m.At, m.Name, m.Value.Plain(), "a number, for a field of numbers")
			case m.Name == "minimum":
				f.Min = &v
			default:
				f.Max = &v
			}
		case "enum":
			if f.others && f.Kind != "string" {
				continue
			}
			if f.Enum = m.Value.Texts(); len(f.Enum) == 0 {
				c.at(m.At, m.Name, m.Value.Plain(), "a list of words")
			}
		default:
			if !slices.Contains(constraints, m.Name) {
				c.at(m.At, "constraints", m.Name, "one of "+strings.Join(constraints, ", "))
			}
		}
	}
}

func unitNames() []string {
	var names []string
	for u := range Units {
		names = append(names, u)
	}
	slices.Sort(names)
	return names
}
