package layout

import (
	"strings"
	"testing"
)

// rowsOf makes rows of lines of cells between bars, each in its place.
func rowsOf(text string) (rows []Row) {
	for i, line := range strings.Split(text, "\n") {
		r := Row{Line: i + 1}
		for k, c := range strings.Split(line, "|") {
			r.Cells = append(r.Cells, Cell{c, i + 1, k + 1})
		}
		rows = append(rows, r)
	}
	return rows
}

func TestOfRows(t *testing.T) {
	for _, c := range []struct{ rows, name, head, first string }{
		{"a|b\n1|2", "Sheet", "a,b", "1,2"},
		{"|a|b|\n||\n|1|2|", "Sheet", "a,b", "1,2"},
		{"|||\n|# kind: xy||\n|Slate 400|\n|a|b\n|1|2", "Sheet: Slate 400", "a,b", "1,2"},
		{"a\n1\n2", "Sheet", "a", "1"},
		{"a|b\n1", "Sheet", "a,b", "1,"},
	} {
		got, err := OfRows("f", "Sheet", rowsOf(c.rows))
		if err != nil {
			t.Errorf("%q: %v", c.rows, err)
			continue
		}
		if got.Name != c.name || joined(got.Head) != c.head || joined(got.Rows[0].Cells) != c.first {
			t.Errorf("%q: %q, %q, %q", c.rows, got.Name, joined(got.Head), joined(got.Rows[0].Cells))
		}
	}
	if got, err := OfRows("f", "s", rowsOf("|\n|")); got != nil || err != nil {
		t.Errorf("blank rows: %v, %v", got, err)
	}
	if _, err := OfRows("f", "s", rowsOf("a|b\n1|2|3")); err == nil {
		t.Error("a row longer than its header")
	}
}
