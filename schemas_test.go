package actinic

import (
	"bytes"
	"encoding"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"testing"

	"example.org/actinic/devtime/roll"
	"example.org/actinic/reciprocity"
	"example.org/actinic/sensito"
	"example.org/actinic/sensito/exposure"
	"example.org/actinic/sensito/exposure/camera"
	"example.org/actinic/sensito/exposure/card"
	"example.org/actinic/spectral"
)

// schemaVersion is the version of the schemas of the record, the film and the plan.
const schemaVersion = "1.0"

// aNumber is a number, null for one that is not known, or an end without bound.
var aNumber = object{"anyOf": []any{object{"type": []string{"number", "null"}}, object{"enum": []string{"INF", "-INF"}}}}

func numbers(names ...string) object {
	p := object{"no_lower_end": object{"type": "boolean"}, "no_upper_end": object{"type": "boolean"}}
	for _, n := range names {
		p[n] = aNumber
	}
	return object{"type": "object", "properties": p}
}

// writesItself are the types that write themselves: as what, where the zero value does not
// tell.
var writesItself = map[reflect.Type]object{
	reflect.TypeFor[sensito.Estimate](): numbers("value", "low", "high"),
	reflect.TypeFor[roll.IndexRecord](): {"type": "object", "properties": object{"value": aNumber, "low": aNumber, "high": aNumber,
		"no_lower_end": object{"type": "boolean"}, "no_upper_end": object{"type": "boolean"}, "from": object{"type": "string"}, "history": object{"type": "string"},
		"development_s": object{"anyOf": []any{object{"type": "null"}, numbers("value", "low", "high")}}}},
	reflect.TypeFor[reciprocity.Form](): {"type": []string{"object", "string", "null"}},
}

// alsoHas are members that a type writes besides its own: its times, in seconds.
var alsoHas = map[reflect.Type][]string{
	reflect.TypeFor[CurveData]():  {"development_s"},
	reflect.TypeFor[GrowthData](): {"shortest_s", "longest_s"},
}

// schemaOf is the schema of what encoding/json makes of a type.
func schemaOf(t reflect.Type) object {
	if s, ok := writesItself[t]; ok {
		return s
	}
	zero := reflect.New(t)
	_, extra := alsoHas[t]
	if _, ok := zero.Interface().(json.Marshaler); ok && !extra && t.Kind() != reflect.Pointer {
		return schemaOfText(zero.Interface())
	}
	if _, ok := zero.Interface().(encoding.TextMarshaler); ok && t.Kind() != reflect.Pointer {
		return object{"type": "string"}
	}
	switch t.Kind() {
	case reflect.Pointer:
		return object{"anyOf": []any{object{"type": "null"}, schemaOf(t.Elem())}}
	case reflect.Slice, reflect.Array:
		return object{"type": []string{"array", "null"}, "items": schemaOf(t.Elem())}
	case reflect.Map:
		return object{"type": []string{"object", "null"}, "additionalProperties": schemaOf(t.Elem())}
	case reflect.Struct:
		p := object{}
		membersOf(t, p)
		for _, name := range alsoHas[t] {
			p[name] = object{"type": "number"}
		}
		return object{"type": "object", "properties": p}
	case reflect.String:
		return object{"type": "string"}
	case reflect.Bool:
		return object{"type": "boolean"}
	case reflect.Float32, reflect.Float64:
		return object{"type": "number"}
	case reflect.Interface:
		return object{}
	}
	return object{"type": "integer"}
}

// schemaOfText tells by what the zero value writes.
func schemaOfText(zero any) object {
	text, err := json.Marshal(zero)
	if err != nil || len(text) == 0 {
		return object{}
	}
	kind, ok := map[byte]string{'"': "string", '{': "object", '[': "array"}[text[0]]
	if !ok {
		kind = "number"
	}
	if string(text) == "null" {
		return object{}
	}
	return object{"type": []string{kind, "null"}}
}

func membersOf(t reflect.Type, p object) {
	for i := range t.NumField() {
		f := t.Field(i)
		name, _, _ := strings.Cut(f.Tag.Get("json"), ",")
		switch {
		case name == "-" || !f.IsExported() && !f.Anonymous:
		case f.Anonymous && name == "":
			e := f.Type
			if e.Kind() == reflect.Pointer {
				e = e.Elem()
			}
			membersOf(e, p)
		default:
			if name == "" {
				name = f.Name
			}
			p[name] = schemaOf(f.Type)
		}
	}
}

// outputSchemas are those of the record, the film, the plan and the card.
func outputSchemas() map[string][]byte {
	made := object{"type": "object", "title": "What the output was made with and from", "required": []string{"library", "version", "inputs"},
		"properties": object{"library": object{"type": "string"}, "version": object{"type": "string"},
			"inputs": object{"type": "object", "additionalProperties": object{"type": "string", "pattern": "^sha256:[0-9a-f]{64}$"}}}}
	out := map[string][]byte{}
	for name, x := range map[string]struct {
		title    string
		of       reflect.Type
		required []string
	}{
		"record": {"Record of a test roll", reflect.TypeFor[roll.Record](), []string{"film", "process", "light"}},
		"film":   {"Film", reflect.TypeFor[FilmData](), []string{"name", "provenance"}},
		"card":   {"Field card of a film", reflect.TypeFor[card.Card](), []string{"film", "filters", "long", "neutral"}},
		"plan":   {"Plan of an exposure", reflect.TypeFor[planJSON](), []string{"film", "index", "set", "steps", "warnings"}},
	} {
		s := schemaOf(x.of)
		s["$schema"], s["title"], s["required"] = "http://json-schema.org/draft-07/schema#", x.title+", version "+schemaVersion, x.required
		file := name + "-" + schemaVersion + ".schema.json"
		s["$id"] = "https://example.org/actinic/" + file
		s["description"] = "As the library and its programs write it. Members may be added in a version with the same number before the point; none is renamed or taken away. A number that is not known is null or left out."
		if name != "film" {
			s["properties"].(object)["made"] = made
		}
		if name == "plan" {
			s["properties"].(object)["camera"] = object{"type": "object", "title": "What exposure planned with",
				"properties": object{"text": object{"type": "string"}, "assumed": object{"type": "boolean"}, "file": object{"type": "object"}}}
		}
		out[file] = must(encoded(s))
	}
	out["camera-"+schemaVersion+".schema.json"] = must(encoded(cameraSchema()))
	return out
}

// cameraSchema is that of what [camera.Parse] reads.
func cameraSchema() object {
	marks := func(of string) object {
		return object{"description": "A printed scale of " + of + ", or a list", "anyOf": []any{object{"enum": []string{"full", "half", "third"}},
			object{"type": "array", "items": object{"type": "string"}, "minItems": 1, "maxItems": 200}}}
	}
	text := func(like string) object { return object{"type": "string", "description": "Such as " + like} }
	return object{"$schema": "http://json-schema.org/draft-07/schema#", "$id": "https://example.org/actinic/camera-" + schemaVersion + ".schema.json",
		"title":       "Camera, version " + schemaVersion,
		"description": "What a camera can be set to, as programs read it. A member that is left out is that of third stops from f/2.8 to f/22 and from 1/4000 to 30 s, held open for longer.",
		"type":        "object", "additionalProperties": false, "patternProperties": object{"^x-": object{}},
		"properties": object{"name": object{"type": "string"}, "times": marks("times"), "fastest": text("1/500"), "longest": text("1s"),
			"bulb": object{"type": "boolean", "description": "The shutter can be held open"}, "apertures": marks("f-numbers"), "widest": text("f/2"), "smallest": text("f/16"),
			"meter_k": object{"type": "number", "minimum": 5, "maximum": 30, "description": "Constant of its reflected-light meter, cd/m²"},
			"priority": object{"enum": []string{"none", "aperture", "shutter"},
				"description": "What the camera sets by itself: nothing, the time (aperture priority), or the aperture"}}}
}

// lacks says where an output has what its schema does not tell of, or of another kind.
func lacks(s object, v any, at string) []string {
	if any, ok := s["anyOf"].([]any); ok {
		var least []string
		for i, x := range any {
			if found := lacks(x.(object), v, at); i == 0 || len(found) < len(least) {
				least = found
			}
		}
		return least
	}
	if words, ok := s["enum"].([]any); ok && !slices.Contains(words, v) {
		return []string{fmt.Sprintf("%s is %v", at, v)}
	}
	kinds := fmt.Sprint(s["type"])
	is := map[bool]string{true: "", false: at + " is of another kind than " + kinds}
	var out []string
	note := func(ok bool) {
		if !ok && s["type"] != nil {
			out = append(out, is[false])
		}
	}
	switch v := v.(type) {
	case nil:
		note(strings.Contains(kinds, "null"))
	case string:
		note(strings.Contains(kinds, "string"))
	case bool:
		note(strings.Contains(kinds, "boolean"))
	case float64:
		note(strings.Contains(kinds, "number") || strings.Contains(kinds, "integer") && v == float64(int64(v)))
	case []any:
		note(strings.Contains(kinds, "array"))
		if items, ok := s["items"].(object); ok {
			for i, x := range v {
				out = append(out, lacks(items, x, fmt.Sprintf("%s[%d]", at, i))...)
			}
		}
	case object:
		note(strings.Contains(kinds, "object"))
		properties, ok := s["properties"].(object)
		for name, x := range v {
			p, known := properties[name].(object)
			if ok && !known {
				out = append(out, at+"."+name+" is not told of")
			} else if known {
				out = append(out, lacks(p, x, at+"."+name)...)
			}
		}
	}
	return out
}

// The schemas tell of every member of what the library writes, and stand in data/.
func TestSchemasOfOutputs(t *testing.T) {
	schemas := outputSchemas()
	for file, want := range schemas {
		name := filepath.Join("data", file)
		if *update {
			if err := os.WriteFile(name, want, 0o644); err != nil {
				t.Fatal(err)
			}
		}
		if got, err := os.ReadFile(name); err != nil || !bytes.Equal(got, want) {
			t.Errorf("%s is another (%v): go test -run 'TestShippedData|TestSchemasOfOutputs' -update .", name, err)
		}
	}
	outputs := map[string][]any{"camera": {camera.Default()}, "record": {must(must(roll.Read(os.DirFS("examples/testroll/quarry"))).Characterise(roll.Settings{}))}}
	for _, name := range Films() {
		outputs["film"] = append(outputs["film"], must(LoadFilm(name)))
	}
	cam := must(camera.OfScale(camera.ThirdStops, 2.8, 22, 1e9/4000, 0))
	for _, ev := range []float64{15, 2, -4} {
		plan, err := PlanExposure(Shot{Scene: MeteredScene(exposure.EV100(ev), spectral.Light{}), Film: must(LoadFilm("Swift")), Process: "Tarren", Camera: cam, Aperture: 8})
		if err == nil {
			outputs["plan"] = append(outputs["plan"], plan)
		}
	}
	outputs["card"] = []any{must(FieldCard(must(LoadFilm("Swift")), "Tarren", camera.Default())), must(FieldCard(lawFilm(nil), "", camera.Default()))}
	for name, vs := range outputs {
		var s object
		if err := json.Unmarshal(schemas[name+"-"+schemaVersion+".schema.json"], &s); err != nil {
			t.Fatal(err)
		}
		if len(vs) == 0 {
			t.Errorf("no %s was looked at", name)
		}
		for _, v := range vs {
			var plain any
			if err := json.Unmarshal(must(json.Marshal(v)), &plain); err != nil {
				t.Fatal(err)
			}
			for _, l := range lacks(s, plain, name) {
				t.Error(l)
			}
		}
		if found := lacks(s, object{"film": 5.0, "name": 5.0, "nonsense": true}, name); len(found) < 2 {
			t.Errorf("%s: nonsense passes: %q", name, found)
		}
	}
}
