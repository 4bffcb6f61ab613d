package main

import "example.org/actinic/examples/internal/page"

var pageTemplate = page.New("report", `{{template "top" .Title}}
<h1>{{.R.Film}}</h1>
<p class="sub">{{.R.Process}}<br>{{.R.Light}}</p>
{{if .Invented}}<p class="note">Film, developer and readings are invented.</p>{{end}}
{{template "box" .Answer}}
<section>
<h2>Recommendation</h2>
{{range .R.Recommendation}}{{if ne . $.Caution}}<p>{{.}}</p>
{{end}}{{end}}
{{range .R.Warnings}}<p class="note">{{.}}</p>
{{end}}
</section>
<section>
<h2>The test</h2>
{{template "box" .Test}}
</section>
{{if or .Strips .AboutStrips}}<section>
<h2>Strips</h2>
{{with .Strips}}{{template "table" .}}{{end}}
{{range .AboutStrips}}{{template "finding" .}}{{end}}
<p>Target: average gradient {{printf "%.2f" .R.TargetAverageGradient}}. “±” and ranges are intervals of 95 % confidence. Speeds hold for this film, process and light together.</p>
{{range .Pictures}}{{template "figure" .}}
{{end}}
{{range .AboutGrowth}}{{template "finding" .}}{{end}}
</section>
{{end}}
{{range .Lacks}}<p class="note">{{.}}</p>
{{end}}
{{if or .Frames .AboutFrames}}<section>
<h2>Frames</h2>
{{range .Bracket}}{{template "figure" .}}
{{end}}{{with .Frames}}{{template "table" .}}{{end}}
{{with .FramesNote}}<p>{{.}}</p>{{end}}
{{range .AboutFrames}}{{template "finding" .}}{{end}}
</section>
{{end}}
{{with .Tones}}<section>
<h2>Tones</h2>
{{template "box" $.TonesBox}}
{{template "table" .}}
<p>Step 0 is the black of the paper and 10 its white: tenths of the density range that the paper prints, black on the shadow that is to keep detail; where no paper was stated it is one that has just the negative's range, and the paper's own curve is not in it. Grades are those of ANSI PH2.2-1966 as quoted; a stated range is the ISO range of ISO 6846, a hundred times the log exposure range of the paper (from memory in its steps).</p>
</section>
{{end}}
{{with .Fits}}<section>
<h2>How well the curves fit</h2>
{{template "table" .}}
<p>{{$.FitNote}}</p>
{{range $.Residuals}}{{template "figure" .}}{{end}}
</section>
{{end}}
{{with .Readings}}<section>
<h2>Readings</h2>
<p>Exposures are log10 of lux seconds unless they are relative; the residual is the density read less that of the curve of its strip; a star marks a reading that was found not to go with the others.</p>
<div class="columns">{{range .}}<div>{{template "table" .}}</div>
{{end}}</div>
</section>
{{end}}
<section class="method">
<h2>Method</h2>
<p>Through each strip's readings goes a smooth curve with a toe, a straight part and, where the readings show one, a shoulder; no one form is chosen, several count by how well they explain the readings, and readings that may be wild, stray light and drift by their probability. The speed point m lies 0.10 above base plus fog; the speed is 0.80/H<sub>m</sub> with H<sub>m</sub> in lux seconds, and is called ISO only where the density 1.30 further in log H is 0.80 ± 0.05 higher (ISO 6:1993; the tolerance from memory). Otherwise it is an exposure index (EI) by the criterion given in the record. Speeds are rounded by degrees, S° = 1 + 10 log S.</p>
<p>Gamma is the slope of the straight part, where the slope is within 2 % of its greatest; the average gradient is the chord from the speed point over 1.50 in log H; the contrast index is the slope of the line that meets the curve at 0.2 and 2.2 from base plus fog on equal scales (after Niederpruem, Nelson and Yule, 1966, from memory).</p>
<p>Contrast grows with time as limit · (1 − exp(−rate · (t − induction))) (Hurter and Driffield; Sheppard and Mees). Intervals hold the scatter of the readings, what the forms leave open and which readings may be wild; that of the bracket's index comes from one fit to all its frames, averaged over which reading or frame may be wild.{{with .R.Bracket}} In the bracket the shadow was placed {{.BelowMeter}} stops below the meter reading; by the standards the speed point lies 3.32 stops below it, so that an index found this way is lower by the difference.{{end}}</p>
</section>
<div class="end">
<p class="caution"><strong>Handling developers.</strong> {{.Caution}}</p>
<footer>Source: {{.Source}}. {{.Licence}}. Made with {{.Library}}. Beside this page: the figures as PNG and SVG, the table as table.csv, all numbers as record.json.</footer>
</div>
{{template "bottom"}}
{{define "finding"}}<p class="finding"><strong>{{.What}}</strong>: {{.Text}}{{if .File}} ({{.File}}:{{.Line}}){{end}}</p>
{{end}}`)
