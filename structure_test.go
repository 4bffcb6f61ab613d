package actinic

import (
	"errors"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"example.org/actinic/internal/held"
	"example.org/actinic/sensito"
	"example.org/actinic/sensito/provenance"
)

// grained is a shipped film with an invented granularity and response.
func grained(t *testing.T) *Film {
	t.Helper()
	f, err := LoadFilm(Films()[0])
	if err != nil {
		t.Fatal(err)
	}
	p := Provenance{Basis: provenance.Invented, Source: "invented for this test"}
	g := &GranularityData{Aperture: 48, Development: 8 * time.Minute, Provenance: p, Points: []GranularityPoint{
		{0.5, sensito.Estimate{Value: 0.0123456, Low: 0.012, High: 0.0127}}, {1.5, sensito.Estimate{Value: 0.02, Low: math.NaN(), High: math.NaN()}}}}
	r := &ResponseData{Of: "film", Low: 0.4, High: 1.2, Provenance: p, Points: []ResponsePoint{
		{0, sensito.Exact(1)}, {20, sensito.Estimate{Value: 1.04, Low: 1, High: 1.08}}, {60, sensito.Estimate{Value: 0.4, Low: 0.35, High: 0.45}}}}
	f, err = f.WithStructure("", g, r)
	if err != nil {
		t.Fatal(err)
	}
	return f
}

// What is put in comes out of a package again, and out of JSON.
func TestStructureSurvivesAPackage(t *testing.T) {
	said := held.New(t)
	f := grained(t)
	dir := filepath.Join(t.TempDir(), "film")
	if err := WritePackage(dir, PackageInfo{Name: "grain", Version: "1.0.0"}, f); err != nil {
		t.Fatal(err)
	}
	pkg, err := ReadPackage(os.DirFS(dir), Verify)
	if err != nil {
		t.Fatal(err)
	}
	back, err := pkg.Film(f.Name())
	if err != nil {
		t.Fatal(err)
	}
	if d := cmp.Diff(f.Data(), back.Data(), cmpopts.EquateNaNs()); d != "" {
		t.Error(d)
	}
	text, err := f.MarshalJSON()
	if err != nil {
		t.Fatal(err)
	}
	var again Film
	if err := again.UnmarshalJSON(text); err != nil {
		t.Fatal(err)
	}
	if d := cmp.Diff(f.Data(), again.Data(), cmpopts.EquateNaNs()); d != "" {
		t.Error(d)
	}
	p, err := f.Process("")
	if err != nil {
		t.Fatal(err)
	}
	g, err := p.Granularity()
	if err != nil || g.Points[0].SD.Value != 0.012346 || g.Development != 8*time.Minute {
		t.Errorf("%+v, %v", g, err)
	}
	// the geometric mean lies half way
	if sd, err := g.SD(1); err != nil || math.Abs(sd-math.Sqrt(0.012346*0.02)) > 1e-12 {
		t.Errorf("sd %v, %v", sd, err)
	}
	if _, err := g.SD(0.4); !said.Is("", err, ErrInput) {
		t.Errorf("outside: %v", err)
	}
	r, err := p.Response()
	if err != nil {
		t.Fatal(err)
	}
	if v, err := r.Frequency(0.5); err != nil || math.Abs(v-(20+40*0.54/0.64)) > 1e-9 {
		t.Errorf("frequency %v, %v", v, err)
	}
	if _, err := r.Frequency(0.1); !said.Is("", err, ErrInput) {
		t.Errorf("not reached: %v", err)
	}
}

// Comparisons show grain and response where both are there, and say what is missing.
func TestStructureIsCompared(t *testing.T) {
	said := held.New(t)
	plain, err := LoadFilm(Films()[0])
	if err != nil {
		t.Fatal(err)
	}
	ds, err := Compare(plain, "", grained(t), "")
	if err != nil {
		t.Fatal(err)
	}
	n := 0
	for _, d := range ds {
		if d.Part == "granularity" || d.Part == "response" {
			if n++; d.A != nil || d.B == nil {
				t.Errorf("%v", d)
			}
		}
	}
	if n != 2 {
		t.Errorf("%d rows", n)
	}
	p, err := plain.Process("")
	if err != nil {
		t.Fatal(err)
	}
	if _, err := p.Granularity(); !said.Is("", err, ErrMissing) {
		t.Errorf("%v", err)
	}
	if _, err := p.Response(); !said.Is("", err, ErrMissing) {
		t.Errorf("%v", err)
	}
}

// A checked package with points that cannot be is refused with the place.
func TestChecksStructure(t *testing.T) {
	said := held.New(t)
	dir := filepath.Join(t.TempDir(), "film")
	if err := WritePackage(dir, PackageInfo{Name: "grain", Version: "1.0.0"}, grained(t)); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct{ file, old, new, want string }{
		{"granularity_points.csv", ",0.012346,", ",-0.01,", "granularity_points.csv:2"},
		{"granularity_points.csv", ",0.5,", ",1.6,", "granularity_points.csv:3"},
		{"response_points.csv", "response_low", "respons_low", "response_points.csv"},
		{"responses.csv", ",film,", ",lens,", "responses.csv:2"},
		{"response_points.csv", ",20,1.04,", ",20,nought,", "response_points.csv:3"},
	} {
		name := filepath.Join(dir, c.file)
		b, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		if !strings.Contains(string(b), c.old) {
			t.Fatalf("%s has no %q:\n%s", c.file, c.old, b)
		}
		if err := os.WriteFile(name, []byte(strings.Replace(string(b), c.old, c.new, 1)), 0o644); err != nil {
			t.Fatal(err)
		}
		if err := CheckPackage(os.DirFS(dir)); !said.Refused("", err) || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s with %q: %v", c.file, c.new, err)
		}
		if err := os.WriteFile(name, b, 0o644); err != nil {
			t.Fatal(err)
		}
	}
}

func TestRefusesStructure(t *testing.T) {
	said := held.New(t)
	f := grained(t)
	p, err := f.Process("")
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		reason string
		spoil  func(*GranularityData, *ResponseData)
	}{
		{"no points", func(g *GranularityData, _ *ResponseData) { g.Points = nil }},
		{"densities rise", func(g *GranularityData, _ *ResponseData) { g.Points[1].Density = 0.5 }},
		{"standard deviation", func(g *GranularityData, _ *ResponseData) { g.Points[0].SD.Value = math.NaN() }},
		{"granularity: read", func(g *GranularityData, _ *ResponseData) { g.Points[1].SD = sensito.Exact(2) }},
		{"aperture_um", func(g *GranularityData, _ *ResponseData) { g.Aperture = 0 }},
		{"source", func(g *GranularityData, _ *ResponseData) { g.Provenance.Source = "" }},
		{"one of", func(_ *GranularityData, r *ResponseData) { r.Of = "lens" }},
		{"an edge between", func(_ *GranularityData, r *ResponseData) { r.Low = 2 }},
		{"frequencies rise", func(_ *GranularityData, r *ResponseData) { r.Points[2].Frequency = 20 }},
		{"response", func(_ *GranularityData, r *ResponseData) { r.Points[1].M = sensito.Exact(math.Inf(1)) }},
	} {
		g, err1 := p.Granularity()
		r, err2 := p.Response()
		if err := errors.Join(err1, err2); err != nil {
			t.Fatal(err)
		}
		c.spoil(&g, &r)
		if _, err := f.WithStructure("", &g, &r); !said.Refused("", err) || !strings.Contains(err.Error(), c.reason) {
			t.Errorf("%s: %v", c.reason, err)
		}
	}
}
