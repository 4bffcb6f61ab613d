package main

import (
	"encoding/binary"
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"testing/fstest"

	"example.org/actinic/examples/internal/command"
	"example.org/actinic/internal/copystand"
	"example.org/actinic/internal/npy"
	"example.org/actinic/sensito"
)

// The invented film that the program's own pictures show: a very fast one, tested before
// recording a disused slate quarry.
const (
	madeLimit     = 1.00  // of the slope of the straight part
	madeRate      = 0.085 // a minute
	madeInduction = 0.7   // minutes
	madeFlare     = 0.008
	madeWidth     = 720
	madeHeight    = 180
	madeSteps     = 21
	madeFirst     = -3.67 // log10 H of the first step
	madeStep      = 0.15
)

func madeFilm(minutes float64) *sensito.ClosedForm {
	return command.Ours(sensito.NewClosedForm(sensito.Constants{
		BaseFog: sensito.Density(0.20 + 0.005*minutes), Gamma: madeLimit * -math.Expm1(-madeRate*(minutes-madeInduction)),
		Toe: sensito.LogH(-3.0 + 0.5*math.Exp(-minutes/4)), ToeWidth: 0.25, Shoulder: 2.3, Sharpness: 5,
	}))
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

// film photographs a field of densities for each time.
func (m *maker) film(density func(x, y int) float64, names []string, seconds []float64) {
	d := make([]float64, m.stand.Width*m.stand.Height)
	for i := range d {
		d[i] = density(i%m.stand.Width, i/m.stand.Width)
	}
	t := copystand.Film(m.r, d, m.stand.Width, 0.025, 2)
	copystand.Dust(m.r, t, m.stand.Width, 5)
	for i, name := range names {
		m.put(name, m.stand.Expose(m.r, t, seconds[i]))
	}
}

// density is that of the film at an exposure.
func density(f *sensito.ClosedForm, x float64) float64 {
	return float64(command.Ours(f.Density(sensito.LogH(x))))
}

// shippedSeed is that of the program's own pictures.
const shippedSeed = 12

// quarry makes the program's own pictures, with a readings.json.
func quarry(seed uint64) fstest.MapFS {
	m := &maker{stand: copystand.New(madeWidth, madeHeight), r: rand.New(rand.NewPCG(1862, seed)), files: fstest.MapFS{}}
	m.stand.Flare = madeFlare
	full, long := math.Exp2(-6), math.Exp2(-2)
	open := make([]float64, madeWidth*madeHeight)
	for i := range open {
		open[i] = 1
	}
	m.put("light.npy", m.stand.Expose(m.r, open, full))
	m.put("light2.npy", m.stand.Expose(m.r, open, full/2))
	m.put("light3.npy", m.stand.Expose(m.r, open, full/4))
	m.put("dark.npy", m.stand.Dark(m.r, full))
	m.put("dark-long.npy", m.stand.Dark(m.r, long))
	opaque := append([]float64(nil), open...)
	for i := range opaque {
		if x, y := i%madeWidth-310, i/madeWidth-60; x >= 0 && x < 100 && y >= 0 && y < 60 {
			opaque[i] = 0
		}
	}
	m.put("opaque.npy", m.stand.Expose(m.r, opaque, full))
	type object = map[string]any
	job := object{
		"channel": "green", "pixel_um": 12.0,
		"light":     object{"file": "light.npy", "shutter": "1/60"},
		"dark":      []object{{"file": "dark.npy", "shutter": "1/60"}, {"file": "dark-long.npy", "shutter": "1/4"}},
		"flare":     object{"file": "opaque.npy", "shutter": "1/60", "box": []int{325, 70, 70, 40}},
		"linearity": []object{{"file": "light2.npy", "shutter": "1/125"}, {"file": "light3.npy", "shutter": "1/250"}},
		"strips":    m.strips(full, long), "frames": m.frames(full, long),
		"film": object{"film": "Chwarel Rapid (invented)", "process": "Tarren 1+31 at 20 °C, inverted once a minute (invented)",
			"light": "sensitometric daylight, 1/50 s", "target_average_gradient": 0.58, "bracket_development": "12:00"},
	}
	m.files[jobFile] = &fstest.MapFile{Data: command.Ours(json.MarshalIndent(job, "", "  "))}
	return m.files
}

// strips are tablets in a frame of bare film, with an unexposed end.
func (m *maker) strips(full, long float64) (out []map[string]any) {
	const left, top, wide, high, step = 20, 60, 30 * madeSteps, 60, 30
	for i, s := range []struct {
		name, text string
		minutes    float64
	}{{"A", "6:00", 6}, {"B", "8:30", 8.5}, {"C", "12:00", 12}, {"D", "17:00", 17}} {
		f := madeFilm(s.minutes)
		slant := 0.003 * float64(i-1)
		base := density(f, -8)
		files := []string{"strip-" + s.name + ".npy", "strip-" + s.name + "-long.npy"}
		m.film(func(x, y int) float64 {
			along, across := float64(x-left)+slant*float64(y-madeHeight/2), float64(y-top)-slant*float64(x-madeWidth/2)
			switch k := math.Floor(along / step); {
			case across < -40 || across > high+40:
				return 0 // the bare table
			case across < -1 || across > high+1 || k < 0 || k >= madeSteps:
				return base
			default:
				return density(f, madeFirst+madeStep*k)
			}
		}, files, []float64{full, long})
		for k, shutter := range []string{"1/60", "1/4"} {
			out = append(out, map[string]any{"strip": s.name, "development": s.text, "file": files[k], "shutter": shutter,
				"box": []int{left, top, wide, high}, "along": "x", "steps": madeSteps,
				"log_h_lx_s": map[string]float64{"first": madeFirst, "step": madeStep}, "unexposed": []int{left + wide + 8, top, 50, high}})
		}
	}
	return out
}

// frames are a bracket: three cards in each, beside bare film.
func (m *maker) frames(full, long float64) (out []map[string]any) {
	f := madeFilm(12)
	boxes := map[string][]int{"shadow": {60, 40, 120, 100}, "midtone": {240, 40, 120, 100},
		"highlight": {420, 40, 120, 100}, "unexposed": {600, 40, 100, 100}}
	for i, ei := range []float64{200, 250, 320, 400, 500, 640, 800} {
		meter := math.Log10(8 / ei)
		off := 0.03 * m.r.NormFloat64() * math.Log10(2) // the shutter's own
		tones := [...]float64{density(f, meter-4*math.Log10(2)+off), density(f, meter+off),
			density(f, meter+3*math.Log10(2)+off), density(f, -8)}
		files := []string{fmt.Sprintf("frame-%d.npy", i+1), fmt.Sprintf("frame-%d-long.npy", i+1)}
		m.film(func(x, y int) float64 {
			if k := (x - 30) / 180; x >= 30 && k < 3 && y > 15 && y < madeHeight-15 {
				return tones[k]
			}
			return tones[3]
		}, files, []float64{full, long})
		for k, shutter := range []string{"1/60", "1/4"} {
			out = append(out, map[string]any{"frame": i + 1, "ei": ei, "file": files[k], "shutter": shutter, "patches": boxes})
		}
	}
	return out
}
