package main

import (
	"example.org/actinic/devtime/roll/plan"
	"example.org/actinic/examples/internal/page"
)

// listPage is the shooting list to print, in the look of all the programs' pages.
var listPage = page.New("list", `{{template "top" .Title}}
<h1>{{.Title}}</h1>
<p class="sub">{{.Camera}}</p>
{{range .Tables}}<section><h2>{{.Title}}</h2>
{{template "table" .Table}}</section>
{{end}}<section><h2>To mind</h2>
{{range .Notes}}<p class="note">{{.}}</p>
{{end}}<p class="caution">Developers are chemicals: gloves, goggles, fresh air; local rules and the maker's safety data
sheet go before this list. Never look at the sun through a filter made for photography.</p></section>
{{template "bottom"}}`)

type section struct {
	Title string
	Table page.Table
}

// list is the page of a plan.
func list(p *plan.Plan) []byte {
	var tables []section
	for _, t := range p.List() {
		s := section{t.Title, page.Table{Caption: t.About, Head: t.Rows[0], Rows: t.Rows[1:]}}
		if s.Table.Head[0] == "" {
			s.Table.Head[0] = "Measure"
		}
		tables = append(tables, s)
	}
	return page.Render(listPage, struct {
		Title, Camera string
		Tables        []section
		Notes         []string
	}{"Shooting list of a test roll", p.Wish.Camera.String(), tables, p.Notes})
}
