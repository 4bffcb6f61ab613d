package corrections

import (
	"fmt"
	"math"
	"strings"
	"testing"
)

// The tables of corrections that authors type, each read or refused with the question: as
// typed means headings and cells as they are printed in a book.
func TestTablesAsTyped(t *testing.T) {
	for _, c := range []struct{ name, content, want string }{
		{"headings with units", "Metered (s),Adjusted (s)\n1,1\n10,28\n", "1 1; 10 28"},
		{"fractions", "Metered,Adjusted\n1/2,1/2\n1,1½\n", "0.5 0.5; 1 1.5"},
		{"units in the cells", "Metered,Adjusted\n2 s,3 sec\n1m,1:40\n20 min,1h\n", "2 3; 60 100; 1200 3600"},
		{"minutes in the heading", "Metered (s),Corrected time (min)\n60,2\n", "60 120"},
		{"marks of seconds", "Metered,Adjusted\n0\"5,0\"6\n2\",3\"\n", "0.5 0.6; 2 3"},
		{"thousands", "Metered (s),Adjusted (s)\n120,\"1,200\"\n", "120 1200"},
		{"ranges and footnotes", "Metered (s),Adjusted (s)\n10,40-50\n20,90*\n30,~150\n", "10 45; 20 90; 30 150"},
		{"stops alone", "Indicated exposure (s),Open lens by\n1,+1/3\n10,1⅔ stops\n100,2 stop\n", "1 +0.33; 10 +1.67; 100 +2.00"},
		{"stops and a development change", "Metered (s),Aperture (stops),Adjusted (s),Development\n1,+1,2,none\n10,+2,50,-10 %\n100,-,1200,-20 %\n", "1 2 +1.00; 10 50 +2.00; 100 1200"},
		{"factors", "Metered (s),Multiply by\n1,1\n10,2½×\n100,6x\n", "1 1; 10 25; 100 600"},
		{"what is not printed", "Metered (s),Adjusted (s)\n1,N/A\n10,28\n100,-\n", "10 28"},
		{"semicolons", "Metered (s);Adjusted (s)\n0,5;0,6\n10;28\n", "0.5 0.6; 10 28"},
		{"Markdown", "| Metered (s) | Adjusted (s) |\n|--|--|\n| 1 | 1 |\n| 10 | 28 |\n", "1 1; 10 28"},
		{"LaTeX", "\\begin{tabular}{rr}\nMetered (s) & Adjusted (s)\\\\\\hline\n\\frac{1}{2} & 1\\\\\n10 & 28\\\\\n\\end{tabular}", "0.5 1; 10 28"},
		{"HTML", "<table><tr><th>Metered (s)<th>Adjusted (s)<tr><td>1<td>1<tr><td>10<td>28</table>", "1 1; 10 28"},
		{"across the page", "Metered (s),1,10,100\nAdjusted (s),1,28,600\n", "1 1; 10 28; 100 600"},
		{"the other way round", "Adjusted (s),Metered (s)\n28,10\n", "10 28"},
	} {
		rows, err := Read(strings.NewReader(c.content), "t")
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		var out []string
		for _, r := range rows {
			s := fmt.Sprintf("%g", r.Metered)
			if r.Adjusted > 0 {
				s += fmt.Sprintf(" %g", r.Adjusted)
			}
			if a := float64(r.Aperture); !math.IsNaN(a) {
				s += fmt.Sprintf(" %+.2f", a)
			}
			out = append(out, s)
		}
		if got := strings.Join(out, "; "); got != c.want {
			t.Errorf("%s: %s, want %s", c.name, got, c.want)
		}
	}
}

func TestAsked(t *testing.T) {
	for _, c := range []struct{ content, want string }{
		{"metered_s,factor\n1,+1\n10,+1.3\n", `"+1" may be +1 stops, a factor of 2, or a factor of 1`},
		{"metered_s,adjusted_s,aperture_stops\n1,2,-1\n", "stops from 0 to 20"},
		{"metered_s,adjusted_s\n1e-300,1\n", "1e-9 s"}, {"metered_s,adjusted_s\n1,1e-320\n", "1e-9 s"},
		{"metered_s,adjustd_s\n1,1\n", `read "adjustd_s", want adjusted_s?`},
	} {
		_, err := Read(strings.NewReader(c.content), "t")
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%q: %v, want %s", c.content, err, c.want)
		}
	}
}
