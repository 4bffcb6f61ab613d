package actinic

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"strings"
	"sync"
	"testing"
	"testing/fstest"
	"time"

	"example.org/actinic/internal/datapackage"
	"example.org/actinic/internal/held"
	"example.org/actinic/reciprocity"
	"example.org/actinic/sensito"
	"example.org/actinic/sensito/datafile"
)

func TestShippedPackageIsRight(t *testing.T) {
	if err := CheckPackage(Data()); err != nil {
		t.Error(err)
	}
}

// smallFilm has every part.
func smallFilm(name string) FilmData {
	p := Provenance{Basis: Invented, Source: "made up for a test", Conditions: "none, and a comma"}
	g := sensito.Estimate{Value: .58, Low: .56, High: .60}
	return FilmData{Name: name, Description: "a \"quoted\" film, with commas", Provenance: p,
		Processes: []ProcessData{{
			Name: "Tarren 1+31", Developer: "Tarren", Dilution: "1+31", Temperature: 20, Agitation: "once a minute", Light: "daylight", Provenance: p,
			Curves: []CurveData{{
				Name: "A", Development: 8 * time.Minute, BaseFog: .2, Provenance: p,
				Shape:    &sensito.Constants{BaseFog: .2, Gamma: .62, Toe: -2.6, ToeWidth: .2, Shoulder: 2.2, Sharpness: 4, From: -3.3, To: .3},
				Speed:    sensito.Speed{Value: 288, Kind: sensito.EI, Criterion: sensito.FixedDensity},
				SpeedLow: 275, SpeedHigh: 302, Gradient: &g, Unexposed: []sensito.Density{.2, .21},
				Readings: []sensito.Reading{{LogH: -3.3, Density: .206, SD: .01}, {LogH: -1.8, Density: .71}, {LogH: .3, Density: 1.9}},
			}, {
				Name: "B", Development: 12 * time.Minute, BaseFog: .22, Provenance: p,
				Points: []sensito.Reading{{LogH: -3.3, Density: .23}, {LogH: -2.4, Density: .43}, {LogH: -1.6, Density: .95}, {LogH: -.8, Density: 1.55}, {LogH: .3, Density: 2.2}},
			}},
			Index:  &IndexData{Index: sensito.Estimate{Value: 200, Low: 180, High: 220}, From: "bracket", Development: &sensito.Estimate{Value: 500, Low: 480, High: inf}, Gradient: .6, Provenance: p},
			Growth: &GrowthData{Limit: sensito.Estimate{Value: 1, Low: .9, High: 1.1}, Rate: sensito.Estimate{Value: .11, Low: .1, High: .12}, Induction: sensito.Exact(0), Shortest: 8 * time.Minute, Longest: 12 * time.Minute, Q10: 2.4, Coldest: 18, Warmest: 26, Provenance: p},
		}},
		Sensitivity: &SensitivityData{Wavelengths: []float64{400, 500, 600, 650}, Log10: []float64{0, -.3, -.1, -2}, SD: []float64{.02, .02, .03, 0}, AboveFog: .3, Provenance: p},
		Reciprocity: &ReciprocityData{Provenance: p, Form: reciprocity.Form{Law: "power", Constants: map[string]float64{"onset_s": 1, "p": .9}, Shortest: time.Millisecond, Longest: 100 * time.Second,
			Readings: []reciprocity.Reading{{Metered: time.Millisecond, Adjusted: time.Millisecond, SD: .1}, {Metered: 100 * time.Second, Adjusted: 170 * time.Second}}}},
	}
}

var inf = func() float64 { v := 1e308; return v * 10 }()

var smallInfo = PackageInfo{Name: "small", Title: "Small", Version: "1.2.3", Contributors: []Contributor{{Title: "Nobody"}}}

var smallFiles = sync.OnceValue(func() map[string][]byte {
	a, b := must(NewFilm(smallFilm("Aber"))), must(NewFilm(FilmData{Name: "Bala", Provenance: Provenance{Basis: Measured, Source: "nobody, 2026"}}))
	return must(packageFiles(smallInfo, []*Film{b, a}))
})

func smallFS() fstest.MapFS {
	m := fstest.MapFS{}
	for name, content := range smallFiles() {
		m[name] = &fstest.MapFile{Data: bytes.Clone(content)}
	}
	return m
}

// swap replaces a text that must be there, once.
func swap(m fstest.MapFS, file, old, new string) {
	if !bytes.Contains(m[file].Data, []byte(old)) {
		panic(fmt.Sprintf("no %q in %s:\n%s", old, file, m[file].Data))
	}
	m[file].Data = bytes.Replace(m[file].Data, []byte(old), []byte(new), 1)
}

// seal puts sizes and hashes right.
func seal(m fstest.MapFS) {
	was := smallFiles()
	for name, f := range m {
		if old, ok := was[name]; ok && name != datapackage.DescriptorFile && !bytes.Equal(old, f.Data) {
			swap(m, datapackage.DescriptorFile, fmt.Sprintf("\"bytes\": %d,\n      \"hash\": \"%s\"", len(old), datapackage.HashOf(old)), fmt.Sprintf("\"bytes\": %d,\n      \"hash\": \"%s\"", len(f.Data), datapackage.HashOf(f.Data)))
		}
	}
}

func TestSmallPackageIsRight(t *testing.T) {
	if err := CheckPackage(smallFS()); err != nil {
		t.Error(err)
	}
}

func TestBrokenPackages(t *testing.T) {
	for _, c := range []struct {
		name   string
		broken func(fstest.MapFS)
		open   bool     // leave sizes and hashes as they are
		want   []string // beginnings of all errors; "…" stands for what does not matter
	}{
		{"not JSON", func(m fstest.MapFS) {
			swap(m, datapackage.DescriptorFile, "\"name\": \"small\",", "\"name\": \"small\"")
		}, false,
			[]string{"datapackage.json:9:3: want a descriptor of a data package"}},
		{"cut off", func(m fstest.MapFS) { d := m[datapackage.DescriptorFile]; d.Data = d.Data[:len(d.Data)/2] }, false, []string{"datapackage.json:…want a descriptor"}},
		{"another profile", func(m fstest.MapFS) { swap(m, datapackage.DescriptorFile, "profiles/2.0", "profiles/1.0") }, false, []string{"datapackage.json:2:14: $schema: read \"https://datapackage.org/profiles/1.0"}},
		{"no version", func(m fstest.MapFS) { swap(m, datapackage.DescriptorFile, "  \"version\": \"1.2.3\",\n", "") }, false, []string{"datapackage.json:1:1: version: read \"\", want three numbers"}},
		{"a name with spaces", func(m fstest.MapFS) {
			swap(m, datapackage.DescriptorFile, "\"name\": \"small\"", "\"name\": \"My Films\"")
		}, false, []string{"datapackage.json:8:11: name: read \"My Films\""}},
		{"no licence", func(m fstest.MapFS) { swap(m, datapackage.DescriptorFile, "\"licenses\"", "\"licences\"") }, false, []string{"datapackage.json:1:1: licenses: read \"\", want at least one"}},
		{"no sources", func(m fstest.MapFS) {
			swap(m, datapackage.DescriptorFile, "\"sources\": [\n    {\n      \"title\": \"made up for a test\"\n    },\n    {\n      \"title\": \"nobody, 2026\"\n    }\n  ]", "\"sources\": []")
		}, false, []string{"datapackage.json:23:14: sources: read \"\", want at least one"}},
		{"a member twice", func(m fstest.MapFS) {
			swap(m, datapackage.DescriptorFile, "\"version\": \"1.2.3\",", "\"version\": \"1.2.3\", \"version\": \"1.2.3\",")
		}, false, []string{"datapackage.json:10:23: member: read \"version\", want each member once"}},
		{"a table twice", func(m fstest.MapFS) {
			swap(m, datapackage.DescriptorFile, "\"name\": \"indexes\"", "\"name\": \"films\"")
		}, false,
			[]string{"datapackage.json:…name: read \"films\", want each table once", "indexes.csv: want a file that datapackage.json lists"}},
		{"a file that is not there", func(m fstest.MapFS) { delete(m, "indexes.csv") }, false, []string{"datapackage.json:…path: read \"indexes.csv\", want a file"}},
		{"a path that leads out", func(m fstest.MapFS) {
			swap(m, datapackage.DescriptorFile, "\"path\": \"indexes.csv\"", "\"path\": \"../indexes.csv\"")
		}, false,
			[]string{"datapackage.json:…path: read \"../indexes.csv\"", "indexes.csv: want a file that"}},
		{"a file too many", func(m fstest.MapFS) { m["old.csv"] = &fstest.MapFile{Data: []byte("a\n1\n")} }, false, []string{"old.csv: want a file that datapackage.json lists"}},
		{"changed since", func(m fstest.MapFS) { swap(m, "films.csv", "nobody-2026", "made-up-for-a") }, true,
			[]string{"datapackage.json:…bytes: read \"", "datapackage.json:…hash: read \"sha256:"}},
		{"no unit", func(m fstest.MapFS) { swap(m, datapackage.DescriptorFile, "\"unit\": \"Cel\",\n", "") }, false,
			[]string{"datapackage.json:…temperature_degc: read \"\", want a unit for a number", "datapackage.json:…temperature_degc: read \"number\", want number Cel"}},
		{"an unknown unit", func(m fstest.MapFS) {
			swap(m, datapackage.DescriptorFile, "\"unit\": \"Cel\"", "\"unit\": \"fathom\"")
		}, false,
			[]string{"datapackage.json:…temperature_degc: read \"number fathom\"", "datapackage.json:…temperature_degc: read \"fathom\", want a unit"}},
		{"an unknown type", func(m fstest.MapFS) {
			swap(m, datapackage.DescriptorFile, "\"type\": \"integer\"", "\"type\": \"real\"")
		}, false,
			[]string{"datapackage.json:…reading: read \"\", want a field of this name", "datapackage.json:…type: read \"real\", want string, number or integer", "readings.csv:1:20: header: read \"reading\", want one of the columns"}},
		{"missing values not said", func(m fstest.MapFS) {
			swap(m, datapackage.DescriptorFile, "\"missingValues\": [\n          \"\"\n        ],", "")
		}, false, []string{"datapackage.json:…missingValues: read \"\", want [\"\"]"}},
		{"a key of no field", func(m fstest.MapFS) {
			swap(m, datapackage.DescriptorFile, "\"primaryKey\": [\n          \"film\"\n", "\"primaryKey\": [\n          \"name\"\n")
		}, false, []string{"datapackage.json:…primaryKey: read \"name\", want film"}},
		{"a column misspelt", func(m fstest.MapFS) { swap(m, "indexes.csv", "ei_low", "ei_lo") }, false, []string{"indexes.csv:1: ei_low: read \"\", want a column", "indexes.csv:1:17: header: read \"ei_lo\""}},
		{"a row too short", func(m fstest.MapFS) { swap(m, "sensitivity_points.csv", "Aber,500,-0.3,0.02", "Aber,500") }, false, []string{"sensitivity_points.csv:3: row: read \"Aber,500\", want 4 cells"}},
		{"text for a number", func(m fstest.MapFS) { swap(m, "curves.csv", ",0.62,", ",steep,") }, false, []string{"curves.csv:2:…gamma: read \"steep\", want a number"}},
		{"a decimal comma", func(m fstest.MapFS) { swap(m, "curves.csv", ",0.62,", ",\"0,62\",") }, false, []string{"curves.csv:2:…gamma: read \"0,62\", want a number; write a decimal point, not a comma"}},
		{"a decimal comma without quotes", func(m fstest.MapFS) { swap(m, "sensitivity_points.csv", "500,-0.3", "500,-0,3") }, false,
			[]string{"sensitivity_points.csv:3: row: read \"Aber,500,-0,3,0.02\", want 4 cells as in the header, not 5; a decimal comma splits a number"}},
		{"semicolons", func(m fstest.MapFS) {
			swap(m, "sensitivity_points.csv", "film,wavelength_nm,log10_sensitivity,log10_sensitivity_sd", "film;wavelength_nm;log10_sensitivity")
		}, false,
			[]string{"sensitivity_points.csv:1: film: read", "sensitivity_points.csv:1: log10_sensitivity: read", "sensitivity_points.csv:1: log10_sensitivity_sd: read", "sensitivity_points.csv:1: wavelength_nm: read", "sensitivity_points.csv:1:1: header: read \"film;wavelength_nm;log10_sensitivity\", want one of the columns film,wavelength_nm,log10_sensitivity,log10_sensitivity_sd; columns are separated by commas"}},
		{"not finite", func(m fstest.MapFS) { swap(m, "curves.csv", ",0.62,", ",NaN,") }, false, []string{"curves.csv:2:…gamma: read \"NaN\", want a number"}},
		{"missing where it must not", func(m fstest.MapFS) { swap(m, "sensitivity_points.csv", "500,-0.3", "500,") }, false, []string{"sensitivity_points.csv:3:10: log10_sensitivity: read \"\", want not to be missing"}},
		{"out of bounds", func(m fstest.MapFS) { swap(m, "processes.csv", ",20,", ",200,") }, false, []string{"processes.csv:2:…temperature_degc: read \"200\", want at most 60"}},
		{"an unknown word", func(m fstest.MapFS) { swap(m, "films.csv", "measured", "guessed") }, false, []string{"films.csv:3:…basis: read \"guessed\", want one of \"standard\""}},
		{"a film twice", func(m fstest.MapFS) { swap(m, "films.csv", "Bala", "Aber") }, false, []string{"films.csv:3:1: film: read \"Aber\", want a key (film) of its own; line 2 has it"}},
		{"a curve of no process", func(m fstest.MapFS) { swap(m, "curves.csv", "Aber,Tarren 1+31,B", "Aber,Merllyn,B") }, false,
			[]string{"curve_points.csv:27:…curve: read \"B\", want a row of the table curves", "curve_points.csv:28:", "curve_points.csv:29:", "curve_points.csv:30:", "curve_points.csv:31:", "curves.csv:3:6: process: read \"Merllyn\", want a row of the table processes (film, process)"}},
		{"no source", func(m fstest.MapFS) { swap(m, "films.csv", "nobody-2026", "hearsay") }, false, []string{"films.csv:3:16: source: read \"hearsay\", want a row of the table sources (source)"}},
		{"no table of sources", func(m fstest.MapFS) {
			d := string(m[datapackage.DescriptorFile].Data)
			from := strings.Index(d, "    {\n      \"name\": \"sources\"")
			to := strings.Index(d, "    {\n      \"name\": \"films\"")
			m[datapackage.DescriptorFile].Data = []byte(d[:from] + d[to:])
			delete(m, "sources.csv")
		}, false, []string{"curves.csv:2:…", "curves.csv:3:…",
			"datapackage.json:…foreignKeys: read \"sources(source)\"", "datapackage.json:…", "datapackage.json:…", "datapackage.json:…", "datapackage.json:…", "datapackage.json:…", "datapackage.json:…",
			"development_families.csv:2:…", "films.csv:2:…source: read \"made-up-for-a\"", "films.csv:3:…", "indexes.csv:2:…", "processes.csv:2:…", "reciprocity_laws.csv:2:…", "sensitivities.csv:2:…"}},
		{"wavelengths out of order", func(m fstest.MapFS) {
			swap(m, "sensitivity_points.csv", "Aber,500,-0.3,0.02\nAber,600,-0.1,0.03", "Aber,600,-0.1,0.03\nAber,500,-0.3,0.02")
		}, false,
			[]string{"sensitivity_points.csv:4:6: wavelength_nm: read \"500\", want more than 600 of the row above"}},
		{"a curve that falls", func(m fstest.MapFS) { swap(m, "curve_points.csv", "-0.8,1.55", "-0.8,0.55") }, false, []string{"curve_points.csv:30:…density: read \"0.55\", want not less than 0.95"}},
		{"points beside their curve", func(m fstest.MapFS) { swap(m, "curve_points.csv", "0.2037", "0.2057") }, false, []string{"curve_points.csv:2:…density: read \"0.2057\", want 0.2037, as the constants of its curve give"}},
		{"bounds the wrong way round", func(m fstest.MapFS) { swap(m, "curves.csv", ",-3.3,0.3,", ",0.3,-3.3,") }, false, []string{"curves.csv:2:18: curve: read \"A\", want what can be: no bounds"}},
		{"a speed of another curve", func(m fstest.MapFS) { swap(m, "curves.csv", ",288,275,302,", ",400,380,420,") }, false, []string{"curves.csv:2:…speed: read \"400\", want what can be: the speed of the curve, 288"}},
		{"an index called ISO", func(m fstest.MapFS) { swap(m, "curves.csv", "EI,fixed-density", "ISO,iso") }, false, []string{"curves.csv:2:…speed: read \"288\", want what can be: an index, EI: ΔD"}},
		{"a law out of range", func(m fstest.MapFS) { swap(m, "reciprocity_laws.csv", "power,1,0.9", "power,0,0.9") }, false, []string{"reciprocity_laws.csv:2:…law: read \"power\", want what can be: reciprocity: unusable input"}},
		{"an exponent out of bounds", func(m fstest.MapFS) { swap(m, "reciprocity_laws.csv", "power,1,0.9", "power,1,1.11") }, false, []string{"reciprocity_laws.csv:2:…p: read \"1.11\", want at most 1"}},
		{"a law beyond its tests", func(m fstest.MapFS) { swap(m, "reciprocity_laws.csv", ",0.001,100,", ",0.001,1000,") }, false, []string{"reciprocity_laws.csv:2:…law: read \"power\", want what can be: a range from 1ms to 16m40s, and tests from 1ms to 1m40s only"}},
		{"constants of another law", func(m fstest.MapFS) { swap(m, "reciprocity_laws.csv", "power,1,0.9,,,,", "power,1,0.9,,,0.1,") }, false, []string{"reciprocity_laws.csv:2:…law: read \"power\", want what can be: reciprocity: unusable input: the law \"power\" has no constant"}},
		{"a dilution with a colon", func(m fstest.MapFS) { swap(m, "processes.csv", ",1+31,", ",1:31,") }, false, []string{"processes.csv:2:…process: read \"Tarren 1+31\", want what can be: devtime: ambiguous dilution"}},
		{"a family without a range", func(m fstest.MapFS) { swap(m, "development_families.csv", ",480,720,", ",720,480,") }, false, []string{"development_families.csv:2:…limit: read \"1\", want what can be: range"}},
		{"an interval beside its value", func(m fstest.MapFS) { swap(m, "indexes.csv", ",200,180,220,", ",200,210,220,") }, false, []string{"indexes.csv:2:…ei: read \"200\", want what can be: index of 200 with interval 210 to 220"}},
		{"a range beside the points", func(m fstest.MapFS) { swap(m, "sensitivities.csv", ",400,650,", ",400,700,") }, false, []string{"sensitivities.csv:2:…longest_nm: read \"700\", want 650"}},
		{"bytes that are no text", func(m fstest.MapFS) { swap(m, "films.csv", "Bala", "B\xe2la") }, false, []string{"films.csv: want UTF-8 text"}},
		{"two things at once", func(m fstest.MapFS) {
			swap(m, "processes.csv", ",20,", ",200,")
			swap(m, "films.csv", "nobody-2026", "hearsay")
		}, false, []string{"films.csv:3:16: source", "processes.csv:2:"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			m := smallFS()
			c.broken(m)
			if !c.open {
				seal(m)
			}
			err := CheckPackage(m)
			var errs datafile.Errors
			if err != nil && !errors.As(err, &errs) {
				t.Fatalf("%T: %v", err, err)
			}
			bad := len(errs) != len(c.want)
			for i := 0; !bad && i < len(errs); i++ {
				head, tail, cut := strings.Cut(c.want[i], "…")
				got := errs[i].Error()
				bad = !strings.HasPrefix(got, head) || cut && !strings.Contains(got[len(head):], tail) || !errors.Is(errs[i], datafile.ErrData)
			}
			if bad {
				var got []string
				for _, e := range errs {
					got = append(got, e.Error())
				}
				t.Errorf("found\n  %s\nwant\n  %s", strings.Join(got, "\n  "), strings.Join(c.want, "\n  "))
			}
		})
	}
}

func TestCheckWithoutDescriptor(t *testing.T) {
	said := held.New(t)
	if err := CheckPackage(fstest.MapFS{}); !said.Is("", err, fs.ErrNotExist) {
		t.Errorf("error %v, want one that wraps fs.ErrNotExist", err)
	}
}
