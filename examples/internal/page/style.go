package page

import "html/template"

// style is for the screen first, then for narrow ones, then for paper. Roles stand beside
// the elements of a table, since a cell that is folded into a block is no cell to a
// browser any more.
const style template.CSS = `
body { font: 16px/1.45 Georgia, "Times New Roman", serif; color: #111; background: #fff; max-width: 58rem; margin: 2rem auto; padding: 0 1rem; }
h1, h2, h3, p, caption, figcaption, footer, tbody th, table.words td, table.box td { overflow-wrap: anywhere; }
h1 { font-size: 1.6rem; line-height: 1.2; margin: 0 0 0.2rem; } h2 { font-size: 1.15rem; margin: 2rem 0 0.5rem; } h3 { font-size: 1rem; margin: 1.2rem 0 0.3rem; }
.sub { color: #333; margin-top: 0; }
table { border-collapse: collapse; font: 0.82rem/1.3 Arial, Helvetica, sans-serif; margin: 0.6rem 0 1rem; }
caption { text-align: left; font-size: 0.88rem; color: #333; padding-bottom: 0.3rem; }
th, td { border-bottom: 1px solid #bbb; padding: 0.25rem 0.5rem; text-align: right; vertical-align: baseline; }
thead th { border-bottom: 2px solid #333; vertical-align: bottom; }
tbody th { font-weight: normal; }
th:first-child { text-align: left; }
table.words th, table.words td { text-align: left; vertical-align: top; }
table.box { font: 1rem/1.4 Georgia, "Times New Roman", serif; border: 2px solid #111; width: 100%; }
table.box caption { font-weight: bold; font-size: 1rem; color: #111; }
table.box th, table.box td { text-align: left; vertical-align: top; } table.box th { white-space: nowrap; font-weight: bold; }
figure { margin: 1.2rem 0; } figure img { width: 100%; height: auto; }
figcaption { font-size: 0.88rem; color: #333; }
.note { border-left: 4px solid #777; padding: 0.1rem 0 0.1rem 0.8rem; margin: 0.5rem 0; }
.finding { border-left: 4px solid #111; padding: 0.1rem 0 0.1rem 0.8rem; margin: 0.5rem 0; }
.caution { border: 2px solid #111; padding: 0.6rem 0.9rem; margin: 1.5rem 0; }
.columns { display: flex; flex-wrap: wrap; gap: 0 2rem; align-items: flex-start; }
.views { display: grid; grid-template-columns: repeat(auto-fill, minmax(14rem, 1fr)); gap: 0 1rem; } .views figure { margin: 0.5rem 0; }
footer { font-size: 0.85rem; color: #333; margin-top: 2rem; }
@media screen and (max-width: 44rem) {
  table.wide thead { position: absolute; width: 1px; height: 1px; overflow: hidden; clip-path: inset(50%); white-space: nowrap; }
  table.wide, table.wide caption, table.wide tbody { display: block; }
  table.wide tr { display: grid; grid-template-columns: 1fr 1fr; gap: 0 1.2rem; border-top: 2px solid #333; padding: 0.3rem 0; }
  table.wide tbody th { grid-column: 1 / -1; }
  table.wide th, table.wide td { display: flex; justify-content: space-between; gap: 0.6rem; border-bottom: 1px solid #ddd; padding: 0.12rem 0; text-align: right; }
  table.wide tbody th { font-weight: bold; }
  table.wide td::before, table.wide tbody th::before { content: attr(data-column); font-weight: normal; color: #333; text-align: left; flex: 0 1 auto; max-width: 60%; }
  table.box th { white-space: normal; min-width: 6.5em; }
}
@page { margin: 14mm 13mm; }
@media print {
  body { font-size: 10.5pt; max-width: none; margin: 0; padding: 0; }
  table { font-size: 7.6pt; } th, td { padding: 0.12rem 0.3rem; } table.box { font-size: 10pt; }
  thead { display: table-header-group; }
  tr, figure, table.short, .note, .finding, .caution, table.box, .end, .columns > * { break-inside: avoid; }
  .columns { gap: 0 0.7rem; } .columns table { font-size: 6.6pt; } .columns th, .columns td { padding: 0.06rem 0.22rem; }
  h1, h2, h3, caption { break-after: avoid; }
  section.break { break-before: page; }
  .views { display: block; columns: 3; }
  figure img { max-height: 86mm; width: auto; max-width: 100%; }
  p { orphans: 3; widows: 3; } section.method { font-size: 9pt; }
}
`

// pieces are the templates that a body is made of.
const pieces = `{{define "top"}}<!DOCTYPE html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>{{.}}</title>
<style>{{style}}</style>
</head>
<body>
<main>{{end}}
{{define "bottom"}}</main>
</body>
</html>
{{end}}
{{define "table"}}{{$t := .}}<table class="{{.Class}}" role="table">{{with .Caption}}<caption>{{.}}</caption>{{end}}
<thead role="rowgroup"><tr role="row">{{range .Head}}<th scope="col" role="columnheader">{{.}}</th>{{end}}</tr></thead>
<tbody role="rowgroup">
{{range .Rows}}<tr role="row">{{range $i, $cell := .}}{{if $i}}<td role="cell" data-column="{{$t.Column $i}}">{{$cell}}</td>{{else}}<th scope="row" role="rowheader" data-column="{{$t.Column $i}}">{{$cell}}</th>{{end}}{{end}}</tr>
{{end}}</tbody></table>{{end}}
{{define "box"}}<table class="box">{{with .Caption}}<caption>{{.}}</caption>{{end}}<tbody>
{{range .Lines}}<tr><th scope="row">{{.Name}}</th><td>{{.Text}}</td></tr>
{{end}}</tbody></table>{{end}}
{{define "figure"}}<figure id="{{.Name}}"><img src="{{.Data}}" alt="{{.Alt}}"><figcaption>{{.Caption}}</figcaption></figure>{{end}}`
