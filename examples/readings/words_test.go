package main

import (
	"encoding/json"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/vg"

	"example.org/actinic/examples/internal/figure"
	"example.org/actinic/examples/internal/golden"
	"example.org/actinic/internal/copystand"
	"example.org/actinic/internal/held"
	"example.org/actinic/sensito/scan"
)

func at(v float64) *float64 { return &v }

// results are such as pictures seldom give, one thing different in each.
func results() map[string]*result {
	full := func(change func(r *result)) *result {
		r := &result{Channel: "green", film: "A (invented)", Pictures: []origin{{"a.npy", "NumPy", "uint16", "green"}, {"b.npy", "NumPy", "uint16", "green"}, {"c.png", "PNG", "uint16", "green"}},
			Linearity: &linearity{Slope: 1.001, Linear: true, Frames: []linearityFrame{{"a", 0.1, 100, 0.01}, {"b", 0.2, 200, -0.02}}},
			Flare:     flareFound{Fraction: at(0.0123), SD: at(0.0004)}, Noise: noise{ElectronsPerCount: at(2.5), ReadElectrons: at(4.25), Source: "pairs of frames"},
			Tie: &tie{Scale: 1.0234, Applied: true, Places: []knownRead{{}, {}}}, Findings: []string{"A finding."},
			Patches: []patch{{Strip: "A", Step: 1, LogH: at(-2), Density: at(0.31), SD: at(0.0021), Pixels: 100, SetAside: 2, Exposures: 2},
				{Strip: "A", Patch: "unexposed", Density: at(0.21), SD: at(0.0011), Warnings: []string{"a warning"}}, {Frame: "1", Patch: "shadow", EI: 400, Density: at(0.5), SD: at(0.004)},
				{Strip: "B", Step: 1}},
			strips: []stripFound{{"A", []float64{0.1, 0.2, 0.3, 0.4, 0.5, 0.6}, []scan.Span{{First: 0, End: 3}, {First: 3, End: 6}}}}, brighter: map[string]bool{}}
		change(r)
		return r
	}
	return map[string]*result{
		"full": full(func(*result) {}), "no film": full(func(r *result) { r.film, r.Invented = "", true }), "grey": full(func(r *result) { r.Pictures[0].Channel = "grey" }), "no pictures": full(func(r *result) { r.Pictures = nil }),
		"not linear": full(func(r *result) { r.Linearity.Linear = false }), "not tested": full(func(r *result) { r.Linearity = nil }), "no times": full(func(r *result) { r.Linearity.Frames = nil }),
		"flare given": full(func(r *result) { r.Flare.SD = nil }), "no flare": full(func(r *result) { r.Flare = flareFound{} }), "no noise": full(func(r *result) { r.Noise = noise{Source: "not known"} }),
		"no tie": full(func(r *result) { r.Tie = nil }), "tie not applied": full(func(r *result) { r.Tie.Applied = false }), "no strips": full(func(r *result) { r.strips, r.Patches = nil, r.Patches[2:3] }),
		"no frames": full(func(r *result) { r.Patches = r.Patches[:2] }), "nothing": full(func(r *result) { r.strips, r.Patches, r.Linearity = nil, nil, nil }),
		"brighter": full(func(r *result) { r.brighter["strip A"], r.brighter["frame 1"] = true, true }), "large": full(func(r *result) { r.Linearity.Frames[1].Departure = -0.2 }),
		"no deviation": full(func(r *result) { r.Patches[0].SD, r.Patches[1].SD = nil, at(0.00004) }), "two of one": full(func(r *result) { r.Patches[0].SD, r.Patches[1].SD = at(0.00005), at(1) }),
		"long": full(func(r *result) { r.strips[0].profile = slices.Repeat([]float64{0.5}, 1501) }), "not so long": full(func(r *result) { r.strips[0].profile = slices.Repeat([]float64{0.5}, 1500) }),
	}
}

// What is said, written and drawn of results is what it was.
func TestWords(t *testing.T) {
	said := held.New(t)
	j := &job{Strips: []stripOf{{Strip: "A", Development: "6:00"}, {Strip: "A", Development: "6:00"}, {Strip: "B", Development: "8:00"}, {Strip: "C", Development: "8:00"}}}
	for name, r := range results() {
		var out strings.Builder
		print(&out, r)
		said.Values(name+", printed", out.String())
		said.Values(name+", tables", r.stripRows(j), r.frameRows(), r.Findings, r.warned(), r.title("Readings"))
		for of, draw := range map[string]func(*result) *plot.Plot{"profiles": profiles, "linearity": linearityPlot, "noise": sdPlot} {
			p := draw(r)
			if p == nil {
				said.Values(name+", "+of, "none")
				continue
			}
			files := figure.Files{}
			if err := files.Draw("x", p, 10*vg.Centimeter, 6*vg.Centimeter); err != nil {
				t.Errorf("%s, %s: %v", name, of, err)
			}
			said.Values(name+", "+of, round(p.X.Min), round(p.X.Max), round(p.Y.Min), round(p.Y.Max), strings.Count(string(files["x.svg"]), "L"))
		}
		if r.Linearity != nil && r.Patches != nil {
			said.Values(name+", shown", profileWords(r), linearityWords(r), sdWords(r))
		}
	}
}

func round(v float64) float64 { return math.Round(v*1e6) / 1e6 }

// tiny is a job on small pictures: every kind of picture once.
func tiny(t *testing.T, change func(job map[string]any)) map[string]string {
	t.Helper()
	const w, h = 96, 72
	m := &maker{stand: copystand.New(w, h), r: rand.New(rand.NewPCG(7, 7)), files: fstest.MapFS{}}
	m.stand.Flare = 0.02
	full := math.Exp2(-6)
	open := slices.Repeat([]float64{1}, w*h)
	m.put("light.npy", m.stand.Expose(m.r, open, full))
	m.put("light2.npy", m.stand.Expose(m.r, open, full/2))
	m.put("dark.npy", m.stand.Dark(m.r, full))
	opaque := slices.Clone(open)
	for i := range opaque {
		if x, y := i%w-26, i/w-16; x >= 0 && x < 40 && y >= 0 && y < 40 {
			opaque[i] = 0
		}
	}
	m.put("opaque.npy", m.stand.Expose(m.r, opaque, full))
	m.film(func(x, y int) float64 { return 0.2 + 0.4*math.Floor(float64(x)/24) }, []string{"wedge.npy"}, []float64{full})
	type object = map[string]any
	job := object{"channel": "green", "pixel_um": 12.0, "light": object{"file": "light.npy", "shutter": "1/60"}, "dark": []object{{"file": "dark.npy", "shutter": "1/60"}},
		"flare":     object{"file": "opaque.npy", "shutter": "1/60", "box": []int{30, 20, 30, 30}},
		"linearity": []object{{"file": "light2.npy", "shutter": "1/125"}},
		"known":     []object{{"file": "wedge.npy", "shutter": "1/60", "box": []int{4, 4, 16, 60}, "density": 0.2}, {"file": "wedge.npy", "shutter": "1/60", "box": []int{52, 4, 16, 60}, "density": 1.0}},
		"strips": []object{{"strip": "A", "development": "6:00", "file": "wedge.npy", "shutter": "1/60", "box": []int{0, 4, 96, 60}, "along": "x", "steps": 4,
			"log_h_lx_s": map[string]float64{"first": -3, "step": 0.3}}},
		"frames": []object{{"frame": 1, "ei": 400, "file": "wedge.npy", "shutter": "1/60", "patches": object{"shadow": []int{28, 4, 16, 60}, "midtone": []int{76, 4, 16, 60}}}},
	}
	change(job)
	files := map[string]string{}
	for name, f := range m.files {
		files["job/"+name] = string(f.Data)
	}
	text, err := json.Marshal(job)
	if err != nil {
		t.Fatal(err)
	}
	files["job/readings.json"] = string(text)
	return files
}

// Jobs on small pictures with one member changed say what they said; each file that cannot be read is an error.
func TestTinyJobs(t *testing.T) {
	golden.Faults(t, run, tiny(t, func(map[string]any) {}), "-json -dir IN/job")
	set := func(list string, i int, member string, v any) func(map[string]any) {
		return func(job map[string]any) { job[list].([]map[string]any)[i][member] = v }
	}
	for name, change := range map[string]func(map[string]any){
		"whole": func(map[string]any) {}, "flare given": func(job map[string]any) { job["flare"] = map[string]any{"fraction": 0.01} },
		"no pixel": func(job map[string]any) { delete(job, "pixel_um") }, "one known": func(job map[string]any) { job["known"] = job["known"].([]map[string]any)[:1] },
		"known off": set("known", 1, "density", 1.3), "known odd": set("known", 1, "density", 0.5), "known outside": set("known", 1, "box", []int{52, 4, 45, 60}), "at the edge": set("known", 1, "box", []int{56, 4, 40, 68}),
		"one step": set("strips", 0, "steps", 1), "list": set("strips", 0, "log_h_lx_s", []float64{-3, -2.7, -2.4, -2.1}),
		"short list": set("strips", 0, "log_h_lx_s", []float64{-3, -2.7}),
		"long film":  set("frames", 0, "shutter", "1/13"), "longer film": set("frames", 0, "shutter", "1/15"), "dark light": set("dark", 0, "file", "light.npy"),
		"flare of film": func(job map[string]any) {
			job["flare"] = map[string]any{"file": "light.npy", "shutter": "1/60", "box": []int{30, 20, 30, 30}}
		},
		"tiny box": set("frames", 0, "patches", map[string]any{"shadow": []int{28, 4, 1, 1}}),
	} {
		line := "-dir IN/job -json"
		if name == "whole" || name == "list" {
			line = "-dir IN/job -out OUT"
		}
		golden.Lines(t, name, run, tiny(t, change), line)
	}
}
