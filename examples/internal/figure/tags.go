package figure

import (
	"cmp"
	"math"
	"slices"
	"strings"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// Tag is a word beside a point, or right below it.
type Tag struct {
	X, Y  float64
	Text  string
	Below bool
}

// Tags writes words beside their points so that none lies on another: words of one place
// are moved apart up and down in the order of their points, one that is moved far with a
// thin line to its point.
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
	words := make([]word, len(ts))
	for i, t := range ts {
		words[i] = word{at: vg.Point{X: x(t.X), Y: y(t.Y)}, wide: sty.Width(t.Text)}
		if t.Below {
			words[i].at.Y -= 1.1 * tagSize
		}
	}
	arrange(words, tagSize*1.1, c.Rectangle)
	for i, w := range words {
		if d := w.middle - w.at.Y; d > 1.2*tagSize || d < -1.2*tagSize {
			c.StrokeLine2(draw.LineStyle{Color: Mid, Width: 0.4}, w.at.X+1, w.at.Y, w.left-1, w.middle)
		}
		c.FillText(sty, vg.Point{X: w.left, Y: w.middle - tagSize*0.4}, ts[i].Text)
	}
}

// word is a word to be placed: the point that it belongs to, and where it comes to stand.
type word struct {
	at           vg.Point
	wide         vg.Length
	left, middle vg.Length
}

// arrange gives words their places: right of their points, or left where there is no room,
// and as near to them in height as lines of the height let.
func arrange(words []word, height vg.Length, within vg.Rectangle) {
	order := make([]*word, len(words))
	for i := range words {
		w := &words[i]
		w.left = w.at.X + tagGap
		if w.left+w.wide > within.Max.X {
			w.left = min(w.left, max(w.at.X-tagGap-w.wide, within.Min.X))
		}
		order[i] = w
	}
	// Words whose widths meet, one by the other, share a column.
	slices.SortStableFunc(order, func(a, b *word) int { return cmp.Compare(a.left, b.left) })
	for len(order) > 0 {
		n, right := 1, order[0].left+order[0].wide
		for n < len(order) && order[n].left < right {
			right = max(right, order[n].left+order[n].wide)
			n++
		}
		spread(order[:n], height, within.Min.Y, within.Max.Y)
		order = order[n:]
	}
}

// spread sets the middles of the words of a column a line apart and in the order of their
// points, with the least squares of what they are moved by, and within the picture.
func spread(column []*word, line, low, high vg.Length) {
	slices.SortStableFunc(column, func(a, b *word) int { return cmp.Compare(a.at.Y, b.at.Y) })
	// Less a line for each below them the middles may not fall: neighbours that would are
	// pooled at their mean.
	type pool struct {
		sum vg.Length
		n   int
	}
	var pools []pool
	for i, w := range column {
		pools = append(pools, pool{w.at.Y - line*vg.Length(i), 1})
		for k := len(pools) - 1; k > 0 && pools[k-1].sum/vg.Length(pools[k-1].n) > pools[k].sum/vg.Length(pools[k].n); k-- {
			pools[k-1] = pool{pools[k-1].sum + pools[k].sum, pools[k-1].n + pools[k].n}
			pools = pools[:k]
		}
	}
	i := 0
	for _, p := range pools {
		for range p.n {
			least := low + line*(vg.Length(i)+0.5)
			most := high - line*(vg.Length(len(column)-1-i)+0.5)
			column[i].middle = max(min(p.sum/vg.Length(p.n)+line*vg.Length(i), most), least)
			i++
		}
	}
}

func style(size vg.Length) text.Style {
	return text.Style{Color: Black, Font: Font(size), Handler: plot.DefaultTextHandler, XAlign: draw.XLeft, YAlign: draw.YBottom}
}

// widest is how many characters a title has on a line.
const widest = 76

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
