package layout

import (
	"testing"

	"example.org/actinic/internal/held"
)

// What is read of tables in each layout, with one thing changed, is held to what it was.
func TestDrive(t *testing.T) {
	said := held.New(t)
	known := []Column{{Name: "metered_s", Words: []string{"metered", "meter reading"}, Want: "the metered time"}, {Name: "adjusted_s", Words: []string{"adjusted", "corrected"}, Want: "the adjusted time"},
		{Name: "factor", Words: []string{"factor", "x"}}}
	var pool []any
	for _, text := range []string{
		"# a table\n# kind: times\nMetered (s),Adjusted (s)\n1,2\n10,30\n\"a, b\",4\n",
		"Metered (s);Adjusted (s)\n1;2\n10;30\n",
		"Metered (s)\tAdjusted (s)\n1\t2\n10\t30\n",
		"Some words.\n\n| Metered (s) | Adjusted (s) |\n|---:|:---|\n| 1 | 2 |\n| 10 \\| 11 | **30** |\n\n| a | b |\n|---|---|\n| 1 | 2 |\n",
		"\\begin{table}\\caption{Times}\n\\begin{tabular}{rr}\n\\hline\nMetered (s) & Adjusted (s) \\\\ \\hline\n1 & 2 \\\\\n\\multicolumn{2}{c}{10} \\\\\n10 & $30^{a}$ \\\\ % a remark\n\\end{tabular}\\end{table}\n",
		"<table><caption>Times</caption><tr><th>Metered (s)</th><th>Adjusted&nbsp;(s)</th></tr><tr><td>1<td>2<tr><td rowspan=2>10<td colspan=1>30</td></tr><tr><td>&frac12;</td></tr></table>\n",
		"<table><thead><tr><th>a<th>b</thead><tbody><tr><td>1<td><b>2</b></tbody></table><table><tr><td>x</td></tr></table>",
	} {
		pool = append(pool, held.Every(text)...)
	}
	read := func(text []byte) ([]*Table, []string, error) {
		tables, err := Read(text, "t.txt")
		var more []string
		for _, t := range tables {
			s, ok := t.Sheet(known, "metered_s", "adjusted_s")
			if ok {
				more = append(more, s.Unit("metered_s"), s.Title("adjusted_s"), s.Cell(0, "adjusted_s").Text, s.Fail(0, "metered_s", "a time").Error(), t.Remark("kind"))
			} else if s != nil {
				more = append(more, s.Missing(known, "metered_s", "factor").Error())
			}
			turned := t.Turned()
			for _, r := range turned.Rows {
				for _, c := range r.Cells {
					more = append(more, c.Text)
				}
			}
		}
		return tables, more, err
	}
	said.Drive([]any{read}, pool...)
	said.Drive([]any{Heading}, "Metered (s)", "Time, min", "time [s]", "Temp. °C", "x", "", "(s)", "Time in seconds", "Density / D", "a (b) (c)", "Exposure\ntime (min)")
}
