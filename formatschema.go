package actinic

import (
	"bytes"
	"encoding/json"
	"fmt"
	"sync"

	"example.org/actinic/internal/datapackage"
)

// formatSchema is the JSON Schema of a package of films.
var formatSchema = sync.OnceValue(func() []byte {
	b, err := makeFormatSchema()
	if err != nil {
		return nil // it is made of texts and numbers alone; the tests look at it
	}
	return b
})

// object is a JSON object while it is made.
type object = map[string]any

// makeFormatSchema makes the JSON Schema (draft 07, as the official profile has it) of a
// package of films out of the columns of the tables.
func makeFormatSchema() ([]byte, error) {
	definitions, each := object{}, []any{}
	tables := filmTables()
	for i := range tables {
		t := &tables[i]
		definitions[t.Name] = resourceSchema(t)
		definitions[t.Name+"_row"] = rowSchema(t)
		// A resource of one of our names keeps to our fields; others may stand beside it.
		each = append(each, object{
			"if":   object{"properties": object{"name": object{"const": t.Name}}, "required": []string{"name"}},
			"then": object{"$ref": "#/definitions/" + t.Name},
		})
	}
	// Draft 07 says "one of them is" by contains.
	named := func(name string) object {
		return object{"contains": object{"properties": object{"name": object{"const": name}}, "required": []string{"name"}}}
	}
	return encoded(object{
		"$schema": "http://json-schema.org/draft-07/schema#",
		"$id":     "https://example.org/actinic/" + SchemaName,
		"title":   "Package of films, version " + FormatVersion,
		"description": "A Data Package 2.0 whose tables hold films as they are exposed and developed. The definitions that end in _row are the rows of the tables " +
			"as objects, for whoever stores them so. A field's order says that its numbers increase, or do not decrease, from row to row among the rows that " +
			"agree in the fields of the primary key that have no order themselves. Units are codes of UCUM.",
		"allOf":    []any{object{"$ref": datapackage.Profile}},
		"required": []string{"$schema", "film_package", "name", "version", "licenses", "sources", "resources"},
		"properties": object{
			"film_package": object{"type": "object", "required": []string{"version", "schema"}, "properties": object{
				"version": object{"type": "string", "pattern": fmt.Sprintf(`^%d\.[0-9]+$`, datapackage.Major),
					"description": "version of the format"},
				"schema": object{"type": "string", "description": "the file of this schema"},
				"units":  object{"type": "string", "description": "the system of the units"},
			}},
			"version":   object{"type": "string", "description": "version of the package"},
			"resources": object{"type": "array", "items": object{"allOf": each}, "allOf": []any{named("films"), named("sources")}},
		},
		"definitions": definitions,
	})
}

// resourceSchema is how a descriptor describes a table: fields of these names have these
// types and units, some must be there, and any others may be.
func resourceSchema(t *datapackage.Table) object {
	var each, there []any
	for i := range t.Fields {
		f := &t.Fields[i]
		then := object{"type": object{"const": f.Kind}}
		// A text has no unit.
		if f.Kind != "string" {
			then["unit"] = object{"const": f.Unit}
		}
		if f.Order != "" {
			then["order"] = object{"const": f.Order}
		}
		// Fields come in any order, and more of them than ours may be there.
		is := object{"properties": object{"name": object{"const": f.Name}}, "required": []string{"name"}}
		each = append(each, object{"if": is, "then": object{"properties": then}})
		if f.Required {
			there = append(there, object{"contains": is})
		}
	}
	return object{
		"title": t.Title, "description": t.About,
		"required": []string{"name", "type", "path", "format", "encoding", "bytes", "hash", "schema"},
		"properties": object{
			"type": object{"const": "table"}, "format": object{"const": "csv"}, "encoding": object{"const": "utf-8"},
			"path": object{"type": "string"}, "hash": object{"type": "string", "pattern": "^sha256:[0-9a-f]{64}$"},
			"schema": object{"required": []string{"fields", "missingValues", "primaryKey"}, "properties": object{
				"missingValues": object{"const": []string{""}},
				"primaryKey":    object{"const": t.Key},
				"fields":        object{"items": object{"allOf": each}, "allOf": there},
			}},
		},
	}
}

// rowSchema is a row as an object.
func rowSchema(t *datapackage.Table) object {
	properties, required := object{}, []string{}
	for i := range t.Fields {
		f := &t.Fields[i]
		p := object{"type": f.Kind, "title": f.TitleOf(), "description": f.About}
		if unbounded(f.Name) && f.Kind == "number" { // INF, which JSON has no number for
			p = object{"anyOf": []any{object{"type": "number"}, object{"const": "INF"}}, "title": f.TitleOf(), "description": f.About}
		}
		if f.Unit != "" {
			p["unit"] = f.Unit
		}
		if f.Order != "" {
			p["order"] = f.Order
		}
		if f.Min != nil {
			p["minimum"] = *f.Min
		}
		if f.Max != nil {
			p["maximum"] = *f.Max
		}
		if f.Enum != nil {
			p["enum"] = f.Enum
		}
		if f.Required {
			required = append(required, f.Name)
		}
		properties[f.Name] = p
	}
	return object{"type": "object", "title": "Row of " + t.Title, "properties": properties, "required": required}
}

// encoded is JSON for people: indented, and < and > as they are.
func encoded(v any) ([]byte, error) {
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetIndent("", "  ")
	e.SetEscapeHTML(false)
	if err := e.Encode(v); err != nil {
		return nil, fmt.Errorf("actinic: %w", err)
	}
	return b.Bytes(), nil
}
