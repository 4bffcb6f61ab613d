package main

import "html/template"

var pageTemplate = template.Must(template.New("report").Parse(`<!DOCTYPE html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>{{.R.Film}}: test roll</title>
<style>
body { font: 16px/1.45 Georgia, "Times New Roman", serif; color: #111; background: #fff; max-width: 56rem; margin: 2rem auto; padding: 0 1rem; }
h1 { font-size: 1.6rem; margin-bottom: 0.2rem; } h2 { font-size: 1.15rem; margin-top: 2rem; }
.sub { color: #444; margin-top: 0; }
.wide { overflow-x: auto; }
table { border-collapse: collapse; font: 0.82rem/1.3 Arial, Helvetica, sans-serif; }
th, td { border-bottom: 1px solid #bbb; padding: 0.3rem 0.55rem; text-align: right; white-space: nowrap; }
th { border-bottom: 2px solid #333; white-space: normal; vertical-align: bottom; }
th:first-child, td:first-child { text-align: left; }
figure { margin: 1.5rem 0; } figure img { width: 100%; height: auto; }
figcaption { font-size: 0.88rem; color: #333; }
.note { border-left: 4px solid #777; padding: 0.1rem 0 0.1rem 0.8rem; margin: 0.5rem 0; }
.finding { border-left: 4px solid #111; padding: 0.1rem 0 0.1rem 0.8rem; margin: 0.5rem 0; }
table.box { font: 1rem/1.4 Georgia, "Times New Roman", serif; border: 2px solid #111; width: 100%; }
table.box caption { text-align: left; font-weight: bold; padding-bottom: 0.3rem; }
table.box th { text-align: left; white-space: nowrap; border-bottom: 1px solid #bbb; vertical-align: top; }
table.box td { text-align: left; white-space: normal; }
@media print { .wide { overflow: visible; } table { font-size: 0.7rem; } th, td { white-space: normal; padding: 0.2rem 0.3rem; } }
.caution { border: 2px solid #111; padding: 0.6rem 0.9rem; margin: 1.5rem 0; }
footer { font-size: 0.85rem; color: #444; margin-top: 2rem; }
</style>
</head>
<body>
<h1>{{.R.Film}}</h1>
<p class="sub">{{.R.Process}}<br>{{.R.Light}}</p>
{{if .Invented}}<p class="note">Film, developer and readings are invented.</p>{{end}}
<table class="box"><caption>What to do</caption><tbody>
{{range .R.Box}}<tr><th scope="row">{{.Name}}</th><td>{{.Text}}</td></tr>
{{end}}</tbody></table>
<h2>Recommendation</h2>
{{range .R.Recommendation}}{{if ne . $.Caution}}<p>{{.}}</p>
{{end}}{{end}}
{{range .R.Warnings}}<p class="note">{{.}}</p>
{{end}}
<h2>Strips</h2>
<div class="wide"><table>
<thead><tr>{{range .Head}}<th scope="col">{{.}}</th>{{end}}</tr></thead>
<tbody>
{{range .Rows}}<tr>{{range .}}<td>{{.}}</td>{{end}}</tr>
{{end}}</tbody>
</table></div>
{{range .Strips}}{{template "finding" .}}{{end}}
<p>Target: average gradient {{printf "%.2f" .R.TargetAverageGradient}}. “±” and ranges are intervals of 95 % confidence. Speeds hold for this film, process and light together.</p>
{{range .Pictures}}<figure><img src="{{.Data}}" alt="{{.Caption}}"><figcaption>{{.Caption}}</figcaption></figure>
{{range .Findings}}{{template "finding" .}}{{end}}
{{end}}
{{range .Lacks}}<p class="note">{{.}}</p>
{{end}}
{{with .Frames}}<h2>Frames</h2>
<div class="wide"><table>
{{range $i, $row := .}}<tr>{{range $row}}{{if $i}}<td>{{.}}</td>{{else}}<th scope="col">{{.}}</th>{{end}}{{end}}</tr>
{{end}}</table></div>
{{end}}
{{with .R.DetailLines}}<h2>The test</h2>
<table>{{range .}}<tr><td>{{.Name}}</td><td style="white-space: normal; text-align: left">{{.Text}}</td></tr>
{{end}}</table>
{{end}}
<h2>Method</h2>
<p>Through each strip's readings goes a smooth curve with a toe, a straight part and, where the readings show one, a shoulder; no one form is chosen, several count by how well they explain the readings, and readings that may be wild, stray light and drift by their probability. The speed point m lies 0.10 above base plus fog; the speed is 0.80/H<sub>m</sub> with H<sub>m</sub> in lux seconds, and is called ISO only where the density 1.30 further in log H is 0.80 ± 0.05 higher (ISO 6:1993; the tolerance from memory). Otherwise it is an exposure index (EI) by the criterion given in the record. Speeds are rounded by degrees, S° = 1 + 10 log S.</p>
<p>Gamma is the slope of the straight part, where the slope is within 2 % of its greatest; the average gradient is the chord from the speed point over 1.50 in log H; the contrast index is the slope of the line that meets the curve at 0.2 and 2.2 from base plus fog on equal scales (after Niederpruem, Nelson and Yule, 1966, from memory).</p>
<p>Contrast grows with time as limit · (1 − exp(−rate · (t − induction))) (Hurter and Driffield; Sheppard and Mees). Intervals hold the scatter of the readings, what the forms leave open and which readings may be wild; that of the bracket's index comes from one fit to all its frames, averaged over which reading or frame may be wild.{{with .R.Bracket}} In the bracket the shadow was placed {{.BelowMeter}} stops below the meter reading; by the standards the speed point lies 3.32 stops below it, so that an index found this way is lower by the difference.{{end}}</p>
<p class="caution"><strong>Handling developers.</strong> {{.Caution}}</p>
<footer>Source: {{.Source}}. {{.Licence}}. Made with {{.Library}}. Beside this page: the figures as PNG and SVG, the table as table.csv, all numbers as record.json.</footer>
</body>
</html>
{{define "finding"}}<p class="finding"><strong>{{.What}}</strong>: {{.Text}}{{if .File}} ({{.File}}:{{.Line}}){{end}}</p>
{{end}}`))
