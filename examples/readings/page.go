package main

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/plotter"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"example.org/actinic/examples/internal/figure"
	"example.org/actinic/examples/internal/page"
)

// report makes the page; figures go into files too. lacks says what could not be drawn.
func report(res *result, files figure.Files) (content []byte, lacks []string) {
	pictures := page.Pictures{Files: files}
	var drawn, views []page.Figure
	for _, f := range []struct {
		name, caption string
		draw          func(*result) *plot.Plot // nil where there is nothing to show
		shows         func(*result) string
	}{
		{"profiles", "Density along each strip's box, as it was cut: bars are the steps without their margins. It shows where they lie; the readings are in the table.", profiles, profileWords},
		{"linearity", "Departure of the light table's values from a line through the origin, in log10: 0.01 is 2.3 %.", linearityPlot, linearityWords},
		{"noise", "Standard deviation of the densities: grain, photons, reading, the light frame and flare. Dots are steps of strips, rings patches of frames.", sdPlot, sdWords},
	} {
		if p := f.draw(res); p != nil {
			if made, ok := pictures.Draw(page.Figure{Name: f.name, Caption: f.caption, Alt: f.shows(res)}, p, 17*vg.Centimeter, 9*vg.Centimeter); ok {
				drawn = append(drawn, made)
			}
		}
	}
	for i, v := range res.views {
		alt := fmt.Sprintf("Picture %d of %d, made small to %d by %d pixels, with the boxes that were read in it", i+1, len(res.views), v.Size().X, v.Size().Y)
		views = append(views, page.Picture(fmt.Sprintf("picture-%d", i+1), v.file+": "+strings.Join(v.where, ", "), alt, v.PNG()))
	}
	rows := res.rows()
	about := page.Box{Caption: "What the set-up is worth"}
	for _, a := range res.about() {
		about.Lines = append(about.Lines, page.Line{Name: a[0], Text: a[1]})
	}
	content = page.Render(pageTemplate, map[string]any{"Title": res.title("Readings from pictures of negatives"), "R": res, "About": about,
		"Readings": page.Table{Caption: "Densities of the places that were read", Head: rows[0], Rows: rows[1:]},
		"Figures":  drawn, "Views": views, "Lacks": pictures.Lacks, "Warned": res.warned()})
	return content, pictures.Lacks
}

// title names the film after a subject, where it is known.
func (res *result) title(subject string) string {
	if res.film == "" {
		return subject
	}
	return subject + ": " + res.film
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

func profiles(res *result) *plot.Plot {
	if len(res.strips) == 0 {
		return nil
	}
	p := figure.New(figure.Titled("Profiles", res.film), "pixels along the box", "Density")
	var tags []figure.Tag
	for k, s := range res.strips {
		by := (len(s.profile) + 1499) / 1500
		var xy plotter.XYs
		for i := 0; i < len(s.profile); i += by {
			xy = append(xy, plotter.XY{X: float64(i), Y: s.profile[i]})
		}
		figure.Line(p, xy, figure.Dark, 0.7, figure.Dashes[k%len(figure.Dashes)])
		for _, span := range s.spans {
			m := span.Margin(0.2)
			mid := s.profile[(m.First+m.End)/2]
			figure.Line(p, plotter.XYs{{X: float64(m.First), Y: mid}, {X: float64(m.End), Y: mid}},
				figure.Black, 1.8, nil)
		}
		last := xy[len(xy)-1]
		tags = append(tags, figure.Tag{X: last.X, Y: last.Y, Text: s.name})
	}
	figure.Tags(p, tags...)
	p.X.Max *= 1.05
	p.Y.Min = 0
	return p
}

func linearityPlot(res *result) *plot.Plot {
	if res.Linearity == nil || len(res.Linearity.Frames) == 0 {
		return nil
	}
	p := figure.New(figure.Titled("Linearity", res.film), "log10 of the exposure time (s)", "Departure (log10)")
	var xy plotter.XYs
	most := 0.012
	for _, f := range res.Linearity.Frames {
		xy = append(xy, plotter.XY{X: math.Log10(f.ShutterS), Y: f.Departure})
		most = max(most, 1.1*math.Abs(f.Departure))
	}
	figure.Points(p, xy, draw.CrossGlyph{}, figure.Black, 3)
	p.Y.Min, p.Y.Max = -most, most
	p.X.Min, p.X.Max = p.X.Min-0.1, p.X.Max+0.1
	return p
}

// kinds are the densities of strips and of frames, each with its standard deviation.
func (res *result) kinds() (strips, frames plotter.XYs) {
	for _, q := range res.Patches {
		switch {
		case q.Density == nil || q.SD == nil:
		case q.Frame != "":
			frames = append(frames, plotter.XY{X: *q.Density, Y: *q.SD})
		default:
			strips = append(strips, plotter.XY{X: *q.Density, Y: *q.SD})
		}
	}
	return strips, frames
}

func sdPlot(res *result) *plot.Plot {
	strips, frames := res.kinds()
	if len(strips)+len(frames) == 0 {
		return nil
	}
	p := figure.New(figure.Titled("Noise of the densities", res.film), "Density", "Standard deviation")
	for _, kind := range []struct {
		name string
		xy   plotter.XYs
		mark draw.GlyphDrawer
		size vg.Length
	}{{"steps of strips", strips, draw.CircleGlyph{}, 1.8}, {"patches of frames", frames, draw.RingGlyph{}, 3}} {
		if len(kind.xy) == 0 {
			continue
		}
		p.Legend.Add(kind.name, figure.Points(p, kind.xy, kind.mark, figure.Black, kind.size))
	}
	p.Legend.Top, p.Legend.Left = true, true
	p.X.Min, p.Y.Min = 0, 0
	p.X.Max, p.Y.Max = p.X.Max*1.05+0.01, p.Y.Max*1.25+0.0001
	return p
}

// What a figure shows, for whoever does not see it.

func profileWords(res *result) string {
	var parts []string
	for _, s := range res.strips {
		parts = append(parts, fmt.Sprintf("%s: %d steps over %d pixels, density %.2f to %.2f", s.name, len(s.spans), len(s.profile),
			slices.Min(s.profile), slices.Max(s.profile)))
	}
	return "Profiles. " + strings.Join(parts, "; ") + "."
}

func linearityWords(res *result) string {
	most := 0.0
	for _, f := range res.Linearity.Frames {
		most = max(most, math.Abs(f.Departure))
	}
	return fmt.Sprintf("%d exposures of the light table depart by %.4f at the most; slope %.4f.", len(res.Linearity.Frames), most, res.Linearity.Slope)
}

func sdWords(res *result) string {
	strips, frames := res.kinds()
	var parts []string
	for _, kind := range []struct {
		name string
		xy   plotter.XYs
	}{{"steps of strips", strips}, {"patches of frames", frames}} {
		if len(kind.xy) == 0 {
			continue
		}
		lo, hi := math.Inf(1), 0.0
		for _, q := range kind.xy {
			lo, hi = min(lo, q.Y), max(hi, q.Y)
		}
		parts = append(parts, fmt.Sprintf("%d %s between %.4f and %.4f", len(kind.xy), kind.name, lo, hi))
	}
	return "Standard deviations of density: " + strings.Join(parts, ", ") + "."
}

var pageTemplate = page.New("readings", `{{template "top" .Title}}
<h1>{{.Title}}</h1>
{{if .R.Invented}}<p class="note">Film, light table and camera are invented; the pictures were made by this program.</p>{{end}}
{{template "box" .About}}
<section>
<h2>Findings</h2>
{{range .R.Findings}}<p class="finding">{{.}}</p>
{{else}}<p>None.</p>
{{end}}{{range .Warned}}<p class="note">{{.}}</p>
{{end}}{{range .Lacks}}<p class="note">{{.}}</p>
{{end}}
</section>
<section>
<h2>Where the readings lie</h2>
{{range .Figures}}{{template "figure" .}}
{{end}}
</section>
<section>
<h2>Pictures</h2>
<div class="views">{{range .Views}}{{template "figure" .}}
{{end}}</div>
</section>
<section>
<h2>Readings</h2>
{{template "table" .Readings}}
<p>± is twice the standard deviation, from grain, photons, reading, light frame and flare; shutter times and a lamp that drifts have no part in it. Set aside are dust, scratches and the pixels beside them.</p>
</section>
<section class="method">
<h2>Method</h2>
<p>Each value is taken less the dark frame of its time, divided by that time, less the flare, and divided by the same of the bare light table at the same place. The density is that of the mean of what is left, so that grain counts as an instrument would average it. Exposures of one place that do not clip are joined by weights that are the reciprocals of their variances. The standard error of a mean comes from the noise spectrum at frequency 0, since pixels that share grain know each other.</p>
</section>
{{template "bottom"}}`)
