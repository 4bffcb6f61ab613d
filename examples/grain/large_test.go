package main

import (
	"encoding/binary"
	"encoding/json"
	"flag"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"testing"

	"example.org/actinic/internal/npy"
)

var largeTo = flag.String("grain.large", "", "new directory for pictures of 24 megapixels, to time the program on")

// Writes a job of pictures of 6000 × 4000 pixels whose patches are nearly all of them. README and
// DEVELOPERS say what the program takes for them.
func TestWriteLargePictures(t *testing.T) {
	if *largeTo == "" {
		t.Skip("-grain.large names a directory")
	}
	const w, h = 6000, 4000
	if err := os.MkdirAll(*largeTo, 0o755); err != nil {
		t.Fatal(err)
	}
	r := rand.New(rand.NewPCG(24, 24))
	normal := make([]float32, 1<<20) // drawn once: a fourth of a minute a picture otherwise
	for i := range normal {
		normal[i] = float32(r.NormFloat64())
	}
	grain := make([]float32, w*h)
	for i := range grain {
		grain[i] = normal[r.Uint32()>>12]
	}
	put := func(name string, light func(i int) float64) {
		b := npy.Header(npy.Uint16, h, w)
		for i := range w * h {
			e := 4 * light(i)
			v := (e+math.Sqrt(max(e, 0)+36)*float64(normal[r.Uint32()>>12]))/4 + 512
			b = binary.LittleEndian.AppendUint16(b, uint16(min(max(v, 0), 16383)))
		}
		if err := os.WriteFile(filepath.Join(*largeTo, name), b, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	edge := func(i int) float64 {
		x, y := float64(i%w)-w/2, float64(i/w)-h/2
		return 1 / (1 + math.Exp(-(x*math.Cos(0.0873)+y*math.Sin(0.0873))/0.5))
	}
	noise := func(i int) float64 {
		if i < w+1 {
			return 0
		}
		return 0.04 * float64(grain[i]+grain[i-1]+grain[i-w]+grain[i-w-1])
	}
	put("light.npy", func(int) float64 { return 12000 })
	put("dark.npy", func(int) float64 { return 0 })
	put("razor.npy", func(i int) float64 { return 12000 * edge(i) })
	type object = map[string]any
	var patches []object
	for k, d := range []float64{0.5, 1.0} {
		names := []string{}
		for _, f := range []string{"a", "b"} {
			name := string(rune('0'+k)) + f + ".npy"
			put(name, func(i int) float64 { return 12000 * math.Pow(10, -d-math.Sqrt(d)*noise(i)) })
			names = append(names, name)
		}
		patches = append(patches, object{"step": k + 1, "files": names, "shutter": "1/60", "box": []int{50, 50, w - 100, h - 100}, "gradient": 0.6})
	}
	put("edge.npy", func(i int) float64 { return 12000 * math.Pow(10, -0.4-0.6*math.Log10(1+9*edge(i))-0.5*noise(i)) })
	box := []int{w/2 - 200, h/2 - 500, 400, 1000}
	job, err := json.Marshal(object{"pixel_um": 4.0, "light": object{"file": "light.npy", "shutter": "1/60"}, "dark": object{"file": "dark.npy", "shutter": "1/60"},
		"flare": object{"fraction": 0.0}, "camera_edge": object{"file": "razor.npy", "shutter": "1/60", "box": box}, "patches": patches,
		"film_edge": object{"file": "edge.npy", "shutter": "1/60", "box": box, "contrast_density": []float64{0.4, 1.0}}})
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(*largeTo, jobFile), job, 0o644); err != nil {
		t.Fatal(err)
	}
}
