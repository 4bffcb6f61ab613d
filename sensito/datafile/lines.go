package datafile

import (
	"bytes"
	"encoding/csv"
	"io"
	"strings"
)

// records are the rows of a table one after another, as [csv.Reader] gives them.
type records interface {
	Read() ([]string, error)
	FieldPos(field int) (line, column int)
}

// recordsOf returns the fastest reader that content allows.
func recordsOf(content []byte, comma byte) records {
	if bytes.IndexByte(content, '"') < 0 && bytes.IndexByte(content, '\r') < 0 {
		return &plainLines{rest: string(content), comma: comma}
	}
	r := csv.NewReader(bytes.NewReader(content))
	r.FieldsPerRecord = -1
	r.ReuseRecord = true // its cells are kept in a list of our own, those of many rows at once
	r.Comma = rune(comma)
	return r
}

// plainLines are the records of content without quotation marks and carriage returns,
// where a line is a record and a comma the end of a cell: nothing to be copied, and four
// times as fast as reading what might be anything.
type plainLines struct {
	rest  string
	comma byte
	line  int
	cells []string
	at    []int // their columns, from 1
}

// Read returns the next line's cells, in memory that the next call uses again.
func (p *plainLines) Read() ([]string, error) {
	for p.rest != "" {
		var line string
		line, p.rest, _ = strings.Cut(p.rest, "\n")
		if p.line++; line == "" {
			continue
		}
		p.cells, p.at = p.cells[:0], p.at[:0]
		for from := 0; ; {
			p.at = append(p.at, from+1)
			n := strings.IndexByte(line[from:], p.comma)
			if n < 0 {
				p.cells = append(p.cells, line[from:])
				return p.cells, nil
			}
			p.cells = append(p.cells, line[from:from+n])
			from += n + 1
		}
	}
	return nil, io.EOF
}

// FieldPos is that of [csv.Reader].
func (p *plainLines) FieldPos(field int) (line, column int) { return p.line, p.at[field] }
