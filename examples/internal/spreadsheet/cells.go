package spreadsheet

import (
	"fmt"
	"strconv"
	"strings"

	"example.org/actinic/sensito/datafile"
	"example.org/actinic/sensito/printed/layout"
)

// cell is a cell while it is read.
type cell struct {
	kind, value string
	style       int
	formula     bool
	text        richText
	open        bool // in its value
}

// span is a merged range, from 1.
type span struct{ row, column, toRow, toColumn int }

// rows reads the cells of a sheet as they are shown.
func (b *book) rows(s sheet) ([]layout.Row, datafile.Errors) {
	file := b.file + " (" + s.name + ")"
	var rows []layout.Row
	var spans []span
	var errs datafile.Errors
	var c cell
	line, column := 0, 0
	err := b.each(s.part, func(e element) error {
		switch {
		case e.name == "row" && e.begins:
			line++
			if n, err := strconv.Atoi(e.attribute("r")); err == nil && n > 0 {
				line = n
			}
			column = 0
			if rows = append(rows, layout.Row{Line: line}); len(rows) > 2*layout.MostRows {
				return fmt.Errorf("a table of at most %d rows", layout.MostRows)
			}
		case e.name == "c" && e.begins:
			style, _ := strconv.Atoi(e.attribute("s"))
			c = cell{kind: e.attribute("t"), style: style}
			if _, n, ok := place(e.attribute("r")); ok {
				column = n
			} else {
				column++
			}
		case e.name == "v" && !e.isText:
			c.open = e.begins
		case e.name == "f" && e.begins:
			c.formula = true
		case e.name == "c" && !e.isText:
			if len(rows) == 0 || column < 1 {
				return nil // the end of a cell that has no beginning
			}
			text, wrong := b.shown(&c)
			at := layout.Cell{Text: strings.TrimSpace(text), Line: line, Column: column}
			if wrong != "" {
				errs = append(errs, &datafile.Error{File: file, Line: line, Column: column, Text: at.Text, Want: wrong})
				return nil
			}
			put(&rows[len(rows)-1], at)
		case e.name == "mergeCell" && e.begins && len(spans) < layout.MostRows:
			if s, ok := spanned(e.attribute("ref")); ok {
				spans = append(spans, s)
			}
		case e.isText && c.open:
			c.value += e.text
		default:
			c.text.take(e)
		}
		return nil
	})
	if err != nil {
		errs = append(errs, &datafile.Error{File: file, Want: err.Error()})
	}
	if len(errs) == 0 {
		fill(rows, spans)
	}
	return rows, errs
}

// put puts a cell into a row; one that shows nothing, or lies beyond what a printed table
// has, only where it has a text.
func put(r *layout.Row, c layout.Cell) {
	if c.Text == "" && c.Column > layout.MostCells {
		return
	}
	for len(r.Cells) < min(c.Column, layout.MostCells+1) {
		r.Cells = append(r.Cells, layout.Cell{Line: c.Line, Column: len(r.Cells) + 1})
	}
	r.Cells[min(c.Column, layout.MostCells+1)-1] = c
}

// fill sets what a merged range shows into each of its cells, as it is meant.
func fill(rows []layout.Row, spans []span) {
	of := map[int]*layout.Row{}
	for i := range rows {
		of[rows[i].Line] = &rows[i]
	}
	for _, s := range spans {
		first := of[s.row]
		if first == nil || s.column > len(first.Cells) {
			continue
		}
		c := first.Cells[s.column-1]
		if c.Text == "" {
			continue
		}
		for line := s.row; line <= min(s.toRow, s.row+layout.MostRows); line++ {
			r := of[line]
			for k := s.column; r != nil && k <= min(s.toColumn, layout.MostCells); k++ {
				for len(r.Cells) < k {
					r.Cells = append(r.Cells, layout.Cell{Line: line, Column: len(r.Cells) + 1})
				}
				r.Cells[k-1] = c
			}
		}
	}
}

// spanned reads a range such as A1:B3.
func spanned(ref string) (s span, ok bool) {
	from, to, _ := strings.Cut(ref, ":")
	var ok1, ok2 bool
	s.row, s.column, ok1 = place(from)
	s.toRow, s.toColumn, ok2 = place(to)
	return s, ok1 && ok2
}

// place reads a place such as AB12: the row and the column, from 1.
func place(ref string) (row, column int, ok bool) {
	i := 0
	for ; i < len(ref) && ref[i] >= 'A' && ref[i] <= 'Z' && i < 4; i++ {
		column = 26*column + int(ref[i]-'A') + 1
	}
	row, err := strconv.Atoi(ref[i:])
	return row, column, err == nil && i > 0 && row > 0 && row <= 1<<20 && column <= 1<<14
}

// shown is what a cell shows, or what is wrong with it.
func (b *book) shown(c *cell) (text, wrong string) {
	switch c.kind {
	case "s":
		n, err := strconv.Atoi(strings.TrimSpace(c.value))
		if err != nil || n < 0 || n >= len(b.strings) {
			return c.value, "a text that the workbook holds; it is damaged"
		}
		return b.strings[n], ""
	case "inlineStr":
		return c.text.text, ""
	case "str", "e":
		return c.value, ""
	case "b":
		return map[string]string{"0": "FALSE", "1": "TRUE"}[strings.TrimSpace(c.value)], ""
	case "d":
		return c.value + aDate, ""
	}
	value := strings.TrimSpace(c.value)
	if value == "" {
		if c.formula {
			return noValue, ""
		}
		return "", ""
	}
	v, err := strconv.ParseFloat(value, 64)
	if err != nil || v-v != 0 {
		return value, "a number"
	}
	format := ""
	if c.style >= 0 && c.style < len(b.formats) {
		format = b.formats[c.style]
	}
	text, date := number(v, format)
	if date {
		text += aDate
	}
	return text, ""
}

// What stands for a cell that shows nothing of use: where it matters it is refused with these
// words, and beside the columns that matter it does no harm.
const (
	aDate   = " (a date, as is made of 8-10 or 1/2: set the format to text, type it again)"
	noValue = "(a formula without a value: open it in a program that calculates, save it)"
)
