package main

import (
	"encoding/json"
	"io"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"gonum.org/v1/plot"

	"example.org/actinic"
	"example.org/actinic/examples/internal/golden"
	"example.org/actinic/internal/held"
	"example.org/actinic/sensito"
)

// mixed writes a package of films of which different things are known: one with grain and a response, one with an index
// and no curve, a slow one with an index without an interval.
func mixed(t *testing.T) string {
	t.Helper()
	swift, err := actinic.LoadFilm("Swift")
	if err != nil {
		t.Fatal(err)
	}
	of := swift.Data().Provenance
	whole := swift.Data()
	whole.Processes = whole.Processes[:1]
	exact := func(v float64) sensito.Estimate { return sensito.Estimate{Value: v, Low: v * 0.9, High: v * 1.1} }
	whole.Processes[0].Granularity = &actinic.GranularityData{Aperture: 48, Provenance: of,
		Points: []actinic.GranularityPoint{{Density: 0.3, SD: exact(0.0151)}, {Density: 2, SD: exact(0.0312)}}}
	whole.Processes[0].Response = &actinic.ResponseData{Of: "film", Provenance: of,
		Points: []actinic.ResponsePoint{{Frequency: 10, M: exact(0.9)}, {Frequency: 40, M: exact(0.6)}, {Frequency: 90, M: exact(0.3)}}}
	nan := math.NaN()
	slow := actinic.FilmData{Name: "Slow (invented)", Provenance: of, Processes: []actinic.ProcessData{
		{Name: "One", Provenance: of, Index: &actinic.IndexData{Index: sensito.Estimate{Value: 12.4, Low: nan, High: nan}, Provenance: of}},
		{Name: "Two", Provenance: of, Index: &actinic.IndexData{Index: sensito.Estimate{Value: 25, Low: 20, High: 31},
			Development: &sensito.Estimate{Value: 420, Low: nan, High: nan}, Provenance: of}},
	}}
	var films []*actinic.Film
	for _, d := range []actinic.FilmData{whole, slow} {
		f, err := actinic.NewFilm(d)
		if err != nil {
			t.Fatal(err)
		}
		films = append(films, f)
	}
	dir := filepath.Join(t.TempDir(), "package")
	if err := actinic.WritePackage(dir, actinic.PackageInfo{Name: "mine", Version: "1.0.0"}, films...); err != nil {
		t.Fatal(err)
	}
	return dir
}

// Rows of which different things are known: cells, pictures and places are what they were.
func TestMixed(t *testing.T) {
	dir := mixed(t)
	files := map[string]string{}
	for _, e := range filesOf(t, dir) {
		files["package/"+e] = read1(t, filepath.Join(dir, e))
	}
	golden.Lines(t, "", run, files, "-by index -out OUT IN/package", "-by speed -json IN/package", "-by grain,response=2,index -json IN/package",
		"-by response -json IN/package Lantern", "-by base_fog -out OUT IN/package Ceunant")
}

func filesOf(t *testing.T, dir string) (names []string) {
	t.Helper()
	entries, err := os.ReadDir(dir)
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range entries {
		names = append(names, e.Name())
	}
	return names
}

func read1(t *testing.T, name string) string {
	t.Helper()
	b, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}

// Cells at the speeds where they change their form, times, and numbers that are no JSON.
func TestCells(t *testing.T) {
	said := held.New(t)
	for _, c := range []struct {
		t actinic.Trait
		v float64
	}{{actinic.TraitSpeed, 19.96}, {actinic.TraitSpeed, 20}, {actinic.TraitIndex, 20.4}, {actinic.TraitIndex, 9.94}, {actinic.TraitGrain, 0.01234},
		{actinic.TraitResponse, 45.67}, {actinic.TraitGradient, 0.5678}} {
		for _, low := range []float64{math.NaN(), c.v * 0.9} {
			for _, high := range []float64{math.NaN(), c.v * 1.1} {
				e := sensito.Estimate{Value: c.v, Low: low, High: high}
				said.Values(string(c.t)+" "+e.String(), cell(c.t, e), whole(cell(c.t, e)))
			}
		}
	}
	said.Values("developed", developed(0), developed(time.Second), developed(7*time.Minute+1500*time.Millisecond))
	row, err := json.Marshal(rowJSON{Name: "A", traits: map[actinic.Trait]sensito.Estimate{actinic.TraitGrain: {Value: math.Inf(1)}}})
	said.Values("infinite grain", string(row), err)
	in, err := read(nil)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := compare(in, false, []actinic.Criterion{{Trait: "beauty", Weight: 1}}); !said.Refused("a trait of nobody", err) {
		t.Error("ranked by beauty")
	}
}

// The ticks of speeds are thirds of a stop from 100, within the axis with its ends, labelled at whole stops, or all where there are few.
func TestOctaves(t *testing.T) {
	labels := func(ticks []plot.Tick) (out []string) {
		for _, tick := range ticks {
			out = append(out, tick.Label)
		}
		return out
	}
	for _, c := range []struct {
		lo, hi float64
		n      int
		want   []string
	}{{100, 200, 4, []string{"EI 100", "EI 125", "EI 160", "EI 200"}}, {100, 300, 5, []string{"EI 100", "", "", "EI 200", ""}}, {100, 299, 5, []string{"EI 100", "EI 125", "EI 160", "EI 200", "EI 250"}},
		{101, 199, 2, []string{"EI 125", "EI 160"}}, {50, 50, 1, []string{"EI 50"}}, {120, 121, 0, nil}} {
		if got := (octaves{}).Ticks(c.lo, c.hi); len(got) != c.n || !slices.Equal(labels(got), c.want) {
			t.Errorf("from %v to %v: %+v, want %v", c.lo, c.hi, got, c.want)
		}
	}
	if n := len((octaves{}).Ticks(1e-300, 1e300)); n != 201 {
		t.Errorf("%d ticks over all numbers", n)
	}
}

// A film that is named otherwise than the merged one is told, once for all that its path has.
func TestMergeTells(t *testing.T) {
	said := held.New(t)
	swift, err := actinic.LoadFilm("Swift")
	if err != nil {
		t.Fatal(err)
	}
	parent := t.TempDir()
	for dir, name := range map[string]string{"a": "Garnedd Swift", "b": "Garnedd Swift of another coating"} {
		d := swift.Data()
		d.Name = name
		for i := range d.Processes {
			d.Processes[i].Name += " " + dir
		}
		f, err := actinic.NewFilm(d)
		if err != nil {
			t.Fatal(err)
		}
		if err := actinic.WritePackage(filepath.Join(parent, dir), actinic.PackageInfo{Name: "mine", Version: "1.0.0"}, f); err != nil {
			t.Fatal(err)
		}
	}
	t.Chdir(parent)
	for _, paths := range [][]string{{"a", "b"}, {"b", "a"}} {
		var notes strings.Builder
		if err := run(append([]string{"-json", "-merge", "of-" + paths[0]}, paths...), io.Discard, &notes); err != nil {
			t.Fatal(err)
		}
		said.Values(strings.Join(paths, " and "), notes.String())
	}
}
