package main

import (
	"bytes"
	"html/template"

	"example.org/actinic/devtime/roll/plan"
)

// listTemplate is the shooting list as a page to print: black on white, no picture, tables
// that go on from page to page with their heads.
var listTemplate = template.Must(template.New("list").Parse(`<!DOCTYPE html>
<html lang="en">
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>Shooting list of a test roll</title>
<style>
@page { margin: 15mm }
body { font: 15px/1.4 "Liberation Sans", Arial, sans-serif; color: #000; background: #fff; max-width: 46em; margin: 1em auto; padding: 0 1em }
h1 { font-size: 1.4em } h2 { font-size: 1.1em; margin: 1.4em 0 .3em }
p, li { max-width: 42em }
table { border-collapse: collapse; margin: .5em 0; width: 100% }
caption { text-align: left; padding: .2em 0 }
th, td { border: 1px solid #000; padding: .25em .5em; text-align: left; vertical-align: top; font-variant-numeric: tabular-nums }
thead { display: table-header-group }
section, tr { break-inside: avoid }
section.long { break-inside: auto }
@media (max-width: 480px) { body { font-size: 13px; padding: 0 .5em } th, td { padding: .2em .3em } }
@media print { body { font-size: 10pt; max-width: none; margin: 0; padding: 0 } a { color: #000 } }
</style>
<h1>Shooting list of a test roll</h1>
<p>{{.Camera}}</p>
{{range .Tables}}<section{{if gt (len .Rows) 24}} class="long"{{end}}>
<h2>{{.Title}}</h2>
<table>
<caption>{{.About}}</caption>
<thead><tr>{{range index .Rows 0}}{{if .}}<th scope="col">{{.}}</th>{{else}}<td></td>{{end}}{{end}}</tr></thead>
<tbody>
{{range slice .Rows 1}}<tr>{{range $i, $c := .}}{{if $i}}<td>{{$c}}</td>{{else}}<th scope="row">{{$c}}</th>{{end}}{{end}}</tr>
{{end}}</tbody>
</table>
</section>
{{end}}<section>
<h2>To mind</h2>
<ul>
{{range .Notes}}<li>{{.}}</li>
{{end}}<li>Developers are chemicals: gloves, goggles, fresh air; local rules and the maker's safety data sheet go before this list.</li>
</ul>
</section>
</html>
`))

// list is the page of a plan.
func list(p *plan.Plan) ([]byte, error) {
	var b bytes.Buffer
	err := listTemplate.Execute(&b, struct {
		Camera string
		Tables []plan.Table
		Notes  []string
	}{p.Wish.Camera.String(), p.List(), p.Notes})
	return b.Bytes(), err
}
