package actinic

import (
	"fmt"
	"math/rand/v2"
	"reflect"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"example.org/actinic/internal/datapackage"
	"example.org/actinic/reciprocity"
	"example.org/actinic/sensito"
)

// eachTable calls f with every table of films by its name.
func eachTable(f func(name string, check func(t *testing.T))) {
	f("sources", func(t *testing.T) { holdColumns(t, &sourcesTable) })
	f("films", func(t *testing.T) { holdColumns(t, &filmsTable) })
	f("processes", func(t *testing.T) { holdColumns(t, &processesTable) })
	f("indexes", func(t *testing.T) { holdColumns(t, &indexesTable) })
	f("curves", func(t *testing.T) { holdColumns(t, &curvesTable) })
	f("curve_points", func(t *testing.T) { holdColumns(t, &pointsTable) })
	f("readings", func(t *testing.T) { holdColumns(t, &readingsTable) })
	f("sensitivities", func(t *testing.T) { holdColumns(t, &sensitivitiesTable) })
	f("sensitivity_points", func(t *testing.T) { holdColumns(t, &sensitivityPointsTable) })
	f("reciprocity_laws", func(t *testing.T) { holdColumns(t, lawsTable()) })
	f("reciprocity_readings", func(t *testing.T) { holdColumns(t, &lawReadingsTable) })
	f("development_families", func(t *testing.T) { holdColumns(t, &familiesTable) })
	f("granularities", func(t *testing.T) { holdColumns(t, &granularitiesTable) })
	f("granularity_points", func(t *testing.T) { holdColumns(t, &granularityPointsTable) })
	f("responses", func(t *testing.T) { holdColumns(t, &responsesTable) })
	f("response_points", func(t *testing.T) { holdColumns(t, &responsePointsTable) })
}

// holdColumns reads a different cell into each column, writes it again, and looks that no
// column touched another: a column without a reader, a writer or a place of its own is
// caught, and so is one whose bounds its own cells break.
func holdColumns[T any](t *testing.T, table *table[T]) {
	rng := rand.New(rand.NewPCG(4, 4))
	cells := map[string]string{}
	part := table.new()
	for i := range table.columns {
		c := &table.columns[i]
		if c.derived {
			continue
		}
		if c.set == nil || (c.raw == nil) == (c.cell == nil) {
			t.Fatalf("%s: a column is read, and written as a number or as a text", c.Name)
		}
		text := fmt.Sprintf("text %d", i)
		switch {
		case len(c.Enum) > 0:
			text = c.Enum[len(c.Enum)-1]
		case c.raw != nil:
			lo, hi := 1.0, 9.0
			if c.Min != nil {
				lo = *c.Min
			}
			if hi = lo + 8; c.Max != nil {
				hi = *c.Max
			}
			text = fmt.Sprintf("%.3f", lo+(hi-lo)*(0.2+0.6*rng.Float64()))
			if c.Kind == "integer" {
				text = fmt.Sprint(i + 3)
			}
		}
		text = strings.TrimRight(text, "0")
		text = strings.TrimSuffix(text, ".")
		cells[c.Name] = text
		if err := c.set(&part, text); err != nil {
			t.Fatalf("%s does not read %q: %v", c.Name, text, err)
		}
	}
	for i := range table.columns {
		c := &table.columns[i]
		if want, ok := cells[c.Name]; ok && c.text(&part) != want {
			t.Errorf("%s: read %q, written %q", c.Name, want, c.text(&part))
		}
	}
	for _, err := range table.check(&part) {
		if e, ok := err.(*columnError); !ok || cells[e.column] != "" {
			t.Errorf("of cells within their bounds: %v", err)
		}
	}
}

func TestEveryColumnReadsWhatItWrites(t *testing.T) {
	seen := map[string]bool{}
	eachTable(func(name string, check func(*testing.T)) {
		seen[name] = true
		t.Run(name, check)
	})
	for _, spec := range filmTables() {
		if !seen[spec.Name] {
			t.Errorf("the table %s is not looked at", spec.Name)
		}
		for _, k := range spec.Key {
			if spec.Field(k) == nil {
				t.Errorf("%s: its key %s is no column", spec.Name, k)
			}
		}
		for _, f := range spec.Fields {
			if f.About == "" || f.Kind != "string" && datapackage.Units[f.Unit] == "" && f.Unit != "1" {
				t.Errorf("%s: %s has no meaning or no unit", spec.Name, f.Name)
			}
		}
	}
}

// parts are the types that a film's data is made of, and the fields that are not stored
// in a column of their own: parts, and what another field says.
var parts = map[reflect.Type][]string{
	reflect.TypeFor[FilmData]():            {"Processes", "Sensitivity", "Reciprocity"},
	reflect.TypeFor[ProcessData]():         {"Curves", "Index", "Growth", "Granularity", "Response"},
	reflect.TypeFor[CurveData]():           {"Points", "Readings", "Unexposed", "Shape.BaseFog"},
	reflect.TypeFor[IndexData]():           nil,
	reflect.TypeFor[GrowthData]():          nil,
	reflect.TypeFor[GranularityData]():     {"Points"},
	reflect.TypeFor[GranularityPoint]():    nil,
	reflect.TypeFor[ResponseData]():        {"Points"},
	reflect.TypeFor[ResponsePoint]():       nil,
	reflect.TypeFor[SensitivityData]():     {"Wavelengths", "Log10", "SD"},
	reflect.TypeFor[reciprocity.Reading](): nil,
	reflect.TypeFor[sensito.Reading]():     {"SD"}, // of points; readings have it
}

// leaves lists the fields of a part that hold a number or a text.
func leaves(t reflect.Type, at string) []string {
	switch {
	case t.Kind() == reflect.Pointer:
		return leaves(t.Elem(), at)
	case t.Kind() != reflect.Struct:
		return []string{strings.TrimPrefix(at, ".")}
	}
	var out []string
	for i := range t.NumField() {
		out = append(out, leaves(t.Field(i).Type, at+"."+t.Field(i).Name)...)
	}
	return out
}

// Every field of a part is in some column: one that is not would be lost in a package.
func TestEveryFieldHasAColumn(t *testing.T) {
	holdFields(t, &filmsTable)
	holdFields(t, &processesTable)
	holdFields(t, &indexesTable)
	holdFields(t, &curvesTable)
	holdFields(t, &sensitivitiesTable)
	holdFields(t, &lawReadingsTable)
	holdFields(t, &familiesTable)
	holdFields(t, &granularitiesTable)
	holdFields(t, &granularityPointsTable)
	holdFields(t, &responsesTable)
	holdFields(t, &responsePointsTable)
	holdFields(t, &pointsTable)
}

func holdFields[T any](t *testing.T, table *table[T]) {
	typ := reflect.TypeFor[T]()
	skip, known := parts[typ]
	if !known {
		t.Fatalf("%v is not told of", typ)
	}
	// A part with every column set differs from a blank one in every field.
	part, blank := table.new(), table.new()
	for i := range table.columns {
		c := &table.columns[i]
		if c.derived {
			continue
		}
		text := "word"
		if c.raw != nil {
			text = "7"
		}
		if len(c.Enum) > 0 {
			text = c.Enum[len(c.Enum)-1]
		}
		if err := c.set(&part, text); err != nil {
			t.Fatalf("%s: %v", c.Name, err)
		}
	}
	get := func(v reflect.Value, path string) (reflect.Value, bool) {
		for _, name := range strings.Split(path, ".") {
			if v.Kind() == reflect.Pointer {
				if v.IsNil() {
					return v, false
				}
				v = v.Elem()
			}
			v = v.FieldByName(name)
		}
		return v, true
	}
	for _, path := range leaves(typ, "") {
		top, _, _ := strings.Cut(path, ".")
		if contains(skip, path) || contains(skip, top) {
			continue
		}
		a, there := get(reflect.ValueOf(part), path)
		b, was := get(reflect.ValueOf(blank), path)
		if !there || was && cmp.Equal(a.Interface(), b.Interface()) {
			t.Errorf("%v.%s is in no column of %s", typ, path, table.Name)
		}
	}
}

func contains(names []string, name string) bool {
	for _, n := range names {
		if n == name {
			return true
		}
	}
	return false
}
