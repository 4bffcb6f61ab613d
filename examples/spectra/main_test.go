package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"image/png"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"example.org/actinic/examples/internal/command"
	"example.org/actinic/sensito"
)

func write(t *testing.T, name, text string) string {
	t.Helper()
	name = filepath.Join(t.TempDir(), name)
	if err := os.WriteFile(name, []byte(text), 0o644); err != nil {
		t.Fatal(err)
	}
	return name
}

func table(head string, f func(nm float64) float64, from, to, step float64) string {
	var b strings.Builder
	fmt.Fprintln(&b, head)
	for nm := from; nm <= to; nm += step {
		fmt.Fprintf(&b, "%g,%g\n", nm, f(nm))
	}
	return b.String()
}

const panB = "wavelength_nm,value\n380,0\n400,.70\n420,.95\n450,1\n480,.70\n500,.50\n530,.60\n560,.70\n590,.75\n620,.80\n640,.70\n650,.45\n660,.20\n680,0\n"

// The factor of a logistic filter on an invented film in D55, computed by adaptive
// quadrature; the filter sampled every 0.05 nm.
func TestOwnDataAsJSON(t *testing.T) {
	film := write(t, "film.csv", panB)
	red := write(t, "red.csv", table("wavelength_nm,value", func(nm float64) float64 { return 0.9 / (1 + math.Exp(-(nm-590)/4)) }, 380, 780, 0.05))
	patches := write(t, "patches.csv", "wavelength_nm,slate,lichen\n380,.1,.05\n500,.1,.2\n780,.1,.5\n")
	meter := write(t, "meter.csv", "wavelength_nm,value\n400,0\n550,1\n700,0\n")
	var out, notes bytes.Buffer
	err := run([]string{"-film", film, "-light", "D55", "-filter", red, "-meter", meter, "-patches", patches, "-json"}, &out, &notes)
	if err != nil {
		t.Fatal(err)
	}
	var r struct {
		Version                    string `json:"actinic_version"`
		Film, Light, Filter, Meter string
		Inputs                     []struct{ Role, Name, File, SHA256 string }
		Factor                     float64
		Stops                      float64
		MeterFactor                float64 `json:"meter_factor"`
		MeterErrorStops            float64 `json:"meter_error_stops"`
		Centroid                   struct {
			Without float64 `json:"without"`
			With    float64 `json:"with"`
		} `json:"centroid_nm"`
		Patches []struct {
			Name                 string
			EffectiveReflectance float64 `json:"effective_reflectance"`
			StopsFromGrey        float64 `json:"stops_from_grey"`
		}
		Made command.Made
	}
	d := json.NewDecoder(&out)
	d.DisallowUnknownFields()
	if err := d.Decode(&r); err != nil {
		t.Fatal(err)
	}
	near := func(name string, got, want, tol float64) {
		t.Helper()
		if !(math.Abs(got-want) <= tol) {
			t.Errorf("%s = %v, want %v within %v", name, got, want, tol)
		}
	}
	if len(r.Inputs) != 5 || r.Inputs[0].Name != "film.csv" || len(r.Inputs[0].SHA256) != 64 || r.Version == "" || r.Filter != "red" {
		t.Errorf("inputs %+v of version %q, filter %q", r.Inputs, r.Version, r.Filter)
	}
	for _, in := range r.Inputs {
		if in.File != "" && r.Made.Inputs[in.File] != "sha256:"+in.SHA256 {
			t.Errorf("%s: made of %v", in.File, r.Made)
		}
	}
	// The published figure is for the print of D55, rounded to 0.005; ours is the recipe.
	near("factor", r.Factor, 4.3499066, 3e-4)
	near("stops", r.Stops, 2.1209844, 1e-4)
	near("stops", r.Stops, math.Log2(r.Factor), 1e-12)
	near("meter error", r.MeterErrorStops, math.Log2(r.MeterFactor/r.Factor), 1e-12)
	near("centroid", r.Centroid.Without, 525.034, 5e-3)
	if !(r.Centroid.With > 600 && r.Centroid.With < 640) {
		t.Errorf("centroid behind red %v", r.Centroid.With)
	}
	if len(r.Patches) != 2 || r.Patches[0].Name != "slate" {
		t.Fatalf("patches %v", r.Patches)
	}
	near("neutral patch", r.Patches[0].EffectiveReflectance, 0.1, 1e-12)
	near("neutral patch", r.Patches[0].StopsFromGrey, math.Log2(0.1/0.18), 1e-12)
	if !(r.Patches[1].EffectiveReflectance > 0.28) {
		t.Errorf("lichen behind red %v", r.Patches[1])
	}
	if notes.Len() != 0 {
		t.Errorf("notes: %s", &notes)
	}
}

func TestRefuses(t *testing.T) {
	film := write(t, "film.csv", panB)
	flat := func(v float64) func(float64) float64 { return func(float64) float64 { return v } }
	head := "wavelength_nm,value"
	for _, r := range []struct {
		name, says string
		args       []string
	}{
		{"no overlap of filter", "do not overlap", []string{"-film", film, "-filter", write(t, "ir.csv", table(head, flat(.9), 720, 1100, 10))}},
		{"no overlap of film", "do not overlap", []string{"-film", write(t, "ir.csv", table(head, func(nm float64) float64 { return nm - 850 }, 850, 900, 10))}},
		{"no overlap of patches", "do not overlap", []string{"-patches", write(t, "p.csv", table(head, flat(.5), 900, 1000, 10))}},
		{"no overlap of meter", "do not overlap", []string{"-meter", write(t, "m.csv", table(head, flat(.5), 900, 1000, 10))}},
		{"percent", "percent", []string{"-film", film, "-filter", write(t, "red.csv", table(head, func(nm float64) float64 { return min(90, nm/10) }, 380, 780, 10))}},
		{"percent under a wrong heading", "above 1", []string{"-filter", write(t, "red.csv", table("wavelength_nm,transmittance", flat(50), 380, 780, 10))}},
		{"a density as film", "sensitivity", []string{"-film", write(t, "d.csv", table("wavelength_nm,density", flat(.5), 380, 780, 10))}},
		{"an unknown kind", "-filter-kind", []string{"-filter-kind", "opacity"}},
		{"angstrom under the wrong heading", "wavelength_angstrom", []string{"-film", write(t, "a.csv", table(head, flat(.5), 3800, 7800, 100))}},
		{"spaces", "separated", []string{"-film", write(t, "s.csv", "wavelength_nm value\n400 1\n500 1\n")}},
		{"neither up nor down", "rise", []string{"-film", write(t, "s.csv", "wavelength_nm,value\n400,1\n500,1\n450,1\n")}},
		{"half a stack", "beside a +", []string{"-filter", "25+"}},
		{"a package that is not there", "-package", []string{"-package", "nowhere", "-film", "Swift"}},
		{"a film that is not there", "Garnedd Swift", []string{"-film", "Swoft"}},
		{"two lists and a thing", "exclude", []string{"-film", "panchromatic", "-films", "panchromatic"}},
		{"a deviation below zero", "deviation", []string{"-filter", write(t, "s.csv", "wavelength_nm,transmittance,sd\n400,.1,-1\n500,.1,1\n")}},
		{"a remark without a number", ":1:1", []string{"-filter", write(t, "s.csv", "# zero_sd small\nwavelength_nm,transmittance\n400,.1\n500,.1\n")}},
		{"patches in percent", "percent", []string{"-patches", write(t, "p.csv", table("wavelength_nm,rock", flat(18), 380, 780, 10))}},
		{"negative logarithms", "-log", []string{"-film", write(t, "log.csv", table(head, func(nm float64) float64 { return -math.Abs(nm-500) / 100 }, 400, 660, 10))}},
		{"positive logarithms", "-log", []string{"-film", write(t, "log.csv", table(head, func(nm float64) float64 { return 2.4 - math.Abs(nm-500)/100 }, 400, 660, 10))}},
		{"no unit", "wavelength_nm", []string{"-film", write(t, "um.csv", "wavelength,value\n.4,1\n.5,1\n")}},
		{"micrometres under the wrong heading", "wavelength_um", []string{"-film", write(t, "um.csv", table(head, flat(.5), .38, .78, .01))}},
		{"opaque", "nothing gets through", []string{"-filter", write(t, "o.csv", table(head, flat(0), 380, 780, 10))}},
		{"negative light", "negative", []string{"-light", write(t, "l.csv", table(head, flat(-1), 380, 780, 10))}},
		{"missing value", "l.csv:3:5", []string{"-light", write(t, "l.csv", "wavelength_nm,value\n400,1\n500,\n")}},
		{"two columns", "columns", []string{"-light", write(t, "l.csv", "wavelength_nm,a,b\n400,1,1\n500,1,1\n")}},
		{"unknown light", "no illuminant", []string{"-light", "D99"}},
		{"unknown filter", "no filter", []string{"-filter", "ultraviolet"}},
		{"unknown meter", "meter", []string{"-meter", "selenium"}},
		{"no such film", "no such file", []string{"-film", "nowhere.csv"}},
		{"temperature", "colour temperature", []string{"-light", "100K"}},
		{"stray argument", "unknown argument", []string{"film.csv"}},
		{"both scales", "exclude", []string{"-log", "-linear"}},
	} {
		var out, notes bytes.Buffer
		err := run(append([]string{"-json"}, r.args...), &out, &notes)
		if err == nil || !strings.Contains(err.Error(), r.says) {
			t.Errorf("%s: %v, want it to say %q", r.name, err, r.says)
		}
		if out.Len() != 0 {
			t.Errorf("%s: printed %s", r.name, &out)
		}
	}
}

func TestSaysWhatItAssumes(t *testing.T) {
	var out, notes bytes.Buffer
	short := write(t, "short.csv", "wavelength_nm,value\n420,.1\n660,.9\n")
	if err := run([]string{"-json", "-filter", short}, &out, &notes); err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(notes.String(), "held beyond") || !strings.Contains(out.String(), `"notes"`) {
		t.Errorf("nothing said of a filter that stops short: %s", &notes)
	}
	// A film that ends while it is high, with what that may do.
	out.Reset()
	if err := run([]string{"-csv", "-light", "A", "-filter", "25", "-film", write(t, "narrow.csv", "wavelength_nm,sensitivity\n450,.5\n600,.9\n")}, &out, &notes); err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{"ends at 600 nm with 100 % of its peak", "stops in this factor", "nothing between 450 and 600 nm"} {
		if !strings.Contains(out.String(), want) {
			t.Errorf("nothing said of %q: %s", want, &out)
		}
	}
	out.Reset()
	// Logarithms with -log are the film they are the logarithms of.
	log := write(t, "log.csv", "wavelength_nm,value\n400,-1\n500,0\n600,-1\n")
	if err := run([]string{"-json", "-log", "-film", log, "-light", "D65"}, &out, &notes); err != nil {
		t.Error(err)
	}
}

func TestTour(t *testing.T) {
	dir := t.TempDir()
	var out, notes bytes.Buffer
	if err := run([]string{"-out", dir}, &out, &notes); err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{"panchromatic", "25 red                 8.18       3", "derived", "invented", "29 deep red      gains", "Never look at the sun"} {
		if !strings.Contains(out.String(), want) {
			t.Errorf("the tour does not say %q:\n%s", want, &out)
		}
	}
	for _, name := range []string{"spectra-sensitivity.png", "spectra-temperature.png", "spectra-tones.png"} {
		f, err := os.Open(filepath.Join(dir, name))
		if err != nil {
			t.Fatal(err)
		}
		img, err := png.Decode(f)
		f.Close()
		if err != nil {
			t.Fatal(err)
		}
		dark, n := 0, 0
		for y := img.Bounds().Min.Y; y < img.Bounds().Max.Y; y += 3 {
			for x := img.Bounds().Min.X; x < img.Bounds().Max.X; x += 3 {
				n++
				if r, _, _, _ := img.At(x, y).RGBA(); r < 0x8000 {
					dark++
				}
			}
		}
		if img.Bounds().Dx() < 800 || dark*200 < n || dark*2 > n {
			t.Errorf("%s: %v with %d of %d dark", name, img.Bounds(), dark, n)
		}
	}
}

// Nothing is printed as -0.00.
func TestHundredths(t *testing.T) {
	for _, s := range []sensito.Stops{-0.001, sensito.Stops(math.Copysign(0, -1)), -1e-12} {
		if got := fmt.Sprintf("%+.2f", hundredths(s)); got != "+0.00" {
			t.Errorf("%v: %s", float64(s), got)
		}
	}
}
