package page_test

import (
	"testing"

	"example.org/actinic/examples/internal/page"
	"example.org/actinic/internal/held"
)

// The whole of a small page, its style with it, is what it was.
func TestWholePage(t *testing.T) {
	said := held.New(t)
	out, err := page.Render(body, map[string]any{"Title": "A film",
		"Table":  page.Table{Caption: "Strips", Head: []string{"Strip", "EI"}, Rows: [][]string{{"A", "400"}, {"B", "500", "more than the head"}}},
		"Box":    page.Box{Caption: "What to do", Lines: []page.Line{{Name: "Index", Text: "EI 640"}}},
		"Figure": page.Picture("curves", "Curves of the strips.", "Five curves.", []byte("png"))})
	if err != nil {
		t.Fatal(err)
	}
	said.Values("page", string(out))
	if _, err := page.Render(body, 3); !said.Refused("a page of a number", err) {
		t.Error("a page of a number")
	}
}

// At the widths and lengths where a table changes its class.
func TestClasses(t *testing.T) {
	for _, c := range []struct {
		columns, rows int
		words         bool
		want          string
	}{
		{5, 30, false, "figures short"}, {6, 30, false, "figures wide short"}, {5, 31, false, "figures"},
		{2, 31, true, "words"}, {3, 31, true, "words wide"}, {6, 1, true, "words wide short"},
	} {
		table := page.Table{Head: make([]string, c.columns), Rows: make([][]string, c.rows), Words: c.words}
		if got := table.Class(); got != c.want {
			t.Errorf("%+v: %q", c, got)
		}
	}
	table := page.Table{Head: []string{"a", "b"}}
	if table.Column(1) != "b" || table.Column(2) != "" {
		t.Error("headings of columns")
	}
}
