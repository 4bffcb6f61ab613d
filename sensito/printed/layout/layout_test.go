package layout

import (
	"errors"
	"fmt"
	"strings"
	"testing"
	"time"

	"example.org/actinic/internal/held"
	"example.org/actinic/sensito/datafile"
)

// flat prints a table with its places.
func flat(t *Table) string {
	var b strings.Builder
	for i, h := range t.Head {
		if i > 0 {
			b.WriteByte(',')
		}
		b.WriteString(h.Text)
	}
	for _, r := range t.Rows {
		fmt.Fprintf(&b, ";%d:", r.Line)
		for i, c := range r.Cells {
			if i > 0 {
				b.WriteByte(',')
			}
			fmt.Fprintf(&b, "%s", c.Text)
		}
	}
	return b.String()
}

// One table in every layout that authors use.
func TestLayouts(t *testing.T) {
	const want = "Metered (s),Adjusted (s)"
	for _, c := range []struct {
		name, content string
		format        Format
		want          string
	}{
		{"commas", "# kind: reciprocity\nMetered (s),Adjusted (s)\n1,1\n\n10,28\n", Comma, want + ";3:1,1;5:10,28"},
		{"decimal commas", "Metered (s);Adjusted (s)\n0,5;0,6\n10;28\n", Semicolon, want + ";2:0,5,0,6;3:10,28"},
		{"tabs", "Metered (s)\tAdjusted (s)\n1\t1\n10\t28\n", Tab, want + ";2:1,1;3:10,28"},
		{"a spreadsheet's", "\ufeffMetered (s),Adjusted (s)\r\n1,1\r\n10,28\r\n", Comma, want + ";2:1,1;3:10,28"},
		{"comment between rows", "Metered (s),Adjusted (s)\n1,1\n# after a test\n10,28\n", Comma, want + ";2:1,1;4:10,28"},
		{"seconds as marks", "Metered (s),Adjusted (s)\n0\"5,0\"6\n2\",3\"\n", Comma, want + ";2:0\"5,0\"6;3:2\",3\""},
		{"a number sign that is a filter", "filter,factor\n#25,8\n", Comma, "filter,factor;2:#25,8"},
		{"Markdown", "## A film\n\n| Metered (s) | Adjusted (s) |\n|---:|:---:|\n| 1 | 1 |\n| **10** | 28\\* |\n\nText.\n", Markdown, want + ";5:1,1;6:10,28*"},
		{"Markdown without outer bars", "Metered (s) | Adjusted (s)\n--- | ---\n1 | 1\n", Markdown, want + ";3:1,1"},
		{"LaTeX", "\\begin{table}\\caption{A film}\n\\begin{tabular}{@{}rr@{}}\n\\toprule\nMetered (s) & Adjusted (s) \\\\\n\\midrule\n$1$ & 1\\footnotemark \\\\ % one\n\\frac{1}{2} & 1\\,200 \\\\[2pt]\n10 & $6\\tfrac{1}{2}$ \\\\ \\bottomrule\n\\end{tabular}\n\\end{table}", LaTeX, want + ";6:1,1*;7:1/2,1 200;8:10,6 1/2"},
		{"LaTeX degrees", "\\begin{tabular}{ll}\nEI & $20\\,^{\\circ}$C\\\\\n400 & 8--10\\\\\n\\end{tabular}", LaTeX, "EI,20 °C;3:400,8–10"},
		{"HTML", "<table>\n<caption>A film</caption>\n<tr><th>Metered&nbsp;(s)<th>Adjusted (s)</tr>\n<tr><td>1</td><td>1</td></tr>\n<tr><td><sup>1</sup>⁄<sub>2</sub></td><td>28<sup>a</sup></td></tr></table>", HTML, want + ";4:1,1;5:1/2,28[a]"},
		{"HTML with spans", "<table><tr><th rowspan=2>EI</th><th colspan=2>1+9</th></tr><tr><th>18 °C</th><th>20 °C</th></tr>\n<tr><td>400</td><td>9</td><td>8</td></tr></table>", HTML, "EI,1+9 | 18 °C,1+9 | 20 °C;2:400,9,8"},
	} {
		tables, err := Read([]byte(c.content), "t")
		if err != nil || len(tables) != 1 {
			t.Errorf("%s: %v, %d tables", c.name, err, len(tables))
			continue
		}
		if got := flat(tables[0]); got != c.want || tables[0].Format != c.format {
			t.Errorf("%s: %s %q, want %q", c.name, tables[0].Format, got, c.want)
		}
	}
}

// A cell knows where it stands in the manuscript.
func TestPlaces(t *testing.T) {
	for _, c := range []struct{ content, text string }{
		{"a,b\n1, 28\n", "28"}, {"a;b\n1;28\n", "28"}, {"x\n\n| a | b |\n|--|--|\n| 1 |  28 |\n", "28"},
		{"\\begin{tabular}{ll}\na & b\\\\\n1 & 28\\\\\n\\end{tabular}", "28"}, {"<table><tr><th>a<th>b\n<tr><td>1<td> 28</table>", "28"},
	} {
		tables, err := Read([]byte(c.content), "t")
		if err != nil {
			t.Fatal(err)
		}
		at := tables[0].Rows[0].Cells[1]
		line, column := datafile.Place([]byte(c.content), int64(strings.Index(c.content, c.text)))
		if at.Text != c.text || at.Line != line || at.Column > column || at.Column < column-1 {
			t.Errorf("%q: %+v, want %d:%d", c.content, at, line, column)
		}
	}
}

func TestSeveralTablesAndRemarks(t *testing.T) {
	tables, err := Read([]byte("# One\n<!-- kind: filters -->\n\n|a|b|\n|--|--|\n|1|2|\n\n# Two\n\n|c|d|\n|--|--|\n|3|4|\n"), "t.md")
	if err != nil || len(tables) != 2 || tables[0].Remark("kind") != "filters" || tables[1].Name != "Two" || tables[1].Remark("kind") != "" {
		t.Fatalf("%v %+v", err, tables)
	}
	turned := tables[0].Turned()
	if flat(turned) != "a,1;4:b,2" {
		t.Error(flat(turned))
	}
}

func TestHeadings(t *testing.T) {
	for _, c := range []struct{ text, words, unit string }{
		{"Metered (s)", "metered", "s"}, {"Time [min]", "time", "min"}, {"metered_s", "metered", "s"}, {"Time, min", "time", "min"}, {"Temperature °C", "temperature °c", ""}, {"temperature_c", "temperature", "c"}, {"Corrected exposure (sec.)", "corrected exposure", "sec."},
	} {
		if words, unit := Heading(c.text); words != c.words || unit != c.unit {
			t.Errorf("%q: %q, %q", c.text, words, unit)
		}
	}
	if d := distance("tme", "time"); d != 1 {
		t.Error(d)
	}
}

// What is no table is an error, in bounded time and memory.
func TestBounds(t *testing.T) {
	said := held.New(t)
	for _, c := range []struct{ name, content, want string }{
		{"nothing", "", "a header"},
		{"a million rows", "a,b\n" + strings.Repeat("1,2\n", 1e6), "2000 rows"},
		{"many more", "a,b\n" + strings.Repeat("1,2\n", 3e6), "4 MB"},
		{"a cell of 20 MB", "a,b\n1," + strings.Repeat("9", 20<<20), "4 MB"},
		{"a cell of 3 MB", "a,b\n1," + strings.Repeat("9", 3<<20), "4000 bytes"},
		{"a thousand columns", strings.Repeat("a,", 1000) + "b\n1,2\n", "columns"},
		{"too long a row", "a,b\n1,2,3\n", "2 cells"},
		{"not UTF-8", "a,b\n1,\xff\n", "UTF-8"},
		{"open HTML", strings.Repeat("<table><tr><td colspan=999999999 rowspan=99999999>x<td colspan=99>y", 100), "columns"},
	} {
		start := time.Now()
		_, err := Read([]byte(c.content), "t")
		if !said.Is("", err, datafile.ErrData) || !strings.Contains(err.Error(), c.want) || len(err.Error()) > 4000 {
			t.Errorf("%s: %.300v, want %q", c.name, err, c.want)
		}
		t.Log(c.name, time.Since(start))
		if took := time.Since(start); took > 5*time.Second {
			t.Errorf("%s took %v", c.name, took)
		}
	}
}

func FuzzRead(f *testing.F) {
	for _, s := range []string{"a,b\n1,2\n", "a|b\n--|--\n1|2\n", `\begin{tabular}{ll}a&b\\1&\multicolumn{2}{l}{3}\\\end{tabular}`, "<table><tr><td rowspan=2>1<tr><td colspan=2>2</table>", "a\tb\n#25\t8\n"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		tables, err := Read([]byte(s), "f")
		if err != nil {
			if !errors.Is(err, datafile.ErrData) {
				t.Fatal(err)
			}
			return
		}
		for _, table := range tables {
			for _, r := range table.Rows {
				if len(r.Cells) != len(table.Head) {
					t.Fatalf("%d cells under %d headings", len(r.Cells), len(table.Head))
				}
			}
			if len(table.Head) > 0 {
				table.Turned()
			}
		}
	})
}
