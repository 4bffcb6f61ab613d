package layout

import (
	"strings"
)

// OfRows makes a table of rows of cells, as a sheet of a spreadsheet has them: lines that
// begin with # are remarks, lines of one cell above the headings its title, and two rows of
// headings are joined where the upper one spans columns. It returns nil for rows without a
// text.
//
// Errors: [datafile.Errors], for more rows, columns or text than a printed table has.
func OfRows(file, name string, rows []Row) (*Table, error) {
	t := &Table{File: file, Format: Spreadsheet, Name: name}
	rows = leftmost(rows)
	for len(rows) > 0 {
		words, only := alone(rows[0].Cells)
		remark, said := strings.CutPrefix(words, "#")
		switch {
		case only && said:
			t.Remarks = append(t.Remarks, strings.TrimSpace(strings.TrimLeft(remark, "#")))
		case only && wider(rows[1:]):
			t.Name = strings.TrimPrefix(t.Name+": "+words, ": ")
		default:
			t.Head, t.Rows = rows[0].Cells, rows[1:]
			t.joinHead()
			if errs := t.bounded(); len(errs) > 0 {
				return nil, errs
			}
			return t, nil
		}
		rows = rows[1:]
	}
	return nil, nil
}

// leftmost leaves out blank rows, and columns at the left that are blank in all.
func leftmost(rows []Row) (out []Row) {
	left := MostCells
	for _, r := range rows {
		if blank(r.Cells) {
			continue
		}
		out = append(out, r)
		for k := range min(left, len(r.Cells)) {
			if r.Cells[k].Text != "" {
				left = k
				break
			}
		}
	}
	for i, r := range out {
		end := len(r.Cells)
		for end > left && r.Cells[end-1].Text == "" {
			end--
		}
		out[i].Cells = r.Cells[left:end:end]
	}
	return out
}

// alone is the text of a row that has only one, which a cell that spans several repeats.
func alone(cells []Cell) (string, bool) {
	at := -1
	for k, c := range cells {
		switch {
		case c.Text == "":
		case at >= 0 && c != cells[at]:
			return "", false
		case at < 0:
			at = k
		}
	}
	if at < 0 {
		return "", false
	}
	return cells[at].Text, true
}

// wider tells whether a row has more than one text.
func wider(rows []Row) bool {
	for _, r := range rows {
		if _, only := alone(r.Cells); !only && !blank(r.Cells) {
			return true
		}
	}
	return false
}
