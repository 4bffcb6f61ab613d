package rolltest

import (
	"bytes"
	"fmt"
	"math"
	"math/rand/v2"
	"testing/fstest"
)

// Mishaps are what can befall a roll, "" for nothing.
var Mishaps = []string{"", "wild reading", "leak", "fog", "swap", "wrong time", "wild shadow", "frame off"}

// Design says how a roll was made.
type Design struct {
	Film      *Film
	Times     []float64 // minutes
	Steps     int
	Step      float64 // log10 H between steps
	Under     float64 // log10 H from the first step to the speed point of the middle strip
	Unexposed int
	SD        float64 // of a reading
	Stated    bool    // whether the files tell it
	Decimals  int
	Scatter   float64 // of the process, times 1 % of contrast, 0.01 of log H, 0.003 of base

	Target float64

	Frames      int // of the bracket; 0 for none
	FrameStep   float64
	FrameSD     float64
	Camera      float64 // stops by which the camera gives more than the standards say
	Developed   float64 // minutes of the bracket
	SayDevelop  bool
	ShadowsOnly bool

	Mishap string
	Size   float64 // of the mishap: density, stops, or the factor of a wrong time
}

// Draw draws a design of a film.
func Draw(f *Film, mishap string, r *rand.Rand) Design {
	d := Design{Film: f, Unexposed: r.IntN(4), SD: in(r, 0.004, 0.015), Stated: r.IntN(3) > 0, Decimals: 3 - r.IntN(4)/3,
		Scatter: 1, Mishap: mishap, Under: in(r, 0.3, 0.9)}
	n := 2 + r.IntN(5)
	from, to := in(r, 4, 6), in(r, 13, 20)
	for i := range n {
		d.Times = append(d.Times, math.Round(60*from*math.Pow(to/from, float64(i)/float64(n-1)))/60)
	}
	grid := [...]struct {
		n    int
		step float64
	}{{7, 0.45}, {11, 0.30}, {21, 0.15}, {31, 0.10}}[r.IntN(4)]
	d.Steps, d.Step = grid.n, grid.step
	// A target that the strips hold, or now and then do not.
	lo, hi := f.Gradient(d.Times[0]), f.Gradient(d.Times[n-1])
	d.Target = math.Round(1000*math.Max(0.15, lo+(hi-lo)*in(r, -0.1, 1.1))) / 1000
	if r.IntN(4) > 0 || mishap == "wild shadow" || mishap == "frame off" {
		d.Frames = [...]int{10, 7, 5}[r.IntN(3)]
		d.FrameStep = map[int]float64{10: 1. / 3, 7: 0.5, 5: 1}[d.Frames]
		d.FrameSD, d.Camera = 0.015, 0.3*r.NormFloat64()
		d.Developed = d.Times[r.IntN(n)]
		d.SayDevelop = r.IntN(4) > 0
		d.ShadowsOnly = r.IntN(4) == 0
	}
	sign := float64(2*r.IntN(2) - 1)
	switch mishap {
	case "wild reading", "wild shadow":
		d.Size = sign * in(r, 0.1, 0.3)
	case "leak", "fog":
		d.Size = in(r, 0.08, 0.2)
	case "wrong time":
		d.Size = [...]float64{0.6, 1.7}[r.IntN(2)]
	case "frame off":
		d.Size = sign * in(r, 0.5, 1)
	}
	return d
}

// Index is the true index at a development: of the bracket's shadow four stops under
// the meter reading, or of the fixed density for a roll without one.
func (d *Design) Index(minutes float64) float64 {
	h := math.Pow(10, d.Film.SpeedPoint(minutes))
	if d.Frames > 0 {
		return 8 / 16.0 * math.Exp2(d.Camera) / h
	}
	return 0.8 / h
}

// Made is a roll with what should be found in it.
type Made struct {
	Files  fstest.MapFS
	Strip  string // that a mishap befell; the first of two
	Other  string
	Step   int // from 1, in the order of the file
	Frame  string
	Line   int // of the reading in its file
	Design Design
}

// Make draws the readings.
func (d Design) Make(r *rand.Rand) Made {
	m := Made{Files: fstest.MapFS{}, Design: d}
	head := fmt.Sprintf(`{"film": "Test film (invented)", "process": "Bath (invented)", "light": "daylight", "target_average_gradient": %.3f`, d.Target)
	if d.Frames > 0 && d.SayDevelop {
		head += fmt.Sprintf(`, "bracket_development": "%gs"`, math.Round(d.Developed*60))
	}
	m.Files["test.json"] = &fstest.MapFile{Data: []byte(head + "}\n")}
	m.Files["strips.csv"] = &fstest.MapFile{Data: d.strips(&m, r)}
	if d.Frames > 0 {
		m.Files["bracket.csv"] = &fstest.MapFile{Data: d.bracket(&m, r)}
	}
	return m
}

// cell prints a density as it is read.
func (d *Design) cell(v float64) string { return fmt.Sprintf("%.*f", d.Decimals, math.Max(v, 0)) }

func (d *Design) sd(v float64) string {
	if !d.Stated {
		return ""
	}
	return fmt.Sprintf("%.3f", v)
}

func (d *Design) strips(m *Made, r *rand.Rand) []byte {
	var b bytes.Buffer
	b.WriteString("strip,development,log_h_lx_s,density,density_sd\n")
	n := len(d.Times)
	hit := r.IntN(n)
	labels := append([]float64(nil), d.Times...)
	name := func(i int) string { return fmt.Sprintf("S%d", i+1) }
	switch d.Mishap {
	case "swap":
		hit = r.IntN(n - 1)
		labels[hit], labels[hit+1] = labels[hit+1], labels[hit]
		m.Other = name(hit + 1)
	case "wrong time":
		labels[hit] = math.Round(60*labels[hit]*d.Size) / 60
	}
	m.Strip = name(hit)
	step, upTo := r.IntN(d.Steps), 2+r.IntN(max(d.Steps/3-1, 1))
	f := d.Film
	from := f.SpeedPoint(d.Times[n/2]) - d.Under
	line := 1
	for i, t := range d.Times {
		gain, shift, fog := 1+0.01*d.Scatter*r.NormFloat64(), 0.01*d.Scatter*r.NormFloat64(), 0.003*d.Scatter*r.NormFloat64()
		if d.Mishap == "fog" && i == hit {
			fog += d.Size
		}
		base := f.BaseFog(t) + fog
		row := func(x string, v float64) {
			line++
			fmt.Fprintf(&b, "%s,%gs,%s,%s,%s\n", name(i), math.Round(labels[i]*60), x, d.cell(v+d.SD*r.NormFloat64()), d.sd(d.SD))
		}
		for range d.Unexposed {
			row("", base)
		}
		for k := range d.Steps {
			x := math.Round(1000*(from+float64(k)*d.Step)) / 1000
			v := base + gain*f.Net(x+shift, t)
			switch {
			case i != hit:
			case d.Mishap == "wild reading" && k == step:
				v += d.Size
				m.Step, m.Line = k+1, line+1
			case d.Mishap == "leak" && k < upTo:
				v += d.Size
				m.Step, m.Line = k+1, line+1
			}
			row(fmt.Sprintf("%.3f", x), v)
		}
	}
	return b.Bytes()
}

func (d *Design) bracket(m *Made, r *rand.Rand) []byte {
	var b bytes.Buffer
	b.WriteString("frame,ei,patch,density,density_sd\n")
	f, t := d.Film, d.Developed
	true := math.Log2(d.Index(t))
	start := true - (float64(d.Frames-1)/2+in(r, -0.6, 0.6))*d.FrameStep
	line := 1
	near, best := 0, math.Inf(1)
	for i := range d.Frames {
		if e := math.Abs(start + float64(i)*d.FrameStep - true); e < best {
			near, best = i, e
		}
	}
	for i := range d.Frames {
		index := math.Exp2(start + float64(i)*d.FrameStep)
		off := 0.05 * r.NormFloat64()
		if d.Mishap == "frame off" && i == near {
			off += d.Size
			m.Frame, m.Line = fmt.Sprint(i+1), line+1
		}
		for k, tone := range []struct {
			name  string
			stops float64
		}{{"shadow", -4}, {"midtone", 0}, {"highlight", 3}} {
			if d.ShadowsOnly && k > 0 {
				break
			}
			x := math.Log10(8/index) + (tone.stops+d.Camera+off)*math.Log10(2)
			v := f.BaseFog(t) + f.Net(x, t) + d.FrameSD*r.NormFloat64()
			if d.Mishap == "wild shadow" && i == near && k == 0 {
				v += d.Size
				m.Frame, m.Line = fmt.Sprint(i+1), line+1
			}
			line++
			fmt.Fprintf(&b, "%d,%.2f,%s,%s,%s\n", i+1, index, tone.name, d.cell(v), d.sd(d.FrameSD))
		}
	}
	for range 2 {
		fmt.Fprintf(&b, "%d,%.2f,unexposed,%s,%s\n", 1, math.Exp2(start), d.cell(f.BaseFog(t)+d.FrameSD*r.NormFloat64()), d.sd(d.FrameSD))
	}
	return b.Bytes()
}
