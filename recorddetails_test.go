package actinic

import (
	"errors"
	"fmt"
	"io/fs"
	"math"
	"os"
	"strings"
	"testing"
	"testing/fstest"

	"example.org/actinic/devtime/roll"
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
	for _, name := range []string{"processes.csv", "curves.csv"} {
		b, err := fs.ReadFile(os.DirFS(dir), name)
		if err != nil {
			t.Fatal(err)
		}
		all += string(b)
	}
	for _, want := range []string{"tester: A. Tester", "water: soft", "20.5", "once a minute"} {
		if !strings.Contains(all, want) {
			t.Errorf("the package lacks %q:\n%s", want, all[:min(len(all), 1500)])
		}
	}
}

// A package holds exposures in lux seconds; those known to each other only are not published
// as if they were.
func TestRelativeExposuresAreNotPublished(t *testing.T) {
	for _, r := range []*roll.Record{detailed(t, `, "exposure": "relative"`, "log_h_lx_s"), detailed(t, "", "stops")} {
		if _, err := FilmOf(r, Provenance{Basis: Measured, Source: "a test"}); !errors.Is(err, datafile.ErrData) || !strings.Contains(err.Error(), "relative") {
			t.Errorf("%v", err)
		}
	}
	if _, err := FilmOf(detailed(t, `, "metered_at_ei": 400`, "stops"), Provenance{Basis: Measured, Source: "a test"}); err != nil {
		t.Errorf("tied: %v", err)
	}
}
