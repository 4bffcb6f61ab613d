package actinic

import (
	"encoding/json"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"example.org/actinic/internal/datapackage"
	"example.org/actinic/internal/held"
	"example.org/actinic/sensito/datafile"
)

// A package of each released version of the format stays here, and is read and passed.
func TestEveryVersionIsRead(t *testing.T) {
	entries, err := os.ReadDir("testdata/packages")
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range entries {
		fsys := os.DirFS(filepath.Join("testdata/packages", e.Name()))
		if err := CheckPackage(fsys); err != nil {
			t.Errorf("%s: %v", e.Name(), err)
		}
		p, err := ReadPackage(fsys, Verify)
		if err != nil {
			t.Errorf("%s: %v", e.Name(), err)
			continue
		}
		x, err := must(must(p.Film("Garnedd Swift")).Process("")).Index()
		if err != nil || !(x.Index.Value > 600 && x.Index.Value < 900) {
			t.Errorf("%s: %v, %v", e.Name(), x.Index, err)
		}
		remarks, err := PackageRemarks(fsys)
		if older := e.Name() == "before-1.0"; err != nil || (len(remarks) > 0) != older {
			t.Errorf("%s: %q, %v", e.Name(), remarks, err)
		}
	}
	if !slices.ContainsFunc(entries, func(e fs.DirEntry) bool { return e.Name() == FormatVersion }) {
		t.Errorf("no package of version %s in testdata/packages", FormatVersion)
	}
}

func TestVersionsOfTheFormat(t *testing.T) {
	said := held.New(t)
	for version, want := range map[string]struct{ read, remark string }{
		`"1.0"`: {"", ""}, `"1.7"`: {"", "newer"},
		`"2.0"`: {`film_package.version: read "2.0", want version 1`, ""}, `"0.9"`: {`read "0.9", want version 1`, ""},
		`"one"`: {`read "one", want a version`, ""}, `1.0`: {`read "1", want a version`, ""}, `null`: {`read "null", want a version`, ""}, `"1"`: {`read "1", want a version`, ""},
	} {
		m := smallFS()
		swap(m, datapackage.DescriptorFile, `"version": "1.0"`, `"version": `+version)
		_, err := ReadPackage(m)
		for what, err := range map[string]error{"read": err, "check": CheckPackage(m)} {
			if want.read == "" && err != nil || want.read != "" && (err == nil || !strings.Contains(err.Error(), want.read)) {
				t.Errorf("%s: %s: %v, want %s", version, what, err, want.read)
			}
		}
		remarks, err := PackageRemarks(m)
		if got := strings.Join(remarks, "\n"); (err != nil) != (want.read != "") || (got == "") != (want.remark == "") || !strings.Contains(got, want.remark) {
			t.Errorf("%s: %q, %v", version, got, err)
		}
	}
	// The names that units had before are known of no package since.
	m := smallFS()
	swap(m, datapackage.DescriptorFile, `"unit": "Cel"`, `"unit": "degC"`)
	if err := CheckPackage(m); !said.Refused("", err) {
		t.Error("a unit of before 1.0 is passed")
	}
}

// The schema names every field of every table, with its type and unit, and stands beside
// the data and in every package that is written.
func TestSchemaHasEveryField(t *testing.T) {
	var schema struct {
		Definitions map[string]struct{ Properties map[string]map[string]any }
	}
	if err := json.Unmarshal(formatSchema(), &schema); err != nil {
		t.Fatal(err)
	}
	n := 0
	for _, table := range filmTables() {
		row := schema.Definitions[table.Name+"_row"]
		if _, ok := schema.Definitions[table.Name]; !ok {
			t.Errorf("no definition of %s", table.Name)
		}
		for _, f := range table.Fields {
			p := row.Properties[f.Name]
			if p == nil || p["title"] == "" || p["description"] == "" || f.Kind != "string" && p["unit"] != f.Unit {
				t.Errorf("%s.%s is %v", table.Name, f.Name, p)
			}
			n++
		}
	}
	if n < 80 {
		t.Errorf("only %d fields", n)
	}
	for name, fsys := range map[string]fs.FS{"data": Data(), "written": smallFS()} {
		if b, err := fs.ReadFile(fsys, SchemaName); err != nil || string(b) != string(formatSchema()) {
			t.Errorf("%s: %s is another: %v", name, SchemaName, err)
		}
	}
}

// Every field that is shipped has a title of its own in its table, and a unit that UCUM
// can read: a code without spaces, or a remark in braces.
func TestShippedFieldsSayWhatTheyAre(t *testing.T) {
	ucum := regexp.MustCompile(`^(1|nm|s|min|/min|Cel|cd/m2|lx|K|%|mm|\{[!-z|~]+\})$`)
	d := must(datapackage.Open(Data()))
	fields := 0
	for _, r := range d.Root.Get("resources").Values() {
		seen := map[string]bool{}
		for _, f := range r.Get("schema").Get("fields").Values() {
			fields++
			title := f.Get("title").Text()
			if title == "" || seen[title] || strings.Contains(title, "_") {
				t.Errorf("%s.%s: title %q", r.Get("name").Text(), f.Get("name").Text(), title)
			}
			seen[title] = true
			if unit := f.Get("unit"); unit != nil && !ucum.MatchString(unit.Text()) {
				t.Errorf("%s.%s: unit %q", r.Get("name").Text(), f.Get("name").Text(), unit.Text())
			}
		}
	}
	if fields < 200 {
		t.Errorf("only %d fields", fields)
	}
	if !d.Root.Has("homepage") || !d.Root.Has("created") || len(d.Info.Keywords) < 3 || len(d.Info.Contributors[0].Roles) == 0 {
		t.Errorf("the package does not say what it is: %+v", d.Info)
	}
}

func TestPathOf(t *testing.T) {
	for citation, want := range map[string]string{
		"A. Tester, 2026": "",
		"A. Tester, doi:10.5281/zenodo.123456, 2026": "https://doi.org/10.5281/zenodo.123456",
		"see https://example.org/a (2026).":          "https://example.org/a",
		"DOI 10.1000/1":                              "",
	} {
		if got := datapackage.PathOf(citation); got != want {
			t.Errorf("%q: %q, want %q", citation, got, want)
		}
	}
}

// What names a package survives writing and reading, and what cannot be is refused.
func TestInfoRoundTrip(t *testing.T) {
	said := held.New(t)
	info := PackageInfo{Name: "mine", Title: "Mine", Version: "2.1.0", License: "CC-BY-4.0",
		ID: "https://doi.org/10.5281/zenodo.1", Homepage: "https://example.org/mine", Created: "2026-11-25T12:00:00Z",
		Keywords: []string{"film", "slate"}, Contributors: []Contributor{{Title: "A. Tester", Path: "https://example.org/tester", Roles: []string{"author", "measured"}}}}
	files, err := packageFiles(info, []*Film{must(NewFilm(smallFilm("Aber")))})
	if err != nil {
		t.Fatal(err)
	}
	m := fstest.MapFS{}
	for name, content := range files {
		m[name] = &fstest.MapFile{Data: content}
	}
	if err := CheckPackage(m); err != nil {
		t.Error(err)
	}
	got := must(ReadPackage(m)).Info()
	a, b := string(must(json.Marshal(info))), string(must(json.Marshal(got)))
	if a != b {
		t.Errorf("%s\nwant\n%s", b, a)
	}
	for _, bad := range []func(*PackageInfo){
		func(i *PackageInfo) { i.ID = "zenodo 1" }, func(i *PackageInfo) { i.Homepage = "file:///etc/passwd" },
		func(i *PackageInfo) { i.Created = "yesterday" }, func(i *PackageInfo) { i.Contributors = []Contributor{{}} },
	} {
		i := info
		bad(&i)
		if _, err := packageFiles(i, []*Film{must(LoadFilm("Swift"))}); !said.Refused("", err) || !strings.Contains(err.Error(), datafile.ErrData.Error()) {
			t.Errorf("%+v: %v", i, err)
		}
	}
}
