package main

import (
	"fmt"
	"math"
	"time"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/plotter"
	"gonum.org/v1/plot/vg/draw"

	"example.org/actinic/devtime/roll"
	"example.org/actinic/examples/internal/figure"
	"example.org/actinic/sensito"
)

// drawable reports whether all points are finite: a plotter takes no others.
func drawable(lines ...plotter.XYs) bool {
	for _, l := range lines {
		for _, p := range l {
			if p.X-p.X != 0 || p.Y-p.Y != 0 {
				return false
			}
		}
	}
	return true
}

// band fills between two lines, up to where the picture ends, where both are known.
func band(p *plot.Plot, low, high plotter.XYs, top float64) {
	if !drawable(low, high) {
		return
	}
	for i := range low {
		low[i].Y, high[i].Y = min(max(low[i].Y, 0), top), min(max(high[i].Y, 0), top)
	}
	figure.Fill(p, low, high)
}

// title names the film and its process, so that a figure posted alone says what it is of.
func title(r *roll.Record, subject string) string { return figure.Titled(subject, r.Film, r.Process) }

// stopsZero is where the scale of stops has its zero, and what to call it: the metered tone
// at the index, or else the speed point of the strip developed the least.
func stopsZero(r *roll.Record) (zero float64, words string) {
	if x := r.Index; x != nil && x.Value > 0 && r.Exposure != "relative" {
		ei := sensito.Speed{Value: x.Value}
		return float64(sensito.LogHOf(sensito.MeteredExposure / x.Value)), fmt.Sprintf("stops from the metered tone at %v", ei)
	}
	s := r.Strips[0]
	return s.SpeedPointLogH, fmt.Sprintf("stops from the speed point of strip %s", s.Strip)
}

// family draws the curves with their readings, bands and speed points.
func family(r *roll.Record) *plot.Plot {
	if len(r.Strips) == 0 {
		return nil
	}
	unit := "lux seconds"
	if r.Exposure == "relative" {
		unit = "relative"
	}
	p := figure.New(title(r, "Family of curves"), "log10 exposure ("+unit+")", "Density")
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
			if figure.Fault(p, err); err != nil {
				return p
			}
			line = append(line, plotter.XY{X: float64(x), Y: es[0].Value})
			low = append(low, plotter.XY{X: float64(x), Y: es[0].Low})
			high = append(high, plotter.XY{X: float64(x), Y: es[0].High})
		}
		band(p, low, high, 1.5*line[n].Y)
		curves = append(curves, drawn{line, s})
		top = max(top, line[n].Y)
	}
	for i, c := range curves {
		figure.Line(p, c.line, figure.Black, 1, figure.Dashes[i%len(figure.Dashes)])
		var readings plotter.XYs
		for _, rd := range c.s.Readings {
			readings = append(readings, plotter.XY{X: float64(rd.LogH), Y: float64(rd.Density)})
			top = max(top, float64(rd.Density))
		}
		figure.Points(p, readings, draw.CrossGlyph{}, figure.Mid, 2)
	}
	var marks plotter.XYs
	var tags []figure.Tag
	for _, c := range curves {
		marks = append(marks, plotter.XY{X: c.s.SpeedPointLogH, Y: c.s.BaseFog + float64(sensito.SpeedPointDensity)})
		end := c.line[n]
		tags = append(tags, figure.Tag{X: end.X, Y: end.Y, Text: fmt.Sprintf("%s  %s", c.s.Strip, development(c.s))})
	}
	figure.Points(p, marks, draw.RingGlyph{}, figure.Black, 3.5)
	figure.Tags(p, tags...)
	p.X.Max += 0.14 * (p.X.Max - p.X.Min)
	p.Y.Min, p.Y.Max = 0, top*1.06
	zero, words := stopsZero(r)
	figure.Stops(p, zero, words)
	return p
}

// growthLine draws the growth of contrast and returns how high it goes: between the strips
// the law is what they say, and drawn whole; beyond them it is dashed, and has no band.
func growthLine(p *plot.Plot, r *roll.Record, start, end float64) (top float64) {
	const n = 40
	growth := r.ContrastTime.Growth
	first, last := r.ContrastTime.ShortestS/60, r.ContrastTime.LongestS/60
	top = r.TargetAverageGradient
	for _, piece := range []struct {
		from, to float64
		within   bool
	}{{first, last, true}, {start, first, false}, {last, end, false}} {
		if !(piece.from < piece.to) {
			continue
		}
		var line, low, high plotter.XYs
		for i := range n + 1 {
			m := piece.from + (piece.to-piece.from)*float64(i)/n
			g, err := growth.Law().At(minutesOf(m))
			figure.Fault(p, err)
			line = append(line, plotter.XY{X: m, Y: g.Value})
			top = max(top, g.Value)
			if !piece.within {
				continue // no strip bounds it there
			}
			e, err := growth.At(minutesOf(m))
			figure.Fault(p, err)
			low, high = append(low, plotter.XY{X: m, Y: e.Low}), append(high, plotter.XY{X: m, Y: e.High})
		}
		dash := figure.Dashes[1]
		if piece.within {
			dash = nil
			band(p, low, high, 1.5*top)
		}
		figure.Line(p, line, figure.Black, 1.2, dash)
	}
	return top
}

// contrast draws the growth of the average gradient.
func contrast(r *roll.Record) *plot.Plot {
	if r.ContrastTime == nil {
		return nil
	}
	law := r.ContrastTime.Growth
	p := figure.New(title(r, "Contrast against development"), "Development (minutes)", "Average gradient")
	_, longest := law.Range()
	end := longest.Minutes() * 1.12
	if d := r.Development; d != nil && d.Value < 3*longest.Seconds() {
		end = max(end, d.Value/60*1.08)
	}
	start := max(r.ContrastTime.Induction.Value, 0)
	top := growthLine(p, r, start, end)
	var marks plotter.XYs
	var tags []figure.Tag
	for _, s := range r.Strips {
		g := s.AverageGradient
		if g == nil {
			continue
		}
		m := s.Taken() / 60
		marks = append(marks, plotter.XY{X: m, Y: g.Value})
		top = max(top, g.Value)
		if g.Low-g.Low == 0 && g.High-g.High == 0 {
			figure.Line(p, plotter.XYs{{X: m, Y: g.Low}, {X: m, Y: g.High}}, figure.Black, 1, nil)
			top = max(top, g.High)
		}
		tags = append(tags, figure.Tag{X: m, Y: g.Value, Text: s.Strip, Below: true})
	}
	figure.Tags(p, tags...)
	figure.Points(p, marks, draw.CircleGlyph{}, figure.Black, 2.2)
	target := r.TargetAverageGradient
	if d := r.Development; d != nil && d.Value/60 <= end {
		m := d.Value / 60
		figure.Line(p, plotter.XYs{{X: 0, Y: target}, {X: m, Y: target}, {X: m, Y: 0}}, figure.Dark, 0.8,
			figure.Dashes[1])
		label := "target " + fmt.Sprintf("%.2f at %s", target, development(roll.StripRecord{DevelopmentS: math.Round(d.Value)}))
		figure.Label(p, end*0.02, target, label, 0, 4)
		if d.High-d.Low >= 0 {
			figure.Line(p, plotter.XYs{{X: d.Low / 60, Y: 0.012 * top},
				{X: min(d.High/60, end), Y: 0.012 * top}}, figure.Black, 2.5, nil)
		}
	} else {
		figure.Line(p, plotter.XYs{{X: 0, Y: target}, {X: end, Y: target}}, figure.Dark, 0.8, figure.Dashes[1])
		figure.Label(p, end*0.02, target, fmt.Sprintf("target %.2f", target), 0, 4)
	}
	p.X.Min, p.X.Max = 0, end
	p.Y.Min, p.Y.Max = 0, top*1.08
	return p
}

// bracket draws the frames' densities against the index.
func bracket(r *roll.Record) *plot.Plot {
	b := r.Bracket
	if b == nil || len(b.Frames) == 0 {
		return nil
	}
	p := figure.New(title(r, "Exposure-index bracket"), "Exposure index set", "Density")
	p.X.Scale = plot.LogScale{}
	p.X.Tick.Marker = indexTicks{}
	lo, hi := math.Inf(1), 0.0
	top := 0.0
	var tags []figure.Tag
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
		figure.Line(p, xy, figure.Dark, 0.8, figure.Dashes[i])
		figure.Points(p, xy, patch.mark, figure.Black, 2.6)
		last := xy[len(xy)-1]
		tags = append(tags, figure.Tag{X: last.X, Y: last.Y, Text: patch.name})
	}
	figure.Tags(p, tags...)
	right := hi * math.Pow(hi/lo, 0.16)
	left := lo / math.Pow(hi/lo, 0.03)
	if b.Index != nil {
		x := b.Index.Value
		figure.Line(p, plotter.XYs{{X: left, Y: b.Target}, {X: x, Y: b.Target}, {X: x, Y: 0}}, figure.Dark,
			0.8, figure.Dashes[1])
		figure.Label(p, x, top*0.02, fmt.Sprintf("EI %.0f", x), 5, 2)
		if b.Index.Low > 0 && b.Index.High-b.Index.High == 0 {
			figure.Line(p, plotter.XYs{{X: b.Index.Low, Y: 0.008 * top}, {X: b.Index.High, Y: 0.008 * top}},
				figure.Black, 2.5, nil)
		}
	}
	p.X.Min, p.X.Max = left, right
	p.Y.Min, p.Y.Max = 0, top*1.08
	return p
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

func minutesOf(m float64) time.Duration { return time.Duration(m * float64(time.Minute)) }
