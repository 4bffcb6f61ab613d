// Package figure holds what the examples' pictures share: a plain look that can be
// read in grey, and files that are whole or absent.
package figure

import (
	"bytes"
	"fmt"
	"image/color"
	"math"
	"strconv"
	"strings"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/plotter"
	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
	"gonum.org/v1/plot/vg/vgimg"
	"gonum.org/v1/plot/vg/vgsvg"

	"example.org/actinic/internal/wholedir"
)

// Greys from dark to light. Lines are told apart by dashes and labels as well.
var (
	Black = color.Gray{0x10}
	Dark  = color.Gray{0x48}
	Mid   = color.Gray{0x80}
	Light = color.Gray{0xb8}
	Band  = color.Gray{0xdc}
)

// Dashes by number; the first is a whole line.
var Dashes = [][]vg.Length{nil, {6, 2}, {2, 2}, {8, 2, 2, 2}, {12, 3}, {1, 3}, {8, 2, 2, 2, 2, 2}, {4, 4}}

// New returns an empty plot with titled axes.
func New(title, x, y string) *plot.Plot {
	p := plot.New()
	sans := func(s *text.Style, size vg.Length) {
		s.Font.Typeface, s.Font.Variant, s.Font.Size = "Liberation", "Sans", size
		s.Color = Black
	}
	p.Title.Text = title
	p.X.Label.Text, p.Y.Label.Text = x, y
	sans(&p.Title.TextStyle, 10.5)
	sans(&p.X.Label.TextStyle, 10)
	sans(&p.Y.Label.TextStyle, 10)
	sans(&p.X.Tick.Label, 9)
	sans(&p.Y.Tick.Label, 9)
	sans(&p.Legend.TextStyle, 9)
	p.Title.Padding = 8
	p.X.Label.Padding, p.Y.Label.Padding = 4, 4
	p.X.Padding, p.Y.Padding = 0, 0
	p.Legend.ThumbnailWidth = 26
	p.Legend.Padding = 3
	g := plotter.NewGrid()
	g.Horizontal.Color, g.Vertical.Color = color.Gray{0xec}, color.Gray{0xec}
	g.Horizontal.Width, g.Vertical.Width = 0.5, 0.5
	p.Add(g)
	p.X.Tick.Marker, p.Y.Tick.Marker = ticks{}, ticks{}
	return p
}

// ticks marks steps of 1, 2 or 5 times a power of ten, about seven of them, each
// with its number, and one unlabelled mark between two.
type ticks struct{}

// Ticks is the plot.Ticker method.
func (ticks) Ticks(lo, hi float64) []plot.Tick {
	step := math.Pow(10, math.Floor(math.Log10((hi-lo)/4)))
	decimals := max(0, -int(math.Floor(math.Log10(step))))
	for _, f := range []float64{5, 2} {
		if (hi-lo)/(step*f) >= 5 {
			step *= f
			break
		}
	}
	var out []plot.Tick
	for i := math.Ceil(lo / step * 2); i*step/2 <= hi+1e-9*step; i++ {
		t := plot.Tick{Value: i * step / 2}
		if math.Mod(i, 2) == 0 {
			t.Label = strconv.FormatFloat(t.Value, 'f', decimals, 64)
			if strings.Trim(t.Label, "-0.") == "" {
				t.Label = "0"
			}
			t.Label = strings.Replace(t.Label, "-", "−", 1)
		}
		out = append(out, t)
	}
	return out
}

func plain(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }

// margin is the white border of a picture.
const margin = 8

// Font returns the label font.
func Font(size vg.Length) font.Font {
	return font.Font{Typeface: "Liberation", Variant: "Sans", Size: size}
}

// fault stands in a plot for what cannot be drawn, such as a line of no points or to nowhere. Whoever makes a plot need not
// look at each of its parts: [Files.Draw] says the first fault of all.
type fault struct{ err error }

// Plot is the plot.Plotter method; Files.Draw recovers.
func (f fault) Plot(draw.Canvas, *plot.Plot) { panic(f.err) }

// Fault says that a plot cannot be drawn as it should be, where err is one.
func Fault(p *plot.Plot, err error) {
	if err != nil {
		p.Add(fault{err})
	}
}

// add adds a part, or the fault of it.
func add[P plot.Plotter](p *plot.Plot, part P, err error) P {
	if err != nil {
		p.Add(fault{err})
	} else {
		p.Add(part)
	}
	return part
}

// Line adds a line.
func Line(p *plot.Plot, xy plotter.XYs, c color.Color, width vg.Length, dash []vg.Length) *plotter.Line {
	copied, err := plotter.CopyXYs(xy)
	return add(p, &plotter.Line{XYs: copied, LineStyle: draw.LineStyle{Color: c, Width: width, Dashes: dash}}, err)
}

// Fill adds a band between two lines that share their x.
func Fill(p *plot.Plot, low, high plotter.XYs) *plotter.Polygon {
	ring := append(plotter.XYs(nil), low...)
	for i := len(high) - 1; i >= 0; i-- {
		ring = append(ring, high[i])
	}
	copied, err := plotter.CopyXYs(ring)
	return add(p, &plotter.Polygon{XYs: []plotter.XYs{copied}, Color: Band, LineStyle: draw.LineStyle{Color: Black}}, err)
}

// Points adds marks.
func Points(p *plot.Plot, xy plotter.XYs, shape draw.GlyphDrawer, c color.Color, radius vg.Length) *plotter.Scatter {
	copied, err := plotter.CopyXYs(xy)
	return add(p, &plotter.Scatter{XYs: copied, GlyphStyle: draw.GlyphStyle{Color: c, Radius: radius, Shape: shape}}, err)
}

// Label writes a word beside a point.
func Label(p *plot.Plot, x, y float64, s string, dx, dy vg.Length) {
	l, err := plotter.NewLabels(plotter.XYLabels{XYs: plotter.XYs{{X: x, Y: y}}, Labels: []string{s}})
	if err == nil {
		l.TextStyle[0].Font = Font(9)
		l.TextStyle[0].Color = Black
		l.Offset = vg.Point{X: dx, Y: dy}
	}
	add(p, l, err)
}

// Files is a set of named files that belong together.
type Files map[string][]byte

// Draw adds name.png and name.svg of a plot. A plot that cannot be drawn, such as one with a
// logarithm of nothing, is an error.
func (f Files) Draw(name string, p *plot.Plot, w, h vg.Length) (err error) {
	// The plotting library panics on what it cannot scale.
	defer func() {
		if said := recover(); said != nil {
			delete(f, name+".png")
			err = fmt.Errorf("drawing %s: %v", name, said)
		}
	}()
	img := vgimg.NewWith(vgimg.UseWH(w, h), vgimg.UseDPI(168), vgimg.UseBackgroundColor(color.White))
	p.Draw(framed(draw.New(img)))
	var b bytes.Buffer
	if _, err := (vgimg.PngCanvas{Canvas: img}).WriteTo(&b); err != nil {
		return fmt.Errorf("drawing %s: %w", name, err)
	}
	f[name+".png"] = b.Bytes()
	svg := vgsvg.New(w, h)
	p.Draw(framed(draw.New(svg)))
	var s bytes.Buffer
	if _, err := svg.WriteTo(&s); err != nil {
		return fmt.Errorf("drawing %s: %w", name, err)
	}
	f[name+".svg"] = s.Bytes()
	return nil
}

func framed(c draw.Canvas) draw.Canvas { return draw.Crop(c, margin, -margin, margin, -margin) }

// Write puts the files into dir, each whole or not at all: they are written beside
// their place, brought to the disk and renamed when all are there.
func (f Files) Write(dir string) error { return wholedir.Files(dir, f) }
