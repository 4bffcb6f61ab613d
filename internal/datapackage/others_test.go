package datapackage_test

import (
	"io/fs"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	. "example.org/actinic/internal/datapackage"
)

// A package with a table that nobody here knows, one line a member so that places are told by their lines.
const others = `{"$schema": "` + Profile + `",
"film_package": {"version": "1.0"}, "name": "a", "version": "1.0.0", "licenses": [{"name": "CC0-1.0"}], "sources": [{"title": "invented"}],
"resources": [{"name": "places", "type": "table", "format": "csv", "path": "places.csv", "encoding": "utf-8",
"schema": {"missingValues": [""], "primaryKey": ["place"], "foreignKeys": [],
"fields": [{"name": "place", "type": "string"},
{"name": "level", "type": "integer"}]}}]}`

// The rows of it.
const (
	places   = "place,level\nmill,3\nincline,5\nx,1\n"
	wrong    = "place,level\nmill,three\n"
	twice    = "place,level\nmill,\nmill,3\nx,\n"
	infinite = "place,level\nmill,INF\nx,-INF\ny,NaN\nz,+INF\n"
)

// as is a package with a text of the descriptor in the place of another.
func as(t *testing.T, old, now, rows string) fstest.MapFS {
	t.Helper()
	if strings.Count(others, old) != 1 {
		t.Fatalf("%q is there %d times", old, strings.Count(others, old))
	}
	return fstest.MapFS{DescriptorFile: {Data: []byte(strings.Replace(others, old, now, 1))}, "places.csv": {Data: []byte(rows)}}
}

func told(t *testing.T, fsys fs.FS) []string {
	t.Helper()
	c, err := Check(fsys, known)
	if err != nil {
		t.Fatal(err)
	}
	var all []string
	for _, e := range c.Errs {
		all = append(all, strings.TrimPrefix(e.Error(), DescriptorFile+":"))
	}
	return append(all, c.Remarks...)
}

// What may be said of a table that is not ours, and what not.
func TestTableOfAnybodys(t *testing.T) {
	for _, c := range []struct {
		old, now, rows string
		want           []string
	}{
		{`"a"`, `"a"`, places, nil},
		{`"a"`, `"a"`, wrong, []string{"places.csv:2:6: level: read \"three\", want a whole number"}},
		// It is looked at where it is plain; of another its file is to be there, and no more.
		{`"table"`, `"x"`, wrong, nil},
		{`"csv"`, `"tsv"`, wrong, nil},
		{`"utf-8"`, `"latin-1"`, wrong, nil},
		{`"encoding": "utf-8"`, `"encoding": "utf-8", "dialect": {}`, wrong, nil},
		{`, "encoding": "utf-8"`, ``, wrong, nil},
		{`"missingValues": [""]`, `"missingValues": ["", "-"]`, wrong, nil},
		{`"fields": [`, `"fields": [], "columns": [`, wrong, nil},
		{`"path": "places.csv"`, `"path": ["places.csv"]`, wrong, nil},
		{`"path": "places.csv"`, `"path": "./places.csv"`, wrong, []string{"3:76: path: read \"./places.csv\", want the path of a file in the package", "places.csv: want a file that datapackage.json lists; list it or take it away"}},
		{`"missingValues": [""], `, ``, wrong, []string{"places.csv:2:6: level: read \"three\", want a whole number"}},
		// Where its files are.
		{`"path": "places.csv"`, `"path": "../places.csv"`, places, []string{"3:76: path: read \"../places.csv\", want the path of a file in the package", "places.csv: want a file that datapackage.json lists; list it or take it away"}},
		{`"path": "places.csv"`, `"path": ["places.csv", "more.csv"]`, places, []string{"3:76: path: read \"more.csv\", want a file of the package"}},
		{`"path": "places.csv"`, `"path": ["../places.csv", "places.csv"]`, places, []string{"3:76: path: read \"../places.csv\", want the path of a file in the package"}},
		{`"path": "places.csv"`, `"path": ["https://example.org/x", "http://example.org/y", "places.csv"]`, places, nil},
		{`"path": "places.csv"`, `"path": "ftp://example.org/x"`, places, []string{"3:76: path: read \"ftp://example.org/x\", want the path of a file in the package", "places.csv: want a file that datapackage.json lists; list it or take it away"}},
		{`"path": "places.csv"`, `"path": []`, places, []string{"3:76: path: read \"[…]\", want the path of a file, or of several, or data", "places.csv: want a file that datapackage.json lists; list it or take it away"}},
		{`"path": "places.csv"`, `"path": [], "data": []`, places, []string{"places.csv: want a file that datapackage.json lists; list it or take it away"}},
		{`"path": "places.csv", `, ``, places, []string{"3:15: path: read \"\", want the path of a file, or of several, or data", "places.csv: want a file that datapackage.json lists; list it or take it away"}},
		{`"schema": {`, `"bytes": 33, "schema": {`, places, nil},
		{`"schema": {`, `"bytes": 33.0, "schema": {`, places, nil},
		{`"schema": {`, `"bytes": 34, "schema": {`, places, []string{"4:10: bytes: read \"34\", want 33, the size of places.csv; where the file is right, write the package anew"}},
		{`"schema": {`, `"hash": "md5:", "schema": {`, places, []string{"4:9: hash: read \"md5:\", want sha256:75de26e55b964715217d56464389acd1a267b716c344826ca58901898e9c5c12, of places.csv; where the file is right, write the package anew"}},
		{`"path": "places.csv"`, `"bytes": 34, "path": ["places.csv"]`, places, []string{"3:77: bytes: read \"34\", want 33, the size of places.csv; where the file is right, write the package anew"}},
		{`"path": "places.csv"`, `"bytes": 34, "path": ["places.csv", "places.csv"]`, places, nil},
		// Its fields.
		{`"integer"`, `"boolean"`, wrong, nil},
		{`, "type": "integer"`, ``, wrong, nil},
		{`{"name": "level", "type": "integer"}`, `{"name": "level", "type": "integer", "bareNumber": false}`, wrong, nil},
		{`{"name": "level", "type": "integer"}`, `{"name": "level", "type": "integer", "decimalChar": ","}`, wrong, nil},
		{`{"name": "level", "type": "integer"}`, `{"name": "level", "type": "integer", "groupChar": " "}`, wrong, nil},
		{`"integer"`, `"number"`, wrong, []string{"places.csv:2:6: level: read \"three\", want a number"}},
		{`"integer"`, `"length"`, places, []string{"6:27: type: read \"length\", want string, number, integer, boolean, object, array, list, datetime, date, time, year, yearmonth, duration, geopoint, geojson or any", "places.csv:1:7: header: read \"level\", want one of the columns place"}},
		{`{"name": "level", "type": "integer"}`, `{"name": "place", "type": "integer"}`, places, []string{"6:1: name: read \"place\", want each field once", "places.csv:1:7: header: read \"level\", want one of the columns place"}},
		{`{"name": "place", "type": "string"}`, `{"type": "string"}`, places, []string{"5:12: name: read \"\", want the name of a field", "4:49: primaryKey: read \"place\", want a field of the table", "places.csv:1:1: header: read \"place\", want one of the columns level"}},
		{`{"name": "place", "type": "string"}`, `{"name": " ", "type": "string"}`, places, []string{"5:21: name: read \" \", want the name of a field", "4:49: primaryKey: read \"place\", want a field of the table", "places.csv:1:1: header: read \"place\", want one of the columns level"}},
		{`{"name": "level", "type": "integer"}`, `{"name": "level", "type": "integer", "unit": "furlong", "order": "any", "constraints": {"minimum": 3, "maximum": 4}}`, places, []string{"places.csv:3:9: level: read \"5\", want at most 4", "places.csv:4:3: level: read \"1\", want at least 3"}},
		{`{"name": "level", "type": "integer"}`, `{"name": "level", "type": "integer", "constraints": {"minimum": 1, "maximum": 5}}`, places, nil},
		{`{"name": "level", "type": "integer"}`, `{"name": "level", "type": "integer", "constraints": {"minimum": "a", "enum": [3], "maximum": "b", "pattern": "x"}}`, places, nil},
		{`{"name": "level", "type": "integer"}`, `{"name": "level", "type": "integer", "constraints": {"least": 1}}`, places, []string{"6:54: constraints: read \"least\", want one of required, minimum, maximum, enum, unique, minLength, maxLength, exclusiveMinimum, exclusiveMaximum, jsonSchema, pattern"}},
		{`{"name": "place", "type": "string"}`, `{"name": "place", "type": "string", "constraints": {"enum": [], "minimum": 1}}`, places, []string{"5:64: enum: read \"[…]\", want a list of words"}},
		{`{"name": "place", "type": "string"}`, `{"name": "place", "type": "string", "constraints": {"enum": ["mill", "x"]}}`, places, []string{"places.csv:3:1: place: read \"incline\", want one of \"mill\", \"x\""}},
		{`{"name": "level", "type": "integer"}`, `{"name": "level", "type": "integer", "order": "increasing"}`, places, nil},
		{`{"name": "level", "type": "integer"}`, `{"name": "level", "type": "integer", "constraints": {"required": true}}`, twice, []string{"places.csv:2:6: level: read \"\", want not to be missing", "places.csv:4:3: level: read \"\", want not to be missing", "places.csv:3:1: place: read \"mill\", want a key (place) of its own; line 2 has it"}},
		{`{"name": "level", "type": "integer"}`, `{"name": "level", "type": "integer", "constraints": {"required": 1}}`, twice, []string{"places.csv:3:1: place: read \"mill\", want a key (place) of its own; line 2 has it"}},
		{`"primaryKey": ["place"]`, `"primaryKey": ["level"]`, twice, []string{"places.csv:4:3: level: read \"\", want a key (level) of its own; line 2 has it"}},
		{`"primaryKey": ["place"]`, `"primaryKey": []`, twice, nil},
		{`"primaryKey": ["place"], `, ``, twice, nil},
		{`"integer"`, `"number"`, infinite, []string{"places.csv:5:3: level: read \"+INF\", want a number"}},
		{`"a"`, `"a"`, infinite, []string{"places.csv:5:3: level: read \"+INF\", want a whole number"}},
		// Its keys.
		{`"primaryKey": ["place"]`, `"primaryKey": ["none"]`, places, []string{"4:49: primaryKey: read \"none\", want a field of the table"}},
		{`"primaryKey": ["place"]`, `"primaryKey": "place"`, places, nil},
		{`"foreignKeys": []`, `"foreignKeys": [{"fields": ["place"], "reference": {"fields": ["place"]}}]`, places, nil},
		{`"foreignKeys": []`, `"foreignKeys": [{"fields": "place", "reference": {"resource": "", "fields": "place"}}]`, places, nil},
		{`"foreignKeys": []`, `"foreignKeys": [{"fields": ["none"], "reference": {"fields": ["place"]}}]`, places, []string{"4:76: foreignKeys: read \"none\", want a field of the table"}},
		{`"foreignKeys": []`, `"foreignKeys": [{"fields": ["place"], "reference": {"fields": ["place", "level"]}}]`, places, []string{"4:76: foreignKeys: read \"\", want fields, and a reference with resource and as many fields"}},
		{`"foreignKeys": []`, `"foreignKeys": [{"fields": [], "reference": {"fields": []}}]`, places, []string{"4:76: foreignKeys: read \"\", want fields, and a reference with resource and as many fields"}},
		{`"foreignKeys": []`, `"foreignKeys": [{"fields": ["place"], "reference": {"resource": "none", "fields": ["place"]}}]`, places, []string{"4:76: foreignKeys: read \"none(place)\", want a table of the package with these fields"}},
		{`"foreignKeys": []`, `"foreignKeys": [{"fields": ["place"], "reference": {"resource": "places", "fields": ["none"]}}]`, places, []string{"4:76: foreignKeys: read \"places(none)\", want a table of the package with these fields"}},
		{`"foreignKeys": []`, `"foreignKeys": [{"fields": ["level"], "reference": {"resource": "places", "fields": ["place"]}}]`, places, []string{"places.csv:2:6: level: read \"3\", want a row of the table places (place)", "places.csv:3:9: level: read \"5\", want a row of the table places (place)", "places.csv:4:3: level: read \"1\", want a row of the table places (place)"}},
		{`"foreignKeys": []`, `"foreignKeys": [{"fields": ["place"]}]`, places, []string{"4:76: foreignKeys: read \"\", want fields, and a reference with resource and as many fields"}},
		{`"foreignKeys": []`, `"foreignKeys": [{"fields": ["place"], "reference": {"resource": "places"}}]`, places, []string{"4:76: foreignKeys: read \"\", want fields, and a reference with resource and as many fields"}},
		{`"foreignKeys": []`, `"foreignKeys": [{"fields": ["level"], "reference": {"resource": "", "fields": ["place"]}}]`, twice, []string{"places.csv:3:1: place: read \"mill\", want a key (place) of its own; line 2 has it", "places.csv:3:6: level: read \"3\", want a row of the table places (place)"}},
		// The descriptor about it.
		{`"name": "places"`, `"name": "Places"`, places, []string{"3:24: name: read \"Places\", want a name of lower case letters, digits and -._"}},
		{`{"name": "places", `, `{`, places, []string{"3:15: name: read \"\", want a name of lower case letters, digits and -._"}},
		{`"resources": [`, `"resources": [3, `, places, []string{"3:15: resource: read \"3\", want an object that describes a table"}},
		{`"resources": [`, `"resources": [], "no": [`, places, []string{"3:14: resources: read \"\", want at least one table"}},
		{`"resources": [`, `"no": [`, places, []string{"1:1: resources: read \"\", want at least one table"}},
		{`"level", "type": "integer"}]}}]`, `"level", "type": "integer"}]}}, {"name": "places"}]`, places, []string{"6:51: name: read \"places\", want each table once"}},
		{`"level", "type": "integer"}]}}]`, `"level", "type": "integer"}]}}, {"name": "notes", "path": "notes.txt"}, {"name": "here", "data": [1]}]`, places, []string{"6:68: path: read \"notes.txt\", want a file of the package"}},
		{`"version": "1.0.0"`, `"version": "1.0"`, places, []string{"2:61: version: read \"1.0\", want three numbers such as 1.0.0"}},
		{`"a"`, `"A"`, places, []string{"2:45: name: read \"A\", want a name of lower case letters, digits and -._"}},
		{Profile, `https://example.org`, places, []string{"1:13: $schema: read \"https://example.org\", want \"https://datapackage.org/profiles/2.0/datapackage.json\""}},
		{`[{"name": "CC0-1.0"}]`, `[]`, places, []string{"2:82: licenses: read \"\", want at least one licence by its name, such as CC0-1.0"}},
		{`[{"name": "CC0-1.0"}]`, `[{"name": "CC0-1.0"}, {"title": "x"}]`, places, []string{"2:104: name: read \"\", want at least one licence by its name, such as CC0-1.0"}},
		{`, "sources": [{"title": "invented"}]`, ``, places, []string{"1:1: sources: read \"\", want at least one source by its title"}},
		{`[{"title": "invented"}]`, `[{"title": " "}]`, places, []string{"2:127: title: read \" \", want at least one source by its title"}},
		{`"film_package": {"version": "1.0"}, `, ``, places, []string{"datapackage.json: no film_package: the format before version 1.0, which is read with the names that units had then"}},
		{`{"version": "1.0"}`, `{"version": "1.1"}`, places, []string{"datapackage.json: version 1.1 of the format is newer than 1.0: fields that it has besides are passed over"}},
		{`{"version": "1.0"}`, `{"version": "2.0"}`, places, []string{"2:29: film_package.version: read \"2.0\", want version 1 of the format, with any number behind the point; a library of that version reads it"}},
		{`{"version": "1.0"}`, `{"version": "0.9"}`, places, []string{"2:29: film_package.version: read \"0.9\", want version 1 of the format, with any number behind the point; a library of that version reads it"}},
		{`{"version": "1.0"}`, `{"version": "1"}`, places, []string{"2:29: film_package.version: read \"1\", want a version of the format such as 1.0"}},
		{`{"version": "1.0"}`, `{"version": "1.x"}`, places, []string{"2:29: film_package.version: read \"1.x\", want a version of the format such as 1.0"}},
		{`{"version": "1.0"}`, `{"version": "x.0"}`, places, []string{"2:29: film_package.version: read \"x.0\", want a version of the format such as 1.0"}},
	} {
		if got := told(t, as(t, c.old, c.now, c.rows)); !slices.Equal(got, c.want) {
			t.Errorf("%s\n%#v", c.now, got)
		}
	}
}
