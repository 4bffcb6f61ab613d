package page_test

import (
	"errors"
	"strings"
	"testing"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/plotter"

	"example.org/actinic/examples/internal/figure"
	"example.org/actinic/examples/internal/page"
	"example.org/actinic/internal/held"
)

// The whole of a small page, its style with it, is what it was.
func TestWholePage(t *testing.T) {
	said := held.New(t)
	out := page.Render(body, map[string]any{"Title": "A film",
		"Table":  page.Table{Caption: "Strips", Head: []string{"Strip", "EI"}, Rows: [][]string{{"A", "400"}, {"B", "500", "more than the head"}}},
		"Box":    page.Box{Caption: "What to do", Lines: []page.Line{{Name: "Index", Text: "EI 640"}}},
		"Figure": page.Picture("curves", "Curves of the strips.", "Five curves.", []byte("png"))})
	said.Values("page", string(out))
	defer func() {
		if recover() == nil {
			t.Error("a page of a number")
		}
	}()
	page.Render(body, 3)
}

// A picture is drawn, is not there, or is a sentence; the first two say nothing.
func TestPictures(t *testing.T) {
	said := held.New(t)
	pictures := page.Pictures{Files: figure.Files{}}
	plotted := func(faults ...error) *plot.Plot {
		p := figure.New("Curves", "x", "y")
		figure.Line(p, plotter.XYs{{X: 0, Y: 0}, {X: 1, Y: 1}}, figure.Black, 1, nil)
		for _, err := range faults {
			figure.Fault(p, err)
		}
		return p
	}
	for name, p := range map[string]*plot.Plot{"drawn": plotted(), "none": nil, "no fault": plotted(nil), "faulty": plotted(errors.New("no curve"), errors.New("another"))} {
		pictures.Lacks = nil
		f, ok := pictures.Draw(page.Figure{Name: name, Caption: "A caption.", Alt: "What it shows."}, p, 100, 100)
		if _, has := pictures.Files[name+".png"]; has != ok || ok && f.Data != page.Embedded(pictures.Files[name+".png"]) || !ok && f.Data != "" {
			t.Errorf("%s: drawn %v, %d bytes", name, ok, len(f.Data))
		}
		var notes strings.Builder
		page.Notes(&notes, append(pictures.Lacks, pictures.Lacks...))
		said.Values(name, ok, f.Name, f.Caption, f.Alt, pictures.Lacks, notes.String())
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
