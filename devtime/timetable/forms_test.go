package timetable

import (
	"errors"
	"fmt"
	"strings"
	"testing"

	"example.org/actinic/devtime"
	"example.org/actinic/internal/held"
	"example.org/actinic/sensito/printed/layout"
)

// said prints the rows of a table in brief, or the errors.
func said(content string) string {
	rows, err := Read(strings.NewReader(content), "t")
	if err != nil {
		return err.Error()
	}
	var out []string
	for _, r := range rows {
		s := ""
		if r.Index > 0 {
			s += fmt.Sprintf("%g ", r.Index)
		}
		if p, _ := r.Dilution.Parts(); p > 0 {
			s += r.Dilution.String() + " "
		}
		if r.Temperature != 0 {
			s += fmt.Sprintf("%g°C ", float64(r.Temperature))
		}
		if r.Fahrenheit != 0 {
			s += fmt.Sprintf("%g°F ", r.Fahrenheit)
		}
		s += devtime.FormatTime(r.Time)
		if r.high > 0 {
			s += fmt.Sprintf(" (%s to %s)", devtime.FormatTime(r.low), devtime.FormatTime(r.high))
		}
		out = append(out, s)
	}
	return strings.Join(out, "; ")
}

// Development tables as authors type them: the same four cells in every form.
func TestTablesAsTyped(t *testing.T) {
	told := held.New(t)
	for _, c := range []struct{ name, content, want string }{
		{"headings in print", "Time (min),Temp. (°C),ISO,Agitation\n9½,18,ISO 400,30 s\n8,20,400/27°,30 s\n", "400 18°C 9:30; 400 20°C 8:00"},
		{"both scales in a cell", "Temperature,Time\n20°C/68°F,8\n24 °C (75 °F),5:45\n", "20°C 68°F 8:00; 24°C 75°F 5:45"},
		{"Fahrenheit in the heading", "Temperature (°F),Time\n68,8\n75,5:45\n", "68°F 8:00; 75°F 5:45"},
		{"Fahrenheit in the cell", "Temperature,Time\n68 °F,8\n75 °F,5:45\n", "68°F 8:00; 75°F 5:45"},
		{"what is not printed", "Temperature,Time\n18 °C,N/A\n20 °C,8\n22 °C,-\n24 °C,\n", "20°C 8:00"},
		{"ranges and marks", "Temperature,Time\n18 °C,9–10\n20 °C,8:00*\n22 °C,~7\n", "18°C 9:30 (9:00 to 10:00); 20°C 8:00; 22°C 7:00"},
		{"seconds in the heading", "Temperature (°C),Time (s)\n20,480\n", "20°C 8:00"},
		{"dilutions", "Dilution,Time\nstock,6\n1+1,8\n1+31*,12\n1+1+100,14\n10 %,20\n1:31 (1+31),12\n", "stock 6:00; 1+1 8:00; 1+31 12:00; 2+100 14:00; 10+90 20:00; 1+31 12:00"},
		{"semicolons and decimal commas", "EI;Zeit / Time, min\n400;8,5\n", "400 8:30"},
		{"a matrix by temperature", "EI,18 °C,20 °C,24 °C\n400,9½,8,5:45\nEI 800,13,11,-\n", "400 18°C 9:30; 400 20°C 8:00; 400 24°C 5:45; 800 18°C 13:00; 800 20°C 11:00"},
		{"a matrix by dilution", "| EI | stock | 1+1 |\n|---|---|---|\n| 400 | 6 | 8½ |\n| 800 | 8 | 11 |\n", "400 stock 6:00; 400 1+1 8:30; 800 stock 8:00; 800 1+1 11:00"},
		{"a matrix whose corner says it", "EI \\ °C,18,20\n400,9½,8\n", "400 18°C 9:30; 400 20°C 8:00"},
		{"a matrix by index", "°C,EI 400,EI 800\n18,9½,13\n20,8,11\n", "400 18°C 9:30; 800 18°C 13:00; 400 20°C 8:00; 800 20°C 11:00"},
		{"a matrix by two", "<table><tr><th rowspan=2>EI</th><th colspan=2>1+9</th></tr><tr><th>18 °C</th><th>20 °C</th></tr>\n<tr><td>400</td><td>9</td><td>8</td></tr></table>", "400 1+9 18°C 9:00; 400 1+9 20°C 8:00"},
		{"across the page", "Temperature (°C),18,20,24\nTime (min),9½,8,5:45\n", "18°C 9:30; 20°C 8:00; 24°C 5:45"},
		{"LaTeX", "\\begin{tabular}{lrr}\nEI & $18\\,^{\\circ}$C & $20\\,^{\\circ}$C \\\\ \\hline\n400 & 9\\tfrac{1}{2} & 8 \\\\\n\\end{tabular}", "400 18°C 9:30; 400 20°C 8:00"},
		{"a matrix in Fahrenheit", "EI,65 °F,68 °F\n400,9½,8\n", "400 65°F 9:30; 400 68°F 8:00"},
		{"a matrix whose title says it", "EI \\ °F,65,68\n400,9½,8\n", "400 65°F 9:30; 400 68°F 8:00"},
		{"a corner with a stroke", "EI / temperature,18,20\n400,9½,8\n", "400 18°C 9:30; 400 20°C 8:00"},
		{"a corner of two words", "Temperature / EI,400,800\n18,9½,13\n20,8,11\n", "400 18°C 9:30; 800 18°C 13:00; 400 20°C 8:00; 800 20°C 11:00"},
		{"a corner in brackets", "EI (temp. in °C),18,20\n400,9½,8\n", "400 18°C 9:30; 400 20°C 8:00"},
		{"a matrix of degrees", "°C,400/27°,800/30°\n18,9½,13\n", "400 18°C 9:30; 800 18°C 13:00"},
		{"a matrix of film speeds", "°C,ASA 400,ISO 800\n18,9½,13\n", "400 18°C 9:30; 800 18°C 13:00"},
		{"headings that are no values", "EI,one,two\n400,9½,8\n", ""},
		{"bare numbers and no word", "EI,18,20\n400,9½,8\n", ""},
		{"a percentage heads no column of a matrix", "EI,10 %,20 %\n400,9½,8\n", ""},
		{"parts in all", "\"Dilution (parts in all)\",Time\n1:31,12\n", "1+30 12:00"},
		{"a total", "\"Dilution, total\",Time\n1:31,12\n", "1+30 12:00"},
		{"an empty cell of the heading", "EI,18 °C,,20 °C\n400,9½,,8\n", ""},
		{"a range of a point", "Temperature,Time\n18 °C,9–9\n20 °C,0.01–8\n", ""},
		{"beyond measure", "Temperature,Time\n18 °C,59999.9\n20 °C,60000\n", ""},
		{"none at all", "Temperature,Time\n18 °C,0.000001\n", ""},
		{"parts that the heading explains", "\"Dilution (stock:water)\",Time\n1:31,12\n", "1+31 12:00"},
	} {
		got := said(c.content)
		if c.want != "" && got != c.want {
			t.Errorf("%s: %s, want %s", c.name, got, c.want)
		}
		told.Refused(c.name, errors.New(got))
	}
}

// What has two readings is asked, also among rows that have one.
func TestAsked(t *testing.T) {
	told := held.New(t)
	for _, c := range []struct{ content, want string }{
		{"dilution,time\n1+31,12\n1:31,12\n", "t:3:1: dilution: read \"1:31\", want parts of stock and water such as 1+31; 1:31 is read as 1+31 by some and as 1+30"},
		{"dilution,time\n1 to 31,12\n", "1+30"},
		{"ei,time\n+1,9\n400,7\n", "a push or pull of +1 stops"},
		{"ei,time\nN+1,9\n400,7\n", "N+1 is a note on development"},
		{"dilution,time\nB,9\n", "dilution"},
		{"temperature_c,time\n20,7:3\n", "time"},
	} {
		got := said(c.content)
		if told.Refused(c.content, errors.New(got)); !strings.Contains(got, c.want) {
			t.Errorf("%q: %s, want %s", c.content, got, c.want)
		}
	}
}

// A cell of a matrix is found at its place in the manuscript.
func TestMatrixPlaces(t *testing.T) {
	tables, err := layout.Read([]byte("EI,18 °C,20 °C\n400,9½,8\n800,13,11\n"), "t")
	if err != nil {
		t.Fatal(err)
	}
	got, err := FromTable(tables[0], Options{})
	if err != nil {
		t.Fatal(err)
	}
	if c := got.Sheet.Cell(got.At[3], "time"); c.Line != 3 || c.Column != 8 || c.Text != "11" {
		t.Errorf("%+v", c)
	}
}
