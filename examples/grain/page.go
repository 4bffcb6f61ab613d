package main

import (
	"fmt"
	"io"
	"math"
	"strings"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/plotter"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"example.org/actinic/examples/internal/command"
	"example.org/actinic/examples/internal/figure"
	"example.org/actinic/examples/internal/page"
	"example.org/actinic/sensito"
)

const pageFile = "grain.html"

// drawing is a picture that there are numbers for.
type drawing struct {
	name, caption, alt string
	plot               *plot.Plot
}

// writePage draws and writes the page; "" writes none. What cannot be drawn costs a note.
func writePage(where string, made command.Made, notes io.Writer, res *result) error {
	if where == "" {
		return nil
	}
	pictures := page.Pictures{Files: figure.Files{}}
	var figures, views []page.Figure
	for _, d := range res.drawings() {
		if f, ok := pictures.Draw(page.Figure{Name: d.name, Caption: d.caption, Alt: d.alt}, d.plot, 17*vg.Centimeter, 9*vg.Centimeter); ok {
			figures = append(figures, f)
		}
	}
	for i, v := range res.views {
		views = append(views, page.Picture(fmt.Sprintf("view%d", i+1), v.file+": "+v.where, fmt.Sprintf("Picture %d of %d, small, with the box that was read", i+1, len(res.views)), v.PNG()))
	}
	pictures.Files[pageFile] = page.Render(pageTemplate, map[string]any{"R": res, "SetUp": page.Box{Caption: "What this set-up can measure", Lines: res.setUpLines()},
		"Tables": res.tables(), "Figures": figures, "Views": views, "Law": res.lawLine(), "Edge": res.edgeLine(), "Film": res.film,
		"Made": fmt.Sprintf("Made with %s %s from %d files.", made.Library, made.Version, len(made.Inputs))})
	if err := pictures.Files.Write(strings.TrimSuffix(where, "/")); err != nil {
		return fmt.Errorf("writing the page: %w", err)
	}
	page.Notes(notes, pictures.Lacks)
	return nil
}

// drawings are the figures that there are numbers for.
func (res *result) drawings() []drawing {
	var out []drawing
	if len(res.spectra) > 0 {
		out = append(out, drawing{"power", "Noise power by frequency: whole lines with the camera's noise and response taken out, up to where the response is 0.2; dashed as one frame has it. Labels are the steps.",
			fmt.Sprintf("Noise power of %d patches up to %.0f cycles/mm", len(res.spectra), orZero(res.SetUp.Sees)), res.powerPlot()})
	}
	if res.law != nil && res.Law != nil {
		out = append(out, drawing{"density", "Granularity in 48 µm against density, with 95 % intervals, and the fitted law (band: its interval).",
			fmt.Sprintf("Granularity from %.2f to %.2f in density, exponent %s", res.Law.From, res.Law.To, show(res.Law.Exponent, "%.2f")), res.lawPlot()})
	}
	if res.CameraResponse != nil || res.FilmResponse != nil {
		out = append(out, drawing{"response", "Responses along the normal of the edges, with 95 % intervals: the film's (whole line), and the camera's that was taken out of it (dashed).",
			fmt.Sprintf("Responses up to %.0f cycles/mm", res.SetUp.HalfSampling), res.responsePlot()})
	}
	if res.edge != nil {
		d := "not known"
		if res.FilmResponse != nil {
			d = fmt.Sprintf("%.2f to %.2f", res.FilmResponse.Sides[0], res.FilmResponse.Sides[1])
		}
		out = append(out, drawing{"edge", "Density across the film's edge as the camera has it, a quarter of a pixel a point; beyond the edge, where only noise departs from them, its sides.", "Edge, densities " + d, res.edgePlot()})
	}
	if res.Signal != nil {
		out = append(out, drawing{"signal", "Signal to noise of an even exposure in 48 µm over the characteristic curve.",
			fmt.Sprintf("Signal to noise at %d exposures", len(res.Signal.Points)), res.signalPlot()})
	}
	return out
}

func orZero(v *float64) float64 {
	if v == nil {
		return 0
	}
	return *v
}

func (res *result) powerPlot() *plot.Plot {
	p := figure.New("Noise power", "cycles/mm", "Density² µm²")
	for k, s := range res.spectra {
		var xy, raw plotter.XYs
		for _, b := range s.bins {
			if b.Power > 0 {
				xy = append(xy, plotter.XY{X: b.Frequency, Y: b.Power})
			}
			raw = append(raw, plotter.XY{X: b.Frequency, Y: b.Raw})
		}
		if len(xy) < 2 {
			continue
		}
		figure.Line(p, xy, figure.Black, 1.1, nil)
		figure.Line(p, raw, figure.Mid, 0.6, figure.Dashes[2])
		at := xy[min(2+3*k, len(xy)-1)]
		figure.Label(p, at.X, at.Y, fmt.Sprint(s.step), 2, 5)
	}
	p.Y.Min = 0
	p.X.Min = 0
	return p
}

func (res *result) lawPlot() *plot.Plot {
	p := figure.New("Granularity", "Density", "σ in 48 µm")
	var low, high, mid plotter.XYs
	for i := range 61 {
		d := float64(res.law.From) + float64(res.law.To-res.law.From)*float64(i)/60
		e, err := res.law.SD(sensito.Density(d))
		figure.Fault(p, err)
		low, high, mid = append(low, plotter.XY{X: d, Y: e.Low}), append(high, plotter.XY{X: d, Y: e.High}), append(mid, plotter.XY{X: d, Y: e.Value})
	}
	figure.Fill(p, low, high)
	figure.Line(p, mid, figure.Dark, 1, nil)
	var xy plotter.XYs
	for _, g := range res.Granularity {
		if g.SD == nil {
			continue
		}
		xy = append(xy, plotter.XY{X: *g.Density, Y: *g.SD})
		figure.Line(p, plotter.XYs{{X: *g.Density, Y: *g.Low}, {X: *g.Density, Y: *g.High}}, figure.Black, 1, nil)
	}
	figure.Points(p, xy, draw.CircleGlyph{}, figure.Black, 2.2)
	p.Y.Min, p.X.Min = 0, 0
	return p
}

func (res *result) responsePlot() *plot.Plot {
	p := figure.New("Response", "cycles/mm", "M")
	most := 1.0
	for k, r := range []*response{res.FilmResponse, res.CameraResponse} {
		if r == nil {
			continue
		}
		var xy, low, high plotter.XYs
		for i, f := range r.Frequency {
			if r.M[i] == nil || r.Low[i] == nil || r.High[i] == nil {
				continue
			}
			xy, low, high = append(xy, plotter.XY{X: f, Y: *r.M[i]}), append(low, plotter.XY{X: f, Y: *r.Low[i]}), append(high, plotter.XY{X: f, Y: *r.High[i]})
			most = math.Max(most, *r.High[i])
		}
		if len(xy) < 2 {
			continue
		}
		if k == 0 {
			figure.Fill(p, low, high)
		}
		figure.Line(p, xy, figure.Black, 1.2, figure.Dashes[2*k])
		at := xy[len(xy)/3]
		figure.Label(p, at.X, at.Y, r.Of, 5, 5)
	}
	p.X.Min, p.Y.Min, p.Y.Max = 0, 0, most*1.03
	return p
}

func (res *result) edgePlot() *plot.Plot {
	p := figure.New("Edge on the film", "µm along the normal", "Density")
	x, t := res.edge.Profile()
	var xy plotter.XYs
	for i := range x {
		if t[i] > 0 {
			xy = append(xy, plotter.XY{X: x[i], Y: -math.Log10(t[i])})
		}
	}
	figure.Line(p, xy, figure.Black, 0.8, nil)
	return p
}

func (res *result) signalPlot() *plot.Plot {
	p := figure.New("Signal to noise", "log10 H (lx s)", "log10(e) g/σ")
	var xy plotter.XYs
	for _, s := range res.Signal.Points {
		xy = append(xy, plotter.XY{X: s.LogH, Y: s.ToNoise})
	}
	figure.Line(p, xy, figure.Black, 1.1, nil)
	p.Y.Min = 0
	return p
}

var pageTemplate = page.New("grain", `{{template "top" "Grain and sharpness"}}
<h1>Grain and sharpness</h1>
{{with .Film}}<p class="sub">{{.}}</p>{{end}}
{{if .R.Invented}}<p class="note">Film, light table and camera are invented; the pictures were made by this program.</p>{{end}}
{{template "box" .SetUp}}
<section><h2>Limits</h2>
{{range .R.Limits}}<p class="finding">{{.}}</p>
{{else}}<p>None.</p>
{{end}}{{range .R.Warnings}}<p class="note">{{.}}</p>
{{end}}</section>
<section><h2>Figures</h2>
{{range .Tables}}{{template "table" .}}
{{end}}{{with .Law}}<p>{{.}}</p>{{end}}{{with .Edge}}<p>{{.}}</p>{{end}}
</section>
<section><h2>Spectra and curves</h2>
{{range .Figures}}{{template "figure" .}}
{{end}}</section>
<section><h2>Pictures</h2>
<div class="views">{{range .Views}}{{template "figure" .}}
{{end}}</div></section>
<section><h2>Method</h2>
<p>Values are taken less the dark frame and the flare, over those of the bare light table at the same place. What frames of one place share is the film's; the noise of light and dark frames, which all share too, is taken off by the camera's law of noise. Noise power is log10(e)² dx dy/(Nx Ny) |Σ (T/plane − 1) exp(−2πi(ux+vy))|², averaged over tiles and directions, over the square of the camera's response with what sampling folds back. Granularity is the root of its integral through the aperture 2J1(πdf)/(πdf). Responses are those of slanted edges along their normal, the derivative's and the bins' own taken out; the film's is formed in exposure, through the curve, after the camera's was taken out.</p>
<p>{{.Made}}</p></section>
{{template "bottom"}}`)
