package layout

import (
	"html"
	"regexp"
	"strings"

	"example.org/actinic/sensito/datafile"
)

var (
	tag       = regexp.MustCompile(`(?s)<!--.*?-->|<(/?)([a-zA-Z][a-zA-Z0-9]*)([^<>]*)>`)
	colspan   = regexp.MustCompile(`(?i)colspan\s*=\s*["']?(\d+)`)
	rowspan   = regexp.MustCompile(`(?i)rowspan\s*=\s*["']?(\d+)`)
	supsub    = regexp.MustCompile(`(?is)<sup[^<>]*>\s*(\d+)\s*</sup>\s*(?:/|⁄|&frasl;|&#8260;)\s*<sub[^<>]*>\s*(\d+)\s*</sub>`)
	sup       = regexp.MustCompile(`(?is)<sup[^<>]*>(.*?)</sup>`)
	anyTag    = regexp.MustCompile(`(?s)<[^<>]*>`)
	lineBreak = regexp.MustCompile(`(?i)<br\s*/?>`)
)

// readHTML reads the tables of an HTML text. A cell that spans several stands in each.
func readHTML(text, file string) ([]*Table, datafile.Errors) {
	h := htmlReader{text: text, file: file}
	lines := lineStarts(text)
	h.place = func(at int) (line, column int) { return placeIn(lines, at) }
	for _, m := range tag.FindAllStringSubmatchIndex(text, -1) {
		if m[4] < 0 { // a comment
			if words := strings.TrimSpace(text[m[0]+4 : m[1]-3]); h.t == nil && strings.Contains(words, ":") {
				h.remarks = append(h.remarks, words)
			}
			continue
		}
		h.tag(strings.ToLower(text[m[4]:m[5]]), m[3] > m[2], text[m[6]:m[7]], m[0], m[1])
	}
	h.endTable(len(text))
	return h.tables, nil
}

type htmlReader struct {
	text, file string
	place      func(at int) (line, column int)
	tables     []*Table
	remarks    []string
	t          *Table
	row        *Row
	cell       int // where the content of the open cell begins, 0 for none
	attributes string
	title      int
	name       string
	down       []struct { // cells that span rows, by column
		rows int
		cell Cell
	}
}

func (h *htmlReader) tag(name string, end bool, attributes string, at, after int) {
	switch name {
	case "h1", "h2", "h3", "h4", "caption":
		if !end {
			h.title = after
			return
		}
		if h.title > 0 {
			h.name = htmlText(h.text[h.title:at])
			if h.t != nil {
				h.t.Name = h.name
			}
			h.title = 0
		}
	case "table":
		h.endTable(at)
		if !end {
			h.t = &Table{File: h.file, Format: HTML, Name: h.name, Remarks: h.remarks}
			h.remarks = nil
		}
	case "tr":
		h.endRow(at)
		if !end && h.t != nil {
			line, _ := h.place(at)
			h.row = &Row{Line: line}
		}
	case "td", "th":
		h.endCell(at)
		if !end && h.row != nil {
			h.cell, h.attributes = after, attributes
		}
	}
}

func (h *htmlReader) endCell(at int) {
	if h.cell == 0 || h.row == nil {
		return
	}
	h.fromAbove()
	raw := h.text[h.cell:at]
	line, column := h.place(h.cell + len(raw) - len(strings.TrimLeft(raw, " \t\r\n")))
	c := Cell{htmlText(raw), line, column}
	across, down := 1, 1
	if m := colspan.FindStringSubmatch(h.attributes); m != nil {
		across = max(1, min(MostCells, atoi(m[1])))
	}
	if m := rowspan.FindStringSubmatch(h.attributes); m != nil {
		down = max(1, min(MostRows, atoi(m[1])))
	}
	for range across {
		for len(h.down) <= len(h.row.Cells) {
			h.down = append(h.down, struct {
				rows int
				cell Cell
			}{})
		}
		h.down[len(h.row.Cells)].rows, h.down[len(h.row.Cells)].cell = down-1, c
		h.row.Cells = append(h.row.Cells, c)
	}
	h.cell = 0
}

// fromAbove puts in the cells that reach down into this row.
func (h *htmlReader) fromAbove() {
	for k := len(h.row.Cells); k < len(h.down) && h.down[k].rows > 0; k++ {
		h.down[k].rows--
		h.row.Cells = append(h.row.Cells, h.down[k].cell)
	}
}

func (h *htmlReader) endRow(at int) {
	h.endCell(at)
	if h.row == nil || h.t == nil {
		return
	}
	h.fromAbove()
	switch {
	case len(h.row.Cells) == 0 || blank(h.row.Cells):
	case h.t.Head == nil:
		h.t.Head = h.row.Cells
	default:
		h.t.Rows = append(h.t.Rows, *h.row)
	}
	h.row = nil
}

func (h *htmlReader) endTable(at int) {
	if h.t == nil {
		return
	}
	h.endRow(at)
	if h.t.Head != nil {
		h.t.joinHead()
		h.tables = append(h.tables, h.t)
	}
	h.t, h.down = nil, nil
}

func htmlText(s string) string {
	s = supsub.ReplaceAllString(s, " $1/$2")
	s = sup.ReplaceAllStringFunc(s, func(m string) string {
		inner := htmlText(sup.FindStringSubmatch(m)[1])
		if len(inner) == 1 && (inner[0] >= '0' && inner[0] <= '9' || inner[0] >= 'a' && inner[0] <= 'z') {
			return "[" + inner + "]"
		}
		return inner
	})
	s = lineBreak.ReplaceAllString(s, " ")
	s = anyTag.ReplaceAllString(s, "")
	return strings.Join(strings.Fields(html.UnescapeString(s)), " ")
}

// joinHead joins a second row of headings to the first, where its first cell repeats that
// above or is empty, as under a heading that spans several columns.
func (t *Table) joinHead() {
	if len(t.Rows) < 2 || len(t.Rows[0].Cells) != len(t.Head) {
		return
	}
	second := t.Rows[0].Cells
	first := second[0].Text == "" || second[0].Text == t.Head[0].Text
	repeats := false
	for k := 1; k+1 < len(t.Head); k++ {
		repeats = repeats || t.Head[k] == t.Head[k+1] && t.Head[k].Text != ""
	}
	if !repeats && !(t.Head[0].Text == "" && second[0].Text != "") || !first && t.Head[0].Text != "" {
		return
	}
	for k := range second {
		switch {
		case second[k].Text == t.Head[k].Text || t.Head[k].Text == "":
		case second[k].Text == "":
			second[k].Text = t.Head[k].Text
		default:
			second[k].Text = t.Head[k].Text + " | " + second[k].Text
		}
	}
	t.Head, t.Rows = second, t.Rows[1:]
}

func lineStarts(text string) []int {
	out := []int{0}
	for i := range len(text) {
		if text[i] == '\n' {
			out = append(out, i+1)
		}
	}
	return out
}

func placeIn(starts []int, at int) (line, column int) {
	lo, hi := 0, len(starts)
	for hi-lo > 1 {
		if mid := (lo + hi) / 2; starts[mid] <= at {
			lo = mid
		} else {
			hi = mid
		}
	}
	return lo + 1, at - starts[lo] + 1
}
