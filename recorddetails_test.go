package actinic

import (
	"fmt"
	"io/fs"
	"math"
	"os"
	"strings"
	"testing"
	"testing/fstest"

	"example.org/actinic/devtime/roll"
	"example.org/actinic/internal/held"
	"example.org/actinic/sensito/datafile"
)

// detailed is the record of a small invented roll, with more members in its test.json.
func detailed(t *testing.T, more, column string) *roll.Record {
	t.Helper()
	strips := "strip,development," + column + ",density\n"
	for _, m := range []float64{6, 9, 14} {
		for k := range 16 {
			x := -3.5 + 0.2*float64(k)
			strips += fmt.Sprintf("S%g,%g:00,%.3f,%.4f\n", m, m, x, 0.25+(1-math.Exp(-0.1*m))*0.25*math.Log1p(math.Exp((x+2.8)/0.25)))
		}
	}
	test, err := roll.Read(fstest.MapFS{
		"test.json":  {Data: []byte(`{"film": "Chwarel Rapid (invented)", "process": "Tarren 1+31 (invented)", "light": "daylight", "target_average_gradient": 0.58` + more + `}`)},
		"strips.csv": {Data: []byte(strips)},
	})
	if err != nil {
		t.Fatal(err)
	}
	r, err := test.Characterise(roll.Settings{})
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// Who tested and with what is in the package, temperature and agitation in their columns.
func TestDetailsArePublished(t *testing.T) {
	r := detailed(t, `, "tester": "A. Tester", "date": "2026-05-01", "temperature_c": 20.5, "agitation": "once a minute", "x-water": "soft"`, "log_h_lx_s")
	film, err := FilmOf(r, Provenance{Basis: Measured, Source: "a test"})
	if err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir() + "/package"
	if err := WritePackage(dir, PackageInfo{Name: "chwarel", Title: "x", Version: "0.1.0", Description: "x"}, film); err != nil {
		t.Fatal(err)
	}
	var all string
	for _, name := range []string{"processes.csv", "curves.csv", "tests.csv"} {
		b, err := fs.ReadFile(os.DirFS(dir), name)
		if err != nil {
			t.Fatal(err)
		}
		all += string(b)
	}
	for _, want := range []string{"tester: A. Tester", "water: soft", ",A. Tester,2026-05-01,", "20.5", "once a minute"} {
		if !strings.Contains(all, want) {
			t.Errorf("the package lacks %q:\n%s", want, all[:min(len(all), 1500)])
		}
	}
}

// A package holds exposures in lux seconds; those known to each other only are not published
// as if they were.
func TestRelativeExposuresAreNotPublished(t *testing.T) {
	said := held.New(t)
	for _, r := range []*roll.Record{detailed(t, `, "exposure": "relative"`, "log_h_lx_s"), detailed(t, "", "stops")} {
		if _, err := FilmOf(r, Provenance{Basis: Measured, Source: "a test"}); !said.Is("", err, datafile.ErrData) || !strings.Contains(err.Error(), "relative") {
			t.Errorf("%v", err)
		}
	}
	if _, err := FilmOf(detailed(t, `, "metered_at_ei": 400`, "stops"), Provenance{Basis: Measured, Source: "a test"}); err != nil {
		t.Errorf("tied: %v", err)
	}
}

// What was found about a roll goes with the film: into its package, and out of it again.
func TestFindingsArePublished(t *testing.T) {
	said := held.New(t)
	r := detailed(t, `, "tester": "A. Tester", "batch": "17"`, "log_h_lx_s")
	r.Findings = append(r.Findings, roll.Finding{What: "wild reading", Strips: []string{"S6"}, Step: 4, Text: "step 4 reads 0.30 more than the others allow"},
		roll.Finding{What: "order", Strips: []string{"S6", "S9"}, Text: "the strips seem exchanged"},
		roll.Finding{What: "wild frame", Frame: "5", Text: "frame 5 got a stop more"}, roll.Finding{What: "no sentence"})
	film, err := FilmOf(r, Provenance{Basis: Measured, Source: "a test"})
	if err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir() + "/package"
	if err := WritePackage(dir, PackageInfo{Name: "chwarel", Title: "x", Version: "0.1.0", Description: "x"}, film); err != nil {
		t.Fatal(err)
	}
	pack, err := ReadPackage(os.DirFS(dir), Verify)
	if err != nil {
		t.Fatal(err)
	}
	again, err := pack.Film("")
	if err != nil {
		t.Fatal(err)
	}
	p := again.Data().Processes[0]
	if p.Test == nil || p.Test.Tester != "A. Tester" || p.Test.Batch != "17" {
		t.Errorf("test %+v", p.Test)
	}
	n := len(p.Findings)
	if n != len(r.Findings)-1 || n < 3 || p.Findings[n-3].Step != 4 || p.Findings[n-2].Strips != "S6, S9" || p.Findings[n-1].Frame != "5" {
		t.Errorf("findings %+v", p.Findings)
	}
	// The bad ones are told by film and check alike.
	for name, bad := range map[string]ProcessData{
		"empty test": {Name: "P", Provenance: p.Provenance, Test: &TestData{}},
		"two lines":  {Name: "P", Provenance: p.Provenance, Test: &TestData{Tester: "a\nb"}},
		"no what":    {Name: "P", Provenance: p.Provenance, Findings: []FindingData{{Text: "something"}}},
		"no text":    {Name: "P", Provenance: p.Provenance, Findings: []FindingData{{What: "fog"}}},
		"step":       {Name: "P", Provenance: p.Provenance, Findings: []FindingData{{What: "fog", Text: "x", Step: -1}}},
	} {
		if _, err := NewFilm(FilmData{Name: "x", Provenance: p.Provenance, Processes: []ProcessData{bad}}); !said.Is(name, err, datafile.ErrData) {
			t.Errorf("%s: %v", name, err)
		}
	}
}
