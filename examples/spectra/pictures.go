package main

import (
	"cmp"
	"errors"
	"fmt"
	"image/color"
	"math"
	"path/filepath"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/plotter"
	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"example.org/actinic/examples/internal/command"
	"example.org/actinic/examples/internal/figure"
	"example.org/actinic/filters"
	"example.org/actinic/sensito"
	"example.org/actinic/spectral"
)

// pictures writes the three pictures, as PNG and SVG, and returns the names of the
// PNG files.
func (j *job) pictures(dir string) ([]string, error) {
	files := figure.Files{}
	var names []string
	for _, p := range []struct {
		name          string
		draw          func() *plot.Plot
		width, height vg.Length
	}{
		{"spectra-sensitivity", j.sensitivity, 16 * vg.Centimeter, 10 * vg.Centimeter},
		{"spectra-temperature", j.temperature, 16 * vg.Centimeter, 11 * vg.Centimeter},
		{"spectra-tones", j.tones, 17 * vg.Centimeter, vg.Length(3.2+0.85*float64(len(j.patches))) * vg.Centimeter},
	} {
		if err := files.Draw(p.name, p.draw(), p.width, p.height); err != nil {
			return nil, err
		}
		names = append(names, filepath.Join(dir, p.name+".png"))
	}
	return names, files.Write(dir)
}

// line adds a line and its name to the legend.
func line(p *plot.Plot, name string, pts plotter.XYs, c color.Color, width vg.Length, dash []vg.Length) {
	l := figure.Line(p, pts, c, width, dash)
	if name != "" {
		p.Legend.Add(name, l)
	}
}

// sensitivity draws the film over the visible band, bare and behind the filter,
// with the eye's response for comparison.
func (j *job) sensitivity() *plot.Plot {
	p := figure.New("Relative sensitivity of the "+j.filmName, "wavelength (nm)", "sensitivity per energy, peak 1")
	var film, behind, eye plotter.XYs
	peak := 0.0
	for nm := 360.; nm <= 760; nm++ {
		s, err := j.film.At(nm)
		t, errFilter := j.filter.Transmittance(nm)
		figure.Fault(p, cmp.Or(err, errFilter))
		v := command.Ours(spectral.Eye().At(nm))
		peak = max(peak, s)
		film = append(film, plotter.XY{X: nm, Y: s})
		behind = append(behind, plotter.XY{X: nm, Y: s * t})
		eye = append(eye, plotter.XY{X: nm, Y: v})
	}
	if !(peak > 0) {
		figure.Fault(p, errors.New("the film sees nothing from 360 to 760 nm"))
	}
	for i := range film {
		film[i].Y /= peak
		behind[i].Y /= peak
	}
	p.Add(band{})
	line(p, "eye, V(λ)", eye, figure.Mid, 1, nil)
	line(p, "film", film, figure.Black, 2, nil)
	if j.filter.Name() != filters.Clear().Name() {
		line(p, "film behind "+j.filter.Name(), behind, figure.Black, 2, figure.Dashes[1])
	}
	p.X.Min, p.X.Max, p.Y.Min, p.Y.Max = 360, 760, -0.07, 1.25
	p.Y.Tick.Marker = plot.ConstantTicks{{Value: 0, Label: "0"}, {Value: .25, Label: "0.25"}, {Value: .5, Label: "0.50"},
		{Value: .75, Label: "0.75"}, {Value: 1, Label: "1.00"}}
	p.Legend.Top = true
	p.Legend.XOffs, p.Legend.YOffs = -6, -4
	return p
}

// band is a strip of the colours of the wavelengths along the bottom, a reminder
// and no measure.
type band struct{}

func (band) Plot(c draw.Canvas, p *plot.Plot) {
	x, y := p.Transforms(&c)
	for nm := 380.; nm < 740; nm += 2 {
		c.SetColor(hue(nm))
		c.Fill(rectangle(x(nm), y(-0.055), x(nm+2.2), y(-0.015)))
	}
}

func rectangle(x0, y0, x1, y1 vg.Length) vg.Path {
	var p vg.Path
	p.Move(vg.Point{X: x0, Y: y0})
	p.Line(vg.Point{X: x1, Y: y0})
	p.Line(vg.Point{X: x1, Y: y1})
	p.Line(vg.Point{X: x0, Y: y1})
	p.Close()
	return p
}

// hue is a rough colour for a wavelength: three triangles.
func hue(nm float64) color.Color {
	tri := func(a, b, c float64) float64 { return max(min((nm-a)/(b-a), (c-nm)/(c-b), 1), 0) }
	r := max(tri(550, 615, 760), 0.45*tri(370, 410, 450))
	g := tri(470, 540, 620)
	b := tri(370, 450, 520)
	u := func(v float64) uint8 { return uint8(255 * math.Pow(v, 0.6)) }
	return color.RGBA{u(r), u(g), u(b), 255}
}

// temperature draws the factors of some filters against colour temperature.
func (j *job) temperature() *plot.Plot {
	p := figure.New("Filter factor in stops against the colour of the light, "+j.filmName,
		"colour temperature (K), spaced in mired: black bodies below 4000 K, daylight above", "factor (stops)")
	show := []filters.Filter{}
	if j.filter.Name() != filters.Clear().Name() {
		show = append(show, j.filter)
	}
	for _, n := range []string{"8", "15", "23A", "25", "29", "58", "47"} {
		if e := command.Ours(filters.Find(n)); e.Filter.Name() != j.filter.Name() {
			show = append(show, e.Filter)
		}
	}
	labels := plotter.XYLabels{}
	for i, f := range show {
		// One curve for black bodies and one for daylight: they do not meet.
		for _, span := range [][2]float64{{2300, 3999}, {4000, 15000}} {
			var pts plotter.XYs
			for m := 1e6 / span[1]; m <= 1e6/span[0]; m += 2 {
				l := command.Ours(spectral.LightAt(spectral.Mired(m).Kelvin()))
				v, err := filters.Factor(j.film, l.WithOutside(spectral.Zero), f)
				figure.Fault(p, err)
				pts = append(pts, plotter.XY{X: -m, Y: float64(sensito.StopsOf(v))})
			}
			width := vg.Length(1.2)
			if i == 0 && f.Name() == j.filter.Name() {
				width = 2.6
			}
			line(p, "", pts, figure.Black, width, figure.Dashes[i%4])
			if span[0] == 4000 {
				labels.XYs = append(labels.XYs, plotter.XY{X: pts[0].X, Y: pts[0].Y})
				labels.Labels = append(labels.Labels, f.Name())
			}
		}
	}
	spread(labels.XYs, 0.28)
	names, err := plotter.NewLabels(labels)
	if err != nil { // of what is faulty above
		figure.Fault(p, err)
		return p
	}
	for i := range names.TextStyle {
		names.TextStyle[i].Font = figure.Font(9)
		names.TextStyle[i].YAlign = text.YCenter
	}
	names.Offset = vg.Point{X: 5}
	p.Add(names)
	p.X.Min, p.X.Max = -440, 25
	p.X.Tick.Marker = ticksAt(2500, 3000, 3500, 4000, 5000, 6500, 10000, 15000)
	p.Y.Min = 0
	var whole plot.ConstantTicks
	for v := 0.; v <= p.Y.Max; v++ {
		whole = append(whole, plot.Tick{Value: v, Label: fmt.Sprintf("%.0f", v)})
	}
	p.Y.Tick.Marker = whole
	return p
}

// spread moves labels apart until none is nearer to the next than least.
func spread(xy plotter.XYs, least float64) {
	for range 200 {
		for i := range xy {
			for k := range xy {
				if d := xy[k].Y - xy[i].Y; i != k && math.Abs(d) < least && (d > 0 || d == 0 && k > i) {
					xy[i].Y -= (least - d) / 4
					xy[k].Y += (least - d) / 4
				}
			}
		}
	}
}

func ticksAt(kelvin ...float64) plot.ConstantTicks {
	var t plot.ConstantTicks
	for _, k := range kelvin {
		t = append(t, plot.Tick{Value: -1e6 / k, Label: fmt.Sprintf("%.0f", k)})
	}
	return t
}

// tones draws each patch as the film prints it, without and with the filter.
func (j *job) tones() *plot.Plot {
	p := figure.New(fmt.Sprintf("Tones in %s, without filter and behind %s", j.lightName, j.filter.Name()), "", "")
	bare, err := filters.Tones(j.film, j.light, filters.Clear(), j.patches...)
	behind, errBehind := filters.Tones(j.film, j.light, j.filter, j.patches...)
	figure.Fault(p, cmp.Or(err, errBehind))
	p.HideAxes()
	p.Add(&patchRows{bare, behind, p.Title.TextStyle})
	p.X.Min, p.X.Max = 0, 10
	p.Y.Min, p.Y.Max = -float64(len(bare)), 1
	return p
}

type patchRows struct {
	bare, behind []filters.Tone
	style        text.Style
}

func (r *patchRows) Plot(c draw.Canvas, p *plot.Plot) {
	x, y := p.Transforms(&c)
	style := r.style
	style.Font = figure.Font(9)
	style.YAlign = text.YCenter
	put := func(at float64, row float64, align text.XAlignment, s string) {
		style.XAlign = align
		c.FillText(style, vg.Point{X: x(at), Y: y(row)}, s)
	}
	put(4.2, 0.6, text.XCenter, "no filter")
	put(5.6, 0.6, text.XCenter, "filter")
	put(7.2, 0.6, text.XCenter, "stops from grey")
	put(9.2, 0.6, text.XCenter, "change")
	for i := range r.bare {
		row := -float64(i)
		put(3.3, row-0.4, text.XRight, r.bare[i].Name)
		for k, t := range []filters.Tone{r.bare[i], r.behind[i]} {
			at := 3.5 + 1.4*float64(k)
			c.SetColor(printed(t.Reflectance))
			box := rectangle(x(at), y(row-0.82), x(at+1.4), y(row+0.02))
			c.Fill(box)
			c.SetColor(figure.Mid)
			c.SetLineWidth(0.3)
			c.Stroke(box)
		}
		put(7.2, row-0.4, text.XCenter, fmt.Sprintf("%+.2f  to  %+.2f", hundredths(r.bare[i].StopsFromGrey),
			hundredths(r.behind[i].StopsFromGrey)))
		put(9.2, row-0.4, text.XCenter, fmt.Sprintf("%+.2f stops", hundredths(r.behind[i].Above(r.bare[i]))))
	}
}

// printed is the grey of a display for a reflectance: the sRGB curve.
func printed(reflectance float64) color.Color {
	v := min(max(reflectance, 0), 1)
	if v <= 0.0031308 {
		v *= 12.92
	} else {
		v = 1.055*math.Pow(v, 1/2.4) - 0.055
	}
	return color.Gray{Y: uint8(math.Round(255 * v))}
}

// hundredths rounds to what is printed, so that a grey card is +0.00 and not -0.00.
func hundredths(s sensito.Stops) float64 { return math.Round(100*float64(s))/100 + 0 }
