package datafile

import (
	"fmt"
	"strings"
	"testing"

	"example.org/actinic/internal/held"
)

// cells are a table's as text, by the columns asked for.
func cells(t *Table, names ...string) string {
	var out []string
	for _, r := range t.Rows {
		var row []string
		for _, n := range names {
			row = append(row, t.Text(r, n))
		}
		out = append(out, strings.Join(row, "|"))
	}
	return strings.Join(out, "\n")
}

func TestReadSheet(t *testing.T) {
	said := held.New(t)
	for _, c := range []struct{ name, text, want, ignored string }{
		{"plain", "a,b\n1.5,x\n", "1.5|x", ""},
		{"semicolons", "a;b\n1,5;x\n", "1.5|x", ""},
		{"semicolons and points", "a;b\n1.5;x\n", "1.5|x", ""},
		{"tabs", "a\tb\n1,5\tx, y\n", "1.5|x, y", ""},
		{"remarks above", "# from; a sheet\n\na;b\n1,5;x\n", "1.5|x", ""},
		{"thousands that are decimals", "a;b\n1,600;x\n0,25;y\n", "1.600|x\n0.25|y", ""},
		{"quoted", "a,b\n\"1,5\",x\n", "1.5|x", ""},
		{"empty ends", "a,b,,\n1.5,x,,\n,,,\n", "1.5|x", ""},
		{"a further column", "a,b,remark\n1.5,x,see over\n", "1.5|x", "[remark]"},
		{"text with a comma", "a;b\n2;about 1,5\n", "2|about 1,5", ""},
		{"minus", "a;b\n\u22121,5;x\n", "-1.5|x", ""},
	} {
		got := ReadSheet([]byte(c.text), "t.csv", []string{"a"}, []string{"b"})
		if err := got.Errs.Err(); err != nil || cells(got, "a", "b") != c.want {
			t.Errorf("%s: %q, want %q; %v", c.name, cells(got, "a", "b"), c.want, err)
		}
		if c.ignored != "" && fmt.Sprint(got.Ignored) != c.ignored || c.ignored == "" && got.Ignored != nil {
			t.Errorf("%s: passed over %v, want %s", c.name, got.Ignored, c.ignored)
		}
	}
	for _, c := range []struct{ name, text, want string }{
		{"two ways", "a;b\n1,5;x\n2.5;y\n", `t.csv:2:1: a: read "1,5", want numbers one way`},
		{"thousands or decimals", "a;b\n1,600;x\n", `t.csv:2:1: a: read "1,600", want a number that is certain`},
		{"two separators", "a;b,c\n1;2,3\n", "t.csv:1: header: "},
		{"nearly a column", "alpha;bete\n1;x\n", `t.csv:1:7: header: read "bete"`},
		{"a column without a name", "alpha;;beta\n1;2;x\n", "t.csv:1:7: header: "},
		{"missing", "beta;c\n1;x\n", "t.csv:1: alpha: "},
		{"splits", "alpha,beta\n" + strings.Repeat("1,5,x\n", 30), "t.csv:2: row: "},
		{"not UTF-8", "alpha\xff", "t.csv: want UTF-8"},
		{"nothing", "", "t.csv:1: want a header"},
		{"only separators", "alpha;beta\n;\n;\n", "t.csv:1: want rows"},
	} {
		required := []string{"alpha"}
		if strings.HasPrefix(c.text, "a;") {
			required = []string{"a"}
		}
		err := ReadSheet([]byte(c.text), "t.csv", required, []string{"beta", "b"}).Errs.Err()
		if err == nil || !strings.HasPrefix(err.Error(), c.want) || strings.Contains(err.Error(), "\n") || !said.Is("", err, ErrData) {
			t.Errorf("%s: %v, want one error %q", c.name, err, c.want)
		}
	}
	// Further columns of a plain table stay an error.
	if err := ReadBytes([]byte("a,b\n1,2\n"), "t.csv", []string{"a"}, nil).Errs.Err(); !said.Refused("", err) {
		t.Error("a plain table with a column too many is read")
	}
}

// What the plain reader takes, the lenient one takes alike, but for numbers with a comma.
func FuzzReadSheet(f *testing.F) {
	f.Add("a,b\n1,2\n")
	f.Add("\ufeffa;b;;\r\n1,5;\u22122;;\r\n;;;\r\n")
	f.Add("a\tb\n\"1,5\"\tx\n")
	f.Fuzz(func(t *testing.T, text string) {
		lenient := ReadSheet([]byte(text), "t", []string{"a"}, []string{"b"})
		for _, r := range lenient.Rows {
			lenient.Text(r, "a")
			lenient.Text(r, "b")
			lenient.FailAt(r, "b", "something")
		}
		plain := ReadBytes([]byte(text), "t", []string{"a"}, []string{"b"})
		if plain.Errs.Err() != nil || strings.ContainsAny(text, ";\t\u2212") || strings.Contains(text, `,`) && strings.Contains(text, `"`) {
			return
		}
		var full []string // rows of nothing at all are no rows to a spreadsheet
		for _, row := range strings.Split(cells(plain, "a", "b"), "\n") {
			if row != "|" {
				full = append(full, row)
			}
		}
		if got := cells(lenient, "a", "b"); len(full) == len(plain.Rows) && lenient.Errs.Err() == nil && got != strings.Join(full, "\n") {
			t.Errorf("%q: %q, plain %q", text, got, full)
		}
	})
}
