package main

import (
	"encoding/binary"
	"encoding/json"
	"math"
	"math/rand/v2"
	"testing/fstest"

	"example.org/actinic"
	"example.org/actinic/examples/internal/command"
	"example.org/actinic/internal/copystand"
	"example.org/actinic/internal/npy"
	"example.org/actinic/sensito"
)

// What the program's own pictures show: a very fast film, tested before recording a disused
// slate quarry. Film, developer and camera are invented.
const (
	madeFilm    = "Garnedd Swift"
	madeProcess = "Tarren"
	madePixel   = 4   // µm, and steps of a µm in which the film is made
	madeLens    = 3.0 // µm: spread of the camera's lens
	madeWidth   = 320
	madeHeight  = 320
	madeFlare   = 0.006
	// The granularity in points is madeGrain D^madeFall, with a correlation of madeSize µm.
	madeGrain = 0.085
	madeFall  = 0.6
	madeSize  = 2.0
	// The film spreads light by madeSpread µm, and its development sharpens by a share that comes
	// from madeWide µm.
	madeSpread, madeWide, madeSharper = 5.0, 22.0, 0.12
	madeSlant                         = 5.0 // degrees
)

// madeResponse is the film's in cycles/mm.
func madeResponse(f float64) float64 {
	g := func(s float64) float64 { x := math.Pi * s * f / 1000; return math.Exp(-2 * x * x) }
	return (1+madeSharper)*g(madeSpread) - madeSharper*g(madeWide)
}

// maker photographs an invented film.
type maker struct {
	stand copystand.Stand
	r     *rand.Rand
	files fstest.MapFS
}

// put writes counts as a NumPy array.
func (m *maker) put(name string, v []uint16) {
	b := npy.Header(npy.Uint16, m.stand.Height, m.stand.Width)
	for _, x := range v {
		b = binary.LittleEndian.AppendUint16(b, x)
	}
	m.files[name] = &fstest.MapFile{Data: b}
}

// optics brings transmittances by µm to the camera's pixels.
func optics(t []float64) []float64 {
	return copystand.Optics(t, madeWidth*madePixel, madeHeight*madePixel, madePixel, madeLens)
}

// grained turns densities by µm into transmittances with grain, whose mean is that of the
// density.
func (m *maker) grained(d []float64) []float64 {
	z := copystand.Correlated(m.r, madeWidth*madePixel, madeHeight*madePixel, madeSize)
	for i, v := range z {
		s := madeGrain * math.Pow(d[i], madeFall) * math.Ln10
		z[i] = math.Exp(-d[i]*math.Ln10 + s*v - s*s/2)
	}
	return z
}

// shippedSeed is that of the program's own pictures.
const shippedSeed = 5

// quarry makes the program's own pictures with a structure.json, and the film they are of.
func quarry(seed uint64) (fstest.MapFS, *actinic.Film) {
	film := command.Ours(actinic.LoadFilm(madeFilm))
	curve := command.Ours(command.Ours(film.Process(madeProcess)).Curve(0))
	m := &maker{stand: copystand.New(madeWidth, madeHeight), r: rand.New(rand.NewPCG(1862, seed)), files: fstest.MapFS{}}
	m.stand.Flare = madeFlare
	full, long := math.Exp2(-6), math.Exp2(-3)
	n := madeWidth * madeHeight
	open := make([]float64, n)
	for i := range open {
		open[i] = 1
	}
	m.put("light.npy", m.stand.Expose(m.r, open, full))
	m.put("dark.npy", m.stand.Dark(m.r, full))
	m.put("dark-long.npy", m.stand.Dark(m.r, long))
	razor := optics(copystand.Edge(madeWidth*madePixel, madeHeight*madePixel, madeSlant, copystand.Sharp))
	m.put("razor.npy", m.stand.Expose(m.r, razor, full))
	type object = map[string]any
	edge := []int{60, 10, madeWidth - 120, madeHeight - 20}
	job := object{
		"channel": "green", "pixel_um": float64(madePixel),
		"light":       object{"file": "light.npy", "shutter": "1/60"},
		"dark":        []object{{"file": "dark.npy", "shutter": "1/60"}, {"file": "dark-long.npy", "shutter": "1/8"}},
		"flare":       object{"fraction": madeFlare},
		"camera_edge": object{"file": "razor.npy", "shutter": "1/60", "box": edge},
	}
	job["patches"] = m.patches(curve, full, long)
	low, high := m.filmEdge(curve, full)
	job["film_edge"] = object{"file": "edge.npy", "shutter": "1/60", "box": edge, "contrast_density": []float64{low, high}}
	m.files[jobFile] = &fstest.MapFile{Data: command.Ours(json.MarshalIndent(job, "", "  "))}
	return m.files, film
}

// madeSteps are the steps of the tablet that are photographed, with their exposures.
var madeSteps = []struct {
	step int
	logH sensito.LogH
}{{3, -3.35}, {6, -2.90}, {9, -2.45}, {12, -2.00}, {15, -1.55}, {19, -0.95}}

// patches photographs each step twice, dense ones longer.
func (m *maker) patches(curve sensito.Curve, full, long float64) (out []map[string]any) {
	for _, s := range madeSteps {
		d, g := command.Ours(curve.Density(s.logH)), command.Ours(curve.Slope(s.logH))
		even := make([]float64, madeWidth*madeHeight*madePixel*madePixel)
		for i := range even {
			even[i] = float64(d)
		}
		t := optics(m.grained(even))
		copystand.Dust(m.r, t, madeWidth, 3)
		time, shutter := full, "1/60"
		if d > 1 {
			time, shutter = long, "1/8"
		}
		names := []string{}
		for _, k := range []string{"a", "b"} {
			name := "step-" + string(rune('0'+s.step/10)) + string(rune('0'+s.step%10)) + k + ".npy"
			m.put(name, m.stand.Expose(m.r, t, time))
			names = append(names, name)
		}
		out = append(out, map[string]any{"step": s.step, "files": names, "shutter": shutter, "gradient": math.Round(1000*g) / 1000,
			"box": []int{20, 20, madeWidth - 40, madeHeight - 40}})
	}
	return out
}

// filmEdge photographs an edge that was printed on the film by contact.
func (m *maker) filmEdge(curve sensito.Curve, full float64) (low, high float64) {
	const dark, bright = sensito.LogH(-2.8), sensito.LogH(-1.7)
	a, b := math.Pow(10, float64(dark)), math.Pow(10, float64(bright))
	fine, wide := copystand.Blurred(madeSpread), copystand.Blurred(madeWide)
	d := copystand.Edge(madeWidth*madePixel, madeHeight*madePixel, madeSlant, func(x float64) float64 {
		return (1+madeSharper)*fine(x) - madeSharper*wide(x)
	})
	for i, share := range d {
		d[i] = float64(command.Ours(curve.Density(sensito.LogH(math.Log10(a + (b-a)*share)))))
	}
	m.put("edge.npy", m.stand.Expose(m.r, optics(m.grained(d)), full))
	lo, hi := command.Ours(curve.Density(dark)), command.Ours(curve.Density(bright))
	return math.Round(100*float64(lo)) / 100, math.Round(100*float64(hi)) / 100
}
