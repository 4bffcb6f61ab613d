package main

import (
	"bytes"
	"encoding/json"
	"flag"
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"example.org/actinic"
	"example.org/actinic/examples/internal/filmfile"
	"example.org/actinic/examples/internal/golden"
	"example.org/actinic/examples/internal/page/pagetest"
	"example.org/actinic/filters"
	"example.org/actinic/internal/held"
	"example.org/actinic/reciprocity"
	"example.org/actinic/sensito"
	"example.org/actinic/spectral"
)

func try(args ...string) (string, error) {
	var out bytes.Buffer
	err := run(args, &out, io.Discard)
	return out.String(), err
}

// fit is what -json prints, as somebody else would read it.
type fit struct {
	Law        string
	Film       string
	Parameters []struct {
		Name             string
		Value, Low, High *float64
	}
}

func (f fit) of(name string) (value, low, high float64) {
	for _, p := range f.Parameters {
		if p.Name == name && p.Value != nil && p.Low != nil && p.High != nil {
			return *p.Value, *p.Low, *p.High
		}
	}
	return 0, 0, 0
}

// write puts a file of readings into a folder of its own.
func write(t *testing.T, name, text string) string {
	t.Helper()
	file := filepath.Join(t.TempDir(), name)
	if err := os.WriteFile(file, []byte(text), 0o644); err != nil {
		t.Fatal(err)
	}
	return file
}

func tryJSON(t *testing.T, args ...string) fit {
	t.Helper()
	out, err := try(append([]string{"-json"}, args...)...)
	if err != nil {
		t.Fatal(err)
	}
	var f fit
	if err := json.Unmarshal([]byte(out), &f); err != nil {
		t.Fatal(err)
	}
	return f
}

// identifier is that of a person's own package.
const identifier = "https://doi.org/10.9999/invented"

func load(t *testing.T, dir, name string) *actinic.Film {
	t.Helper()
	if err := actinic.CheckPackage(os.DirFS(dir)); err != nil {
		t.Fatal(err)
	}
	pack, err := actinic.ReadPackage(os.DirFS(dir), actinic.Verify)
	if err != nil {
		t.Fatal(err)
	}
	if pack.Info().ID != identifier {
		t.Errorf("the identifier became %q", pack.Info().ID)
	}
	film, err := pack.Film(name)
	if err != nil {
		t.Fatal(err)
	}
	return film
}

// The times as people write them, of a film that fails as t^(1/0.8) from 1 s on: 10 s want
// 17.8 s and 100 s want 316 s, by hand.
func TestReciprocity(t *testing.T) {
	said := held.New(t)
	dir := golden.PackageFolder(t, identifier, "Ceunant Fine", "Tomen Fast")
	file := write(t, "times.csv", "metered_s;adjusted_s\n1/60;1/60\n1/4;1/4\n1;1\n3,2;4,3\n10;17,8 s\n32;1m16s\n100;5m16s\n")
	out := filepath.Join(t.TempDir(), "new")
	f := tryJSON(t, "-kind", "reciprocity", "-film", dir, "-name", "fine", "-sd", "0.05", "-out", out, "-source", "A. Tester", file)
	p, low, high := f.of("p")
	if !strings.HasPrefix(f.Law, "power") || f.Film != "Ceunant Fine" || !(low < 0.8 && 0.8 < high) || p < 0.79 || p > 0.81 {
		t.Errorf("%+v", f)
	}
	film := load(t, out, "fine")
	law, err := film.Reciprocity()
	if err != nil {
		t.Fatal(err)
	}
	if got, err := law.Adjusted(10); err != nil || got < 17 || got > 18.6 {
		t.Errorf("10 s become %v (%v), want 17.8", got, err)
	}
	d := film.Data()
	if d.Reciprocity.Provenance.Source != "A. Tester" || d.Reciprocity.Provenance.Basis != actinic.Measured || len(d.Reciprocity.Form.Readings) != 7 {
		t.Errorf("%+v", d.Reciprocity)
	}
	if other := load(t, out, "fast"); len(other.Processes()) == 0 {
		t.Error("the other film of the package is gone")
	}
	if _, err := try("-json", "-kind", "reciprocity", "-film", dir, "-name", "fine", "-out", out, file); !said.Is("", err, os.ErrExist) {
		t.Errorf("over a package that is there: %v", err)
	}
}

// Frames at rising times on the film's curve: the densities that a known law gives must
// give it back.
func TestReciprocityFromDensities(t *testing.T) {
	film, err := actinic.LoadFilm("Tomen Fast")
	if err != nil {
		t.Fatal(err)
	}
	p, err := film.Process("")
	if err != nil {
		t.Fatal(err)
	}
	curve, err := p.Curve(0)
	if err != nil {
		t.Fatal(err)
	}
	law, err := reciprocity.NewPower(1, 0.78)
	if err != nil {
		t.Fatal(err)
	}
	x, err := p.Index()
	if err != nil {
		t.Fatal(err)
	}
	var text strings.Builder
	text.WriteString("time_s,stops,density,density_sd\n")
	for _, metered := range []float64{0.25, 1, 2, 4, 8, 16, 32} {
		exposed, err := law.Adjusted(metered)
		if err != nil {
			t.Fatal(err)
		}
		// Exposed for the longer time it has the density of the metered one, here at one stop
		// above the metered tone.
		h := sensito.LogHOf(sensito.MeteredExposure / x.Index.Value).Add(1)
		d, err := curve.Density(h)
		if err != nil {
			t.Fatal(err)
		}
		fmt.Fprintf(&text, "%.5g,%.4f,%.4f,0.01\n", exposed, 1+float64(sensito.StopsOf(exposed/metered)), float64(d))
	}
	f := tryJSON(t, "-kind", "reciprocity", "-law", "power", "-film", "Tomen Fast", write(t, "frames.csv", text.String()))
	if v, low, high := f.of("p"); !(low < 0.78 && 0.78 < high) || v < 0.77 || v > 0.79 {
		t.Errorf("p %v (%v to %v), want 0.78", v, low, high)
	}
}

func TestFilters(t *testing.T) {
	film, err := actinic.LoadFilm("Garnedd Swift")
	if err != nil {
		t.Fatal(err)
	}
	truth, err := film.Sensitivity()
	if err != nil {
		t.Fatal(err)
	}
	light, err := spectral.LightAt(3200)
	if err != nil {
		t.Fatal(err)
	}
	var text strings.Builder
	text.WriteString("filter,stops,sd_stops\n")
	names := []string{"8", "12", "16", "21", "25", "29", "47", "58", "8+ND 0.9"}
	for _, name := range names {
		f := factor(t, truth, light, name)
		fmt.Fprintf(&text, "%s,%.3f,0.05\n", name, float64(sensito.StopsOf(f)))
	}
	dir := golden.PackageFolder(t, identifier, "Ceunant Fine")
	out := filepath.Join(t.TempDir(), "new")
	file := write(t, "filters.csv", text.String())
	f := tryJSON(t, "-kind", "filters", "-light", "3200K", "-film", dir, "-out", out, file)
	if len(f.Parameters) != len(names) {
		t.Fatalf("%d parameters", len(f.Parameters))
	}
	for i, name := range names {
		want := factor(t, truth, light, name)
		if p := f.Parameters[i]; !(*p.Low < want && want < *p.High) {
			t.Errorf("%s: %v to %v, want %v", p.Name, *p.Low, *p.High, want)
		}
	}
	got, err := load(t, out, "").Sensitivity()
	if err != nil {
		t.Fatal(err)
	}
	// A filter that was not among the readings, by the sensitivity that is in the film now.
	want, is := factor(t, truth, light, "15"), factor(t, got, light, "15")
	if off := sensito.StopsOf(is / want); off < -0.1 || off > 0.1 {
		t.Errorf("filter 15: factor %.2f, want %.2f", is, want)
	}
}

func factor(t *testing.T, film spectral.Sensitivity, light spectral.Light, name string) float64 {
	t.Helper()
	var set []filters.Filter
	for _, part := range strings.Split(name, "+") {
		if d, nd := strings.CutPrefix(part, "ND "); nd {
			var v float64
			if _, err := fmt.Sscan(d, &v); err != nil {
				t.Fatal(err)
			}
			f, err := filters.Neutral(sensito.Density(v))
			if err != nil {
				t.Fatal(err)
			}
			set = append(set, f)
			continue
		}
		e, err := filters.Find(part)
		if err != nil {
			t.Fatal(err)
		}
		set = append(set, e.Filter)
	}
	stack, err := filters.Stack(set...)
	if err != nil {
		t.Fatal(err)
	}
	v, err := filters.Factor(film, light, stack)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

// Times by Q10 = 2.5 by hand: 10:00 at 20 °C are 12:01 at 18, 8:20 at 22 and 6:56 at 24 °C.
func TestTemperature(t *testing.T) {
	for name, text := range map[string]string{
		"celsius":    "temperature_c,time\n18,12:01\n20,10\n22,8:20\n24,6:56\n",
		"fahrenheit": "temperature_f,time\n64.4,12:01\n68,10 min\n71.6,8m20s\n75.2,6:56\n",
	} {
		dir := golden.PackageFolder(t, identifier, "Ceunant Fine")
		out := filepath.Join(t.TempDir(), "new")
		f := tryJSON(t, "-kind", "temperature", "-film", dir, "-process", "tarren", "-out", out, write(t, "baths.csv", text))
		if v, low, high := f.of("q10"); !(low < 2.5 && 2.5 < high) || v < 2.49 || v > 2.51 {
			t.Errorf("%s: %+v", name, f)
		}
		p, err := load(t, out, "").Process("")
		if err != nil {
			t.Fatal(err)
		}
		if q := p.Data().Growth.Q10; q < 2.49 || q > 2.51 {
			t.Errorf("%s: the film has %v", name, q)
		}
	}
}

// Strips of other contrasts are brought to one by the film's growth.
func TestTemperatureByGradient(t *testing.T) {
	film, err := actinic.LoadFilm("Ceunant Fine")
	if err != nil {
		t.Fatal(err)
	}
	p, err := film.Process("")
	if err != nil {
		t.Fatal(err)
	}
	growth, err := p.Growth()
	if err != nil {
		t.Fatal(err)
	}
	q10, text := 2.2, "temperature_c,time,gradient\n"
	for _, row := range []struct{ c, gradient float64 }{{18, 0.5}, {20, 0.6}, {22, 0.55}, {24, 0.7}} {
		at, err := growth.TimeFor(row.gradient)
		if err != nil {
			t.Fatal(err)
		}
		text += fmt.Sprintf("%v,%.5f,%v\n", row.c, at.Value.Minutes()*math.Pow(q10, (20-row.c)/10), row.gradient)
	}
	f := tryJSON(t, "-kind", "temperature", "-film", "Ceunant Fine", write(t, "strips.csv", text))
	if v, _, _ := f.of("q10"); v < 2.199 || v > 2.201 {
		t.Errorf("%+v", f)
	}
}

// What a package holds besides films is not lost unseen.
func TestNothingIsLostUnseen(t *testing.T) {
	said := held.New(t)
	dir := golden.PackageFolder(t, identifier, "Ceunant Fine")
	name := filepath.Join(dir, "films.csv")
	text, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	lines := strings.SplitAfter(string(text), "\n")
	lines[0] = strings.TrimSuffix(lines[0], "\n") + ",shelf\n"
	lines[1] = strings.TrimSuffix(lines[1], "\n") + ",top\n"
	if err := os.WriteFile(name, []byte(strings.Join(lines, "")), 0o644); err != nil {
		t.Fatal(err)
	}
	descriptor := filepath.Join(dir, "datapackage.json")
	text, err = os.ReadFile(descriptor)
	if err != nil {
		t.Fatal(err)
	}
	text = bytes.Replace(text, []byte("{"), []byte(`{"keeper": "the archive",`), 1)
	if err := os.WriteFile(descriptor, text, 0o644); err != nil {
		t.Fatal(err)
	}
	sealed := filepath.Join(t.TempDir(), "sealed")
	if _, err := actinic.SealPackage(sealed, os.DirFS(dir)); err != nil {
		t.Skipf("a column of somebody else's needs a field in the descriptor: %v", err)
	}
	out := filepath.Join(t.TempDir(), "new")
	file := write(t, "baths.csv", "temperature_c,time\n18,12:01\n20,10\n22,8:20\n")
	_, err = try("-json", "-kind", "temperature", "-film", sealed, "-out", out, file)
	if !said.Is("", err, filmfile.ErrLoss) || !strings.Contains(err.Error(), "shelf") || !strings.Contains(err.Error(), "keeper") {
		t.Errorf("%v", err)
	}
	if _, err := os.Stat(out); !said.Is("", err, os.ErrNotExist) {
		t.Error("the package was written")
	}
	if _, err := try("-json", "-kind", "temperature", "-film", sealed, "-lose", "-out", out, file); err != nil {
		t.Error(err)
	}
}

func TestRefusals(t *testing.T) {
	said := held.New(t)
	for name, tc := range map[string]struct{ kind, text, want string }{
		"no column":         {"reciprocity", "metered_s,set\n1,2\n", "adjusted_s"},
		"no number":         {"reciprocity", "metered_s,adjusted_s\n1,two\n", ":2:3:"},
		"nothing":           {"reciprocity", "", "times.csv"},
		"tiny":              {"reciprocity", "metered_s,adjusted_s\n1e-300,1\n1,1\n", ":2:1:"},
		"negative":          {"reciprocity", "metered_s,adjusted_s\n-1,1\n1,1\n", ":2:1:"},
		"one":               {"reciprocity", "metered_s,adjusted_s\n1,1\n", "2 rows"},
		"sd":                {"reciprocity", "metered_s,adjusted_s,sd_stops\n1,1,0\n2,2,0.1\n", ":2:5:"},
		"shorter":           {"reciprocity", "metered_s,adjusted_s\n1,0.2\n10,1\n100,5\n", "times.csv"},
		"both":              {"reciprocity", "time_s,density,stops,log_h_lx_s\n1,1,1,1\n", "either"},
		"beyond the curve":  {"reciprocity", "time_s,density,stops\n1,9,1\n2,9,1\n", ":2:3:"},
		"no filter":         {"filters", "filter,stops\n99,1\n8,1\n", ":2:1:"},
		"percent":           {"filters", "filter,stops\n8,100\n25,3\n", ":2:3:"},
		"one filter":        {"filters", "filter,stops\n8,1\n", "2 rows"},
		"one temperature":   {"temperature", "temperature_c,time\n20,10\n20,10\n", "times.csv"},
		"boiling":           {"temperature", "temperature_c,time\n20,10\n200,5\n", "times.csv"},
		"time that rises":   {"temperature", "temperature_c,time\n20,10\n24,12\n", "times.csv"},
		"a range":           {"temperature", "temperature_c,time\n20,8-10\n24,5\n", ":2:4:"},
		"a million rows":    {"reciprocity", "metered_s,adjusted_s\n" + strings.Repeat("1,2\n", 1e6), ":1002:"},
		"gradient too high": {"temperature", "temperature_c,time,gradient\n20,8,9\n24,5,0.5\n", ":2:6:"},
	} {
		out := filepath.Join(t.TempDir(), "new")
		_, err := try("-json", "-kind", tc.kind, "-film", "Ceunant Fine", "-out", out, write(t, "times.csv", tc.text))
		if err == nil || !strings.Contains(err.Error(), tc.want) || !strings.Contains(err.Error(), "times.csv") {
			t.Errorf("%s: %v, want the file and %q", name, err, tc.want)
		}
		if _, err := os.Stat(out); !said.Is("", err, os.ErrNotExist) {
			t.Errorf("%s: a package was written", name)
		}
	}
	if out, err := try("-h"); !said.Is(out, err, flag.ErrHelp) || !strings.Contains(out, "Usage:") {
		t.Errorf("%s\n%v", out, err)
	}
	file := write(t, "times.csv", "metered_s,adjusted_s\n1,1\n10,20\n40,137\n")
	for _, args := range [][]string{{"-kind", "reciprocity", file}, {"-kind", "speed", "-film", "fine", file}, {"-kind", "filters", "-film", "fine"},
		{"-kind", "reciprocity", "-film", "nosuch", file}, {"-kind", "reciprocity", "-film", "fine", "-law", "guess", file},
		{"-kind", "reciprocity", "-film", "fine", "-sd", "NaN", file}, {"-kind", "reciprocity", "-film", "fine", "nosuchfile"}, {file}} {
		if out, err := try(append([]string{"-json"}, args...)...); !said.Refused("", err) {
			t.Errorf("%v: %s", args, out)
		}
	}
}

func TestPage(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "page")
	out, err := try("-page", dir)
	if err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{"invented", "Reciprocity", "Filter factors", "Temperature", "safety data sheet"} {
		if !strings.Contains(out, want) {
			t.Errorf("lacks %q:\n%s", want, out)
		}
	}
	text, err := os.ReadFile(filepath.Join(dir, pageFile))
	if err != nil {
		t.Fatal(err)
	}
	pagetest.Said(t, text)
	pagetest.Whole(t, text, pagetest.A4, pagetest.Letter)
}
