package timetable

import (
	"strings"

	"example.org/actinic/sensito/printed/forms"
	"example.org/actinic/sensito/printed/layout"
)

// unfold turns a matrix of times, whose columns are headed by temperatures, indexes or
// dilutions, into the long form; nil where the table is none. Each cell keeps its place, so
// that a finding names the cell of the manuscript.
//
// Headings say what they are by a unit (18 °C, EI 400, 1+31), or by the corner of the table
// or its title: "EI \ °C". Two rows of headings, joined by a bar, may say two.
func unfold(t *layout.Table) *layout.Table {
	if s, ok := t.Sheet(columns, "time"); ok {
		h := strings.ToLower(s.Title("time"))
		if kindOf(h, "") == "" {
			return nil
		}
	}
	corner := strings.ToLower(t.Head[0].Text)
	kinds := make([][]string, len(t.Head)) // of the pieces of each heading, nil for one at the left
	first, n := -1, 0
	for k, h := range t.Head {
		if k == 0 && len(t.Head) > 1 && kindOf(h.Text, "") == "" {
			continue
		}
		if pieces := piecesOf(h.Text, corner+" "+strings.ToLower(t.Name)); pieces != nil {
			if kinds[k] = pieces; first < 0 {
				first = k
			}
			n++
		}
	}
	if n < 2 || first < 1 {
		return nil
	}
	head := make([]layout.Cell, 0, len(t.Head))
	var left []int // columns at the left
	for k := range t.Head {
		if kinds[k] == nil {
			left = append(left, k)
			c := t.Head[k]
			c.Text = leftHeading(c.Text)
			head = append(head, c)
		}
	}
	for _, kind := range kinds[first] {
		head = append(head, layout.Cell{Text: kind, Line: t.Head[first].Line, Column: t.Head[first].Column})
	}
	head = append(head, layout.Cell{Text: "time", Line: t.Head[first].Line, Column: t.Head[first].Column})
	out := &layout.Table{File: t.File, Format: t.Format, Name: t.Name, Remarks: t.Remarks, Head: head}
	for _, r := range t.Rows {
		for k := range t.Head {
			if kinds[k] == nil || len(kinds[k]) != len(kinds[first]) {
				continue
			}
			row := layout.Row{Line: r.Line}
			for _, l := range left {
				row.Cells = append(row.Cells, r.Cells[l])
			}
			for _, piece := range strings.Split(t.Head[k].Text, "|") {
				row.Cells = append(row.Cells, layout.Cell{Text: strings.TrimSpace(piece), Line: t.Head[k].Line, Column: t.Head[k].Column})
			}
			row.Cells = append(row.Cells, r.Cells[k])
			out.Rows = append(out.Rows, row)
		}
	}
	return out
}

// leftHeading is what the column at the left of a matrix holds: the corner names it first,
// "EI \ °C" or "Dilution / temperature".
func leftHeading(corner string) string {
	for _, sign := range []string{`\`, "/", "|"} {
		if a, _, ok := strings.Cut(corner, sign); ok {
			return strings.TrimSpace(a)
		}
	}
	if a, _, ok := strings.Cut(corner, "("); ok && strings.Contains(strings.ToLower(corner),
		"temp") && !strings.Contains(strings.ToLower(a), "temp") {
		return strings.TrimSpace(a)
	}
	return corner
}

func piecesOf(heading, about string) []string {
	var out []string
	for _, piece := range strings.Split(heading, "|") {
		kind := kindOf(piece, about)
		if kind == "" {
			return nil
		}
		out = append(out, kind)
	}
	return out
}

// kindOf is the column that a heading is a value of; "" for none.
func kindOf(text, about string) string {
	text = strings.TrimSpace(text)
	if text == "" {
		return ""
	}
	if p, err := forms.Dilution(text, forms.AskColon); err == nil && !p.Blank && !strings.HasSuffix(text, "%") {
		return "dilution"
	}
	if b, err := forms.Temperature(text, ""); err == nil {
		switch {
		case !b.Celsius.Blank && b.Celsius.Unit == "°C":
			return "temperature_c"
		case !b.Fahrenheit.Blank:
			return "temperature_f"
		}
	}
	lower := strings.ToLower(text)
	c, err := forms.Index(text, forms.AskPlus)
	if err != nil || c.Blank {
		return ""
	}
	for _, lead := range []string{"ei", "iso", "asa"} {
		if strings.HasPrefix(lower, lead) {
			return "ei"
		}
	}
	if c.Unit == "°" || strings.Contains(text, "/") {
		return "ei"
	}
	// A bare number is what the corner or the title says, the last named in a corner.
	_, after, cut := strings.Cut(about, `\`)
	if !cut {
		_, after, cut = strings.Cut(about, "/")
	}
	if !cut {
		after = about
	}
	switch {
	case strings.Contains(after, "°f") || strings.Contains(after, "(f)") || strings.Contains(after, "fahrenheit"):
		return "temperature_f"
	case strings.Contains(after, "°c") || strings.Contains(after, "temp") || strings.Contains(after, "celsius"):
		return "temperature_c"
	case cut && (strings.Contains(after, "ei") || strings.Contains(after, "iso") || strings.Contains(after, "index")):
		return "ei"
	}
	return ""
}
