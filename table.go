package actinic

import (
	"bytes"
	"encoding/csv"
	"errors"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"
)

// table is a CSV file with a header, each cell with its place. Columns may stand
// in any order; a byte order mark and CRLF are read as a spreadsheet writes them.
// Lines that begin with # above the header say where the table is from.
type table struct {
	file   string
	column map[string]int
	rows   []tableRow
	errs   DataErrors
}

type tableRow struct {
	cells []string
	line  int
	at    []int // column of each cell
}

// readTable reads the whole file. Columns other than those named are errors, so
// that a misspelt one does not pass for absent.
func readTable(content []byte, file string, required, optional []string) *table {
	t := &table{file: file, column: map[string]int{}}
	content = bytes.TrimPrefix(content, []byte("\ufeff"))
	if !utf8.Valid(content) {
		t.fail(0, 0, "", "", "UTF-8 text; save the table as CSV in UTF-8")
		return t
	}
	r := csv.NewReader(bytes.NewReader(blankRemarks(content)))
	r.FieldsPerRecord = -1
	r.ReuseRecord = false
	want := strings.Join(required, ",")
	if len(optional) > 0 {
		want += " and where known " + strings.Join(optional, ",")
	}
	head, err := r.Read()
	if errors.Is(err, io.EOF) {
		t.fail(1, 0, "", "", "a header "+want)
		return t
	}
	if err != nil {
		t.csvError(err)
		return t
	}
	for i, name := range head {
		line, at := r.FieldPos(i)
		name = strings.TrimSpace(name)
		switch {
		case t.column[name] > 0:
			t.fail(line, at, name, name, "each column once")
		case !slices.Contains(required, name) && !slices.Contains(optional, name):
			hint := ""
			if strings.Contains(name, ";") {
				hint = "; columns are separated by commas"
			}
			t.fail(line, at, "header", name, "one of the columns "+want+hint)
		}
		t.column[name] = i + 1
	}
	for _, name := range required {
		if t.column[name] == 0 {
			t.fail(1, 0, name, "", "a column of this name; the header is "+want)
		}
	}
	if len(t.errs) > 0 {
		return t
	}
	for {
		rec, err := r.Read()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			t.csvError(err)
			return t
		}
		row := tableRow{cells: rec, at: make([]int, len(rec))}
		for i := range rec {
			row.line, row.at[i] = r.FieldPos(i)
		}
		row.line, _ = r.FieldPos(0)
		if len(rec) != len(head) {
			hint := ""
			if len(rec) > len(head) {
				hint = "; a decimal comma splits a number, write 0.62 and not 0,62"
			}
			t.fail(row.line, 0, "row", strings.Join(rec, ","), strconv.Itoa(len(head))+" cells as in the header, not "+strconv.Itoa(len(rec))+hint)
			continue
		}
		t.rows = append(t.rows, row)
	}
	if len(t.rows) == 0 && len(t.errs) == 0 {
		t.fail(1, 0, "", "", "rows below the header")
	}
	return t
}

// blankRemarks empties the lines above the header that begin with #, so that the
// others keep their numbers.
func blankRemarks(content []byte) []byte {
	var lines []byte
	for len(content) > 0 && (content[0] == '#' || content[0] == '\n' || content[0] == '\r') {
		_, rest, found := bytes.Cut(content, []byte("\n"))
		if content = rest; found {
			lines = append(lines, '\n')
		}
	}
	return append(lines, content...)
}

func (t *table) csvError(err error) {
	var p *csv.ParseError
	if errors.As(err, &p) {
		t.fail(p.Line, p.Column, "", "", "a table of comma-separated values ("+p.Err.Error()+")")
		return
	}
	t.fail(0, 0, "", "", "a readable file ("+err.Error()+")")
}

func (t *table) fail(line, col int, field, text, want string) {
	t.errs = append(t.errs, &DataError{File: t.file, Line: line, Column: col, Field: field, Text: text, Want: want})
}

// failAt reports the cell of a row.
func (t *table) failAt(r tableRow, name, want string) {
	i := t.column[name] - 1
	t.fail(r.line, r.at[i], name, r.cells[i], want)
}

// text returns the trimmed cell; "" for an absent column.
func (t *table) text(r tableRow, name string) string {
	if i := t.column[name]; i > 0 {
		return strings.TrimSpace(r.cells[i-1])
	}
	return ""
}

// number reads a finite number, and reports it otherwise.
func (t *table) number(r tableRow, name, want string) (float64, bool) {
	s := t.text(r, name)
	v, err := strconv.ParseFloat(s, 64)
	if err != nil || math.IsNaN(v) || math.IsInf(v, 0) {
		if strings.Contains(s, ",") {
			want += "; write a decimal point, not a comma"
		}
		t.failAt(r, name, want)
		return 0, false
	}
	return v, true
}
