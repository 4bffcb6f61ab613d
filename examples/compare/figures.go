package main

import (
	"fmt"
	"math"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/plotter"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"example.org/actinic"
	"example.org/actinic/examples/internal/figure"
	"example.org/actinic/sensito"
)

// curveFigures are the names of the pictures of the curves.
var curveFigures = []string{"curves-exposure", "curves-tones"}

// title names what is compared, so that a picture says it by itself.
func (c *comparison) title(what string) string {
	names := map[string]bool{}
	for _, row := range c.Rows {
		names[row.Process.Film().Name()] = true
	}
	if len(names) == 1 {
		return what + ": " + c.Rows[0].Process.Film().Name()
	}
	return fmt.Sprintf("%s: %d combinations of %d films", what, len(c.Rows), len(names))
}

// curves draws all curves against log exposure, or against stops from the metered tone at
// each row's index; nil where there is none.
func (c *comparison) curves(stops bool) *plot.Plot {
	x := "log10 exposure (lux seconds)"
	if stops {
		x = "Stops from the metered tone, at the row's index"
	}
	p := figure.New(c.title("Curves"), x, "Density")
	const n = 80
	var tags []figure.Tag
	for i, row := range c.Rows {
		if row.Curve == nil || stops && !(row.Index > 0) {
			continue
		}
		place := func(h sensito.LogH) float64 { return float64(h) }
		if stops {
			metered := sensito.LogHOf(sensito.MeteredExposure / row.Index)
			place = func(h sensito.LogH) float64 { return float64(h-metered) / math.Log10(2) }
		}
		lo, hi := row.Curve.Domain()
		var line plotter.XYs
		for k := range n + 1 {
			h := min(lo+(hi-lo)*sensito.LogH(float64(k)/n), hi)
			d, _ := row.Curve.Density(h) // within its domain
			line = append(line, plotter.XY{X: place(h), Y: float64(d)})
		}
		dash := figure.Dashes[i%len(figure.Dashes)]
		grey := figure.Black
		if i/len(figure.Dashes)%2 == 1 {
			grey = figure.Mid
		}
		figure.Line(p, line, grey, 1, dash)
		end := line[len(line)-1]
		tags = append(tags, figure.Tag{X: end.X, Y: end.Y, Text: fmt.Sprint(i + 1)})
	}
	if len(tags) == 0 {
		return nil
	}
	// Room for the numbers at the ends of the curves.
	p.X.Max += 0.04 * (p.X.Max - p.X.Min)
	p.Y.Min = 0
	figure.Tags(p, tags...)
	return p
}

// trait draws a trait of all rows with its intervals, the first row on top.
func (c *comparison) trait(t actinic.Trait) *plot.Plot {
	p := figure.New(c.title(titles[t]), t.Words(), "Row")
	var ticks []plot.Tick
	n := len(c.Rows)
	var at plotter.XYs
	for i, row := range c.Rows {
		y := float64(n - i)
		ticks = append(ticks, plot.Tick{Value: y, Label: fmt.Sprint(i + 1)})
		e, has := row.Traits[t]
		if !has {
			continue
		}
		if !math.IsNaN(e.Low) && !math.IsNaN(e.High) && !math.IsInf(e.High-e.Low, 0) {
			figure.Line(p, plotter.XYs{{X: e.Low, Y: y}, {X: e.High, Y: y}}, figure.Dark, 1.4, nil)
		}
		at = append(at, plotter.XY{X: e.Value, Y: y})
	}
	if len(at) == 0 {
		return nil
	}
	figure.Points(p, at, draw.CircleGlyph{}, figure.Black, 2.4)
	p.Y.Tick.Marker = plot.ConstantTicks(ticks)
	p.Y.Min, p.Y.Max = 0.4, float64(n)+0.6
	if ratio(t) {
		p.X.Scale, p.X.Tick.Marker = plot.LogScale{}, octaves{}
		pad := max(math.Pow(p.X.Max/p.X.Min, 0.04), 1.02)
		p.X.Min, p.X.Max = p.X.Min/pad, p.X.Max*pad
		return p
	}
	pad := max(0.04*(p.X.Max-p.X.Min), 1e-4)
	p.X.Min, p.X.Max = p.X.Min-pad, p.X.Max+pad
	return p
}

// differences draws how far each row lies from the first in a trait, with the interval of
// the difference: of speeds and indexes in stops.
func (c *comparison) differences(t actinic.Trait) *plot.Plot {
	first, has := c.Rows[0].Traits[t]
	if !has {
		return nil
	}
	stops := ratio(t)
	unit := t.Words()
	if stops {
		unit = "stops of " + unit
	}
	p := figure.New(c.title("Difference from row 1"), unit, "Row")
	scale := func(e sensito.Estimate) sensito.Estimate {
		if stops {
			return e.Map(math.Log2)
		}
		return e
	}
	a := scale(first)
	var at plotter.XYs
	var ticks []plot.Tick
	n := len(c.Rows)
	for i, row := range c.Rows[1:] {
		y := float64(n - 1 - i)
		ticks = append(ticks, plot.Tick{Value: y, Label: fmt.Sprint(i + 2)})
		e, has := row.Traits[t]
		if !has {
			continue
		}
		b := scale(e)
		d := b.Value - a.Value
		down, up := math.Hypot(b.Value-b.Low, a.High-a.Value), math.Hypot(b.High-b.Value, a.Value-a.Low)
		if !math.IsNaN(down) && !math.IsNaN(up) {
			figure.Line(p, plotter.XYs{{X: d - down, Y: y}, {X: d + up, Y: y}}, figure.Dark, 1.4, nil)
		}
		at = append(at, plotter.XY{X: d, Y: y})
	}
	if len(at) == 0 {
		return nil
	}
	figure.Points(p, at, draw.CircleGlyph{}, figure.Black, 2.4)
	pad := max(0.04*(p.X.Max-p.X.Min), 1e-3)
	p.X.Min, p.X.Max = min(p.X.Min, 0)-pad, max(p.X.Max, 0)+pad
	p.Y.Tick.Marker = plot.ConstantTicks(ticks)
	p.Y.Min, p.Y.Max = 0.4, float64(n)-0.4
	figure.Line(p, plotter.XYs{{X: 0, Y: p.Y.Min}, {X: 0, Y: p.Y.Max}}, figure.Mid, 0.8, []vg.Length{3, 3})
	return p
}

// octaves marks speeds at doublings of 100, with thirds between.
type octaves struct{}

// Ticks is the plot.Ticker method.
func (octaves) Ticks(lo, hi float64) []plot.Tick {
	var out []plot.Tick
	for k := math.Ceil(3 * math.Log2(lo/100)); ; k++ {
		v := 100 * math.Exp2(k/3)
		if !(v <= hi) || len(out) > 200 {
			return out
		}
		tick := plot.Tick{Value: v}
		if math.Mod(k, 3) == 0 || hi/lo < 3 {
			tick.Label = sensito.Speed{Value: v}.Arithmetic()
		}
		out = append(out, tick)
	}
}
