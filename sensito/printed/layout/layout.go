// Package layout reads the tables of a manuscript as they stand in it: values separated by
// commas, semicolons or tabs, Markdown, LaTeX tabular, HTML. It knows cells and their
// places, not what they mean; a table whose headings stand at the left is turned by
// [Table.Turned].
package layout

import (
	"bytes"
	"fmt"
	"strings"
	"unicode/utf8"

	"example.org/actinic/sensito/datafile"
)

// Bounds of what is taken for a printed table.
const (
	MostBytes = 4 << 20 // of a file
	MostRows  = 2000
	MostCell  = 4000 // bytes of a cell
	MostCells = 100  // of a row
)

// Cell is a cell with its place, line and column (in bytes) from 1. Line is 0 where there
// is none.
type Cell struct {
	Text         string
	Line, Column int
}

// Row is a row of cells, as many as there are headings.
type Row struct {
	Line  int
	Cells []Cell
}

// Format is how a table is set.
type Format string

// The formats that are read.
const (
	Comma     Format = "comma-separated"
	Semicolon Format = "semicolon-separated"
	Tab       Format = "tab-separated"
	Markdown  Format = "Markdown"
	LaTeX     Format = "LaTeX"
	HTML      Format = "HTML"
	// Spreadsheet is what [OfRows] makes; Read reads none.
	Spreadsheet Format = "spreadsheet"
)

// Table is a table as it stands in a file.
type Table struct {
	File    string
	Format  Format
	Name    string   // what stands above it as a title or caption
	Remarks []string // the comment lines above it, without their sign
	Head    []Cell
	Rows    []Row
}

// Remark returns what a comment line above the table says by name, as "# kind:
// reciprocity" does of the kind; "" where none does.
func (t *Table) Remark(name string) string {
	for _, r := range t.Remarks {
		key, value, ok := strings.Cut(r, ":")
		if ok && strings.EqualFold(strings.TrimSpace(key), name) {
			return strings.TrimSpace(value)
		}
	}
	return ""
}

// Fault is an error about a place of the table.
func (t *Table) Fault(c Cell, field, want string) *datafile.Error {
	return &datafile.Error{File: t.File, Line: c.Line, Column: c.Column, Field: field, Text: shortened(c.Text), Want: want}
}

func shortened(s string) string {
	if len(s) <= 80 {
		return s
	}
	cut := 80
	for !utf8.RuneStart(s[cut]) {
		cut--
	}
	return s[:cut] + "..."
}

// Read reads all tables of a file.
//
// Errors: [datafile.Errors], for a file without a table, one of more than 4 MB, a table of
// more than 2000 rows, a cell of more than 4000 bytes, and rows longer than their header.
func Read(content []byte, file string) ([]*Table, error) {
	if len(content) > MostBytes {
		return nil, fault(file, fmt.Sprintf("a file of at most %d MB; no printed table is longer", MostBytes>>20))
	}
	if bytes.HasPrefix(content, []byte("PK\x03\x04")) {
		return nil, fault(file, "a text; this is a workbook or an archive: save the sheet as CSV")
	}
	content = bytes.TrimPrefix(content, []byte("\ufeff"))
	if !utf8.Valid(content) {
		return nil, fault(file, "UTF-8 text; save the table in UTF-8")
	}
	text := string(content)
	var tables []*Table
	var errs datafile.Errors
	switch lower := strings.ToLower(text); {
	case strings.Contains(lower, "<table"):
		tables, errs = readHTML(text, file)
	case strings.Contains(text, `\begin{tabular`) || strings.Contains(text, `\begin{longtable`):
		tables, errs = readLaTeX(text, file)
	case isMarkdown(text):
		tables, errs = readMarkdown(text, file)
	default:
		tables, errs = readSeparated(text, file)
	}
	if len(errs) == 0 && len(tables) == 0 {
		return nil, datafile.Errors{{File: file, Line: 1, Want: "a header, and rows below it: CSV, TSV, Markdown, LaTeX tabular or HTML"}}
	}
	for _, t := range tables {
		errs = append(errs, t.bounded()...)
	}
	return tables, errs.Err()
}

func fault(file, want string) error {
	return datafile.Errors{&datafile.Error{File: file, Want: want}}
}

// bounded holds a table to the bounds, and makes its rows as long as its header.
func (t *Table) bounded() (errs datafile.Errors) {
	if len(t.Head) > MostCells {
		return datafile.Errors{t.Fault(Cell{Line: t.Head[0].Line}, "", fmt.Sprintf("at most %d columns", MostCells))}
	}
	if len(t.Rows) > MostRows {
		return datafile.Errors{t.Fault(Cell{Line: t.Rows[MostRows].Line}, "",
			fmt.Sprintf("a table of at most %d rows; this one has %d", MostRows, len(t.Rows)))}
	}
	for i := range t.Rows {
		r := &t.Rows[i]
		for _, c := range r.Cells {
			if len(c.Text) > MostCell {
				errs = append(errs, t.Fault(c, "", fmt.Sprintf("a cell of at most %d bytes; this one has %d", MostCell, len(c.Text))))
			}
		}
		if len(r.Cells) > len(t.Head) {
			hint := ""
			if t.Format == Comma {
				hint = "; a decimal comma splits a number, write 0.62 and not 0,62, or separate by semicolons"
			}
			errs = append(errs, t.Fault(Cell{Line: r.Line, Text: joined(r.Cells)}, "row",
				fmt.Sprintf("%d cells as in the header, not %d%s", len(t.Head), len(r.Cells), hint)))
		}
		if len(r.Cells) < len(t.Head) && t.Format == Comma && len(t.Head) < 4 && len(r.Cells) < 2 {
			errs = append(errs, t.Fault(Cell{Line: r.Line, Text: joined(r.Cells)}, "row",
				fmt.Sprintf("%d cells as in the header, not %d", len(t.Head), len(r.Cells))))
		}
		for len(r.Cells) < len(t.Head) {
			r.Cells = append(r.Cells, Cell{Line: r.Line})
		}
	}
	return errs
}

func joined(cells []Cell) string {
	var words []string
	for _, c := range cells {
		words = append(words, c.Text)
	}
	return shortened(strings.Join(words, ","))
}

// Turned returns the table with rows for columns, as one that is printed across the page
// is meant.
func (t *Table) Turned() *Table {
	out := &Table{File: t.File, Format: t.Format, Name: t.Name, Remarks: t.Remarks}
	out.Head = append(out.Head, t.Head[0])
	for _, r := range t.Rows {
		out.Head = append(out.Head, r.Cells[0])
	}
	for k := 1; k < len(t.Head); k++ {
		row := Row{Line: t.Head[k].Line, Cells: []Cell{t.Head[k]}}
		for _, r := range t.Rows {
			row.Cells = append(row.Cells, r.Cells[k])
		}
		out.Rows = append(out.Rows, row)
	}
	return out
}
