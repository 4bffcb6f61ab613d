package main

import (
	"fmt"
	"io"
	"maps"
	"slices"
	"strings"
	"text/tabwriter"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/vg"

	"example.org/actinic/devtime"
	"example.org/actinic/examples/internal/command"
	"example.org/actinic/examples/internal/figure"
	"example.org/actinic/examples/internal/page"
	"example.org/actinic/internal/figures"
	"example.org/actinic/sensito/datafile"
)

// drawing is a picture that can be drawn.
type drawing struct {
	name, caption string
	draw          func() *plot.Plot
}

const pageFile = "measure.html"

// bare is an error's text for a sentence.
func bare(err error) string { return figures.Bare(err) }

// number prints a parameter's number, a dash for none.
func number(v *float64) string {
	if v == nil {
		return "–"
	}
	return fmt.Sprintf("%.4g", *v)
}

// tables are those that people read: the table of filters has the factors in it.
func (r *result) tables() []page.Table {
	if r.Kind == "filters" {
		return []page.Table{r.table}
	}
	return []page.Table{r.parameters(), r.table}
}

// parameters is the table of the constants.
func (r *result) parameters() page.Table {
	t := page.Table{Caption: "Constants with 95 % intervals", Head: []string{"Constant", "Value", "From", "To"}}
	for _, p := range r.Parameters {
		t.Rows = append(t.Rows, []string{p.Name, number(p.Value), number(p.Low), number(p.High)})
	}
	return t
}

// title says of what the result is.
func (r *result) title() string {
	of := r.Film
	if r.Process != "" {
		of += " in " + r.Process
	}
	return strings.ToUpper(r.Kind[:1]) + r.Kind[1:] + ": " + of
}

// print writes the result for people.
func (r *result) print(w io.Writer) error {
	fmt.Fprintf(w, "%s\n", r.title())
	if r.invented {
		fmt.Fprintln(w, "Film, process and readings are invented.")
	}
	fmt.Fprintf(w, "Law: %s\n\n", r.Law)
	for _, t := range r.tables() {
		fmt.Fprintf(w, "%s\n", t.Caption)
		tab := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
		for _, row := range append([][]string{t.Head}, t.Rows...) {
			fmt.Fprintln(tab, strings.TrimRight(strings.Join(row, "\t"), "\t"))
		}
		if err := tab.Flush(); err != nil {
			return err
		}
		fmt.Fprintln(w)
	}
	for _, s := range r.Notes {
		command.Paragraph(w, "", s, 78, 0)
	}
	for _, s := range r.cautions() {
		command.Paragraph(w, "Caution: ", s, 78, 0)
	}
	return nil
}

// cautions are those of the kind of work.
func (r *result) cautions() []string {
	switch r.Kind {
	case "temperature":
		return []string{devtime.Caution}
	case "filters":
		return []string{"Never look at the sun through a filter made for photography, or through a viewfinder behind one."}
	}
	return nil
}

var pageTemplate = page.New("measure", `{{template "top" .Title}}
<h1>{{.Title}}</h1>
{{range .Results}}<section><h2>{{.Title}}</h2>
{{if .Invented}}<p class="note">Film, process and readings are invented.</p>{{end}}
<p>Law: {{.Law}}. Source: {{.Source}}.</p>
{{range .Tables}}{{template "table" .}}
{{end}}{{range .Figures}}{{template "figure" .}}
{{end}}{{range .Notes}}<p>{{.}}</p>
{{end}}{{range .Cautions}}<p class="caution">{{.}}</p>
{{end}}</section>
{{end}}{{range .Lacks}}<p class="note">{{.}}</p>
{{end}}<footer>Made with {{.Library}}{{with .Inputs}} of {{.}}{{end}}. Beside this page: the pictures as PNG and SVG.</footer>
{{template "bottom"}}`)

// drawPage makes the page with its pictures; one that cannot be drawn is a sentence in lacks.
func drawPage(made command.Made, of []*result) (files figure.Files, lacks []string) {
	type part struct {
		Title, Law, Source string
		Invented           bool
		Tables             []page.Table
		Figures            []page.Figure
		Notes, Cautions    []string
	}
	pictures := page.Pictures{Files: figure.Files{}}
	var parts []part
	for _, r := range of {
		q := part{Title: r.title(), Law: r.Law, Source: r.source(), Invented: r.invented, Tables: r.tables(), Notes: r.Notes, Cautions: r.cautions()}
		for _, d := range r.draw {
			if f, ok := pictures.Draw(page.Figure{Name: d.name, Caption: d.caption, Alt: r.alt()}, d.draw(), 17*vg.Centimeter, 11*vg.Centimeter); ok {
				q.Figures = append(q.Figures, f)
			}
		}
		parts = append(parts, q)
	}
	title := parts[0].Title
	if len(parts) > 1 {
		title = "Measured laws of " + of[0].Film
	} else {
		parts[0].Title = "The fit"
	}
	pictures.Files[pageFile] = page.Render(pageTemplate, map[string]any{"Title": datafile.Plain(title), "Results": parts, "Lacks": pictures.Lacks,
		"Library": made.Library + " " + made.Version, "Inputs": strings.Join(slices.Sorted(maps.Keys(made.Inputs)), ", ")})
	return pictures.Files, pictures.Lacks
}

// source is what the film says of where the law is from.
func (r *result) source() string {
	d := r.film.Data()
	switch {
	case r.Kind == "reciprocity":
		return d.Reciprocity.Provenance.Source
	case r.Kind == "filters":
		return d.Sensitivity.Provenance.Source
	}
	return r.from
}

// alt tells the numbers of the pictures.
func (r *result) alt() string {
	var parts []string
	for _, row := range r.table.Rows {
		parts = append(parts, strings.Join(row[:2], ": "))
	}
	return r.table.Caption + ". " + strings.Join(parts, "; ") + "."
}
