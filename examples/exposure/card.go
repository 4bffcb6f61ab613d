package main

import (
	"bytes"
	"fmt"
	"html/template"
	"io"
	"slices"
	"strings"

	"example.org/actinic"
	"example.org/actinic/devtime"
	"example.org/actinic/examples/internal/command"
	"example.org/actinic/examples/internal/figure"
	"example.org/actinic/internal/figures"
	"example.org/actinic/reciprocity"
	"example.org/actinic/sensito"
	"example.org/actinic/sensito/exposure"
	"example.org/actinic/sensito/exposure/camera"
	"example.org/actinic/sensito/exposure/card"
)

// makeCard writes the card where one is wanted, so that a place where none can be is refused first, and prints its figures.
func makeCard(film *actinic.Film, process string, cam *camera.Described, made command.Made, asJSON bool, out string, stdout io.Writer) error {
	c, err := actinic.FieldCard(film, process, cam)
	if err != nil {
		return err
	}
	sheet := sheetOf(c, cam)
	where := strings.TrimSuffix(out, "/")
	if where == "" && !asJSON {
		where = "out/card"
	}
	if where != "" {
		if err := sheet.write(where); err != nil {
			return err
		}
	}
	if asJSON {
		return made.Print(stdout, c)
	}
	sheet.print(stdout)
	fmt.Fprintf(stdout, "\nCard: %s/card.html, to print on A6; %[1]s/card.png\n", where)
	return nil
}

// write writes the page and the picture as one folder.
func (s *sheet) write(where string) error {
	files := figure.Files{}
	scale, err := s.draw(files)
	if err != nil {
		return err
	}
	if files["card.html"], err = s.page(scale); err != nil {
		return err
	}
	if err := files.Write(where); err != nil {
		return fmt.Errorf("writing the card: %w", err)
	}
	return nil
}

// sheet is a card as text: what the page, the picture and the terminal all show.
type sheet struct {
	Film, Process, Camera string
	Index, Develop        string
	Blocks                []block // across the sheet
	Left, Right           []block // beside each other below them
	Notes                 []string
}

// block is a small table. Wide is how many parts of the width each column has.
type block struct {
	Caption string
	Head    []string
	Rows    [][]string
	Wide    []float64
}

// sheetOf words a card.
func sheetOf(c *card.Card, cam *camera.Described) *sheet {
	s := &sheet{Film: c.Film, Process: c.Process, Camera: c.Camera}
	if cam.Assumed {
		s.Camera = cam.String()
	}
	if c.Index > 0 {
		s.Index = sensito.Speed{Value: c.Index}.String()
	}
	if c.Development > 0 {
		s.Develop = clock(c.Development)
	}
	s.rerated(c)
	s.filtered(c)
	s.beside(c)
	s.Notes = append(s.Notes, c.Cautions...)
	if len(c.Missing) > 0 {
		s.Notes = append(s.Notes, "Not known, and left out: "+strings.Join(c.Missing, "; ")+".")
	}
	return s
}

func (s *sheet) rerated(c *card.Card) {
	if len(c.Rerated) == 0 {
		return
	}
	b := block{Caption: "Pull and push", Head: []string{"Index", "Stops", "Develop", "Shadow at −3"}, Wide: []float64{3, 2, 2.5, 4}}
	for _, r := range c.Rerated {
		b.Rows = append(b.Rows, []string{sensito.Speed{Value: r.Index}.String(), signed(float64(r.Stops), 0), clock(r.Development),
			fmt.Sprintf("%.2f for %.2f", float64(r.Shadow), float64(r.OwnShadow))})
	}
	s.Blocks = append(s.Blocks, b)
}

// filtered is a row for each filter with both lights in it.
func (s *sheet) filtered(c *card.Card) {
	if len(c.Filters) == 0 {
		return
	}
	b := block{Caption: "Filters on this film, in D55 and A", Head: []string{"Filter"}, Wide: []float64{5}}
	at := map[string]int{}
	lights := map[string]bool{}
	for _, f := range c.Filters {
		if !lights[f.Light] {
			lights[f.Light] = true
			b.Head = append(b.Head, lightWords[f.Light]+" ×", "stops")
			b.Wide = append(b.Wide, 3.2, 2)
		}
		i, ok := at[f.Filter]
		if !ok {
			i = len(b.Rows)
			at[f.Filter] = i
			b.Rows = append(b.Rows, []string{f.Filter})
		}
		b.Rows[i] = append(b.Rows[i], factorWords(f)...)
	}
	s.Blocks = append(s.Blocks, b)
}

// factorWords are a factor to two figures and its stops; a dash for what is not to be relied
// on, about which a note stands below.
func factorWords(f card.Filter) []string {
	switch {
	case f.AlmostBlind:
		return []string{"–", "–"}
	case f.Factor < 9.95:
		return []string{fmt.Sprintf("%.1f", f.Factor), signed(float64(f.Stops), 1)}
	}
	return []string{fmt.Sprintf("%.0f", figures.Digits(f.Factor, 2)), signed(float64(f.Stops), 1)}
}

// lightWords calls the lights of a card what a photographer does.
var lightWords = map[string]string{"D55": "Daylight", "A": "Tungsten"}

// beside is long times at the left and grey filters at the right.
func (s *sheet) beside(c *card.Card) {
	if len(c.Long) > 0 {
		b := block{Caption: "Long times", Head: []string{"Metered", "Set", "Develop"}, Wide: []float64{3, 4, 3}}
		for _, t := range c.Long {
			change := "–"
			switch {
			case t.Percent == nil:
			case *t.Percent == 0:
				change = "as usual"
			default:
				change = "to " + signed(*t.Percent, 0) + " %"
			}
			b.Rows = append(b.Rows, []string{long(t.Metered), long(t.Set), change})
		}
		if !slices.ContainsFunc(c.Long, func(t card.Time) bool { return t.Percent != nil }) {
			b.Head, b.Wide = b.Head[:2], b.Wide[:2]
			for i := range b.Rows {
				b.Rows[i] = b.Rows[i][:2]
			}
		}
		s.Left = append(s.Left, b)
	}
	if len(c.Neutral) > 0 {
		b := block{Caption: "In the sun, EV 15", Head: []string{"Aperture", "Grey", "Time"}, Wide: []float64{3.2, 2.6, 3}}
		for _, n := range c.Neutral {
			b.Rows = append(b.Rows, []string{n.Aperture.String(), camera.NeutralName(n.Density), n.Time})
		}
		s.Right = append(s.Right, b)
	}
	if c.Fast > 0 {
		s.Notes = append(s.Notes, fmt.Sprintf("Fast limit %s: no correction to there; faster the film needs more, or was not tested.", exposure.FormatShutter(figures.Seconds(c.Fast))))
	}
}

// clock is a development, long an exposure as it is counted.
func clock(s float64) string { return devtime.FormatTime(figures.Seconds(s)) }
func long(s float64) string  { return reciprocity.FormatLong(figures.Seconds(s)) }

// signed prints a number with a sign that stands out.
func signed(v float64, decimals int) string {
	s := fmt.Sprintf("%+.*f", decimals, v)
	switch {
	case strings.Trim(s, "+-0.") == "":
		return s[1:]
	case s[0] == '-':
		return "−" + s[1:]
	}
	return s
}

// all are the blocks in the order of reading.
func (s *sheet) all() []block {
	out := append([]block{}, s.Blocks...)
	out = append(out, s.Left...)
	return append(out, s.Right...)
}

// print writes the card for a terminal.
func (s *sheet) print(w io.Writer) {
	var b bytes.Buffer
	for _, line := range []string{s.Film, s.Process, s.Camera} {
		if line != "" {
			fmt.Fprintln(&b, line)
		}
	}
	if s.Index != "" {
		fmt.Fprintf(&b, "\n%s", s.Index)
		if s.Develop != "" {
			fmt.Fprintf(&b, ", develop %s", s.Develop)
		}
		fmt.Fprintln(&b)
	}
	for _, bl := range s.all() {
		fmt.Fprintf(&b, "\n%s\n", bl.Caption)
		for _, row := range append([][]string{bl.Head}, bl.Rows...) {
			line := ""
			for i, cell := range row {
				wide := 12
				if i == 0 {
					wide = 18
				}
				line += cell + strings.Repeat(" ", max(wide-len([]rune(cell)), 1))
			}
			fmt.Fprintf(&b, "  %s\n", strings.TrimRight(line, " "))
		}
	}
	fmt.Fprintln(&b)
	for _, n := range s.Notes {
		command.Paragraph(&b, "- ", n, 78, 2)
	}
	w.Write(b.Bytes())
}

// page is the card as a page of its own size; scale is what the letters are smaller by.
func (s *sheet) page(scale float64) ([]byte, error) {
	var b bytes.Buffer
	err := cardTemplate.Execute(&b, map[string]any{"S": s, "Scale": template.CSS(fmt.Sprintf("%.3f", scale))})
	return b.Bytes(), err
}

var cardTemplate = template.Must(template.New("card").Parse(`<!DOCTYPE html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>{{.S.Film}}: field card</title>
<style>
@page { size: 105mm 148mm; margin: 4.5mm; }
body { font: calc(8.8pt * {{.Scale}})/1.22 Arial, "Liberation Sans", Helvetica, sans-serif; color: #000; background: #fff; max-width: 95mm; margin: 5mm auto; padding: 0 2mm; overflow-wrap: break-word; }
@media print { body { margin: 0; padding: 0; max-width: none; } }
h1 { font-size: 1.45em; line-height: 1.15; margin: 0; } p { margin: 0; }
.of { font-size: 0.85em; }
.set { display: flex; justify-content: space-between; flex-wrap: wrap; font-weight: bold; font-size: 2.1em; line-height: 1.2; border-top: 1.5pt solid #000; border-bottom: 1.5pt solid #000; margin: 0.12em 0; }
table { border-collapse: collapse; width: 100%; margin: 0.35em 0 0; table-layout: auto; }
caption { text-align: left; font-weight: bold; } th, td { font-weight: normal; text-align: right; padding: 0 0.15em; border-bottom: 0.4pt solid #777; white-space: nowrap; }
thead th { font-size: 0.85em; border-bottom: 0.8pt solid #000; white-space: normal; vertical-align: bottom; } th:first-child { text-align: left; }
.beside { display: flex; gap: 3mm; align-items: flex-start; } .beside > div { flex: 1 1 0; }
ul { font-size: 0.82em; line-height: 1.2; margin: 0.5em 0 0; padding-left: 1.1em; }
</style>
</head>
<body>
<main>
<h1>{{.S.Film}}</h1>
<p class="of">{{with .S.Process}}{{.}}<br>{{end}}{{.S.Camera}}</p>
{{if .S.Index}}<p class="set"><span>{{.S.Index}}</span>{{with .S.Develop}} <span>{{.}}</span>{{end}}</p>{{end}}
{{range .S.Blocks}}{{template "block" .}}
{{end}}<div class="beside">{{with .S.Left}}<div>{{range .}}{{template "block" .}}{{end}}</div>{{end}}
{{with .S.Right}}<div>{{range .}}{{template "block" .}}{{end}}</div>{{end}}</div>
<ul>{{range .S.Notes}}<li>{{.}}</li>
{{end}}</ul>
</main>
</body>
</html>
{{define "block"}}<table><caption>{{.Caption}}</caption>
<thead><tr>{{range .Head}}<th scope="col">{{.}}</th>{{end}}</tr></thead>
<tbody>{{range .Rows}}<tr>{{range $i, $c := .}}{{if $i}}<td>{{$c}}</td>{{else}}<th scope="row">{{$c}}</th>{{end}}{{end}}</tr>
{{end}}</tbody></table>{{end}}`))
