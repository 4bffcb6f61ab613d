package figure

import (
	"math"
	"strings"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// Tag is a word beside a point.
type Tag struct {
	X, Y float64
	Text string
}

// Tags writes words beside their points so that none lies on another: one that has no
// room is moved up or down, with a thin line to its point.
func Tags(p *plot.Plot, tags ...Tag) { p.Add(tagged(tags)) }

type tagged []Tag

const (
	tagSize = 9
	tagGap  = vg.Length(5)
)

// Plot is the plot.Plotter method.
func (ts tagged) Plot(c draw.Canvas, p *plot.Plot) {
	x, y := p.Transforms(&c)
	sty := style(tagSize)
	var taken []vg.Rectangle
	for _, t := range ts {
		at := vg.Point{X: x(t.X), Y: y(t.Y)}
		size := vg.Point{X: sty.Width(t.Text), Y: vg.Length(tagSize)}
		box, moved := place(at, size, taken, c.Rectangle)
		taken = append(taken, box)
		if moved > 1.2*size.Y {
			line := draw.LineStyle{Color: Mid, Width: 0.4}
			c.StrokeLine2(line, at.X+1, at.Y, box.Min.X-1, box.Min.Y+size.Y/3)
		}
		c.FillText(sty, vg.Point{X: box.Min.X, Y: box.Min.Y + size.Y*0.15}, t.Text)
	}
}

// place finds room for a box right of a point, then nearest to it up or down; moved is
// how far from the first place it lies.
func place(at, size vg.Point, taken []vg.Rectangle, within vg.Rectangle) (box vg.Rectangle, moved vg.Length) {
	step := size.Y / 2
	left := at.X + tagGap
	if left+size.X > within.Max.X {
		left = min(left, max(at.X-tagGap-size.X, within.Min.X))
	}
	first := at.Y - size.Y/2
	for k := range 80 {
		off := step * vg.Length((k+1)/2)
		if k%2 == 1 {
			off = -off
		}
		box = vg.Rectangle{Min: vg.Point{X: left, Y: first + off}}
		box.Max = vg.Point{X: left + size.X, Y: box.Min.Y + size.Y*1.1}
		if box.Min.Y < within.Min.Y || box.Max.Y > within.Max.Y || meets(box, taken) {
			continue
		}
		return box, max(off, -off)
	}
	box = vg.Rectangle{Min: vg.Point{X: left, Y: first}, Max: vg.Point{X: left + size.X, Y: first + size.Y}}
	return box, 0
}

func meets(a vg.Rectangle, others []vg.Rectangle) bool {
	for _, b := range others {
		if a.Min.X < b.Max.X && b.Min.X < a.Max.X && a.Min.Y < b.Max.Y && b.Min.Y < a.Max.Y {
			return true
		}
	}
	return false
}

func style(size vg.Length) text.Style {
	return text.Style{Color: Black, Font: Font(size), Handler: plot.DefaultTextHandler, XAlign: draw.XLeft, YAlign: draw.YBottom}
}

// widest is how many characters a title has on a line.
const widest = 84

// Titled is a title that a picture keeps when it is posted alone: the subject, and below
// it what it is of, a film and its process say, folded where that is long.
func Titled(subject string, of ...string) string {
	var lines []string
	line := ""
	for _, w := range strings.Fields(strings.Join(of, ", ")) {
		if line != "" && len([]rune(line))+1+len([]rune(w)) > widest {
			lines, line = append(lines, line), ""
		}
		line = strings.TrimSpace(line + " " + w)
	}
	if line != "" {
		lines = append(lines, line)
	}
	return strings.Join(append([]string{subject}, lines...), "\n")
}

// Stops marks whole stops above a plot whose axis is log10 exposure, 0 at the exposure
// zero, such as that of the metered tone; the words say what 0 is.
func Stops(p *plot.Plot, zero float64, words string) { p.Add(stopsScale{zero, words}) }

type stopsScale struct {
	zero  float64
	words string
}

// stopsHeight is the room above the plot.
const stopsHeight = vg.Length(27)

// GlyphBoxes is the plot.GlyphBoxer method: it keeps the room.
func (stopsScale) GlyphBoxes(*plot.Plot) []plot.GlyphBox {
	return []plot.GlyphBox{{X: 0.5, Y: 1, Rectangle: vg.Rectangle{Max: vg.Point{Y: stopsHeight}}}}
}

// Plot is the plot.Plotter method.
func (s stopsScale) Plot(c draw.Canvas, p *plot.Plot) {
	x, _ := p.Transforms(&c)
	line := draw.LineStyle{Color: Black, Width: 0.5}
	top := c.Max.Y
	c.StrokeLine2(line, c.Min.X, top, c.Max.X, top)
	sty := style(tagSize)
	sty.XAlign = draw.XCenter
	every := 1.0
	perStop := math.Log10(2)
	if n := (p.X.Max - p.X.Min) / perStop; n > 16 {
		every = 2
	}
	for k := math.Ceil((p.X.Min - s.zero) / perStop); s.zero+k*perStop <= p.X.Max; k++ {
		at := x(s.zero + k*perStop)
		c.StrokeLine2(line, at, top, at, top+4)
		if math.Mod(k, every) == 0 {
			c.FillText(sty, vg.Point{X: at, Y: top + 5}, signed(k))
		}
	}
	sty.Font = font.Font{Typeface: "Liberation", Variant: "Sans", Size: tagSize}
	sty.XAlign = draw.XCenter
	c.FillText(sty, vg.Point{X: (c.Min.X + c.Max.X) / 2, Y: top + 16}, s.words)
}

// signed prints a whole number of stops with its sign.
func signed(k float64) string {
	switch {
	case k > 0:
		return "+" + plain(k)
	case k < 0:
		return "−" + plain(-k)
	}
	return "0"
}
