// Package page is what the examples' pages share: one plain look, black on white, that
// reads at 400 px and prints whole on A4 and Letter, and the pieces that a screen reader
// finds its way by. A page is one file: it has its style and its pictures in it, asks the
// net for nothing and runs no script.
//
// A program writes the body as a template between "top" and "bottom", of sections, and
// fills in [Table], [Figure] and [Line] by the templates "table", "figure" and "box":
//
//	{{template "top" .Title}}
//	<h1>{{.Title}}</h1>
//	{{template "box" .Answer}}
//	<section><h2>Readings</h2>{{template "table" .Readings}}</section>
//	{{range .Pictures}}{{template "figure" .}}{{end}}
//	{{template "bottom"}}
//
// Classes for more: "note" and "finding" for paragraphs, "caution" for what may hurt,
// "columns" for a row of narrow tables, "views" for many small pictures, "break" for a
// section that begins a sheet, "end" for what is kept together at the end.
package page

import (
	"bytes"
	"encoding/base64"
	"fmt"
	"html/template"
	"io"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/vg"

	"example.org/actinic/examples/internal/command"
	"example.org/actinic/examples/internal/figure"
)

// Table is a table with what a reader needs who does not see it: a caption and headed
// columns and rows. The first cell of a row names it.
type Table struct {
	Caption string
	Head    []string
	Rows    [][]string
	// Words is for a table of text, which is set to the left and may be broken.
	Words bool
}

// most is the number of columns that fit on 400 px side by side; wider tables are folded
// there, each row a block of its cells with their headings.
const most = 5

// sheet is the number of rows up to which a table is kept on one sheet.
const sheet = 30

// Wide reports whether the table is folded where the screen is narrow.
func (t Table) Wide() bool { return len(t.Head) > most || t.Words && len(t.Head) > 2 }

// Class is the table's class in the style.
func (t Table) Class() string {
	class := "figures"
	if t.Words {
		class = "words"
	}
	if t.Wide() {
		class += " wide"
	}
	if len(t.Rows) <= sheet {
		class += " short"
	}
	return class
}

// Column is the heading over a cell.
func (t Table) Column(i int) string {
	if i < len(t.Head) {
		return t.Head[i]
	}
	return ""
}

// Line is a line of a box: what it is about and what it says.
type Line struct{ Name, Text string }

// Box is a small table of names and texts.
type Box struct {
	Caption string
	Lines   []Line
}

// Figure is a picture with its caption, which says how to read it, and Alt, which says
// what it shows, with the numbers, to whoever does not see it.
type Figure struct {
	Name, Caption, Alt string
	Data               template.URL
}

// Picture makes a figure of the bytes of a PNG.
func Picture(name, caption, alt string, png []byte) Figure {
	return Figure{name, caption, alt, Embedded(png)}
}

// Embedded is a PNG as an address that is the picture itself.
func Embedded(png []byte) template.URL {
	return template.URL("data:image/png;base64," + base64.StdEncoding.EncodeToString(png))
}

// Pictures are those of a page, as they are drawn.
type Pictures struct {
	Files figure.Files
	Lacks []string // a sentence for each that cannot be drawn
}

// Draw draws a plot, and makes a figure of it; ok is false where there is none: a nil plot, or one that cannot be drawn.
func (d *Pictures) Draw(f Figure, p *plot.Plot, w, h vg.Length) (drawn Figure, ok bool) {
	if p == nil {
		return f, false
	}
	if err := d.Files.Draw(f.Name, p, w, h); err != nil {
		d.Lacks = append(d.Lacks, fmt.Sprintf("The picture %s could not be drawn: %v.", f.Name, err))
		return f, false
	}
	f.Data = Embedded(d.Files[f.Name+".png"])
	return f, true
}

// Notes prints the sentences of what is lacking.
func Notes(w io.Writer, lacks []string) {
	for _, l := range lacks {
		command.Paragraph(w, "Note: ", l, 78, 0)
	}
}

// New returns the template of a page with the body. The body is text of ours: one that
// does not parse is a mistake in the program.
func New(name, body string) *template.Template {
	t := template.Must(template.New(name).Funcs(template.FuncMap{"style": func() template.CSS { return style }}).Parse(pieces))
	return template.Must(t.Parse(body))
}

// Render fills a page. Data that a template has no room for are a mistake in the program, and it panics.
func Render(t *template.Template, data any) []byte {
	var b bytes.Buffer
	if err := t.Execute(&b, data); err != nil {
		panic(err)
	}
	return b.Bytes()
}
