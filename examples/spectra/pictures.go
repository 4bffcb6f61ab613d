package main

import (
	"errors"
	"fmt"
	"image/color"
	"math"
	"os"
	"path/filepath"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/plotter"
	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
	"gonum.org/v1/plot/vg/vgimg"

	"example.org/actinic/filters"
	"example.org/actinic/sensito"
	"example.org/actinic/spectral"
)

// pictures writes the three pictures and returns their names.
func (j *job) pictures(dir string) ([]string, error) {
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return nil, err
	}
	var files []string
	for _, p := range []struct {
		name          string
		draw          func() (*plot.Plot, error)
		width, height vg.Length
	}{
		{"spectra-sensitivity.png", j.sensitivity, 16 * vg.Centimeter, 10 * vg.Centimeter},
		{"spectra-temperature.png", j.temperature, 16 * vg.Centimeter, 11 * vg.Centimeter},
		{"spectra-tones.png", j.tones, 17 * vg.Centimeter, vg.Length(3.2+0.85*float64(len(j.patches))) * vg.Centimeter},
	} {
		g, err := p.draw()
		if err != nil {
			return nil, fmt.Errorf("%s: %w", p.name, err)
		}
		name := filepath.Join(dir, p.name)
		if err := save(g, p.width, p.height, name); err != nil {
			return nil, err
		}
		files = append(files, name)
	}
	return files, nil
}

// save writes a plot as PNG with a margin, 150 dots to the inch.
func save(p *plot.Plot, width, height vg.Length, name string) (err error) {
	img := vgimg.NewWith(vgimg.UseWH(width, height), vgimg.UseDPI(150), vgimg.UseBackgroundColor(color.White))
	p.Draw(draw.Crop(draw.New(img), 8, -14, 8, -10))
	f, err := os.Create(name)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, f.Close()) }()
	_, err = vgimg.PngCanvas{Canvas: img}.WriteTo(f)
	return err
}

func newPlot(title, x, y string) *plot.Plot {
	p := plot.New()
	p.Title.Text = title
	p.Title.TextStyle.Font.Size = 11
	p.Title.Padding = 8
	p.X.Label.Text, p.Y.Label.Text = x, y
	p.X.Label.TextStyle.Font.Size, p.Y.Label.TextStyle.Font.Size = 10, 10
	p.BackgroundColor = color.White
	return p
}

func grey(v uint8) color.Color { return color.Gray{Y: v} }

func line(p *plot.Plot, name string, pts plotter.XYs, width vg.Length, c color.Color, dashes ...vg.Length) error {
	l, err := plotter.NewLine(pts)
	if err != nil {
		return err
	}
	l.Width, l.Color, l.Dashes = width, c, dashes
	p.Add(l)
	if name != "" {
		p.Legend.Add(name, l)
	}
	return nil
}

// sensitivity draws the film over the visible band, bare and behind the filter,
// with the eye's response for comparison.
func (j *job) sensitivity() (*plot.Plot, error) {
	p := newPlot("Relative sensitivity of the "+j.filmName, "wavelength (nm)", "sensitivity per energy, peak 1")
	var film, behind, eye plotter.XYs
	peak := 0.0
	for nm := 360.; nm <= 760; nm++ {
		s, err := j.film.At(nm)
		if err != nil {
			return nil, err
		}
		t, err := j.filter.Transmittance(nm)
		if err != nil {
			return nil, err
		}
		v, err := spectral.Eye().At(nm)
		if err != nil {
			return nil, err
		}
		peak = max(peak, s)
		film = append(film, plotter.XY{X: nm, Y: s})
		behind = append(behind, plotter.XY{X: nm, Y: s * t})
		eye = append(eye, plotter.XY{X: nm, Y: v})
	}
	if !(peak > 0) {
		return nil, fmt.Errorf("the film sees nothing from 360 to 760 nm")
	}
	for i := range film {
		film[i].Y /= peak
		behind[i].Y /= peak
	}
	grid := plotter.NewGrid()
	grid.Vertical.Color, grid.Horizontal.Color = grey(225), grey(225)
	p.Add(grid, band{})
	if err := line(p, "eye, V(λ)", eye, 1, grey(140)); err != nil {
		return nil, err
	}
	if err := line(p, "film", film, 2, color.Black); err != nil {
		return nil, err
	}
	if j.filter.Name() != filters.Clear().Name() {
		if err := line(p, "film behind "+j.filter.Name(), behind, 2, color.Black, 5, 3); err != nil {
			return nil, err
		}
	}
	p.X.Min, p.X.Max, p.Y.Min, p.Y.Max = 360, 760, -0.07, 1.25
	p.Y.Tick.Marker = plot.ConstantTicks{{Value: 0, Label: "0"}, {Value: .25, Label: "0.25"}, {Value: .5, Label: "0.50"}, {Value: .75, Label: "0.75"}, {Value: 1, Label: "1.00"}}
	p.Legend.Top = true
	p.Legend.Padding = 3
	p.Legend.TextStyle.Font.Size = 9
	p.Legend.XOffs, p.Legend.YOffs = -6, -4
	return p, nil
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
func (j *job) temperature() (*plot.Plot, error) {
	p := newPlot("Filter factor in stops against the colour of the light, "+j.filmName, "colour temperature (K), spaced in mired: black bodies below 4000 K, daylight above", "factor (stops)")
	grid := plotter.NewGrid()
	grid.Vertical.Color, grid.Horizontal.Color = grey(225), grey(225)
	p.Add(grid)
	show := []filters.Filter{}
	if j.filter.Name() != filters.Clear().Name() {
		show = append(show, j.filter)
	}
	for _, n := range []string{"8", "15", "23A", "25", "29", "58", "47"} {
		e, err := filters.Find(n)
		if err != nil {
			return nil, err
		}
		if e.Filter.Name() != j.filter.Name() {
			show = append(show, e.Filter)
		}
	}
	styles := [][]vg.Length{nil, {6, 3}, {2, 2}, {8, 3, 2, 3}}
	labels := plotter.XYLabels{}
	for i, f := range show {
		// One curve for black bodies and one for daylight: they do not meet.
		for _, span := range [][2]float64{{2300, 3999}, {4000, 15000}} {
			var pts plotter.XYs
			for m := 1e6 / span[1]; m <= 1e6/span[0]; m += 2 {
				l, err := spectral.LightAt(spectral.Mired(m).Kelvin())
				if err != nil {
					return nil, err
				}
				v, err := filters.Factor(j.film, l.WithOutside(spectral.Zero), f)
				if err != nil {
					return nil, err
				}
				pts = append(pts, plotter.XY{X: -m, Y: float64(sensito.StopsOf(v))})
			}
			width := vg.Length(1.2)
			if i == 0 && f.Name() == j.filter.Name() {
				width = 2.6
			}
			if err := line(p, "", pts, width, grey(uint8(20*(i%4))), styles[i%4]...); err != nil {
				return nil, err
			}
			if span[0] == 4000 {
				labels.XYs = append(labels.XYs, plotter.XY{X: pts[0].X, Y: pts[0].Y})
				labels.Labels = append(labels.Labels, f.Name())
			}
		}
	}
	spread(labels.XYs, 0.28)
	names, err := plotter.NewLabels(labels)
	if err != nil {
		return nil, err
	}
	for i := range names.TextStyle {
		names.TextStyle[i].Font.Size = 9
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
	return p, nil
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
func (j *job) tones() (*plot.Plot, error) {
	bare, err := filters.Tones(j.film, j.light, filters.Clear(), j.patches...)
	if err != nil {
		return nil, err
	}
	behind, err := filters.Tones(j.film, j.light, j.filter, j.patches...)
	if err != nil {
		return nil, err
	}
	p := newPlot(fmt.Sprintf("Tones in %s, without filter and behind %s", j.lightName, j.filter.Name()), "", "")
	p.HideAxes()
	p.Add(&patchRows{bare, behind, p.Title.TextStyle})
	p.X.Min, p.X.Max = 0, 10
	p.Y.Min, p.Y.Max = -float64(len(bare)), 1
	return p, nil
}

type patchRows struct {
	bare, behind []filters.Tone
	style        text.Style
}

func (r *patchRows) Plot(c draw.Canvas, p *plot.Plot) {
	x, y := p.Transforms(&c)
	style := r.style
	style.Font = font.From(style.Font, 9)
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
			c.SetColor(grey(120))
			c.SetLineWidth(0.3)
			c.Stroke(box)
		}
		put(7.2, row-0.4, text.XCenter, fmt.Sprintf("%+.2f  to  %+.2f", float64(r.bare[i].StopsFromGrey), float64(r.behind[i].StopsFromGrey)))
		put(9.2, row-0.4, text.XCenter, fmt.Sprintf("%+.2f stops", float64(r.behind[i].Above(r.bare[i]))))
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
	return grey(uint8(math.Round(255 * v)))
}
