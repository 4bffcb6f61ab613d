package main

import (
	"fmt"
	"slices"
	"strings"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/vg"

	"example.org/actinic/devtime"
	"example.org/actinic/examples/internal/figure"
	"example.org/actinic/examples/internal/page"
)

const pageFile = "compare.html"

var pageTemplate = page.New("compare", `{{template "top" .Title}}
<h1>{{.Title}}</h1>
{{if .Invented}}<p class="note">These films come with the library. All but the lantern plate of 1911 are invented.</p>{{end}}
<section><h2>The table</h2>
{{template "table" .Table}}
{{range .Notes}}<p>{{.}}</p>
{{end}}</section>
{{range .Sections}}<section><h2>{{.Heading}}</h2>
{{range .Figures}}{{template "figure" .}}
{{end}}</section>
{{end}}
{{range .Lacks}}<p class="note">{{.}}</p>
{{end}}
<section><h2>Method</h2>
<p>Speed, gradient, base plus fog and the densities are those of the characteristic curve at the row's development; between two developed strips the density runs straight against the logarithm of time. Where the readings of the strips are stored, curves are fitted to them again and give the 95 % intervals; where they are not, only what the record states has an interval. Two rows are told apart where they differ by more than the root of the sum of squares of their half intervals; strips of one roll share what the roll has in common, so that they are told apart with less risk than films of two rolls, whose calibrations may differ.</p>
<p class="caution"><strong>Handling developers.</strong> {{.Caution}}</p></section>
<footer>Made with {{.Library}} of {{.Inputs}}. Beside this page: the pictures as PNG and SVG, the table as compare.csv.</footer>
{{template "bottom"}}`)

// section is a heading with its pictures.
type section struct {
	Heading string
	Figures []page.Figure
}

// page makes all files of the page in memory; a picture that cannot be drawn is a sentence
// in lacks.
func (c *comparison) page() (files figure.Files, lacks []string) {
	pictures := page.Pictures{Files: figure.Files{}}
	height := vg.Length(5+0.45*float64(len(c.Rows))) * vg.Centimeter
	var sections []section
	add := func(heading, name, caption, alt string, h vg.Length, p *plot.Plot) {
		f, ok := pictures.Draw(page.Figure{Name: name, Caption: caption, Alt: alt}, p, 17*vg.Centimeter, h)
		if n := len(sections); ok && n > 0 && sections[n-1].Heading == heading {
			sections[n-1].Figures = append(sections[n-1].Figures, f)
		} else if ok {
			sections = append(sections, section{heading, []page.Figure{f}})
		}
	}
	const numbered = " The number at the end of a curve is its row."
	add("Curves", curveFigures[0], "Characteristic curves over the exposure on the film."+numbered, c.spans(), 12*vg.Centimeter, c.curves(false))
	add("Curves", curveFigures[1], "The same curves over the tones of the subject, each at its row's index: 0 is the metered tone."+numbered, c.spans(),
		12*vg.Centimeter, c.curves(true))
	for _, t := range c.traits {
		alt := titles[t] + ": " + c.values(string(t))
		add(titles[t], "by-"+string(t), "Dots are the values of the rows, bars their 95 % intervals.", alt, height, c.trait(t))
		add(titles[t], "by-"+string(t)+"-difference", "How far the rows lie from row 1, with the 95 % interval of the difference: a bar that crosses the dashed line is not told apart from row 1.",
			"Differences in "+alt, height, c.differences(t))
	}
	table := c.table()
	for _, row := range table[1:] {
		for i := range row {
			row[i] = whole(row[i])
		}
	}
	var read []string
	for name := range c.in.made.Inputs {
		read = append(read, name)
	}
	slices.Sort(read)
	files = pictures.Files
	files["compare.csv"] = c.csv()
	files[pageFile] = page.Render(pageTemplate, map[string]any{
		"Title": c.title("Compared"), "Invented": c.in.invented, "Notes": c.notes(), "Sections": sections, "Lacks": pictures.Lacks,
		"Table":   page.Table{Caption: "Combinations in order; values with 95 % intervals. A star marks what they are ranked by.", Head: table[0], Rows: table[1:]},
		"Caution": devtime.Caution, "Library": c.in.made.Library + " " + c.in.made.Version, "Inputs": strings.Join(read, ", "),
	})
	return files, pictures.Lacks
}

// whole keeps an interval in brackets on one line.
func whole(cell string) string {
	value, interval, ok := strings.Cut(cell, " (")
	if !ok {
		return cell
	}
	return value + " (" + strings.ReplaceAll(interval, " ", "\u00a0")
}

// spans says of each curve from which density to which it goes.
func (c *comparison) spans() string {
	var parts []string
	for i, row := range c.Rows {
		if row.Curve == nil {
			continue
		}
		lo, hi := row.Curve.Domain()
		a, errA := row.Curve.Density(lo)
		b, errB := row.Curve.Density(hi)
		if errA == nil && errB == nil {
			parts = append(parts, fmt.Sprintf("row %d from %.2f at %.2f to %.2f at %.2f", i+1, float64(a), float64(lo), float64(b), float64(hi)))
		}
	}
	return "Density and log exposure: " + strings.Join(parts, "; ") + "."
}

// values lists a column of the table.
func (c *comparison) values(trait string) string {
	var parts []string
	for i, row := range c.Rows {
		for t, e := range row.Traits {
			if string(t) == trait {
				parts = append(parts, fmt.Sprintf("row %d %s", i+1, cell(t, e)))
			}
		}
	}
	return strings.Join(parts, "; ") + "."
}
