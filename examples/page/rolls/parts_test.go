package rolls_test

import (
	"fmt"
	"math"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"os"

	"example.org/actinic"
	"example.org/actinic/examples/page/answer"
	"example.org/actinic/examples/page/rolls"
	"example.org/actinic/examples/testroll/quarry"
	"example.org/actinic/internal/held"
	"example.org/actinic/sensito"
)

// Tests of parts: of relative exposures, of a bracket alone with patches that were not read, of strips that nothing can be
// made of. What is said of each, and how many points are drawn, is what it was.
func TestPartsOfTests(t *testing.T) {
	said := held.New(t)
	whole := files(t, quarry.Files, "")
	strips, bracket := string(whole["strips.csv"]), string(whole["bracket.csv"])
	head := func(more string) string {
		return `{"film": "A (invented)", "process": "B (invented)", "light": "daylight", "target_average_gradient": 0.58` + more + `}`
	}
	only := func(table, names string) string {
		return strings.Join(regexp.MustCompile("(?m)^(strip|frame|["+names+"]),.*\n").FindAllString(table, -1), "")
	}
	without := func(table, patch string) string {
		return regexp.MustCompile("(?m)^.*,"+patch+",.*\n").ReplaceAllString(table, "")
	}
	for name, c := range map[string][3]string{
		"relative":             {head(`, "exposure": "relative"`), strips, ""},
		"bracket":              {head(`, "bracket_development": "14:00"`), "", bracket},
		"no highlight":         {head(`, "bracket_development": "14:00"`), "", without(bracket, "highlight")},
		"no midtone":           {head(`, "bracket_development": "14:00"`), "", without(bracket, "midtone")},
		"one strip":            {head(""), only(strips, "C"), ""},
		"two strips":           {head(""), only(strips, "BD"), ""},
		"one reading":          {head(""), "strip,development,log_h_lx_s,density\nA,6:00,-3,0.25\n", ""},
		"three readings":       {head(""), "strip,development,log_h_lx_s,density\nA,6:00,-3,0.25\nA,6:00,-2,0.5\nA,6:00,-1,0.9\n", ""},
		"fog alone":            {head(""), "strip,development,log_h_lx_s,density\nA,6:00,,0.25\nA,6:00,,0.26\n", ""},
		"falling":              {head(""), "strip,development,log_h_lx_s,density\nA,6:00,-3,0.9\nA,6:00,-2,0.5\nA,6:00,-1,0.3\nA,6:00,-0.5,0.2\nA,6:00,0,0.1\n", ""},
		"neither":              {head(""), "", ""},
		"a bracket of nothing": {head(`, "bracket_development": "14:00"`), "", "frame,ei,patch,density,density_sd\n"},
	} {
		in := map[string][]byte{"test.json": []byte(c[0])}
		if c[1] != "" {
			in["strips.csv"] = []byte(c[1])
		}
		if c[2] != "" {
			in["bracket.csv"] = []byte(c[2])
		}
		tell(said, name, rolls.Answer(in))
	}
}

// tell records an answer without the file to keep.
func tell(said *held.Record, name string, a answer.Answer) {
	said.Values(name, a.Title, a.Under, a.Box, a.Errors, len(a.Cautions), len(a.Files))
	for _, s := range a.Sections {
		of := name + ", " + s.Heading
		said.Values(of, s.Texts, s.Findings)
		for _, table := range s.Tables {
			said.Values(of+", "+table.Caption, table.Head, table.Rows)
		}
		for _, f := range s.Figures {
			said.Values(of+", "+f.Caption, f.Alt, f.X, f.Y, len(f.Marks))
			for _, c := range f.Curves {
				said.Look(of+", curve "+c.Name, []any{c.Dashed, c.Points, c.Low, c.High})
			}
		}
	}
}

// A film of which there is an index and no curve, or an index without an interval, is told with dashes.
func TestPartsOfFilms(t *testing.T) {
	said := held.New(t)
	swift, err := actinic.LoadFilm("Swift")
	if err != nil {
		t.Fatal(err)
	}
	of := swift.Data().Provenance
	nan := math.NaN()
	slow := actinic.FilmData{Name: "Slow (invented)", Provenance: of, Processes: []actinic.ProcessData{
		{Name: "One", Provenance: of, Index: &actinic.IndexData{Index: sensito.Estimate{Value: 12.4, Low: nan, High: nan}, Provenance: of}},
		{Name: "Two", Provenance: of, Index: &actinic.IndexData{Index: sensito.Estimate{Value: 25, Low: 20, High: 31},
			Development: &sensito.Estimate{Value: 420, Low: nan, High: nan}, Provenance: of}},
		{Name: "Three", Provenance: of},
	}}
	whole, one := swift.Data(), swift.Data()
	one.Processes = one.Processes[:1]
	for i, d := range []actinic.FilmData{slow, whole, one} {
		film, err := actinic.NewFilm(d)
		if err != nil {
			t.Fatal(err)
		}
		dir := filepath.Join(t.TempDir(), "package")
		if err := actinic.WritePackage(dir, actinic.PackageInfo{Name: "mine", Version: "1.0.0"}, film); err != nil {
			t.Fatal(err)
		}
		tell(said, fmt.Sprint("film ", i+1), rolls.Answer(files(t, os.DirFS(dir), "")))
	}
}
