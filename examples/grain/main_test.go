package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"io"
	"io/fs"
	"maps"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"sync"
	"testing"
	"testing/fstest"

	"example.org/actinic"
	"example.org/actinic/examples/internal/command"
	"example.org/actinic/examples/internal/page/pagetest"
	"example.org/actinic/internal/check"
	"example.org/actinic/internal/held"
	"example.org/actinic/internal/npy"
	"example.org/actinic/sensito/structure"
)

func try(t *testing.T, args ...string) (string, error) {
	t.Helper()
	var out, notes bytes.Buffer
	err := run(args, &out, &notes)
	return out.String(), err
}

// trueSD is the granularity that the made film has at a density: its light's covariance through
// the aperture, to first order in what the logarithm adds.
func trueSD(t *testing.T, density float64) float64 {
	t.Helper()
	s := madeGrain * math.Pow(density, madeFall) * math.Ln10
	// exp(c rho) - 1 = c rho + (c rho)²/2 + …, and a Gaussian to the k-th power is one
	sum, term := 0.0, 1.0
	for k := 1; k < 8; k++ {
		term *= s * s / float64(k)
		size := madeSize / math.Sqrt(float64(k))
		sd, err := structure.ApertureSD(func(f float64) float64 {
			x := math.Pi * size * f / 1000
			return 2 * math.Pi * size * size * math.Exp(-2*x*x)
		}, 48, 800)
		if err != nil {
			t.Fatal(err)
		}
		sum += term * sd * sd
	}
	return math.Log10E * math.Sqrt(sum)
}

var made = sync.OnceValue(func() fstest.MapFS { f, _ := quarry(shippedSeed); return f })

// within counts the intervals that hold the made film's numbers.
func within(t *testing.T, res *result, say func(string, ...any)) (n, all int) {
	t.Helper()
	for _, g := range res.Granularity {
		all++
		if g.SD == nil {
			say("step %d is null: %v", g.Step, res.Limits)
			continue
		}
		truth := trueSD(t, *g.Density)
		if *g.Low <= truth && truth <= *g.High {
			n++
		} else {
			say("step %d: %.5f (%.5f to %.5f) does not hold %.5f", g.Step, *g.SD, *g.Low, *g.High, truth)
		}
		if off := *g.SD/truth - 1; math.Abs(off) > 0.12 {
			t.Errorf("step %d is off by %.0f %%", g.Step, 100*off)
		}
	}
	for _, r := range []*response{res.CameraResponse, res.FilmResponse} {
		if r == nil {
			t.Errorf("a response is null: %v", res.Limits)
			continue
		}
		for i := 4; i < len(r.Frequency); i += 9 {
			f := r.Frequency[i]
			truth := madeResponse(f)
			if r.Of == "camera" {
				x, y := math.Pi*madeLens*f/1000, math.Pi*madePixel*f/1000
				truth = math.Exp(-2*x*x) * math.Sin(y) / y
			}
			if all++; *r.Low[i] <= truth && truth <= *r.High[i] {
				n++
			} else {
				say("%s at %.1f: %.3f (%.3f to %.3f) does not hold %.3f", r.Of, f, *r.M[i], *r.Low[i], *r.High[i], truth)
			}
		}
	}
	return n, all
}

// From the program's own pictures to a film's package: what comes out is what went in.
func TestFromPicturesToFilm(t *testing.T) {
	dir := t.TempDir()
	out, err := try(t, "-json", "-film", madeFilm, "-process", madeProcess, "-out", filepath.Join(dir, "film"), "-page", filepath.Join(dir, "page"))
	if err != nil {
		t.Fatal(err)
	}
	var res result
	if err := json.Unmarshal([]byte(out), &res); err != nil {
		t.Fatal(err)
	}
	n, all := within(t, &res, t.Logf)
	t.Logf("%d of %d intervals hold the truth", n, all)
	if n < all*8/10 {
		t.Errorf("%d of %d intervals", n, all)
	}
	for _, g := range res.Granularity {
		if math.Abs(*g.Averaged / *g.Expected - 1) > 0.15 {
			t.Errorf("step %d: averages %.5f, by the spectrum %.5f", g.Step, *g.Averaged, *g.Expected)
		}
	}
	if !res.SetUp.CanMeasure || !res.SetUp.Corrected || len(res.Limits) == 0 || len(res.Prints) != 6 || res.Signal == nil || len(res.NoisePower) != len(madeSteps) {
		t.Errorf("%+v, %d prints", res.SetUp, len(res.Prints))
	}
	if e := res.Law.Exponent; !(math.Abs(*e-madeFall) < 0.1) {
		t.Errorf("exponent %v", *e)
	}
	pkg, err := actinic.ReadPackage(os.DirFS(filepath.Join(dir, "film")), actinic.Verify)
	if err != nil {
		t.Fatal(err)
	}
	film, err := pkg.Film(madeFilm)
	if err != nil {
		t.Fatal(err)
	}
	p, err := film.Process(madeProcess)
	if err != nil {
		t.Fatal(err)
	}
	g, err1 := p.Granularity()
	r, err2 := p.Response()
	if err := errors.Join(err1, err2); err != nil {
		t.Fatal(err)
	}
	if len(g.Points) != len(madeSteps) || r.Of != "film" || g.Provenance.Basis != actinic.Invented {
		t.Errorf("%+v, %+v", g, r)
	}
	page, err := os.ReadFile(filepath.Join(dir, "page", pageFile))
	if err != nil {
		t.Fatal(err)
	}
	pagetest.Said(t, page)
	pagetest.Whole(t, page, pagetest.A4, pagetest.Letter)
	words := regexp.MustCompile(`data:image/png;base64,[^"]*`).ReplaceAll(page, nil)
	for _, bad := range []string{"http://", "https://", "NaN", "<no value>", "ZgotmplZ", "%!"} {
		if bytes.Contains(words, []byte(bad)) {
			t.Errorf("the page has %q", bad)
		}
	}
}

var copies = flag.Int("grain.copies", 0, "sets of invented pictures in the study of intervals")

// Over many sets of pictures the intervals hold the truth as often as they say.
func TestStudyOfCopies(t *testing.T) {
	if *copies == 0 {
		t.Skip("-grain.copies says how many")
	}
	n, all := 0, 0
	for k := range *copies {
		files, film := quarry(uint64(1000 + k))
		p, err1 := film.Process(madeProcess)
		j, err2 := parse(files[jobFile].Data)
		if err := errors.Join(err1, err2); err != nil {
			t.Fatal(err)
		}
		curve, err := p.Curve(0)
		if err != nil {
			t.Fatal(err)
		}
		res, err := measure(files, j, curve)
		if err != nil {
			t.Fatal(err)
		}
		a, b := within(t, res, t.Logf)
		n, all = n+a, all+b
	}
	share := float64(n) / float64(all)
	t.Logf("%d of %d intervals hold the truth: %.3f", n, all, share)
	if share < 0.92 {
		t.Errorf("only %.3f", share)
	}
}

// change reads the made job, changes it, and measures.
func change(t *testing.T, how func(job map[string]any, files fstest.MapFS)) (*result, error) {
	t.Helper()
	shipped := made()
	files := maps.Clone(shipped)
	var job map[string]any
	if err := json.Unmarshal(files[jobFile].Data, &job); err != nil {
		t.Fatal(err)
	}
	job["patches"] = job["patches"].([]any)[2:4]
	how(job, files)
	text, err := json.Marshal(job)
	if err != nil {
		t.Fatal(err)
	}
	j, err := parse(text)
	if err != nil {
		return nil, err
	}
	return measure(files, j, nil)
}

func patch(job map[string]any, k int) map[string]any {
	return job["patches"].([]any)[k].(map[string]any)
}

// What cannot be measured is null, and says so.
func TestLimits(t *testing.T) {
	words := held.New(t)
	for _, c := range []struct {
		name   string
		how    func(job map[string]any, files fstest.MapFS)
		null   bool // the first patch's granularity
		says   string
		warned string
	}{
		{"as made", func(map[string]any, fstest.MapFS) {}, false, "sees up to", ""},
		{"no camera edge", func(j map[string]any, _ fstest.MapFS) { delete(j, "camera_edge") }, false, "nothing is corrected", ""},
		{"coarse pixels", func(j map[string]any, _ fstest.MapFS) { j["pixel_um"] = 30.0 }, true, "pixels of 30 µm", ""},
		{"blurred camera", func(j map[string]any, _ fstest.MapFS) { j["pixel_um"] = 18.0 }, true, "below 0.2", ""},
		{"one frame", func(j map[string]any, _ fstest.MapFS) { patch(j, 0)["files"] = patch(j, 0)["files"].([]any)[:1] }, false, "", "one frame"},
		{"one frame and no noise known", func(j map[string]any, _ fstest.MapFS) {
			delete(j, "dark")
			for k := range 2 {
				patch(j, k)["files"] = patch(j, k)["files"].([]any)[:1]
			}
		}, true, "add a second frame", "no dark frame"},
		{"no gradients", func(j map[string]any, _ fstest.MapFS) {
			for k := range 2 {
				delete(patch(j, k), "gradient")
			}
		}, false, "no patch has a gradient", ""},
		{"no edge in the box", func(j map[string]any, _ fstest.MapFS) { j["camera_edge"].(map[string]any)["box"] = []int{0, 0, 60, 60} }, false, "camera's response is not known", ""},
		{"no flare", func(j map[string]any, _ fstest.MapFS) { delete(j, "flare") }, false, "", "flare is not known"},
		{"small patch", func(j map[string]any, _ fstest.MapFS) { patch(j, 0)["box"] = []int{20, 20, 30, 200} }, true, "three apertures", ""},
		{"clipped", func(j map[string]any, files fstest.MapFS) { patch(j, 0)["files"] = []any{"razor.npy", "light.npy"} }, true, "", ""},
		{"other contrast", func(j map[string]any, _ fstest.MapFS) {
			j["film_edge"].(map[string]any)["contrast_density"] = []float64{0.1, 2}
		}, false, "", "contrast_density says"},
		{"no shutter", func(j map[string]any, _ fstest.MapFS) { delete(j["film_edge"].(map[string]any), "shutter") }, false, "", "film_edge has no shutter"},
		{"through a lens", func(j map[string]any, _ fstest.MapFS) { j["film_edge"].(map[string]any)["through"] = "lens" }, false, "", ""},
	} {
		res, err := change(t, c.how)
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		var printed strings.Builder
		res.print(&printed)
		words.Look(c.name, res)
		words.Look(c.name+", printed", strings.Split(printed.String(), "\n"))
		if null := res.Granularity[0].SD == nil; null != c.null {
			t.Errorf("%s: granularity null %v, want %v; %v", c.name, null, c.null, res.Limits)
		}
		if said := strings.Join(res.Limits, "\n"); !strings.Contains(said, c.says) || c.null && !strings.Contains(said, "null") && !strings.Contains(said, "not known") && !strings.Contains(said, "not measured") {
			t.Errorf("%s: the limits lack %q:\n%s", c.name, c.says, said)
		}
		if warned := strings.Join(res.Warnings, "\n"); !strings.Contains(warned, c.warned) {
			t.Errorf("%s: the warnings lack %q:\n%s", c.name, c.warned, warned)
		}
		if c.name == "through a lens" && res.FilmResponse.Of != "lens and film" {
			t.Errorf("response of %q", res.FilmResponse.Of)
		}
		if c.name == "coarse pixels" && (res.Granularity[0].Density == nil || len(res.NoisePower) != 2) {
			t.Errorf("density and spectrum of coarse pixels: %+v", res.Granularity[0])
		}
		if _, err := json.Marshal(res); err != nil {
			t.Errorf("%s: %v", c.name, err)
		}
	}
}

func TestRefusesPictures(t *testing.T) {
	said := held.New(t)
	for _, c := range []struct {
		name string
		how  func(job map[string]any, files fstest.MapFS)
		says string
	}{
		{"missing", func(_ map[string]any, f fstest.MapFS) { delete(f, "razor.npy") }, "razor.npy"},
		{"broken", func(_ map[string]any, f fstest.MapFS) { f["edge.npy"] = &fstest.MapFile{Data: []byte("\x93NUMPY")} }, "edge.npy"},
		{"a screen's picture", func(_ map[string]any, f fstest.MapFS) {
			f["edge.npy"] = &fstest.MapFile{Data: []byte("\xff\xd8\xff\xe0")}
		}, "JPEG"},
		{"short", func(_ map[string]any, f fstest.MapFS) {
			f["dark.npy"] = &fstest.MapFile{Data: f["dark.npy"].Data[:500]}
		}, "dark.npy"},
		{"another size", func(_ map[string]any, f fstest.MapFS) {
			f["edge.npy"] = &fstest.MapFile{Data: append(npy.Header(npy.Uint16, 2, 3), make([]byte, 12)...)}
		}, "cropped alike"},
		{"box outside", func(j map[string]any, _ fstest.MapFS) { patch(j, 1)["box"] = []int{100, 100, 4000, 50} }, "a box inside"},
		{"light and dark changed", func(j map[string]any, _ fstest.MapFS) { j["dark"] = j["light"] }, "no darker"},
		{"one file twice", func(j map[string]any, _ fstest.MapFS) { patch(j, 0)["files"] = []any{"step-12a.npy", "step-12a.npy"} }, "another frame"},
	} {
		_, err := change(t, c.how)
		if err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s: %v, want an error that says %q", c.name, err, c.says)
		} else if !said.Is("", err, check.ErrInput) && !said.Is("", err, fs.ErrNotExist) {
			t.Errorf("%s: %v is no error of the input", c.name, err)
		}
	}
}

func TestRefusesJobs(t *testing.T) {
	said := held.New(t)
	const light = `"pixel_um": 4, "light": {"file": "l.npy", "shutter": "1/60"}`
	with := func(s string) string { return "{" + light + ", " + s + "}" }
	for _, c := range []struct{ text, says string }{
		{``, "ends too soon"}, {`[]`, "array"}, {`{} x`, "follows"}, {`{"colour": 1}`, "grain -h"}, {`{}`, "pixel_um"}, {`{` + light + `}`, "patches or edges"},
		{`{"pixel_um": -1, "light": {"file": "l.npy", "shutter": "1/60"}}`, "above 0"},
		{with(`"patches": [{"step": 1, "files": [], "shutter": "1/60", "box": [0,0,9,9]}]`), "frames of the same place"},
		{with(`"patches": [{"step": 1, "files": ["../a"], "shutter": "1/60", "box": [0,0,9,9]}]`), "name of a picture"},
		{with(`"patches": [{"step": 1, "files": ["a"], "box": [0,0,9,9]}]`), "shutter"},
		{with(`"patches": [{"step": 1, "files": ["a"], "shutter": "1/60", "box": [0,0,9,0]}]`), "width and height"},
		{with(`"patches": [{"step": -1, "files": ["a"], "shutter": "1/60", "box": [0,0,9,9]}]`), "number of the step"},
		{with(`"patches": [{"step": 1, "files": ["a"], "shutter": "1/60", "box": [0,0,9,9], "gradient": -1}]`), "gradient"},
		{with(`"film_edge": {"file": "e", "box": [0,0,9,9], "contrast_density": [1.2, 0.4]}`), "lower first"},
		{with(`"film_edge": {"file": "e", "box": [0,0,9,9], "through": "air"}`), "contact"},
		{with(`"camera_edge": {"file": "e"}`), "camera_edge.box"},
		{with(`"flare": {"fraction": 2}`), "fraction"},
		{with(`"Light": 1`), "capitals"},
	} {
		if _, err := parse([]byte(c.text)); !said.Refused("", err) || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s: %v, want an error that says %q", c.text, err, c.says)
		}
	}
}

func TestCommandLine(t *testing.T) {
	said := held.New(t)
	for _, args := range [][]string{{"-out", "x"}, {"-print", "big"}, {"-print", "0x0"}, {"-distance", "0"}, {"-gradient",
		"NaN"}, {"-development", "soon", "-film", "x"}, {"extra"}, {"-distance", "-1"}, {"-lens", "-1"}, {"-gradient", "0"}} {
		var usage command.UsageError
		if _, err := try(t, args...); !errors.As(err, &usage) || !said.Refused(strings.Join(args, " "), err) {
			t.Errorf("%v: %v", args, err)
		}
	}
	if _, err := try(t, "-dir", t.TempDir()); !said.Refused("", err) || !strings.Contains(err.Error(), jobFile) {
		t.Errorf("an empty directory: %v", err)
	}
	if _, err := try(t, "-film", "no such film"); !said.Refused("", err) {
		t.Error("an unknown film is taken")
	}
	out, err := try(t, "-h")
	if !said.Is("", err, flag.ErrHelp) || !strings.Contains(out, "camera_edge") {
		t.Errorf("%v", err)
	}
}

// Exposures follow densities by the gradients, exactly where these are straight.
func TestGradients(t *testing.T) {
	said := held.New(t)
	l, err := newGradients([]float64{1.5, 0.5}, []float64{0.8, 0.4})
	if err != nil {
		t.Fatal(err)
	}
	// ∫ dD/g with g = 0.4 + 0.4 (D - 0.5)
	for _, d := range []float64{0.2, 0.5, 0.9, 1.5, 1.9} {
		want := math.Log(0.4+0.4*(min(max(d, 0.5), 1.5)-0.5)) - math.Log(0.4)
		want /= 0.4
		want += min(d-0.5, 0)/0.4 + max(d-1.5, 0)/0.8
		if got := l.logH(d); math.Abs(got-want) > 1e-12 {
			t.Errorf("at %v: %v, want %v", d, got, want)
		}
	}
	if _, err := newGradients([]float64{1}, []float64{-1}); !said.Refused("", err) {
		t.Error("a gradient below 0")
	}
}

// Points of a film's granularity rise in density; of two of one density the better known stands; what is null is left out.
func TestGrainPoints(t *testing.T) {
	v := func(x float64) *float64 { return &x }
	g := func(density, sd, half float64) granularity {
		return granularity{Density: v(density), SD: v(sd), Low: v(sd - half), High: v(sd + half)}
	}
	res := &result{Granularity: []granularity{g(0.5, 0.02, 0.001), g(1.5, 0.03, 0.002), g(0.3, 0.015, 0.001), g(0.50001, 0.021, 0.0005), g(1.5, 0.035, 0.004), g(0, 0.01, 0.001), g(-0.1, 0.01, 0.001),
		{Density: v(1)}, g(1, 0.025, 0.001), g(0.5, 0.019, 0.0005)}}
	got := ""
	for _, p := range res.grainPoints() {
		got += fmt.Sprintf("%v %v; ", float64(p.Density), p.SD.Value)
	}
	if want := "0.3 0.015; 0.5 0.021; 1 0.025; 1.5 0.03; "; got != want {
		t.Errorf("%s, want %s", got, want)
	}
	film, err := actinic.LoadFilm("Swift")
	if err != nil {
		t.Fatal(err)
	}
	said := held.New(t)
	for name, set := range map[string]setUp{"nothing corrected": {}, "corrected": {Corrected: true}} {
		res.SetUp = set
		_, err := res.into(film, "Tarren", 0, actinic.Provenance{Basis: actinic.Measured, Source: "a test"})
		said.Refused(name, err)
	}
	if err := writePage("", command.Made{}, io.Discard, &result{}); err != nil {
		t.Error(err)
	}
}

// Each picture of the job that is not there is an error that names it.
func TestMissingPictures(t *testing.T) {
	shipped := made()
	for name := range shipped {
		if !strings.HasPrefix(name, "light") && !strings.HasPrefix(name, "dark") && !strings.HasPrefix(name, "flare") {
			continue // those of the film are measured later, and in TestRefusesPictures
		}
		if _, err := change(t, func(_ map[string]any, files fstest.MapFS) { delete(files, name) }); err == nil || !strings.Contains(err.Error(), name) {
			t.Errorf("without %s: %v", name, err)
		}
	}
}
