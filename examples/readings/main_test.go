package main

import (
	"bytes"
	"encoding/binary"
	"encoding/json"
	"errors"
	"flag"
	"image"
	"image/png"
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

	"example.org/actinic/devtime/roll"
	"example.org/actinic/examples/internal/command"
	"example.org/actinic/internal/check"
	"example.org/actinic/internal/held"
	"example.org/actinic/internal/npy"
	"example.org/actinic/sensito"
)

func try(t *testing.T, args ...string) (string, error) {
	t.Helper()
	var out, notes bytes.Buffer
	err := run(args, &out, &notes)
	return out.String(), err
}

// From the program's own pictures to a film: what comes out is what went in, within the
// intervals that are stated.
func TestFromPicturesToFilm(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "out")
	out, err := try(t, "-out", dir)
	if err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{"invented", "strip D step 21", "frame 7 shadow", "testroll -dir", "Linearity  linear"} {
		if !strings.Contains(out, want) {
			t.Errorf("the output lacks %q:\n%s", want, out)
		}
	}
	page, err := os.ReadFile(filepath.Join(dir, "readings.html"))
	if err != nil {
		t.Fatal(err)
	}
	words := regexp.MustCompile(`data:image/png;base64,[^"]*`).ReplaceAll(page, nil)
	for _, bad := range []string{"http://", "https://", "NaN", "<no value>", "ZgotmplZ"} {
		if bytes.Contains(words, []byte(bad)) {
			t.Errorf("the page has %q", bad)
		}
	}
	if n := bytes.Count(page, []byte("<img ")); n != 3+28 {
		t.Errorf("the page has %d pictures, want 31", n)
	}
	held, all := heldBy(t, os.DirFS(dir), t.Errorf)
	if all != 4*3+3 || held != all {
		t.Errorf("%d of %d intervals hold the truth", held, all)
	}
}

var rolls = flag.Int("readings.rolls", 0, "rolls of invented pictures in the study of intervals")

// Over many rolls the intervals hold the truth as often as they say.
func TestStudyOfRolls(t *testing.T) {
	if *rolls == 0 {
		t.Skip("-readings.rolls says how many")
	}
	held, all := 0, 0
	for k := range *rolls {
		made := quarry(uint64(1000 + k))
		j, err := parse(made[jobFile].Data)
		if err != nil {
			t.Fatal(err)
		}
		res, err := measure(made, j)
		if err != nil {
			t.Fatal(err)
		}
		files, err := written(res, j)
		if err != nil {
			t.Fatal(err)
		}
		fsys := fstest.MapFS{}
		for name, b := range files {
			fsys[name] = &fstest.MapFile{Data: b}
		}
		h, n := heldBy(t, fsys, t.Logf)
		held, all = held+h, all+n
	}
	share := float64(held) / float64(all)
	t.Logf("%d of %d intervals hold the truth: %.3f", held, all, share)
	if share < 0.9 {
		t.Errorf("only %.3f", share)
	}
}

// heldBy counts the intervals of a roll's record that hold the invented film's numbers: of
// each strip speed point, average gradient and, within 0.004, base plus fog; of the roll
// development and index, moved and as tested.
func heldBy(t *testing.T, fsys fs.FS, say func(string, ...any)) (held, all int) {
	t.Helper()
	test, err := roll.Read(fsys)
	if err != nil {
		t.Fatal(err)
	}
	record, err := test.Characterise(roll.Settings{})
	if err != nil {
		t.Fatal(err)
	}
	minutes := map[string]float64{"A": 6, "B": 8.5, "C": 12, "D": 17}
	if len(record.Strips) != len(minutes) {
		t.Fatalf("%d strips", len(record.Strips))
	}
	within := func(what string, e *sensito.Estimate, truth float64) {
		t.Helper()
		if all++; e == nil || !(e.Low-1e-9 <= truth && truth <= e.High+1e-9) {
			say("%s: %+v does not hold %.4f", what, e, truth)
			return
		}
		held++
	}
	at := func(m float64) (point, gradient, base float64) {
		f := madeFilm(m)
		h, err1 := sensito.SpeedPoint(f)
		g, err2 := sensito.AverageGradient(f)
		if err := errors.Join(err1, err2); err != nil {
			t.Fatal(err)
		}
		return float64(h), float64(g), float64(f.BaseFog())
	}
	for _, s := range record.Strips {
		h, g, base := at(minutes[s.Strip])
		within("average gradient of "+s.Strip, s.AverageGradient, g)
		if s.SpeedPointLow == nil || s.SpeedPointHigh == nil {
			t.Fatalf("strip %s has no interval", s.Strip)
		}
		within("speed point of "+s.Strip, &sensito.Estimate{Low: *s.SpeedPointLow, High: *s.SpeedPointHigh}, h)
		within("base of "+s.Strip, &sensito.Estimate{Low: float64(s.BaseFog) - 0.004, High: float64(s.BaseFog) + 0.004}, base)
	}
	develop := developFor(t, 0.58)
	within("development", record.Development, 60*develop)
	index := func(m float64) float64 {
		h, _, _ := at(m)
		return float64(sensito.FieldIndexAt(sensito.LogH(h), 4).Value)
	}
	if record.Index == nil || record.IndexAsTested == nil {
		t.Fatal("no index")
	}
	within("index as tested", &record.IndexAsTested.Estimate, index(12))
	within("index", &record.Index.Estimate, index(develop))
	return held, all
}

// developFor is the true development for an average gradient, in minutes.
func developFor(t *testing.T, gradient float64) float64 {
	lo, hi := 2.0, 40.0
	for range 60 {
		m := (lo + hi) / 2
		f := madeFilm(m)
		g, err := sensito.AverageGradient(f)
		if err != nil || g < gradient {
			lo = m
		} else {
			hi = m
		}
	}
	return lo
}

// decoded is the JSON output.
func decoded(t *testing.T, fsys fs.FS) (*result, error) {
	t.Helper()
	text, err := fs.ReadFile(fsys, jobFile)
	if err != nil {
		t.Fatal(err)
	}
	j, err := parse(text)
	if err != nil {
		return nil, err
	}
	res, err := measure(fsys, j)
	if err != nil {
		return nil, err
	}
	if _, err := written(res, j); err != nil {
		t.Errorf("what was written is not read: %v", err)
	}
	b, err := json.Marshal(res)
	if err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(b, new(map[string]any)); err != nil {
		t.Fatal(err)
	}
	return res, nil
}

func TestJSON(t *testing.T) {
	out, err := try(t, "-json")
	if err != nil {
		t.Fatal(err)
	}
	var v struct {
		Patches []struct {
			Strip, Frame, Patch string
			Step                int
			Density             *float64
			SD                  *float64 `json:"density_sd"`
			Pixels              int
			SetAside            *int `json:"set_aside"`
			Warnings            []string
		}
		Linearity, Flare, Noise map[string]any
		Invented                bool
		Pictures                []origin
		Made                    command.Made
	}
	if err := json.Unmarshal([]byte(out), &v); err != nil {
		t.Fatal(err)
	}
	if len(v.Patches) != 4*22+7*4 || !v.Invented || v.Linearity == nil || v.Flare["fraction"] == nil || v.Noise["electrons_per_count"] == nil {
		t.Errorf("%d patches, %v, %v, %v", len(v.Patches), v.Linearity, v.Flare, v.Noise)
	}
	for _, p := range append(v.Pictures, origin{File: jobFile}) {
		if v.Made.Inputs[p.File] == "" {
			t.Errorf("%s is not among the inputs %v", p.File, v.Made.Inputs)
		}
	}
	for _, p := range v.Patches {
		if p.Density == nil || p.SD == nil || p.Pixels == 0 || p.SetAside == nil || p.Warnings == nil || (p.Strip == "") == (p.Frame == "") || (p.Step == 0) == (p.Patch == "") {
			t.Errorf("%+v", p)
		}
	}
	if f := v.Flare["fraction"].(float64); math.Abs(f-madeFlare) > 0.0002 {
		t.Errorf("flare %v, want %v", f, madeFlare)
	}
}

var theirs = sync.OnceValue(func() fstest.MapFS { return quarry(shippedSeed) })

// small is a job of one strip on the program's own pictures, that cases change.
func small(t *testing.T) (fstest.MapFS, map[string]any) {
	t.Helper()
	all := fstest.MapFS{}
	for name, f := range theirs() {
		all[name] = &fstest.MapFile{Data: f.Data}
	}
	var job map[string]any
	if err := json.Unmarshal(all[jobFile].Data, &job); err != nil {
		t.Fatal(err)
	}
	strips := job["strips"].([]any)
	job["strips"] = strips[4:6] // C
	delete(job, "frames")
	return all, job
}

func entry(job map[string]any, list string, i int) map[string]any {
	return job[list].([]any)[i].(map[string]any)
}

// counts are the values of one of the program's pictures, and put writes them back.
func counts(f fstest.MapFS, name string) []uint16 {
	b := f[name].Data[len(f[name].Data)-2*madeWidth*madeHeight:]
	v := make([]uint16, len(b)/2)
	for i := range v {
		v[i] = binary.LittleEndian.Uint16(b[2*i:])
	}
	return v
}

func put(f fstest.MapFS, name string, width int, v []uint16) {
	b := npy.Header(npy.Uint16, len(v)/width, width)
	for _, x := range v {
		b = binary.LittleEndian.AppendUint16(b, x)
	}
	f[name] = &fstest.MapFile{Data: b}
}

// bent puts a display's curve (IEC 61966-2-1) on every picture.
func bent(f fstest.MapFS) {
	for name := range f {
		if !strings.HasSuffix(name, ".npy") {
			continue
		}
		v := counts(f, name)
		for i, x := range v {
			y := max(float64(x)-512, 0) / 15871
			if y <= 0.0031308 {
				y *= 12.92
			} else {
				y = 1.055*math.Pow(y, 1/2.4) - 0.055
			}
			v[i] = uint16(math.Round(65000 * y))
		}
		put(f, name, madeWidth, v)
	}
}

func TestBadPictures(t *testing.T) {
	words := held.New(t)
	type object = map[string]any
	eight := func() []byte {
		var b bytes.Buffer
		if err := png.Encode(&b, image.NewGray(image.Rect(0, 0, madeWidth, madeHeight))); err != nil {
			t.Fatal(err)
		}
		return b.Bytes()
	}()
	for _, c := range []struct {
		name, says string
		error      bool // or else a finding or warning
		change     func(f fstest.MapFS, job object)
	}{
		{"truncated", "cut short", true, func(f fstest.MapFS, job object) {
			f["strip-C.npy"].Data = f["strip-C.npy"].Data[:5000]
		}},
		{"absent", "no-such.npy", true, func(f fstest.MapFS, job object) { entry(job, "strips", 0)["file"] = "no-such.npy" }},
		{"8 bits", "8 bits", true, func(f fstest.MapFS, job object) { f["strip-C.npy"].Data = eight }},
		{"display curve", "display's curve", true, func(f fstest.MapFS, job object) { bent(f) }},
		{"display curve by known densities", "display's curve", true, func(f fstest.MapFS, job object) {
			bent(f)
			delete(job, "linearity")
			job["flare"] = object{"fraction": 0}
			k := func(x int, d float64) object {
				return object{"file": "strip-C.npy", "shutter": "1/60", "box": []int{x, 70, 18, 40}, "density": d}
			}
			job["known"] = []object{k(26, 0.27), k(26+13*30, 1.04), k(26+19*30, 1.57)}
		}},
		{"wrong size", "cropped alike", true, func(f fstest.MapFS, job object) {
			put(f, "strip-C.npy", madeWidth, counts(f, "strip-C.npy")[madeWidth:])
		}},
		{"box outside", "inside the pictures", true, func(f fstest.MapFS, job object) {
			entry(job, "strips", 0)["box"], entry(job, "strips", 1)["box"] = []int{100, 60, 630, 60}, []int{100, 60, 630, 60}
		}},
		{"saturated", "is at white", false, func(f fstest.MapFS, job object) { job["strips"] = job["strips"].([]any)[1:] }},
		{"light saturated", "white", true, func(f fstest.MapFS, job object) {
			v := counts(f, "light.npy")
			for i := range v {
				v[i] = 65535
			}
			put(f, "light.npy", madeWidth, v)
		}},
		{"light darker than film", "left out of the test's files", false, func(f fstest.MapFS, job object) {
			v := counts(f, "light.npy")
			for i := range v {
				v[i] = 512 + (v[i]-512)/8
			}
			put(f, "light.npy", madeWidth, v)
			delete(job, "linearity")
			delete(job, "flare")
		}},
		{"dark no darker", "no darker", true, func(f fstest.MapFS, job object) { f["dark.npy"] = f["light.npy"] }},
		{"another shutter", "differ by", false, func(f fstest.MapFS, job object) { entry(job, "strips", 1)["shutter"] = "1/5" }},
		{"another shutter of the light", "not linear", false, func(f fstest.MapFS, job object) { entry(job, "linearity", 1)["shutter"] = "1/320" }},
		{"one step more", "21 steps were found, 22 were told", false, func(f fstest.MapFS, job object) {
			entry(job, "strips", 0)["steps"], entry(job, "strips", 1)["steps"] = 22, 22
		}},
		{"box over half the steps", "steps were found", false, func(f fstest.MapFS, job object) {
			entry(job, "strips", 0)["box"], entry(job, "strips", 1)["box"] = []int{320, 60, 330, 60}, []int{320, 60, 330, 60}
		}},
		{"no tablet there", "even", false, func(f fstest.MapFS, job object) {
			entry(job, "strips", 0)["box"], entry(job, "strips", 1)["box"] = []int{20, 125, 300, 20}, []int{20, 125, 300, 20}
		}},
		{"no flare", "flare is not known", false, func(f fstest.MapFS, job object) { delete(job, "flare") }},
		{"flare beside the patch", "not opaque", true, func(f fstest.MapFS, job object) {
			job["flare"].(object)["box"] = []int{10, 70, 70, 40}
		}},
		{"a dust of white", "", false, func(f fstest.MapFS, job object) {
			v := counts(f, "light.npy")
			for i := 0; i < len(v); i += 1500 {
				v[i] = 65535
			}
			put(f, "light.npy", madeWidth, v)
			delete(job, "linearity")
		}},
		{"given flare and known densities", "", false, func(f fstest.MapFS, job object) {
			job["flare"] = object{"fraction": 0.01}
			k := func(x int, d float64) object {
				return object{"file": "strip-C.npy", "shutter": "1/60", "box": []int{x, 70, 18, 40}, "density": d}
			}
			job["known"] = []object{k(26, 0.27), k(26+13*30, 1.04), k(26+19*30, 1.57)}
		}},
		{"known densities off the scale", "", false, func(f fstest.MapFS, job object) {
			k := func(x int, d float64) object {
				return object{"file": "strip-C.npy", "shutter": "1/60", "box": []int{x, 70, 18, 40}, "density": d}
			}
			job["known"] = []object{k(26, 0.27), k(26+13*30, 1.34), k(26+19*30, 1.57)}
		}},
		{"no dark", "no dark frame", false, func(f fstest.MapFS, job object) { delete(job, "dark") }},
		{"dark of a short time only", "dark frame was exposed for", false, func(f fstest.MapFS, job object) { job["dark"] = entry(job, "dark", 0) }},
		{"linearity not tested", "not tested", false, func(f fstest.MapFS, job object) { delete(job, "linearity") }},
	} {
		f, job := small(t)
		c.change(f, job)
		text, err := json.Marshal(job)
		if err != nil {
			t.Fatal(err)
		}
		f[jobFile] = &fstest.MapFile{Data: text}
		res, err := decoded(t, f)
		words.Refused(c.name, err)
		if c.error {
			if err == nil || !strings.Contains(err.Error(), c.says) {
				t.Errorf("%s: %v, want an error that says %q", c.name, err, c.says)
			} else if !errors.Is(err, check.ErrInput) && !errors.Is(err, fs.ErrNotExist) {
				t.Errorf("%s: %v is no error of the input", c.name, err)
			}
			continue
		}
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		if c.name == "light darker than film" && len(res.Written) != 0 {
			t.Errorf("%s: %v are written", c.name, res.Written)
		}
		var printed strings.Builder
		print(&printed, res)
		words.Look(c.name, res)
		words.Look(c.name+", printed", strings.Split(printed.String(), "\n"))
		said := strings.Join(append(res.Findings, res.warned()...), "\n")
		if !strings.Contains(said, c.says) {
			t.Errorf("%s: nothing says %q:\n%s", c.name, c.says, said)
		}
	}
}

func TestRefusesJobs(t *testing.T) {
	said := held.New(t)
	const light = `"light": {"file": "l.npy", "shutter": "1/60"}`
	strip := func(s string) string { return `{` + light + `, "strips": [{` + s + `}]}` }
	const good = `"strip": "A", "development": "6:00", "file": "a.npy", "shutter": "1/60", "box": [0, 0, 10, 10]`
	for _, c := range []struct{ text, says string }{
		{``, "ends too soon"}, {`[]`, "array"}, {`{`, "ends too soon"}, {`{} x`, "follows"},
		{strip(good + `, "strip": "B"`), "each member once"}, {strip(good + `, "Strip": "B"`), "capitals only"}, {`{"Light": 1}`, "small letters"}, {`{"light": "\ud800"}`, "half a character"},
		{`{"colour": 1}`, "colour"},
		{`{"channel": "luma"}`, "green"},
		{`{}`, "light"},
		{`{` + light + `}`, "strips or frames"},
		{`{"light": {"file": "l.npy", "shutter": 60}}`, "number"},
		{`{"light": {"file": "../l.npy", "shutter": "1/60"}, "strips": []}`, "name of a picture"},
		{`{"light": {"file": "l.npy", "shutter": "60"}}`, "could mean"},
		{`{"light": {"file": "l.npy"}, "strips": []}`, "shutter"},
		{strip(strings.Replace(good, "[0, 0, 10, 10]", "[1, 2, 3]", 1)), "a box"},
		{strip(strings.Replace(good, "[0, 0, 10, 10]", "[0, 0, 0, 3]", 1)), "width and height"},
		{strip(good + `, "steps": 65`), "1 to 64"},
		{strip(good + `, "along": "z"`), "direction"},
		{strip(strings.Replace(good, "6:00", "soon", 1)), "7:30"},
		{strip(good + `, "log_h_lx_s": {"first": -3}`), "step"},
		{strip(good + `, "log_h_lx_s": {"first": -3, "step": 0}`), "difference"},
		{strip(good + `, "log_h_lx_s": {"first": -3, "step": 9}, "steps": 3`), "log10"},
		{strip(good + `, "log_h_lx_s": [1, 2], "steps": 3`), "each of the 3"},
		{strip(good + `}, {` + strings.Replace(good, "[0,", "[1,", 1)), "joined pixel by pixel"},
		{strip(good + `}, {` + strings.Replace(good, "6:00", "7:00", 1)), "two developments"},
		{`{` + light + `, "flare": {"fraction": 1.2}, "strips": [{` + good + `}]}`, "percentage"},
		{`{` + light + `, "flare": {"fraction": 0.1, "file": "x.npy"}, "strips": [{` + good + `}]}`, "not both"},
		{`{` + light + `, "frames": [{"frame": 1, "ei": 0, "file": "f.npy", "shutter": "1/60", "patches": {"sky": [0, 0, 1, 1]}}]}`, "sky"},
		{`{` + light + `, "frames": [{"frame": true}]}`, "number or a name"},
		{`{` + light + `, "frames": [{"frame": "", "ei": 100, "file": "f.npy", "shutter": "1/60", "patches": {"shadow": [0, 0, 1, 1]}}]}`, "number or name"},
		{`{` + light + `, "frames": [{"frame": 1, "ei": 100, "file": "f.npy", "shutter": "1/60", "patches": {}}]}`, "boxes by"},
		{`{` + light + `, "frames": [{"frame": 1, "ei": 100, "file": "f.npy", "shutter": "1/60", "patches": {"shadow": [0, 0, 1, 1]}}, {"frame": 1, "ei": 200, "file": "g.npy", "shutter": "1/60", "patches": {"midtone": [0, 0, 1, 1]}}]}`, "first entry"},
		{`{"pixel_um": -1, ` + light + `, "strips": [{` + good + `}]}`, "micrometres"},
		{`{` + light + `, "known": [{"file": "a.npy", "shutter": "1s", "box": [1, 2, 3, 4], "density": -0.05}], "strips": [{` + good + `}]}`, "certificate"},
		{`{` + light + `, "known": [{"file": "a.npy", "shutter": "1s", "box": [1, 2, 3, 4]}], "strips": [{` + good + `}]}`, "certificate"},
		{strip(strings.Replace(good, `"strip": "A"`, `"strip": "A\u0007"`, 1)), "name of the strip"}, {strip(strings.Replace(good, `"strip": "A"`, `"strip": ""`, 1)), "name of the strip"},
		{strip(good + `, "unexposed": [0, 0, 0, 1]`), "width and height"},
	} {
		_, err := parse([]byte(c.text))
		if err == nil || !strings.Contains(err.Error(), c.says) || !said.Is("", err, check.ErrInput) {
			t.Errorf("%s: %v, want it to say %q", c.text, err, c.says)
		}
	}
	for _, text := range []string{strip(good + `, "steps": 1`), strip(good + `, "steps": 64`), strip(good + `, "log_h_lx_s": [1], "steps": 1`), strip(good + `, "log_h_lx_s": {"first": -9, "step": 0.2}, "steps": 64`), strip(good + `, "along": "y"`)} {
		_, err := parse([]byte(text))
		said.Refused(text, err)
	}
	if _, err := parse([]byte("\ufeff" + strip(good+`, "unexposed": [[0, 0, 1, 1], [2, 2, 3, 3]]`))); err != nil {
		t.Error(err)
	}
}

func TestRefusesCommandLines(t *testing.T) {
	said := held.New(t)
	empty := t.TempDir()
	for _, c := range []struct {
		args []string
		says string
	}{
		{[]string{"-dir", filepath.Join(empty, "no")}, "no such"},
		{[]string{"-dir", empty}, jobFile},
		{[]string{"pictures"}, "unknown argument"},
		{[]string{"-seed", "1"}, "not defined"},
	} {
		if _, err := try(t, c.args...); !said.Refused("", err) || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%v: %v, want it to say %q", c.args, err, c.says)
		}
	}
}

func FuzzJob(f *testing.F) {
	f.Add([]byte(`{"channel": "red", "pixel_um": 6, "light": {"file": "l.npy", "shutter": "1/60"}, "linearity": [{"file": "m.npy", "shutter": "1/125"}],
"known": [{"file": "a.npy", "shutter": "1s", "box": [1, 2, 3, 4], "density": 0.05}], "film": {"film": "x"},
"strips": [{"strip": "A", "development": "6:00", "file": "a.npy", "shutter": "1/60", "box": [0, 0, 99, 9], "along": "x", "steps": 21, "log_h_lx_s": {"first": -3.67, "step": 0.15}, "unexposed": [1, 1, 2, 2]}]}`))
	f.Add([]byte(`{"light": {"file": "l", "shutter": "1/60"}, "dark": [], "flare": {"fraction": 0.01}, "frames": [{"frame": "x", "ei": 400, "file": "f", "shutter": "2s", "patches": {"shadow": [[1, 2, 3, 4]]}}]}`))
	f.Fuzz(func(t *testing.T, text []byte) {
		j, err := parse(text)
		if err != nil {
			if !errors.Is(err, check.ErrInput) {
				t.Errorf("%v is no error of the input", err)
			}
			return
		}
		if _, err := measure(fstest.MapFS{}, j); err == nil {
			t.Error("measured without pictures")
		}
	})
}

// Each picture of a job that is not there is an error that names it.
func TestMissingPictures(t *testing.T) {
	f, job := small(t)
	text, err := json.Marshal(job)
	if err != nil {
		t.Fatal(err)
	}
	f[jobFile] = &fstest.MapFile{Data: text}
	for name := range f {
		if name == jobFile || !bytes.Contains(text, []byte(`"`+name+`"`)) {
			continue
		}
		without := maps.Clone(f)
		delete(without, name)
		if _, err := decoded(t, without); err == nil || !strings.Contains(err.Error(), name) {
			t.Errorf("without %s: %v", name, err)
		}
	}
}
