package page_test

import (
	"bytes"
	"fmt"
	"image"
	"image/png"
	"strings"
	"testing"

	"example.org/actinic/examples/internal/page"
	"example.org/actinic/examples/internal/page/pagetest"
)

var body = page.New("test", `{{template "top" .Title}}<h1>{{.Title}}</h1>
{{template "box" .Box}}{{template "table" .Table}}{{template "figure" .Figure}}{{template "bottom"}}`)

// unbroken is a name that a stranger may write: no room for it is no reason to cut it.
var unbroken = strings.Repeat("Swift", 30)

func sample(t *testing.T, columns int) []byte {
	t.Helper()
	table := page.Table{Caption: "Strips of a roll of " + unbroken}
	for i := range columns {
		table.Head = append(table.Head, fmt.Sprintf("Column %d", i+1))
	}
	for r := range 60 {
		var row []string
		for i := range columns {
			row = append(row, fmt.Sprintf("%d.%03d", r, i))
		}
		table.Rows = append(table.Rows, row)
	}
	var b bytes.Buffer
	if err := png.Encode(&b, image.NewGray(image.Rect(0, 0, 400, 300))); err != nil {
		t.Fatal(err)
	}
	return page.Render(body, map[string]any{"Title": "A film <tested>", "Table": table,
		"Box":    page.Box{Caption: "What to do", Lines: []page.Line{{Name: "Index", Text: "EI 640"}, {Name: "Notes", Text: unbroken}}},
		"Figure": page.Picture("curves", "Curves of the strips.", "Five curves from 0.20 to 1.90.", b.Bytes())})
}

func TestPage(t *testing.T) {
	out := sample(t, 11)
	pagetest.Said(t, out)
	if !bytes.Contains(out, []byte("A film &lt;tested&gt;")) || bytes.Contains(out, []byte("ZgotmplZ")) {
		t.Error("what a stranger wrote is not escaped, or a picture is lost")
	}
	pagetest.Whole(t, out, pagetest.A4, pagetest.Letter)
}

func TestTablesFoldWhereTheyAreWide(t *testing.T) {
	for n, wide := range map[int]bool{2: false, 5: false, 6: true, 11: true} {
		if got := strings.Contains(string(sample(t, n)), `class="figures wide"`); got != wide {
			t.Errorf("%d columns folded: %v", n, got)
		}
	}
}

// What is lacking is said in lines of up to 78 characters, from the margin.
func TestNotes(t *testing.T) {
	var b strings.Builder
	page.Notes(&b, []string{"short", strings.Repeat("slate ", 13) + "mill"})
	want := "Note: short\nNote: " + strings.TrimSpace(strings.Repeat("slate ", 12)) + "\nslate mill\n"
	if b.String() != want {
		t.Errorf("%q, want %q", b.String(), want)
	}
}
