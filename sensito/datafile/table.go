package datafile

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"example.org/actinic/internal/rooted"
)

// Table is a CSV file with a header, each cell with its place. Columns may stand
// in any order; a byte order mark and CRLF are read as a spreadsheet writes them.
// Lines that begin with # above the header say where the table is from.
type Table struct {
	File string
	Rows []Row
	// Errs is what was found wrong so far: by [Read], then by the table's user
	// through Fail and FailAt.
	Errs Errors

	// Ignored are columns that [ReadSheet] passed over.
	Ignored []string

	column map[string]int // from 1
	names  []string       // in the order of the file
	failed int            // how many Fails there were
	rest   *Error         // counts those above MostErrors
}

// Limits of a table: its size in bytes, its rows, and the errors that are listed one by
// one; of those beyond there is the number.
const (
	MostBytes  = rooted.Most
	MostRows   = 1_000_000
	MostErrors = 1000
)

// Row is a row below the header.
type Row struct {
	Line  int // from 1
	cells []string
	at    []int // column of each cell, in bytes from 1
}

// Read reads a whole table. A column that is neither required nor optional is an
// error, so that a misspelt one does not pass for absent; so are a missing required
// column, a row of another length than the header, and a table without rows. All that
// is found is in Errs of the table, with the file's name, and what cannot be read of r
// too. Blank lines are passed over. A table above [MostBytes] or [MostRows] is refused,
// and no more is read of it.
func Read(r io.Reader, file string, required, optional []string) *Table {
	content, err := rooted.Limited(r)
	if err != nil {
		return unreadable(file, err)
	}
	return ReadBytes(content, file, required, optional)
}

// ReadBytes is [Read] of content that is there already.
func ReadBytes(content []byte, file string, required, optional []string) *Table {
	want := strings.Join(required, ",")
	if len(optional) > 0 {
		want += " and where known " + strings.Join(optional, ",")
	}
	return read(content, file, required, want, func(name string) bool {
		return slices.Contains(required, name) || slices.Contains(optional, name)
	})
}

// ReadColumns is [Read] of a table whose further columns are named by whoever made it:
// any name will do that is not empty. Names returns them.
func ReadColumns(r io.Reader, file string, required ...string) *Table {
	content, err := rooted.Limited(r)
	if err != nil {
		return unreadable(file, err)
	}
	return read(content, file, required, strings.Join(required, ",")+",name,name,...", func(name string) bool { return name != "" })
}

// unreadable is a table of which nothing could be read.
func unreadable(file string, err error) *Table {
	t := &Table{File: file, column: map[string]int{}}
	t.Fail(0, 0, "", "", "a readable file ("+err.Error()+")")
	return t
}

func read(content []byte, file string, required []string, want string, known func(name string) bool) *Table {
	return readBy(content, file, 0, required, want, known)
}

// readBy reads with a character between the cells; 0 stands for the comma of a plain table,
// with which nothing of a spreadsheet's habits is passed over.
func readBy(content []byte, file string, comma byte, required []string, want string, known func(name string) bool) *Table {
	t := &Table{File: file, column: map[string]int{}}
	if want := notText(content); want != "" {
		t.Fail(0, 0, "", "", want)
		return t
	}
	content = bytes.TrimPrefix(content, []byte("\ufeff"))
	sheet := comma != 0
	if !sheet {
		comma = ','
	}
	r := recordsOf(blankRemarks(content), comma)
	head := t.header(r, sheet, required, want, known)
	if len(t.Errs) > 0 {
		return t
	}
	// A row a line is the rule; beyond some thousands it is not taken on trust.
	t.Rows = make([]Row, 0, min(bytes.Count(content, []byte("\n")), 4096))
	cells := 0
	var kept rowRoom
	for {
		rec, err := r.Read()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			t.csvError(err)
			return t
		}
		row := kept.row(rec)
		rec = row.cells
		for i := range rec {
			_, row.at[i] = r.FieldPos(i)
		}
		row.Line, _ = r.FieldPos(0)
		if sheet {
			if len(withoutEnd(rec)) == 0 {
				continue // a row of separators alone
			}
			for len(rec) > len(head) && strings.TrimSpace(rec[len(rec)-1]) == "" {
				rec = rec[:len(rec)-1]
			}
			row.cells, row.at = rec, row.at[:len(rec)]
		}
		if len(rec) != len(head) {
			hint := ""
			if len(rec) > len(head) {
				hint = "; a decimal comma splits a number, write 0.62 and not 0,62"
			}
			t.Fail(row.Line, 0, "row", joined(rec), strconv.Itoa(len(head))+" cells as in the header, not "+strconv.Itoa(len(rec))+hint)
			continue
		}
		if cells += len(rec); cells > mostCells {
			t.Fail(row.Line, 0, "", "", fmt.Sprintf("at most %d cells", mostCells))
			return t
		}
		if len(t.Rows) == MostRows {
			t.Fail(row.Line, 0, "", "", fmt.Sprintf("at most %d rows", MostRows))
			return t
		}
		t.Rows = append(t.Rows, row)
	}
	if len(t.Rows) == 0 && len(t.Errs) == 0 {
		t.Fail(1, 0, "", "", "rows below the header")
	}
	return t
}

// rowRoom makes rows whose cells and places are parts of longer lists.
type rowRoom struct {
	cells []string
	at    []int
}

// cellsAtOnce is how many cells such a list has.
const cellsAtOnce = 512

// row is a row of a copy of the cells, with room for their places.
func (m *rowRoom) row(cells []string) Row {
	n := len(cells)
	if len(m.cells) < n {
		m.cells, m.at = make([]string, max(cellsAtOnce, n)), make([]int, max(cellsAtOnce, n))
	}
	r := Row{cells: m.cells[:n:n], at: m.at[:n:n]}
	copy(r.cells, cells)
	m.cells, m.at = m.cells[n:], m.at[n:]
	return r
}

// header reads the names of the columns and holds them to those that are required and known.
func (t *Table) header(r records, sheet bool, required []string, want string, known func(name string) bool) []string {
	head, err := r.Read()
	if errors.Is(err, io.EOF) {
		t.Fail(1, 0, "", "", "a header "+want)
		return nil
	}
	if err != nil {
		t.csvError(err)
		return nil
	}
	if len(head) > mostColumns {
		t.Fail(1, 0, "", "", fmt.Sprintf("a header of at most %d columns, not %d", mostColumns, len(head)))
		return nil
	}
	if sheet {
		head = withoutEnd(head)
	}
	for i, name := range head {
		line, at := r.FieldPos(i)
		name = strings.TrimSpace(name)
		switch {
		case t.column[name] > 0:
			t.Fail(line, at, name, name, "each column once")
		case !known(name):
			hint := ""
			if strings.Contains(name, ";") {
				hint = "; columns are separated by commas"
			}
			t.Fail(line, at, "header", name, "one of the columns "+want+hint)
		}
		t.column[name] = i + 1
		t.names = append(t.names, name)
	}
	for _, name := range required {
		if t.column[name] == 0 {
			t.Fail(1, 0, name, "", "a column of this name; the header is "+want)
		}
	}
	return head
}

// withoutEnd leaves out empty cells at the end.
func withoutEnd(cells []string) []string {
	for len(cells) > 0 && strings.TrimSpace(cells[len(cells)-1]) == "" {
		cells = cells[:len(cells)-1]
	}
	return cells
}

// blankRemarks empties the lines above the header that begin with #, so that the
// others keep their numbers.
func blankRemarks(content []byte) []byte {
	blank := 0
	for len(content) > 0 && strings.IndexByte("#\n\r", content[0]) >= 0 {
		_, rest, found := bytes.Cut(content, []byte("\n"))
		if content = rest; found {
			blank++
		}
	}
	if blank == 0 {
		return content
	}
	return append(bytes.Repeat([]byte("\n"), blank), content...)
}

// mostColumns is how many columns a table may have.
const mostColumns = 1000

// mostCells is how many cells a table may have; less in a test.
var mostCells = 10_000_000

// notText says what content is wanted to be, "" where it is text with line ends.
func notText(content []byte) string {
	nul := bytes.IndexByte(content[:min(len(content), 4096)], 0)
	switch {
	case len(content) > MostBytes:
		return fmt.Sprintf("a table of at most %d MB, not %d", MostBytes>>20, len(content)>>20)
	case bytes.HasPrefix(content, []byte("\xff\xfe")), bytes.HasPrefix(content, []byte("\xfe\xff")), nul >= 0 && nul < 2:
		return "UTF-8 text, and this is UTF-16; save the table as CSV in UTF-8"
	case nul >= 0:
		return "UTF-8 text, and there are bytes of 0; save the table as CSV in UTF-8"
	case !utf8.Valid(content):
		return "UTF-8 text; save the table as CSV in UTF-8"
	case bytes.IndexByte(content, '\n') < 0 && bytes.IndexByte(content[:max(len(content)-1, 0)], '\r') >= 0:
		return "line ends of LF or CRLF, and these are CR alone; save the table with the line ends of Unix or Windows"
	}
	return ""
}

// joined is a row as it was read, or the beginning of a long one.
func joined(cells []string) string {
	n, size := 0, 0
	for n < len(cells) && size <= longest {
		size += len(cells[n]) + 1
		n++
	}
	return strings.Join(cells[:n], ",")
}

func (t *Table) csvError(err error) {
	line, column := 0, 0
	var p *csv.ParseError
	if errors.As(err, &p) {
		line, column, err = p.Line, p.Column, p.Err
	}
	t.Fail(line, column, "", "", "a table of comma-separated values ("+err.Error()+")")
}

// Fail reports something about a place of the file; 0 stands for the whole line or
// file.
//
// Of more than [MostErrors] there is the number, in the last of them.
func (t *Table) Fail(line, col int, field, text, want string) {
	if t.failed++; t.failed > MostErrors {
		if t.rest == nil {
			t.rest = &Error{File: t.File}
			t.Errs = append(t.Errs, t.rest)
		}
		t.rest.more++
		return
	}
	field, text = short(field), short(text)
	t.Errs = append(t.Errs, &Error{File: t.File, Line: line, Column: col, Field: field, Text: text, Want: want})
}

// FailAt reports the cell of a row in a column of the table.
func (t *Table) FailAt(r Row, name, want string) {
	i := t.column[name] - 1
	if i < 0 || i >= len(r.cells) { // of another table
		t.Fail(r.Line, 0, name, "", want)
		return
	}
	t.Fail(r.Line, r.at[i], name, r.cells[i], want)
}

// Names returns the columns in the order of the file.
func (t *Table) Names() []string { return slices.Clone(t.names) }

// Has reports whether the table has a column.
func (t *Table) Has(name string) bool { return t.column[name] > 0 }

// fewColumns is how many columns are looked through by name; of more a map has the places.
const fewColumns = 12

// Text returns the trimmed cell; "" for an absent column and a row of another table.
func (t *Table) Text(r Row, name string) string {
	if len(t.names) > fewColumns {
		if i := t.column[name]; i > 0 && i <= len(r.cells) {
			return strings.TrimSpace(r.cells[i-1])
		}
		return ""
	}
	for i, n := range t.names {
		if n == name && i < len(r.cells) {
			return strings.TrimSpace(r.cells[i])
		}
	}
	return ""
}

// Number reads a finite number, and reports the cell with what was wanted otherwise.
func (t *Table) Number(r Row, name, want string) (float64, bool) {
	s := t.Text(r, name)
	v, ok := ParseNumber(s)
	if !ok {
		if strings.Contains(s, ",") {
			want += "; write a decimal point, not a comma"
		}
		t.FailAt(r, name, want)
		return 0, false
	}
	return v, true
}
