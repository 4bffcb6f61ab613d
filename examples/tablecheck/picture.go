package main

import (
	"fmt"
	"math"
	"strconv"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/plotter"
	"gonum.org/v1/plot/vg"
	vgdraw "gonum.org/v1/plot/vg/draw"

	"example.org/actinic/devtime/timetable"
	"example.org/actinic/examples/internal/figure"
	"example.org/actinic/filters/factortable"
	"example.org/actinic/reciprocity/corrections"
	"example.org/actinic/sensito/printed"
)

// drawing is what a table's picture shows besides the report: printed values,
// and what they stand against.
type drawing struct {
	column  string // the checked one
	x, y    string // of the axes
	at      []float64
	printed []float64
	logX    bool
}

// byRow stands the values against the number of the row.
func byRow(n int) []float64 {
	out := make([]float64, n)
	for i := range out {
		out[i] = float64(i + 1)
	}
	return out
}

func developmentDrawing(rows []timetable.Row) drawing {
	d := drawing{column: "time", x: "Row", y: "Time (minutes)", at: byRow(len(rows))}
	onlyTemperature := true
	for _, r := range rows {
		d.printed = append(d.printed, r.Time.Minutes())
		s, _ := r.Dilution.Parts()
		onlyTemperature = onlyTemperature && r.Index == 0 && s == 0 && r.Fahrenheit != 0
	}
	if onlyTemperature {
		d.x = "Temperature (°F)"
		for i, r := range rows {
			d.at[i] = r.Fahrenheit
		}
	}
	return d
}

func reciprocityDrawing(rows []corrections.Row) drawing {
	d := drawing{column: "adjusted_s", x: "Metered time (seconds)", y: "Adjusted time (seconds)", logX: true}
	for _, r := range rows {
		d.at = append(d.at, r.Metered)
		d.printed = append(d.printed, r.Adjusted)
	}
	return d
}

func filterDrawing(rows []factortable.Row) drawing {
	d := drawing{column: "factor", x: "Row", y: "Filter factor", at: byRow(len(rows))}
	for _, r := range rows {
		d.printed = append(d.printed, r.Factor)
	}
	return d
}

func seriesDrawing(s printed.Series) drawing {
	return drawing{column: s.Column, x: "Row", y: s.Column, at: byRow(len(s.Y)), printed: s.Y}
}

// brief are the slips in a word.
var brief = map[printed.Slip]string{
	printed.SlipMinutes: "min/s", printed.SlipFahrenheit: "°F", printed.SlipDigits: "digits", printed.SlipDecimal: "point",
	printed.SlipCopied: "copied", printed.SlipStops: "stops",
}

// draw adds the picture of a table: dots are printed, rings what the law implies,
// and the findings carry a cross and the number of their row.
func draw(files figure.Files, j job) error {
	d := j.drawing
	p := figure.New(j.Name, d.x, d.y)
	p.Y.Scale, p.Y.Tick.Marker = plot.LogScale{}, logTicks{}
	if d.logX {
		p.X.Scale, p.X.Tick.Marker = plot.LogScale{}, logTicks{}
	}
	var dots, law, accused, remarked plotter.XYs
	lo, hi := math.Inf(1), 0.0
	left, right := math.Inf(1), math.Inf(-1)
	for i, v := range d.printed {
		x := d.at[i]
		left, right = min(left, x), max(right, x)
		if v > 0 {
			dots = append(dots, plotter.XY{X: x, Y: v})
			lo, hi = min(lo, v), max(hi, v)
		}
		if at := j.Implied[i]; at > 0 && !math.IsInf(at, 0) {
			law = append(law, plotter.XY{X: x, Y: at})
			lo, hi = min(lo, at), max(hi, at)
			if v > 0 && math.Abs(math.Log(v/at)) > 0.02 {
				if _, err := figure.Line(p, plotter.XYs{{X: x, Y: v}, {X: x, Y: at}}, figure.Mid, 0.8, nil); err != nil {
					return err
				}
			}
		}
	}
	if len(dots) == 0 {
		return nil
	}
	// What is drawn at the edges needs room, and so does the legend above.
	if d.logX {
		pad := math.Pow(right/left, 0.06)
		left, right = left/pad, right*pad
	} else {
		pad := max(0.06*(right-left), 0.5)
		left, right = left-pad, right+pad
	}
	p.X.Min, p.X.Max = left, right
	span := max(hi/lo, 1.5)
	p.Y.Min, p.Y.Max = lo/math.Pow(span, 0.08), hi*math.Pow(span, 0.3)
	type mark struct {
		x, y float64
		text string
	}
	var marks []mark
	for _, f := range j.Findings {
		i := f.Row - 1
		y := d.printed[i]
		if !(y > 0) {
			y = lo
		}
		text := fmt.Sprintf("row %d", f.Row)
		switch w := brief[f.Slip]; {
		case w != "":
			text += " " + w
		case f.Column != d.column:
			text += " " + f.Column
		}
		at := plotter.XY{X: d.at[i], Y: y}
		if f.Confidence == printed.High {
			accused = append(accused, at)
		} else {
			remarked = append(remarked, at)
			text = fmt.Sprintf("(%d)", f.Row)
		}
		marks = append(marks, mark{at.X, at.Y, text})
	}
	for _, g := range []struct {
		xy     plotter.XYs
		shape  vgdraw.GlyphDrawer
		radius vg.Length
		name   string
	}{
		{law, vgdraw.RingGlyph{}, 3.5, "implied by the law and the other rows"},
		{dots, vgdraw.CircleGlyph{}, 1.8, "printed"},
		{remarked, vgdraw.SquareGlyph{}, 5, "remark"},
		{accused, vgdraw.CrossGlyph{}, 6, "accused"},
	} {
		if len(g.xy) == 0 {
			continue
		}
		s, err := figure.Points(p, g.xy, g.shape, figure.Black, g.radius)
		if err != nil {
			return err
		}
		p.Legend.Add(g.name, s)
	}
	p.Legend.Top = true
	p.Legend.Left = true
	p.Legend.XOffs = 6
	for _, m := range marks {
		// Labels stay inside: those far to the right stand left of their mark.
		where := (m.x - left) / (right - left)
		if d.logX {
			where = math.Log(m.x/left) / math.Log(right/left)
		}
		dx := vg.Length(8)
		if where > 0.6 {
			dx = -vg.Length(4.6*float64(len([]rune(m.text)))) - 8
		}
		if err := figure.Label(p, m.x, m.y, m.text, dx, 4); err != nil {
			return err
		}
	}
	return files.Draw(j.file, p, 17*vg.Centimeter, 11*vg.Centimeter)
}

// logTicks marks 1, 2 and 5 times the powers of ten, or fewer over many.
type logTicks struct{}

// Ticks is the plot.Ticker method.
func (logTicks) Ticks(lo, hi float64) []plot.Tick {
	var out []plot.Tick
	decades := math.Log10(hi / lo)
	fine := []float64{1, 2, 5}
	switch {
	case decades > 4:
		fine = []float64{1}
	case decades < 1.2:
		fine = []float64{1, 1.5, 2, 3, 4, 5, 6, 7, 8, 9}
	}
	for e := math.Floor(math.Log10(lo)); e <= math.Ceil(math.Log10(hi)); e++ {
		for _, f := range fine {
			v, _ := strconv.ParseFloat(strconv.FormatFloat(f*math.Pow(10, e), 'g', 6, 64), 64)
			if v >= lo && v <= hi {
				out = append(out, plot.Tick{Value: v, Label: strconv.FormatFloat(v, 'f', -1, 64)})
			}
		}
	}
	return out
}
