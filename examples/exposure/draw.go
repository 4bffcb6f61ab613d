package main

import (
	"bytes"
	"fmt"
	"image/color"
	"strings"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
	"gonum.org/v1/plot/vg/vgimg"

	"example.org/actinic/examples/internal/figure"
)

// The sheet in points: A6 with a margin of 5 mm.
const (
	sheetWidth  = 105 * vg.Millimeter
	sheetHeight = 148 * vg.Millimeter
	sheetMargin = 5 * vg.Millimeter
	cardDPI     = 300
	rowSize     = 9    // letters of a row at full size
	leastScale  = 0.62 // 5.6 pt: smaller is not read at arm's length
)

// draw adds card.png, with letters as large as the sheet has room for, and returns their
// scale.
func (s *sheet) draw(files figure.Files) (scale float64, err error) {
	for scale = 1; scale >= leastScale; scale -= 0.02 {
		img := vgimg.NewWith(vgimg.UseWH(sheetWidth, sheetHeight), vgimg.UseDPI(cardDPI), vgimg.UseBackgroundColor(color.White))
		p := pen{c: draw.New(img), scale: scale, y: sheetHeight - sheetMargin}
		p.sheet(s)
		if p.y < sheetMargin || p.wide {
			continue
		}
		var b bytes.Buffer
		if _, err := (vgimg.PngCanvas{Canvas: img}).WriteTo(&b); err != nil {
			return 0, fmt.Errorf("drawing the card: %w", err)
		}
		files["card.png"] = b.Bytes()
		return scale, nil
	}
	return 0, fmt.Errorf("the card has more than a sheet of A6 holds at a size that can be read; shorten the names of film, process or camera")
}

// pen writes down a sheet from the top.
type pen struct {
	c     draw.Canvas
	scale float64
	y     vg.Length
	wide  bool // something did not fit in its column
}

func (p *pen) style(size float64, bold bool) text.Style {
	f := figure.Font(vg.Length(size * p.scale))
	if bold {
		f.Weight = 3 // bold, as golang.org/x/image/font counts
	}
	return text.Style{Color: color.Black, Font: f, Handler: plot.DefaultTextHandler, XAlign: draw.XLeft, YAlign: draw.YBottom}
}

func (p *pen) rule(x0, x1, y vg.Length, width vg.Length) {
	p.c.StrokeLine2(draw.LineStyle{Color: color.Black, Width: width}, x0, y, x1, y)
}

// paragraph writes folded text.
func (p *pen) paragraph(lead, words string, size float64, bold bool) {
	sty := p.style(size, bold)
	left, right := sheetMargin, sheetWidth-sheetMargin
	indent := sty.Width(lead)
	height := vg.Length(size * p.scale * 1.2)
	line := ""
	put := func(first bool) {
		p.y -= height
		if first && lead != "" {
			p.c.FillText(sty, vg.Point{X: left, Y: p.y}, lead)
		}
		p.c.FillText(sty, vg.Point{X: left + indent, Y: p.y}, line)
	}
	first := true
	for _, w := range broken(strings.Fields(words), func(s string) bool { return left+indent+sty.Width(s) <= right }) {
		try := strings.TrimSpace(line + " " + w)
		if line != "" && left+indent+sty.Width(try) > right {
			put(first)
			first, line = false, w
			continue
		}
		line = try
	}
	if line != "" {
		put(first)
	}
}

// broken breaks words that do not fit on a line of their own.
func broken(words []string, fits func(string) bool) []string {
	var out []string
	for _, w := range words {
		letters := []rune(w)
		for len(letters) > 1 && !fits(string(letters)) {
			n := len(letters) - 1
			for n > 1 && !fits(string(letters[:n])) {
				n--
			}
			out, letters = append(out, string(letters[:n])), letters[n:]
		}
		out = append(out, string(letters))
	}
	return out
}

func (p *pen) sheet(s *sheet) {
	left, right := sheetMargin, sheetWidth-sheetMargin
	p.paragraph("", s.Film, 13, true)
	p.paragraph("", s.Process, 7.6, false)
	p.paragraph("", s.Camera, 7.6, false)
	if s.Index != "" {
		sty := p.style(19, true)
		p.y -= vg.Length(3 * p.scale)
		p.rule(left, right, p.y, 1.5)
		p.y -= vg.Length(21.5 * p.scale)
		p.c.FillText(sty, vg.Point{X: left, Y: p.y}, s.Index)
		p.c.FillText(sty, vg.Point{X: right - sty.Width(s.Develop), Y: p.y}, s.Develop)
		p.y -= vg.Length(1.5 * p.scale)
		p.rule(left, right, p.y, 1.5)
	}
	for _, b := range s.Blocks {
		p.block(b, left, right)
	}
	top := p.y
	middle := left + (right-left)*0.5
	lowest := top
	for i, column := range [][]block{s.Left, s.Right} {
		from, to := left, middle-4
		switch {
		case i == 1 && len(s.Left) > 0:
			from, to = middle+4, right
		case len(s.Left) == 0 || len(s.Right) == 0:
			to = right
		}
		p.y = top
		for _, b := range column {
			p.block(b, from, to)
		}
		lowest = min(lowest, p.y)
	}
	p.y = lowest - vg.Length(5*p.scale)
	for _, n := range s.Notes {
		p.paragraph("•  ", n, 7.2, false)
	}
}

// block writes a small table between two edges: the first column to the left, the others to
// the right of their place.
func (p *pen) block(b block, left, right vg.Length) {
	p.y -= vg.Length(5 * p.scale)
	sty := p.style(rowSize, true)
	p.y -= vg.Length(rowSize * p.scale * 1.15)
	p.c.FillText(sty, vg.Point{X: left, Y: p.y}, b.Caption)
	sum := 0.0
	for _, w := range b.Wide {
		sum += w
	}
	for k, row := range append([][]string{b.Head}, b.Rows...) {
		size := float64(rowSize)
		if k == 0 {
			size = 7.6
		}
		sty := p.style(size, false)
		p.y -= vg.Length(rowSize * p.scale * 1.22)
		x := left
		for i, cell := range row {
			w := (right - left) * vg.Length(b.Wide[i]/sum)
			at := x
			if i > 0 {
				at = x + w - sty.Width(cell)
			}
			if sty.Width(cell) > w-1 {
				p.wide = true
			}
			p.c.FillText(sty, vg.Point{X: at, Y: p.y + 1.4}, cell)
			x += w
		}
		width := vg.Length(0.35)
		if k == 0 {
			width = 0.8
		}
		p.rule(left, right, p.y, width)
	}
}
