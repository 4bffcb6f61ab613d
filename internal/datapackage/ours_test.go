package datapackage_test

import (
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	. "example.org/actinic/internal/datapackage"
)

// What is wrong with the schema of a table that is known, by the whole sentence.
func TestSchemaOfOurs(t *testing.T) {
	files, err := Files(example())
	if err != nil {
		t.Fatal(err)
	}
	whole := string(files[DescriptorFile])
	const units = "want a unit for a number, one of %, /min, /mm, 1, Cel, K, cd/m2, lx, min, mm, nm, s, um, {deg}, {log10(lx.s)}, {stop} (1 for none)"
	const counted = `90:11: grains: read "", ` + units // a count of the example, which has none
	for _, c := range []struct {
		old, now string // the first of them
		want     []string
	}{
		{`"title": "Film"`, `"title": "Film"`, nil},
		{`"title": "Film"`, `"unit": "1"`, []string{"59:21: film: read \"1\", want no unit for a text", "57:11: film: read \"string 1\", want string, as this table has it"}},
		{`"unit": "min"`, `"unit": "s"`, []string{"128:21: name: read \"time_min\", want a name that ends with its unit, _s", "127:11: time_min: read \"number s\", want number min, as this table has it"}},
		{`"unit": "min",`, ``, []string{"127:11: time_min: read \"\", " + units, "127:11: time_min: read \"number\", want number min, as this table has it"}},
		{`"unit": "min"`, `"unit": "furlong"`, []string{"132:21: time_min: read \"furlong\", " + units, "127:11: time_min: read \"number furlong\", want number min, as this table has it"}},
		{`"type": "number"`, `"type": "string"`, []string{"71:21: ei: read \"1\", want no unit for a text", "73:15: minimum: read \"1\", want a number, for a field of numbers", "74:15: maximum: read \"1e+06\", want a number, for a field of numbers", "66:11: ei: read \"string 1\", want number 1, as this table has it"}},
		{`"type": "integer"`, `"type": "boolean"`, []string{"93:21: type: read \"boolean\", want string, number or integer", "films.csv:1:17: header: read \"grains\", want one of the columns film,ei,process"}},
		{`"order": "increasing"`, `"order": "falling"`, []string{"133:22: order: read \"falling\", want increasing or nondecreasing"}},
		{`"minimum": 0`, `"minimum": "0"`, []string{"136:15: minimum: read \"0\", want a number, for a field of numbers"}},
		{`"minimum": 0`, `"least": 0`, []string{"136:15: constraints: read \"least\", want one of required, minimum, maximum, enum, unique, minLength, maxLength, exclusiveMinimum, exclusiveMaximum, jsonSchema, pattern"}},
		{`"enum": [`, `"enum": [], "pattern": [`, []string{"84:15: enum: read \"[…]\", want a list of words"}},
		{`"type": "string"`, `"type": "string", "constraints": {"maximum": 3}`, []string{"62:13: member: read \"constraints\", want each member once", "60:47: maximum: read \"3\", want a number, for a field of numbers"}},
		{`"name": "time_min"`, `"name": "time"`, []string{"117:19: time_min: read \"\", want a field of this name in the table points", "points.csv:1:6: header: read \"time_min\", want one of the columns film,time,contrast,log_h_lx_s", "points.csv:1: time: read \"\", want a column of this name; the header is film,time,contrast,log_h_lx_s"}},
		{`"missingValues": [`, `"missingValues": ["-"], "no": [`, []string{"97:26: missingValues: read \"[…]\", want [\"\"], said explicitly"}},
		{`"missingValues": [`, `"no": [`, []string{"55:17: missingValues: read \"\", want [\"\"], said explicitly"}},
		{`"primaryKey": [`, `"primaryKey": [], "no": [`, []string{"100:23: primaryKey: read \"\", want film, as this table has it"}},
		{`"fields": [`, `"fields": [], "no": [`, []string{"55:17: schema: read \"\", want a table schema with fields", "166:11: foreignKeys: read \"films(film)\", want a table of the package with these fields"}},
		{`"hash": "`, `"hash": "x`, []string{"54:15: hash: read \"xsha256:e699b6ace920c5c061f6d417bbff7ad3024b3f6c00f5e4783d1199204660ee20\", want sha256:e699b6ace920c5c061f6d417bbff7ad3024b3f6c00f5e4783d1199204660ee20, of films.csv; where the file is right, write the package anew"}},
		{`"bytes": `, `"bytes": 1`, []string{"53:16: bytes: read \"167\", want 67, the size of films.csv; where the file is right, write the package anew"}},
		{`"format": "csv"`, `"format": "tsv"`, []string{"50:17: format: read \"tsv\", want \"csv\""}},
		{`"encoding": "utf-8"`, `"encoding": "latin-1"`, []string{"52:19: encoding: read \"latin-1\", want \"utf-8\""}},
		{`"type": "table"`, `"type": "x"`, []string{"48:15: type: read \"x\", want \"table\""}},
	} {
		if !strings.Contains(whole, c.old) {
			t.Fatalf("%s is not there", c.old)
		}
		fsys := fstest.MapFS{DescriptorFile: {Data: []byte(strings.Replace(whole, c.old, c.now, 1))}}
		for name, content := range files {
			if name != DescriptorFile {
				fsys[name] = &fstest.MapFile{Data: content}
			}
		}
		got := told(t, fsys)
		if c.now == c.old && !slices.Contains(got, counted) {
			t.Errorf("%q does not say %q", got, counted)
		}
		if got = slices.DeleteFunc(got, func(s string) bool { return s == counted }); !slices.Equal(got, c.want) {
			t.Errorf("%s\n%#v", c.now, got)
		}
	}
}
