package layout

import (
	"errors"
	"fmt"
	"strings"
	"testing"
	"testing/iotest"

	"example.org/actinic/internal/held"
	"example.org/actinic/sensito/datafile"
)

// told is a text as it is read: each table with its format, name, remarks and cells with their places.
func told(text string) string {
	tables, err := Read([]byte(text), "t")
	var b strings.Builder
	for _, t := range tables {
		fmt.Fprintf(&b, "%s %q %q", t.Format, t.Name, t.Remarks)
		for _, c := range t.Head {
			fmt.Fprintf(&b, " | %d:%d %s", c.Line, c.Column, c.Text)
		}
		for _, r := range t.Rows {
			fmt.Fprintf(&b, " || %d:", r.Line)
			for _, c := range r.Cells {
				fmt.Fprintf(&b, " | %d:%d %s", c.Line, c.Column, c.Text)
			}
		}
		b.WriteString("  ")
	}
	return fmt.Sprint(b.String(), err)
}

// Marks of each manuscript, one beside the other as authors and programs write them, are read as they
// were, every cell with its place. The list is ours; that it is right is for the other tests to say.
func TestManuscripts(t *testing.T) {
	said := held.New(t)
	table := func(head, cell string) string {
		return "<table>" + head + "<tr><th>a<th>b</tr><tr><td>" + cell + "<td>2</tr></table>"
	}
	latex := func(cell string) string {
		return "\\begin{tabular}{ll}\na & b \\\\\n" + cell + " & 2 \\\\\n3 & 4\n\\end{tabular}"
	}
	texts := []string{
		table("<!-- kind: x --><!-- no remark -->", "1"), "<!-- kind: x -->" + table("", "1") + "<!-- of: none -->" + table("", "3"), "<h1>A <b>title</b></h1>" + table("", "1"), "<h2>A</h2><h5>B</h5>" + table("<caption>C</caption>", "1"), table("<caption> C <br> D </caption>", "1"), "</h1>" + table("", "1"), "<h4>A" + table("", "1") + "</h4>",
		table("", "1<sup>2</sup>"), table("", "1<sup>a</sup>"), table("", "1<sup>z</sup>"), table("", "1<sup>{</sup>"), table("", "1<sup>`</sup>"), table("", "1<sup>/</sup>"), table("", "1<sup>0</sup>"), table("", "1<sup>9</sup>"), table("", "1<sup>:</sup>"), table("", "1<sup>ab</sup>"), table("", "1<sup>A</sup>"), table("", "<sup>1</sup>/<sub>2</sub>"), table("", "6<SUP>1</SUP>&frasl;<SUB>2</SUB>"), table("", "&frac12; &lt; &amp;"), table("", " \n 1 "), table("", "1<br>2<br/>3<BR />4"),
		"<table><tr><th colspan=2>x<th rowspan=\"2\">y</tr><tr><td>1<td>2</tr><tr><td>3<td>4<td>5</tr></table>", "<table><tr><td colspan='0'>x<td>y</tr><tr><td rowspan=0>1<td>2</tr></table>", "<table><tr><td rowspan=3>x<td>y</tr><tr><td>1</tr><tr><td>2</tr><tr><td>3<td>4</tr></table>", "<table><tr><td>x<td rowspan=2>y<tr><td>1<tr><td>2<td>3</table>", "<table><tr><td>x<td>y</table><tr><td>1<td>2", "<tr><td>1<td>2</tr>", "<td>1", "<table></table>" + table("", "1"), "<table><tr></tr><tr><td> <td> </tr><tr><td>a<td>b<tr><td>1<td>2",
		"<table><tr><th><th>b<th>b</tr><tr><td>x<td>1<td>2</tr><tr><td>3<td>4<td>5</tr></table>", "<table><tr><th>a<th>b<th>b</tr><tr><td><td>1<td>2</tr><tr><td>3<td>4<td>5</tr></table>", "<table><tr><th>a<th>b<th>b</tr><tr><td>a<td>1<td></tr><tr><td>3<td>4<td>5</tr></table>", "<table><tr><th>a<th colspan=2>b</tr><tr><td><td>1<td>2</tr></table>", "<table><tr><th rowspan=2>a<th colspan=2>b</tr><tr><td>1<td>2</tr><tr><td>3<td>4<td>5</tr></table>", "<table><tr><th rowspan=2>a<th colspan=2>b</tr><tr><td><td>2</tr><tr><td>3<td>4<td>5</tr></table>", "<table><tr><th><th>b</tr><tr><td>x<td>1</tr><tr><td>3<td>4</tr></table>",
		"<table><tr><th><th colspan=2>b<th>c</tr><tr><td>x<td>1<td>2<td>3</tr><tr><td>3<td>4<td>5<td>6</tr></table>", "<table><tr><th>a<th><th></tr><tr><td><td>1<td>2</tr><tr><td>3<td>4<td>5</tr></table>", "<table><tr><th rowspan=2>a<th>b<th colspan=2>c</tr><tr><td>0<td>1<td>2</tr><tr><td>3<td>4<td>5<td>6</tr></table>",
		latex("1"), latex("\\multicolumn{1}{c}{1}"), latex("\\multicolumn{2}{c}{1} %"), latex("\\multicolumn{0}{c}{1}"), latex("\\hline 1"), latex("$1^{a}$"), latex("1\\textsuperscript{b}"), latex("1^*"), latex("$1^{*}$"), latex("1\\footnote{x}"), latex("1\\footnotemark[2]"), latex("\\textbf{\\textit{\\emph{\\text{1}}}}"), latex("\\textbf{\\textit{\\emph{1}}}"), latex("1{,}5"), latex("20\\,\\degree C"), latex("20 % degrees"), latex("20\\% x"), latex("%\n20"), latex("% a & b\n20"), latex("\\cmidrule(lr){1-2} 20"), latex("\\addlinespace[2pt] 20"), latex("a \\& b"), latex("a~b"), latex("1--2"), latex("\\dag 1"), latex("\\foo 1"), latex("{1}"), latex("\\frac{1}{2}"), latex("1\\\\[2pt]\n5"), latex("\\[ 1"), latex("1\\\\[2"), latex(""), latex(" \\\\ "),
		"% kind: x\n%% two\ntext\n" + latex("1"), "\\caption{A}" + latex("1"), latex("1") + "\\caption{B}", latex("1") + strings.Repeat(" ", 380) + "\\caption{C}", latex("1") + strings.Repeat(" ", 385) + "\\caption{D}", latex("1") + strings.Repeat(" ", 386) + "\\caption{D}", latex("1") + strings.Repeat(" ", 387) + "\\caption{D}", latex("1") + strings.Repeat(" ", 400) + "\\caption{D}", latex("1") + "\\begin{x}\\caption{E}", latex("1") + "% of: two\n" + latex("2"), "\\begin{tabularx}{3cm}[t]{l@{}l}a&b\\\\1&2\\end{tabularx}", "\\begin{longtable}{ll}a&b\\\\\\endhead 1&2\\\\\\endfoot\\end{longtable}", "\\begin{tabular*}{1}{p{2cm}l}a&b\\\\1&2\\end{tabular*}", "\\begin{tabular}ll a&b\\\\1&2\\end{tabular}", "\\begin{tabular}{ll}\\hline\\end{tabular}" + latex("1"),
		"a|b\n-|-\n1|2\n", "|a|b|\n|:-:|-:|\n|1|2|\n|3|\n", "|a|b|\n|--|\n|1|2|\n", "|a|b|\n|--|--|--|\n|1|2|\n", "|a|b|\n|--|x|\n|1|2|\n", "a|b\n\n-|-\n1|2\n", "|a|b|\n|--|--|\n|1\\|2|3|\n", "|a|b|\n|--|--|\n|1|2|\n\n|3|4|\n", "|a|b|\n|--|--|\n|1|2|\nwords\n|3|4|\n", "|a|b|\n|--|--|\n", "# A\n## B\n|a|b|\n|--|--|\n|`1`|**2**|\n", "|a|b|\n|--|--|\n|__1__|*2*|\n", "|a|b|\n|--|--|\n|[1](x)|2<br>3|\n", "  |a|b|\n  |--|--|\n  | 1 |  2|\n", "|a|b|\r\n|--|--|\r\n|1|2|\r\n", "<!-- kind: x -->\n|a|b|\n|--|--|\n|1|2|\n", "|a|\n|--|\n|1|\n", "||b|\n|--|--|\n|1||\n", "|a|b|\n|--|--|\n|1|2|3|\n",
		"a,b\n1,2\n", "a,b\n1\n", "a,b\n1,2,\n", "a,b,\n1,2,\n", "a,b\n\n1,2\n,\n3,4\n", "#x\n\n# y: z\na,b\n1,2\n", "a,b\n1,2\n#,\n#3,4\n#\n# c,d\n", "a;b\n1,5;2\n", "a\tb\n1,5\t2;\n", "a b\n1 2\n", "a\n1\n", "a,b;c\n1,2;3\n", "a;b,c\n1;2,3\n", "a;b;c,d\n1;2;3\n", "a\tb,c\n1\t2\n", "\"a\",\"b, c\"\n\"1\n2\",3\n", "\"a,b\n1,2\n", "a,b\n\"1,2\n", "a,b\n1\"x,2\n", "a,b\n\"1\"x,2\n", "\ufeffa,b\n1,2\n", "a,b\r\n1,2\r\n", "a,b\r1,2\r", " a , b \n 1 , 2 \n", "a,b\n1,\x00\n", "PK\x03\x04", "\n\n\n", "#\n", "a,b", "a,b\n", ",\n1,2\n", "a,\n1,2\n", "a,a\n1,2\n",
		"a,b\n1," + strings.Repeat("9", 4000) + "\n", "a,b\n1," + strings.Repeat("9", 4001) + "\n", strings.Repeat("a,", 99) + "b\n" + strings.Repeat("1,", 99) + "2\n", strings.Repeat("a,", 100) + "b\n" + strings.Repeat("1,", 100) + "2\n", "a,b\n1," + strings.Repeat("é", 61) + "\x01\n" + "x\n", "a,b\n" + strings.Repeat("x", 199) + "\n", "a,b\n" + strings.Repeat("x", 201) + "\n", "a,b\n" + strings.Repeat("é", 120) + "\n",
	}
	for i, s := range texts {
		name := fmt.Sprint(i, " ", strings.NewReplacer("\x00", "NUL").Replace(s[:min(len(s), 30)]))
		got := told(s)
		if len(got) > 2500 {
			got = fmt.Sprint(got[:1200], " ... ", len(got), " ... ", got[len(got)-1200:])
		}
		said.Refused(name, errors.New(strings.ReplaceAll(got, "\x00", "NUL")))
	}
	if tables, err := Read([]byte("a,b\n"+strings.Repeat("1,2\n", MostRows)), "t"); err != nil || len(tables[0].Rows) != MostRows {
		t.Error(err)
	}
	if _, err := Read([]byte("a,b\n"+strings.Repeat("1,2\n", MostRows+1)), "t"); err == nil {
		t.Error("one row more than there may be")
	}
	if _, err := Read([]byte(strings.Repeat(" ", MostBytes)), "t"); err == nil || strings.Contains(err.Error(), "MB") {
		t.Error(err)
	}
	if _, err := Read([]byte(strings.Repeat(" ", MostBytes+1)), "t"); err == nil || !strings.Contains(err.Error(), "MB") {
		t.Error(err)
	}
}

// Headings as they are printed, and names that are nearly those of columns.
func TestHeadingsAtTheBounds(t *testing.T) {
	said := held.New(t)
	for _, s := range []string{"()", "a()", "a( )", "(a)", "a (b", "a b)", "a [b] c", "a[b]", "[a]", ",s", "a,s", "a, s.", "a,x", "a/s", "a / min", "/s", "a_s", "_s", "a in s", " in s", "in s", "a, in s", "a,b,s", "a (s), min", "Å (h)", "a°%1-2", "A  B"} {
		words, unit := Heading(s)
		said.Values(s, words, "/", unit)
	}
	known := []Column{{Name: "time_s", Words: []string{"time", "(s)"}, Want: "times"}, {Name: "ei", Words: []string{"index", "exposure index"}, Want: "indexes"}, {Name: "exposure", Words: []string{"exposure"}, Want: "exposures"}}
	for _, head := range []string{"time_s,ei,exposure", "tine_s,ei,exposure", "tines,ei,exposure", "tmes,ei,exposure", "imes,x,exposures", "ex,expo,exposu", "timetime,exposure index,time", "Time,Time (s),ei", "x (s),y (s),z", "ei;time_s;exposure", "time_s;ei", "et,eiei,e", " time_s , ei ,exposure", strings.Repeat("x", 38) + "s,b,c", strings.Repeat("x", 40) + "s,b,c", "exposures and time,a,b", ""} {
		table := &Table{File: "t", Head: []Cell{}}
		for i, text := range strings.Split(head, ",") {
			table.Head = append(table.Head, Cell{text, 2 * (i % 2), i})
		}
		s, ok := table.Sheet(known, "time_s", "exposure")
		said.Values(head, ok, s.Has("time_s"), s.Has("ei"), s.Title("time_s"), s.Title("ei"), s.Title("exposure"), s.Unit("time_s"), s.Cell(0, "time_s"), s.Cell(-1, "x"))
		said.Refused(head, s.Missing(known, "time_s", "ei", "exposure").Err())
	}
	for _, c := range []struct {
		a, b string
		want int // as the definition counts
	}{{"", "", 0}, {"", "abc", 3}, {"abc", "", 3}, {"kitten", "sitting", 3}, {"flaw", "lawn", 2}, {"abc", "abc", 0}, {"ab", "ba", 2}, {"gumbo", "gambol", 2}, {"a", "b", 1}} {
		if got := distance(c.a, c.b); got != c.want {
			t.Errorf("%q, %q: %d, want %d", c.a, c.b, got, c.want)
		}
	}
	for n := range 60 {
		name := strings.Repeat("n", n)
		s := &Sheet{Table: &Table{Head: []Cell{{Text: strings.TrimSuffix(name, "n") + "m"}}}}
		_, near := s.near(name)
		said.Values("near", n, near)
	}
}

// The first of several tables is read; what cannot be read says so.
func TestFirstFails(t *testing.T) {
	said := held.New(t)
	if _, err := First(iotest.ErrReader(errors.New("the disk is gone")), "t"); !said.Is("a reader that fails", err, datafile.ErrData) {
		t.Error(err)
	}
	if _, err := First(strings.NewReader("a,b\n1\n"), "t"); !said.Is("a row too short", err, datafile.ErrData) {
		t.Error(err)
	}
	if table, err := First(strings.NewReader("|a|b|\n|--|--|\n|1|2|\n\n|c|d|\n|--|--|\n|3|4|\n"), "t"); err != nil || flat(table) != "a,b;3:1,2" {
		t.Error(table, err)
	}
}

// Sheets of a spreadsheet: titles above, rows of headings, what is left out.
func TestSheetsOfRows(t *testing.T) {
	said := held.New(t)
	for i, rows := range [][]string{
		{"Title", "a,b", "1,2"}, {"# remark", "#", "a,b", "1,2"}, {"a", "1", "2"}, {"Title", "Sub", "a,b", "1,2"}, {",a,b", ",1,2", ",,"}, {",,a,b", ",1,2,3"}, {"", ",", "a,b", "", "1,2,"}, {",x,x,", "a,b"}, {"x,x", "a,b", "1,2"}, {"x,x,y", "a,b", "1,2"}, {"a,b,,", "1,2,,", "3,,,"}, {}, {"#x"}, {"x"}, {"x", "#y", "z"}, {"a,b", "Title", "1,2"}, {"-,a", "b"},
		{"a,b", strings.Repeat("1,", 100) + "2"}, {strings.Repeat(",", 101) + "a,b", strings.Repeat(",", 101) + "1,2"},
	} {
		var in []Row
		for k, line := range rows {
			r := Row{Line: k + 1}
			for j, text := range strings.Split(line, ",") {
				if text == "x" {
					j = 0 // a cell that spans several is the same in each
				}
				r.Cells = append(r.Cells, Cell{text, k + 1, j})
			}
			in = append(in, r)
		}
		table, err := OfRows("book", "sheet", in)
		said.Refused(fmt.Sprint(i, " ", rows), err)
		if table != nil {
			said.Values(fmt.Sprint(i, " ", rows), table.Name, table.Remarks, flat(table), table.Head)
		}
	}
}

// An error keeps to 80 bytes of a cell, and cuts no letter in two.
func TestLongCells(t *testing.T) {
	for text, want := range map[string]string{
		strings.Repeat("x", 80):       strings.Repeat("x", 80),
		strings.Repeat("x", 81):       strings.Repeat("x", 80) + "...",
		"x" + strings.Repeat("é", 40): "x" + strings.Repeat("é", 39) + "...",
	} {
		if got := shortened(text); got != want {
			t.Errorf("%q is %q, want %q", text, got, want)
		}
	}
}

// A file has up to so many bytes.
func TestMostBytes(t *testing.T) {
	head := "metered_s,adjusted_s\n1,1\n10,20\n"
	text := head + strings.Repeat("\n", MostBytes-len(head))
	if _, err := First(strings.NewReader(text), "a.csv"); err != nil {
		t.Errorf("%d bytes: %v", len(text), err)
	}
	if _, err := First(strings.NewReader(text+"\n"), "a.csv"); err == nil {
		t.Errorf("%d bytes are taken", len(text)+1)
	}
}

// A second row of headings under a heading that spans several columns begins with nothing, or
// as the first does; where it begins otherwise it is a row.
func TestSecondHeadings(t *testing.T) {
	table := func(first, below string) string {
		return "<table><tr><th>" + first + "</th><th colspan=2>Time (min)</th></tr><tr><th>" + below +
			"</th><th>18 °C</th><th>20 °C</th></tr><tr><td>1+31</td><td>9</td><td>7</td></tr><tr><td>1+15</td><td>5</td><td>4</td></tr></table>"
	}
	for _, c := range []struct {
		first, below string
		rows         int
	}{{"Dilution", "", 2}, {"Dilution", "Dilution", 2}, {"Dilution", "Other", 3}} {
		got, err := First(strings.NewReader(table(c.first, c.below)), "a.html")
		if err != nil {
			t.Errorf("%+v: %v", c, err)
			continue
		}
		if len(got.Rows) != c.rows {
			t.Errorf("%+v: %d rows under %v", c, len(got.Rows), got.Head)
		}
	}
}
