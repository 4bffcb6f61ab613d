package layout

import (
	"encoding/csv"
	"strings"

	"example.org/actinic/sensito/datafile"
)

// readSeparated reads values separated by a comma, a semicolon or a tab: that of which the
// header has most.
func readSeparated(text, file string) ([]*Table, datafile.Errors) {
	t := &Table{File: file}
	body, remarks := blankRemarks(text)
	t.Remarks = remarks
	head := ""
	for _, line := range strings.SplitN(body, "\n", 1000) {
		if strings.TrimSpace(line) != "" {
			head = line
			break
		}
	}
	var comma rune
	comma, t.Format = ',', Comma
	if n := strings.Count(head, ","); strings.Count(head, "\t") > n {
		comma, t.Format = '\t', Tab
	} else if semis := strings.Count(head, ";"); semis > 0 && semis >= n {
		comma, t.Format = ';', Semicolon
	}
	r := csv.NewReader(strings.NewReader(blankComments(body, string(comma), strings.Count(head, string(comma)))))
	r.Comma, r.FieldsPerRecord = comma, -1
	// Seconds are written 0"5 and 2", which quotes only where a cell begins with one.
	r.LazyQuotes = true
	for {
		rec, err := r.Read()
		if err != nil {
			break // its end: of a text, read with lazy quotes and rows of any length, there is no other error
		}
		row := Row{}
		for i, s := range rec {
			line, column := r.FieldPos(i)
			row.Cells = append(row.Cells, Cell{strings.TrimSpace(s), line, column})
		}
		row.Line = row.Cells[0].Line
		if blank(row.Cells) {
			continue
		}
		if t.Head == nil {
			t.Head = row.Cells
			continue
		}
		if t.Rows = append(t.Rows, row); len(t.Rows) > MostRows+1 {
			break // said by bounded
		}
	}
	if t.Head == nil {
		return nil, nil
	}
	return []*Table{t}, nil
}

func blank(cells []Cell) bool {
	for _, c := range cells {
		if c.Text != "" {
			return false
		}
	}
	return true
}

// blankRemarks empties the lines above the header that begin with #, so that the others
// keep their numbers, and returns what they say.
func blankRemarks(text string) (string, []string) {
	var remarks []string
	kept := strings.Builder{}
	for text != "" && (text[0] == '#' || text[0] == '\n' || text[0] == '\r') {
		line, rest, _ := strings.Cut(text, "\n")
		if words := strings.TrimSpace(strings.TrimLeft(line, "#")); words != "" {
			remarks = append(remarks, words)
		}
		kept.WriteByte('\n')
		text = rest
	}
	return kept.String() + text, remarks
}

// blankComments empties the lines that begin with # and have not the cells of a row: the
// filter #25 begins one that has.
func blankComments(text, comma string, commas int) string {
	if !strings.Contains(text, "\n#") {
		return text
	}
	lines := strings.SplitAfter(text, "\n")
	for i, line := range lines {
		if strings.HasPrefix(line, "#") && strings.Count(line, comma) < commas {
			lines[i] = "\n"
		}
	}
	return strings.Join(lines, "")
}
