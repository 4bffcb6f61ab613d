package main

import (
	"context"
	"io"
	"math"

	"example.org/actinic/examples/internal/command"
	"example.org/actinic/filters"
	"example.org/actinic/internal/npy"
)

// The demonstration: a disused slate quarry at dusk, invented. Dark mills on the
// left, bright tips of slate against the sky, the wheel and frame of a winding
// engine on the right, foliage and waste in front, a grey card at the foot.

// Surfaces by their place in filters.Subjects.
const (
	sky = iota
	foliage
	skin
	blueSlate
	purpleSlate
	greenSlate
	lichen
	rust
	greyCard
)

// scene returns what is at u across and v down, 0 to 1, and how brightly it is lit.
func scene(u, v float64) (what int, light float64) {
	grain := func(scale, depth float64) float64 { return 1 + depth*(noise(u*scale, v*scale*0.7)-0.5) }
	// The card stands in the foreground.
	if u > 0.455 && u < 0.515 && v > 0.86 && v < 0.94 {
		return greyCard, 0.9
	}
	// The winding engine: a wheel on a frame of iron.
	x, y := (u-0.80)*1.6, v-0.40
	r := math.Hypot(x, y)
	switch spoke := math.Abs(math.Sin(4 * math.Atan2(y, x))); {
	case r > 0.115 && r < 0.135, r < 0.018:
		return rust, 1.5 * grain(90, 0.5)
	case r < 0.12 && spoke*r < 0.006:
		return rust, 1.2 * grain(90, 0.5)
	case y > 0 && v < 0.80 && (math.Abs(x-y*0.42) < 0.011 || math.Abs(x+y*0.42) < 0.011), v > 0.60 && v < 0.612 && math.Abs(x) < 0.085:
		return rust, 0.9 * grain(90, 0.5)
	}
	// The mills: walls, roofs, and windows without glass.
	for _, m := range [][4]float64{{0.03, 0.25, 0.55, 0.85}, {0.21, 0.37, 0.63, 0.87}} {
		left, right, eaves, foot := m[0], m[1], m[2], m[3]
		mid := (left + right) / 2
		roof := eaves - 0.10*(1-math.Abs(u-mid)/(right-left)*2)
		switch {
		case u < left || u > right || v < roof || v > foot:
		case v < eaves:
			if noise(u*70, v*50) > 0.72 {
				return lichen, 0.30 * grain(200, 0.5)
			}
			return purpleSlate, 0.45 * (0.8 + 0.4*math.Abs(math.Sin(v*900))) * grain(120, 0.4)
		case math.Mod(u-left, 0.055) > 0.022 && math.Mod(u-left, 0.055) < 0.042 && v > eaves+0.06 && v < eaves+0.15:
			return blueSlate, 0.03
		default:
			return purpleSlate, 0.16 * grain(160, 0.8)
		}
	}
	// The foreground: waste, and a bank of bracken.
	ground := 0.80 + 0.03*math.Sin(5*u) + 0.02*(noise(u*18, 0)-0.5)
	if v > ground {
		if v > 0.90+0.05*math.Sin(3*u+1) {
			return foliage, 0.9 * grain(240, 1.2)
		}
		return blueSlate, 0.55 * grain(200, 1.0)
	}
	// Tips, the nearest first: cones of waste that catch the last light.
	for _, t := range []struct {
		top, at, fall float64
		what          int
		light         float64
	}{
		{0.46, 0.55, 0.95, greenSlate, 2.2}, {0.30, 0.68, 0.80, blueSlate, 3.2}, {0.36, 0.38, 0.75, purpleSlate,
			2.4}, {0.42, 0.96, 0.70, blueSlate, 1.8},
	} {
		edge := t.top + t.fall*math.Abs(u-t.at) + 0.012*(noise(u*40, t.at*9)-0.5)
		if v > edge {
			side := 1.0
			if u < t.at {
				side = 0.55
			}
			return t.what, t.light * side * (0.75 + 0.5*noise((u-t.at)/(v-edge+0.12)*9, t.at)) * grain(300, 0.35)
		}
	}
	cloud := noise(u*4+3, v*11)
	return sky, (0.55 + 1.1*v) * (1 + 0.25*max(0, cloud-0.55))
}

// noise is smooth and repeats nowhere near, 0 to 1.
func noise(x, y float64) float64 {
	x0, y0 := math.Floor(x), math.Floor(y)
	h := func(i, j float64) float64 {
		n := uint64(int64(i))*0x9e3779b97f4a7c15 ^ uint64(int64(j))*0xc2b2ae3d27d4eb4f
		n ^= n >> 29
		n *= 0xbf58476d1ce4e5b9
		n ^= n >> 32
		return float64(n&0xffff) / 0xffff
	}
	s := func(t float64) float64 { return t * t * (3 - 2*t) }
	fx, fy := s(x-x0), s(y-y0)
	a := h(x0, y0) + (h(x0+1, y0)-h(x0, y0))*fx
	b := h(x0, y0+1) + (h(x0+1, y0+1)-h(x0, y0+1))*fx
	return a + (b-a)*fy
}

// writeQuarry writes the scene as a cube, a row at a time.
func writeQuarry(ctx context.Context, w io.Writer, rows, columns int, bands []float64, step func(done int)) error {
	subjects := filters.Subjects()
	table := make([][]float32, len(subjects))
	for i, s := range subjects {
		for _, nm := range bands {
			table[i] = append(table[i], float32(command.Ours(s.Reflectance.At(nm))))
		}
	}
	if _, err := w.Write(npy.Header(npy.Float32, rows, columns, len(bands))); err != nil {
		return err
	}
	row, raw := make([]float32, columns*len(bands)), make([]byte, 4*columns*len(bands))
	for y := range rows {
		if err := context.Cause(ctx); err != nil {
			return err
		}
		for x := range columns {
			what, light := scene((float64(x)+0.5)/float64(columns), (float64(y)+0.5)/float64(rows))
			px := row[x*len(bands) : (x+1)*len(bands)]
			for b, v := range table[what] {
				px[b] = v * float32(light)
			}
		}
		if err := npy.WriteFloats(w, row, raw); err != nil {
			return err
		}
		step(y + 1)
	}
	return nil
}
