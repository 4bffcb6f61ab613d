package main

import (
	"fmt"
	"math"
	"slices"
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

// developmentDrawing stands the times against the one condition that varies, or the first
// of temperature, index and dilution where several do.
func developmentDrawing(rows []timetable.Row) drawing {
	d := drawing{column: "time", x: "Row", y: "Time (minutes)", at: byRow(len(rows))}
	at := map[string][]float64{}
	const celsius, fahrenheit, index, dilution = "Temperature (°C)", "Temperature (°F)", "Exposure index", "Dilution (parts in all)"
	for _, r := range rows {
		d.printed = append(d.printed, r.Time.Minutes())
		at[celsius] = append(at[celsius], float64(r.Temperature))
		at[fahrenheit] = append(at[fahrenheit], r.Fahrenheit)
		at[index] = append(at[index], r.Index)
		parts := 0.0
		if p, _ := r.Dilution.Parts(); p > 0 {
			parts = r.Dilution.Factor()
		}
		at[dilution] = append(at[dilution], parts)
	}
	for _, x := range []string{fahrenheit, celsius, index, dilution} {
		if v := at[x]; slices.Min(v) > 0 && slices.Min(v) < slices.Max(v) {
			d.x, d.at = x, v
			d.logX = x == index || x == dilution
			break
		}
	}
	return d
}

func reciprocityDrawing(rows []corrections.Row) drawing {
	d := drawing{column: "adjusted_s", x: "Metered time (seconds)", y: "Adjusted time (seconds)", logX: true}
	times := false
	for _, r := range rows {
		d.at = append(d.at, r.Metered)
		d.printed = append(d.printed, r.Adjusted) // 0 where only an aperture is printed
		times = times || r.Adjusted > 0
	}
	if !times {
		d.column, d.y = "aperture_stops", "Open by (stops)"
		for i, r := range rows {
			d.printed[i] = float64(r.Aperture)
		}
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
	printed.SlipCopied: "copied", printed.SlipStops: "stops", printed.SlipFactor: "factor", printed.SlipSign: "sign", printed.SlipShifted: "shifted",
	printed.SlipCopiedBelow: "copied", printed.SlipDropped: "dropped", printed.SlipDoubled: "doubled", printed.SlipAdded: "digit", printed.SlipTens: "tens",
}

// picture is a table's picture while it is drawn.
type picture struct {
	*plot.Plot
	d                   drawing
	logY                bool
	left, right, lo, hi float64
}

// draw adds the picture of a table: dots are printed, rings what the law implies with the
// band that it allows, and the findings carry a cross and the number of their row.
func draw(files figure.Files, j job) error {
	d := j.drawing
	p := &picture{Plot: figure.New(j.Name, d.x, d.y), d: d, logY: true, lo: math.Inf(1), hi: math.Inf(-1)}
	for _, v := range d.printed {
		if v <= 0 && d.column != "adjusted_s" {
			p.logY = false // densities, exposure values
		}
	}
	if p.logY {
		p.Y.Scale, p.Y.Tick.Marker = plot.LogScale{}, logTicks{}
	}
	if d.logX {
		p.X.Scale, p.X.Tick.Marker = plot.LogScale{}, logTicks{}
	}
	dots, law := p.rows(j)
	if len(dots) == 0 {
		return nil
	}
	p.frame()
	accused, remarked, marks := p.findings(j)
	for _, g := range []struct {
		xy     plotter.XYs
		shape  vgdraw.GlyphDrawer
		radius vg.Length
		name   string
	}{
		{law, vgdraw.RingGlyph{}, 3.5, "implied by the law and the other rows, with its band"},
		{dots, vgdraw.CircleGlyph{}, 1.8, "printed"},
		{remarked, vgdraw.SquareGlyph{}, 5, "remark"},
		{accused, vgdraw.CrossGlyph{}, 6, "accused"},
	} {
		if len(g.xy) == 0 {
			continue
		}
		p.Legend.Add(g.name, figure.Points(p.Plot, g.xy, g.shape, figure.Black, g.radius))
	}
	p.Legend.Top = true
	p.Legend.Left = true
	p.Legend.XOffs = 6
	p.labels(marks)
	return files.Draw(j.file, p.Plot, 17*vg.Centimeter, 11*vg.Centimeter)
}

// drawable tells whether a value can stand on the axis.
func (p *picture) drawable(v float64) bool {
	return math.Abs(v) < 1e15 && (!p.logY || v > 1e-12)
}

// rows draws the band of each row and the way from printed to implied.
func (p *picture) rows(j job) (dots, law plotter.XYs) {
	p.left, p.right = math.Inf(1), math.Inf(-1)
	grow := func(v float64) { p.lo, p.hi = min(p.lo, v), max(p.hi, v) }
	for i, v := range p.d.printed {
		x := p.d.at[i]
		p.left, p.right = min(p.left, x), max(p.right, x)
		shown := p.drawable(v)
		if shown {
			dots = append(dots, plotter.XY{X: x, Y: v})
			grow(v)
		}
		at := j.Implied[i]
		if !p.drawable(at) || p.logY && at <= 0 {
			continue
		}
		law = append(law, plotter.XY{X: x, Y: at})
		grow(at)
		if i < len(j.Low) && p.drawable(j.Low[i]) && p.drawable(j.High[i]) && j.High[i] < 1e4*j.Low[i] {
			grow(j.Low[i])
			grow(j.High[i])
			figure.Line(p.Plot, plotter.XYs{{X: x, Y: j.Low[i]}, {X: x, Y: j.High[i]}}, figure.Mid, 3, nil)
		}
		if shown && math.Abs(v-at) > 0.02*math.Abs(at) {
			figure.Line(p.Plot, plotter.XYs{{X: x, Y: v}, {X: x, Y: at}}, figure.Mid, 0.8, nil)
		}
	}
	return dots, law
}

// frame sets the axes: what is drawn at the edges needs room, and so does the legend above.
func (p *picture) frame() {
	if p.d.logX {
		pad := max(math.Pow(p.right/p.left, 0.06), 1.1)
		p.left, p.right = p.left/pad, p.right*pad
	} else {
		pad := max(0.06*(p.right-p.left), 0.5)
		p.left, p.right = p.left-pad, p.right+pad
	}
	p.X.Min, p.X.Max = p.left, p.right
	if p.logY {
		span := max(p.hi/p.lo, 1.5)
		p.Y.Min, p.Y.Max = p.lo/math.Pow(span, 0.08), p.hi*math.Pow(span, 0.3)
		return
	}
	span := max(p.hi-p.lo, 1e-6)
	p.Y.Min, p.Y.Max = p.lo-0.08*span, p.hi+0.3*span
}

type mark struct {
	x, y float64
	text string
}

// findings are the marks of what was found.
func (p *picture) findings(j job) (accused, remarked plotter.XYs, marks []mark) {
	for _, f := range j.Findings {
		i := f.Row - 1
		y := p.d.printed[i]
		if !p.drawable(y) {
			y = p.lo
		}
		text := fmt.Sprintf("row %d", j.row(f))
		switch w := brief[f.Slip]; {
		case w != "":
			text += " " + w
		case f.Column != p.d.column:
			text += " " + f.Column
		}
		at := plotter.XY{X: p.d.at[i], Y: y}
		if f.Confidence == printed.High {
			accused = append(accused, at)
		} else {
			remarked = append(remarked, at)
			text = fmt.Sprintf("(row %d)", j.row(f))
		}
		marks = append(marks, mark{at.X, at.Y, text})
	}
	return accused, remarked, marks
}

// labels stay inside: those far to the right stand left of their mark.
func (p *picture) labels(marks []mark) {
	for _, m := range marks {
		where := (m.x - p.left) / (p.right - p.left)
		if p.d.logX {
			where = math.Log(m.x/p.left) / math.Log(p.right/p.left)
		}
		dx := vg.Length(8)
		if where > 0.6 {
			dx = -vg.Length(4.6*float64(len([]rune(m.text)))) - 8
		}
		figure.Label(p.Plot, m.x, m.y, m.text, dx, 4)
	}
}

// logTicks marks 1, 2 and 5 times the powers of ten, or fewer over many.
type logTicks struct{}

// Ticks is the plot.Ticker method.
func (logTicks) Ticks(lo, hi float64) []plot.Tick {
	var out []plot.Tick
	if !(lo > 1e-30 && hi < 1e30) {
		return nil
	}
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
