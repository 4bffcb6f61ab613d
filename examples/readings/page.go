package main

import (
	"bytes"
	"encoding/base64"
	"fmt"
	"html/template"
	"math"
	"strings"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/plotter"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"example.org/actinic/examples/internal/figure"
)

// shown is a picture of the page.
type shown struct {
	Caption string
	Data    template.URL
}

func embedded(png []byte) template.URL {
	return template.URL("data:image/png;base64," + base64.StdEncoding.EncodeToString(png))
}

// report makes the page; figures go into files too. lacks says what could not be drawn.
func report(res *result, files figure.Files) (page []byte, lacks []string, err error) {
	var figures, views []shown
	for _, f := range []struct {
		name, caption string
		draw          func(*result) (*plot.Plot, error)
	}{
		{"profiles", "Density along each strip's box, as it was cut: bars are the steps without their margins. It shows where they lie; the readings are in the table.", profiles},
		{"linearity", "Departure of the light table's values from a line through the origin, in log10: 0.01 is 2.3 %.", linearityPlot},
		{"noise", "Standard deviation of the densities: grain, photons, reading, the light frame and flare.", sdPlot},
	} {
		p, err := f.draw(res)
		if err == nil && p != nil {
			err = files.Draw(f.name, p, 17*vg.Centimeter, 9*vg.Centimeter)
		}
		if err != nil {
			lacks = append(lacks, fmt.Sprintf("The figure %s could not be drawn: %v.", f.name, err))
			continue
		}
		if p != nil {
			figures = append(figures, shown{f.caption, embedded(files[f.name+".png"])})
		}
	}
	for _, v := range res.views {
		b, err := v.png()
		if err != nil {
			return nil, nil, err
		}
		views = append(views, shown{v.file + ": " + strings.Join(v.where, ", "), embedded(b)})
	}
	rows := res.rows()
	var out bytes.Buffer
	err = pageTemplate.Execute(&out, map[string]any{"R": res, "About": res.about(), "Head": rows[0], "Rows": rows[1:],
		"Figures": figures, "Views": views, "Lacks": lacks, "Warned": res.warned()})
	return out.Bytes(), lacks, err
}

// warned are the warnings with their places.
func (res *result) warned() []string {
	var out []string
	for i := range res.Patches {
		for _, w := range res.Patches[i].Warnings {
			out = append(out, res.Patches[i].what()+": "+w)
		}
	}
	return out
}

func profiles(res *result) (*plot.Plot, error) {
	if len(res.strips) == 0 {
		return nil, nil
	}
	p := figure.New("Profiles", "pixels along the box", "Density")
	for k, s := range res.strips {
		by := (len(s.profile) + 1499) / 1500
		var xy plotter.XYs
		for i := 0; i < len(s.profile); i += by {
			xy = append(xy, plotter.XY{X: float64(i), Y: s.profile[i]})
		}
		if _, err := figure.Line(p, xy, figure.Dark, 0.7, figure.Dashes[k%len(figure.Dashes)]); err != nil {
			return nil, err
		}
		for _, span := range s.spans {
			m := span.Margin(0.2)
			mid := s.profile[(m.First+m.End)/2]
			if _, err := figure.Line(p, plotter.XYs{{X: float64(m.First), Y: mid}, {X: float64(m.End), Y: mid}},
				figure.Black, 1.8, nil); err != nil {
				return nil, err
			}
		}
		last := xy[len(xy)-1]
		if err := figure.Label(p, last.X, last.Y, s.name, 4, -3); err != nil {
			return nil, err
		}
	}
	p.X.Max *= 1.05
	p.Y.Min = 0
	return p, nil
}

func linearityPlot(res *result) (*plot.Plot, error) {
	if res.Linearity == nil || len(res.Linearity.Frames) == 0 {
		return nil, nil
	}
	p := figure.New("Linearity", "log10 of the exposure time (s)", "Departure (log10)")
	var xy plotter.XYs
	most := 0.012
	for _, f := range res.Linearity.Frames {
		xy = append(xy, plotter.XY{X: math.Log10(f.ShutterS), Y: f.Departure})
		most = max(most, 1.1*math.Abs(f.Departure))
	}
	if _, err := figure.Points(p, xy, draw.CrossGlyph{}, figure.Black, 3); err != nil {
		return nil, err
	}
	p.Y.Min, p.Y.Max = -most, most
	p.X.Min, p.X.Max = p.X.Min-0.1, p.X.Max+0.1
	return p, nil
}

func sdPlot(res *result) (*plot.Plot, error) {
	var xy plotter.XYs
	for _, q := range res.Patches {
		if q.Density != nil && q.SD != nil {
			xy = append(xy, plotter.XY{X: *q.Density, Y: *q.SD})
		}
	}
	if len(xy) == 0 {
		return nil, nil
	}
	p := figure.New("Noise of the densities", "Density", "Standard deviation")
	if _, err := figure.Points(p, xy, draw.CircleGlyph{}, figure.Black, 2); err != nil {
		return nil, err
	}
	p.X.Min, p.Y.Min = 0, 0
	p.X.Max, p.Y.Max = p.X.Max*1.05+0.01, p.Y.Max*1.1+0.0001
	return p, nil
}

var pageTemplate = template.Must(template.New("readings").Parse(`<!DOCTYPE html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>Readings from pictures of negatives</title>
<style>
body { font: 16px/1.45 Georgia, "Times New Roman", serif; color: #111; background: #fff; max-width: 56rem; margin: 2rem auto; padding: 0 1rem; }
h1 { font-size: 1.6rem; margin-bottom: 0.2rem; } h2 { font-size: 1.15rem; margin-top: 2rem; }
.wide { overflow-x: auto; }
table { border-collapse: collapse; font: 0.82rem/1.3 Arial, Helvetica, sans-serif; }
th, td { border-bottom: 1px solid #bbb; padding: 0.3rem 0.55rem; text-align: right; white-space: nowrap; }
th { border-bottom: 2px solid #333; vertical-align: bottom; }
th:first-child, td:first-child { text-align: left; }
table.box { font: 1rem/1.4 Georgia, "Times New Roman", serif; border: 2px solid #111; width: 100%; }
table.box th { text-align: left; border-bottom: 1px solid #bbb; vertical-align: top; }
table.box td { text-align: left; white-space: normal; }
figure { margin: 1.5rem 0; } figure img { width: 100%; height: auto; }
figcaption { font-size: 0.88rem; color: #333; }
.note { border-left: 4px solid #777; padding: 0.1rem 0 0.1rem 0.8rem; margin: 0.5rem 0; }
.finding { border-left: 4px solid #111; padding: 0.1rem 0 0.1rem 0.8rem; margin: 0.5rem 0; }
</style>
</head>
<body>
<h1>Readings from pictures of negatives</h1>
{{if .R.Invented}}<p class="note">Film, light table and camera are invented; the pictures were made by this program.</p>{{end}}
<table class="box"><tbody>
{{range .About}}<tr><th scope="row">{{index . 0}}</th><td>{{index . 1}}</td></tr>
{{end}}</tbody></table>
<h2>Findings</h2>
{{range .R.Findings}}<p class="finding">{{.}}</p>
{{else}}<p>None.</p>
{{end}}{{range .Warned}}<p class="note">{{.}}</p>
{{end}}{{range .Lacks}}<p class="note">{{.}}</p>
{{end}}<h2>Readings</h2>
<div class="wide"><table>
<thead><tr>{{range .Head}}<th scope="col">{{.}}</th>{{end}}</tr></thead>
<tbody>
{{range .Rows}}<tr>{{range .}}<td>{{.}}</td>{{end}}</tr>
{{end}}</tbody>
</table></div>
<p>± is twice the standard deviation, from grain, photons, reading, light frame and flare; shutter times and a lamp that drifts have no part in it. Set aside are dust, scratches and the pixels beside them.</p>
{{range .Figures}}<figure><img src="{{.Data}}" alt="{{.Caption}}"><figcaption>{{.Caption}}</figcaption></figure>
{{end}}
<h2>Pictures</h2>
{{range .Views}}<figure><img src="{{.Data}}" alt="{{.Caption}}"><figcaption>{{.Caption}}</figcaption></figure>
{{end}}
<h2>Method</h2>
<p>Each value is taken less the dark frame of its time, divided by that time, less the flare, and divided by the same of the bare light table at the same place. The density is that of the mean of what is left, so that grain counts as an instrument would average it. Exposures of one place that do not clip are joined by weights that are the reciprocals of their variances. The standard error of a mean comes from the noise spectrum at frequency 0, since pixels that share grain know each other.</p>
</body>
</html>
`))
