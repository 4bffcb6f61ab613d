package main

import (
	"bytes"
	"encoding/base64"
	"encoding/csv"
	"encoding/json"
	"fmt"
	"html/template"
	"math"
	"time"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/plotter"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"example.org/actinic/devtime"
	"example.org/actinic/devtime/roll"
	"example.org/actinic/examples/internal/figure"
	"example.org/actinic/sensito"
)

// report makes all files of the report in memory.
func report(r *roll.Record, invented bool) (figure.Files, error) {
	files := figure.Files{}
	type picture struct {
		Name, Caption string
		Data          template.URL
	}
	var pictures []picture
	for _, f := range []struct {
		name, caption string
		draw          func(*roll.Record) (*plot.Plot, error)
	}{
		{"curves", "Characteristic curves of the family. Crosses are the readings, grey bands hold the curve with 95 % confidence, circles mark the speed points at 0.10 above base plus fog.", family},
		{"contrast", "Average gradient against development. The line is the fitted growth with its 95 % band, bars are the strips' intervals, the dashed lines the target and its time.", contrast},
		{"bracket", "Densities of the bracketed frames. The dashed lines are the density asked of the shadow and the index at which it has it.", bracket},
	} {
		p, err := f.draw(r)
		if err != nil {
			return nil, fmt.Errorf("figure %s: %w", f.name, err)
		}
		if p == nil {
			continue
		}
		if err := files.Draw(f.name, p, 17*vg.Centimeter, 11*vg.Centimeter); err != nil {
			return nil, err
		}
		src := "data:image/png;base64," + base64.StdEncoding.EncodeToString(files[f.name+".png"])
		pictures = append(pictures, picture{f.name, f.caption, template.URL(src)})
	}
	rows := table(r)
	var text bytes.Buffer
	if err := csv.NewWriter(&text).WriteAll(rows); err != nil {
		return nil, err
	}
	files["table.csv"] = text.Bytes()
	record, err := json.MarshalIndent(r, "", "  ")
	if err != nil {
		return nil, err
	}
	files["record.json"] = append(record, '\n')
	var page bytes.Buffer
	err = pageTemplate.Execute(&page, map[string]any{
		"R": r, "Head": rows[0], "Rows": rows[1:], "Pictures": pictures, "Invented": invented, "Caution": devtime.Caution,
	})
	if err != nil {
		return nil, err
	}
	files["report.html"] = page.Bytes()
	return files, nil
}

// family draws the curves with their readings, bands and speed points.
func family(r *roll.Record) (*plot.Plot, error) {
	p := figure.New("Family of curves", "log10 exposure (lux seconds)", "Density")
	const n = 60
	type drawn struct {
		line plotter.XYs
		s    roll.StripRecord
	}
	var curves []drawn
	top := 0.0
	for _, s := range r.Strips {
		lo, hi := s.Curve.Domain()
		var line, low, high plotter.XYs
		for i := range n + 1 {
			x := min(lo+(hi-lo)*sensito.LogH(float64(i)/n), hi)
			es, err := s.Curve.Estimate(func(c sensito.Curve) (float64, error) {
				d, err := c.Density(x)
				return float64(d), err
			})
			if err != nil {
				return nil, err
			}
			line = append(line, plotter.XY{X: float64(x), Y: es[0].Value})
			low = append(low, plotter.XY{X: float64(x), Y: es[0].Low})
			high = append(high, plotter.XY{X: float64(x), Y: es[0].High})
		}
		if !math.IsNaN(low[0].Y) {
			if _, err := figure.Fill(p, low, high); err != nil {
				return nil, err
			}
		}
		curves = append(curves, drawn{line, s})
		top = max(top, line[n].Y)
	}
	for i, c := range curves {
		if _, err := figure.Line(p, c.line, figure.Black, 1, figure.Dashes[i%len(figure.Dashes)]); err != nil {
			return nil, err
		}
		var readings plotter.XYs
		for _, rd := range c.s.Readings {
			readings = append(readings, plotter.XY{X: float64(rd.LogH), Y: float64(rd.Density)})
			top = max(top, float64(rd.Density))
		}
		if _, err := figure.Points(p, readings, draw.CrossGlyph{}, figure.Mid, 2); err != nil {
			return nil, err
		}
	}
	var marks plotter.XYs
	for _, c := range curves {
		marks = append(marks, plotter.XY{X: c.s.SpeedPointLogH, Y: c.s.BaseFog + float64(sensito.SpeedPointDensity)})
		end := c.line[n]
		if err := figure.Label(p, end.X, end.Y, fmt.Sprintf("%s  %s", c.s.Strip, development(c.s)), 4, -3); err != nil {
			return nil, err
		}
	}
	if _, err := figure.Points(p, marks, draw.RingGlyph{}, figure.Black, 3.5); err != nil {
		return nil, err
	}
	p.X.Max += 0.14 * (p.X.Max - p.X.Min)
	p.Y.Min, p.Y.Max = 0, top*1.06
	return p, nil
}

// contrast draws the growth of the average gradient.
func contrast(r *roll.Record) (*plot.Plot, error) {
	if r.ContrastTime == nil {
		return nil, nil
	}
	law := r.ContrastTime.Law
	p := figure.New("Contrast against development", "Development (minutes)", "Average gradient")
	_, longest := law.Range()
	end := longest.Minutes() * 1.12
	if d := r.Development; d != nil && d.Value < 3*longest.Seconds() {
		end = max(end, d.Value/60*1.08)
	}
	start := max(r.ContrastTime.Induction.Value, 0)
	const n = 120
	var line, low, high plotter.XYs
	top := r.TargetAverageGradient
	for i := range n + 1 {
		m := start + (end-start)*float64(i)/n
		e, err := law.At(minutesOf(m))
		if err != nil {
			return nil, err
		}
		line = append(line, plotter.XY{X: m, Y: e.Value})
		low = append(low, plotter.XY{X: m, Y: e.Low})
		high = append(high, plotter.XY{X: m, Y: e.High})
		top = max(top, e.Value)
	}
	if !math.IsNaN(low[n].Y) && !math.IsInf(high[n].Y, 0) {
		if _, err := figure.Fill(p, low, high); err != nil {
			return nil, err
		}
	}
	if _, err := figure.Line(p, line, figure.Black, 1.2, nil); err != nil {
		return nil, err
	}
	var marks plotter.XYs
	for _, s := range r.Strips {
		g := s.AverageGradient
		if g == nil {
			continue
		}
		m := s.DevelopmentS / 60
		marks = append(marks, plotter.XY{X: m, Y: g.Value})
		top = max(top, g.Value)
		if !math.IsNaN(g.Low) {
			if _, err := figure.Line(p, plotter.XYs{{X: m, Y: g.Low}, {X: m, Y: g.High}}, figure.Black, 1, nil); err != nil {
				return nil, err
			}
			top = max(top, g.High)
		}
		if err := figure.Label(p, m, g.Value, s.Strip, 5, -9); err != nil {
			return nil, err
		}
	}
	if _, err := figure.Points(p, marks, draw.CircleGlyph{}, figure.Black, 2.2); err != nil {
		return nil, err
	}
	target := r.TargetAverageGradient
	if d := r.Development; d != nil && d.Value/60 <= end {
		m := d.Value / 60
		if _, err := figure.Line(p, plotter.XYs{{X: 0, Y: target}, {X: m, Y: target}, {X: m, Y: 0}}, figure.Dark, 0.8, figure.Dashes[1]); err != nil {
			return nil, err
		}
		label := "target " + fmt.Sprintf("%.2f at %s", target, development(roll.StripRecord{DevelopmentS: math.Round(d.Value)}))
		if err := figure.Label(p, end*0.02, target, label, 0, 4); err != nil {
			return nil, err
		}
		if !math.IsNaN(d.Low) && !math.IsInf(d.High, 0) {
			if _, err := figure.Line(p, plotter.XYs{{X: d.Low / 60, Y: 0.012 * top}, {X: min(d.High/60, end), Y: 0.012 * top}}, figure.Black, 2.5, nil); err != nil {
				return nil, err
			}
		}
	} else {
		if _, err := figure.Line(p, plotter.XYs{{X: 0, Y: target}, {X: end, Y: target}}, figure.Dark, 0.8, figure.Dashes[1]); err != nil {
			return nil, err
		}
		if err := figure.Label(p, end*0.02, target, fmt.Sprintf("target %.2f", target), 0, 4); err != nil {
			return nil, err
		}
	}
	p.X.Min, p.X.Max = 0, end
	p.Y.Min, p.Y.Max = 0, top*1.08
	return p, nil
}

// bracket draws the frames' densities against the index.
func bracket(r *roll.Record) (*plot.Plot, error) {
	b := r.Bracket
	if b == nil || len(b.Frames) == 0 {
		return nil, nil
	}
	p := figure.New("Exposure-index bracket", "Exposure index set", "Density")
	p.X.Scale = plot.LogScale{}
	p.X.Tick.Marker = indexTicks{}
	lo, hi := math.Inf(1), 0.0
	top := 0.0
	for i, patch := range []struct {
		name string
		of   func(roll.FrameRecord) *float64
		mark draw.GlyphDrawer
	}{
		{"highlight", func(f roll.FrameRecord) *float64 { return f.Highlight }, draw.TriangleGlyph{}},
		{"midtone", func(f roll.FrameRecord) *float64 { return f.Midtone }, draw.RingGlyph{}},
		{"shadow", func(f roll.FrameRecord) *float64 { return f.Shadow }, draw.CircleGlyph{}},
	} {
		var xy plotter.XYs
		for _, f := range b.Frames {
			lo, hi = min(lo, f.Index), max(hi, f.Index)
			if d := patch.of(f); d != nil {
				xy = append(xy, plotter.XY{X: f.Index, Y: *d})
				top = max(top, *d)
			}
		}
		if len(xy) == 0 {
			continue
		}
		if _, err := figure.Line(p, xy, figure.Dark, 0.8, figure.Dashes[i]); err != nil {
			return nil, err
		}
		if _, err := figure.Points(p, xy, patch.mark, figure.Black, 2.6); err != nil {
			return nil, err
		}
		last := xy[len(xy)-1]
		if err := figure.Label(p, last.X, last.Y, patch.name, 6, -3); err != nil {
			return nil, err
		}
	}
	right := hi * math.Pow(hi/lo, 0.16)
	left := lo / math.Pow(hi/lo, 0.03)
	if b.Index != nil {
		x := b.Index.Value
		if _, err := figure.Line(p, plotter.XYs{{X: left, Y: b.Target}, {X: x, Y: b.Target}, {X: x, Y: 0}}, figure.Dark, 0.8, figure.Dashes[1]); err != nil {
			return nil, err
		}
		if err := figure.Label(p, x, top*0.02, fmt.Sprintf("EI %.0f", x), 5, 2); err != nil {
			return nil, err
		}
		if !math.IsNaN(b.Index.Low) {
			if _, err := figure.Line(p, plotter.XYs{{X: b.Index.Low, Y: 0.008 * top}, {X: b.Index.High, Y: 0.008 * top}}, figure.Black, 2.5, nil); err != nil {
				return nil, err
			}
		}
	}
	p.X.Min, p.X.Max = left, right
	p.Y.Min, p.Y.Max = 0, top*1.08
	return p, nil
}

// indexTicks marks the speed scale in whole stops.
type indexTicks struct{}

func (indexTicks) Ticks(lo, hi float64) []plot.Tick {
	var out []plot.Tick
	for _, row := range sensito.Scale() {
		if row.Number < lo || row.Number > hi {
			continue
		}
		t := plot.Tick{Value: row.Number}
		if row.Degrees%3 == 0 {
			t.Label = row.Arithmetic()
		}
		out = append(out, t)
	}
	return out
}

var pageTemplate = template.Must(template.New("report").Parse(`<!DOCTYPE html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>{{.R.Film}}: test roll</title>
<style>
body { font: 16px/1.45 Georgia, "Times New Roman", serif; color: #111; background: #fff; max-width: 56rem; margin: 2rem auto; padding: 0 1rem; }
h1 { font-size: 1.6rem; margin-bottom: 0.2rem; } h2 { font-size: 1.15rem; margin-top: 2rem; }
.sub { color: #444; margin-top: 0; }
.wide { overflow-x: auto; }
table { border-collapse: collapse; font: 0.82rem/1.3 Arial, Helvetica, sans-serif; }
th, td { border-bottom: 1px solid #bbb; padding: 0.3rem 0.55rem; text-align: right; white-space: nowrap; }
th { border-bottom: 2px solid #333; white-space: normal; vertical-align: bottom; }
th:first-child, td:first-child { text-align: left; }
figure { margin: 1.5rem 0; } figure img { width: 100%; height: auto; }
figcaption { font-size: 0.88rem; color: #333; }
.note { border-left: 4px solid #777; padding: 0.1rem 0 0.1rem 0.8rem; margin: 0.5rem 0; }
.caution { border: 2px solid #111; padding: 0.6rem 0.9rem; margin: 1.5rem 0; }
footer { font-size: 0.85rem; color: #444; margin-top: 2rem; }
</style>
</head>
<body>
<h1>{{.R.Film}}</h1>
<p class="sub">{{.R.Process}}<br>{{.R.Light}}</p>
{{if .Invented}}<p class="note">Film, developer and readings are invented.</p>{{end}}
<h2>Recommendation</h2>
{{range .R.Recommendation}}{{if ne . $.Caution}}<p>{{.}}</p>
{{end}}{{end}}
{{range .R.Warnings}}<p class="note">{{.}}</p>
{{end}}
<h2>Strips</h2>
<div class="wide"><table>
<thead><tr>{{range .Head}}<th>{{.}}</th>{{end}}</tr></thead>
<tbody>
{{range .Rows}}<tr>{{range .}}<td>{{.}}</td>{{end}}</tr>
{{end}}</tbody>
</table></div>
<p>Target: average gradient {{printf "%.2f" .R.TargetAverageGradient}}. “±” and ranges are intervals of 95 % confidence. Speeds hold for this film, process and light together.</p>
{{range .Pictures}}<figure><img src="{{.Data}}" alt="{{.Caption}}"><figcaption>{{.Caption}}</figcaption></figure>
{{end}}
<h2>Method</h2>
<p>Each strip's readings are fitted by a smooth curve with a toe, a straight part and, where the readings show one, a shoulder (weighted least squares). The speed point m lies 0.10 above base plus fog; the speed is 0.80/H<sub>m</sub> with H<sub>m</sub> in lux seconds, and is called ISO only where the density 1.30 further in log H is 0.80 ± 0.05 higher (ISO 6:1993; the tolerance from memory). Otherwise it is an exposure index (EI) by the criterion given in the record. Speeds are rounded by degrees, S° = 1 + 10 log S.</p>
<p>Gamma is the slope of the straight part, where the slope is within 2 % of its greatest; the average gradient is the chord from the speed point over 1.50 in log H; the contrast index is the slope of the line that meets the curve at 0.2 and 2.2 from base plus fog on equal scales (after Niederpruem, Nelson and Yule, 1966, from memory).</p>
<p>Contrast grows with time as limit · (1 − exp(−rate · (t − induction))) (Hurter and Driffield; Sheppard and Mees). Intervals of curves and contrast follow from the readings by first-order propagation (JCGM 100:2008); that of the bracket's index from readings drawn again.{{with .R.Bracket}} In the bracket the shadow was placed {{.BelowMeter}} stops below the meter reading; by the standards the speed point lies 3.32 stops below it, so that an index found this way is lower by the difference.{{end}}</p>
<p class="caution"><strong>Handling developers.</strong> {{.Caution}}</p>
<footer>Beside this page: the figures as PNG and SVG, the table as table.csv, all numbers as record.json.</footer>
</body>
</html>
`))

func minutesOf(m float64) time.Duration { return time.Duration(m * float64(time.Minute)) }
