package figure

import (
	"bytes"
	"fmt"
	"image/png"
	"math"
	"regexp"
	"strconv"
	"testing"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/plotter"
	"gonum.org/v1/plot/vg/draw"

	"example.org/actinic/internal/held"
)

// One picture with everything in it is what it was, by the numbers of its SVG.
func TestDraws(t *testing.T) {
	said := held.New(t)
	p := New("Curves", "log H", "Density")
	low, high := plotter.XYs{{X: -3, Y: 0.1}, {X: 0, Y: 1.9}}, plotter.XYs{{X: -3, Y: 0.2}, {X: 0, Y: 2.1}}
	Fill(p, low, high)
	Line(p, low, Black, 1.2, Dashes[3])
	Points(p, high, draw.CircleGlyph{}, Mid, 2)
	Label(p, -2, 1, "strip A", 3, -4)
	files := Files{}
	if err := files.Draw("curves", p, 300, 200); err != nil {
		t.Fatal(err)
	}
	n, sum, square := 0, 0.0, 0.0
	for _, s := range regexp.MustCompile(`-?\d+(\.\d+)?`).FindAll(files["curves.svg"], -1) {
		v, err := strconv.ParseFloat(string(s), 64)
		if err != nil {
			t.Fatal(err)
		}
		n, sum, square = n+1, sum+v, square+v*v
	}
	said.Values("svg", n, sum, square)
	size, err := png.DecodeConfig(bytes.NewReader(files["curves.png"]))
	if err != nil {
		t.Fatal(err)
	}
	said.Values("png", size.Width, size.Height)
	said.Values("greys", Black, Dark, Mid, Light, Band, Dashes)
}

func TestTicks(t *testing.T) {
	said := held.New(t)
	for _, r := range [][2]float64{{0, 1}, {-3, 0.5}, {0, 4}, {0, 20}, {-0.03, 0.05}, {400, 700}, {0, 1e5}, {0, 10}} {
		text := ""
		for _, tick := range (ticks{}).Ticks(r[0], r[1]) {
			text += fmt.Sprintf(" %.6g(%s)", tick.Value, tick.Label)
		}
		said.Values(fmt.Sprint("ticks of ", r), text)
	}
}

// What cannot be drawn is an error, and leaves no file.
func TestRefuses(t *testing.T) {
	said := held.New(t)
	bad := plotter.XYs{{X: math.NaN(), Y: 1}}
	files := Files{}
	for name, part := range map[string]func(p *plot.Plot){
		"line": func(p *plot.Plot) { Line(p, bad, Black, 1, nil) }, "band": func(p *plot.Plot) { Fill(p, bad, nil) },
		"points": func(p *plot.Plot) { Points(p, bad, draw.CircleGlyph{}, Black, 1) }, "label": func(p *plot.Plot) { Label(p, math.Inf(1), 0, "x", 0, 0) },
	} {
		p := New("", "", "")
		part(p)
		Line(p, plotter.XYs{{X: 0, Y: 0}, {X: 1, Y: 1}}, Black, 1, nil) // what else there is makes it no better
		if err := files.Draw("x", p, 100, 100); !said.Refused(name, err) || len(files) > 0 {
			t.Errorf("%s of NaN is drawn: %v, %d files", name, err, len(files))
		}
	}
	p := New("", "", "")
	p.X.Min, p.X.Max = 0, 1
	p.X.Scale = badScale{}
	if err := files.Draw("x", p, 100, 100); !said.Refused("scale", err) || len(files) > 0 {
		t.Errorf("%v, %d files", err, len(files))
	}
}

type badScale struct{}

func (badScale) Normalize(_, _, _ float64) float64 { panic("no such scale") }
