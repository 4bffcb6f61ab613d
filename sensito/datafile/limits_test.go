package datafile

import (
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"
	"testing"
	"unicode"
)

// Numbers are those of Table Schema (XML Schema part 2, 3.2.5), and no others.
func TestParseNumber(t *testing.T) {
	for s, want := range map[string]float64{"0": 0, "-1.5": -1.5, "+2": 2, ".5": .5, "5.": 5, "1e3": 1000, "1E-3": .001, "1.e+2": 100, "007": 7} {
		if v, ok := ParseNumber(s); !ok || v != want {
			t.Errorf("%q: %v, %v", s, v, ok)
		}
	}
	for _, s := range []string{"", "0x1p4", "0x10", "1_000", "1e400", "NaN", "INF", "Inf", "-inf", "infinity", "1,5", "1 000", "e5", "1e", ".", "+", "--1", "1.2.3", "１", "1\u200b"} {
		if v, ok := ParseNumber(s); ok {
			t.Errorf("%q is taken as %v", s, v)
		}
	}
}

func FuzzParseNumber(f *testing.F) {
	for _, s := range []string{"1.5e-3", "0x1p4", "1_000", "INF"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		v, ok := ParseNumber(s)
		if !ok {
			return
		}
		if math.IsInf(v, 0) || math.IsNaN(v) || strings.ContainsAny(s, "xXpP_iIaAn") {
			t.Fatalf("%q is taken as %v", s, v)
		}
		if back, ok := ParseNumber(strconv.FormatFloat(v, 'g', -1, 64)); !ok || back != v {
			t.Fatalf("%q printed and read is %v, want %v", s, back, v)
		}
	})
}

// A table that is no text, or too large, is refused in one line that says what to do.
func TestNoTables(t *testing.T) {
	for _, c := range []struct{ name, content, want string }{
		{"UTF-16", "\xff\xfea\x00\n\x00", "this is UTF-16"},
		{"UTF-16 without a mark", "a\x00\n\x001\x00", "this is UTF-16"},
		{"line ends of CR", "a\r1\r2\r", "line ends of LF or CRLF"},
		{"zeros", "a\n" + strings.Repeat("\x00", 9), "bytes of 0"},
		{"many rows", "a\n" + strings.Repeat("1\n", MostRows+5), "at most 1000000 rows"},
		{"many columns", strings.Repeat("a,", 5000), "at most 1000 columns"},
	} {
		tab := ReadBytes([]byte(c.content), "f.csv", []string{"a"}, nil)
		if len(tab.Errs) != 1 || !strings.Contains(tab.Errs[0].Error(), c.want) {
			t.Errorf("%s: %v", c.name, tab.Errs)
		}
	}
	for n, want := range map[int]string{MostBytes: "this is UTF-16", MostBytes + 1: "at most 64 MB, not 64"} {
		if tab := ReadBytes(make([]byte, n), "f.csv", []string{"a"}, nil); len(tab.Errs) != 1 || !strings.Contains(tab.Errs[0].Error(), want) {
			t.Errorf("%d bytes: %v", n, tab.Errs)
		}
	}
	if tab := Read(endless{}, "f.csv", []string{"a"}, nil); len(tab.Errs) != 1 || !strings.Contains(tab.Errs[0].Error(), "more than 64 MB") {
		t.Errorf("a device without end: %v", tab.Errs)
	}
}

// endless is a device without end.
type endless struct{}

func (endless) Read(p []byte) (int, error) { return len(p), nil }

var _ io.Reader = endless{}

// However much is wrong, what is said of it is short, and all of it is counted.
func TestFindingsAreCounted(t *testing.T) {
	const n = 5000
	tab := ReadBytes([]byte("a\n"+strings.Repeat("x\n", n)), "f.csv", []string{"a"}, nil)
	for _, r := range tab.Rows {
		tab.Number(r, "a", "a number")
	}
	tab.Errs.Sort()
	if got := tab.Errs.Count(); got != n || len(tab.Errs) != MostErrors+1 {
		t.Errorf("%d counted, %d listed", got, len(tab.Errs))
	}
	if got := tab.Errs[MostErrors].Error(); got != fmt.Sprintf("f.csv: and %d more, which are not listed", n-MostErrors) {
		t.Error(got)
	}
	if got := tab.Errs.Error(); !strings.HasSuffix(got, fmt.Sprintf("and %d more", n-10)) {
		t.Error(got[len(got)-40:])
	}
	long := ReadBytes([]byte("a\n"+strings.Repeat("ä", 1<<20)+"\n"), "f.csv", []string{"a"}, nil)
	long.Number(long.Rows[0], "a", "a number")
	if e := long.Errs[0]; len(e.Error()) > 500 || !strings.Contains(e.Error(), "(2097152 bytes)") || len(e.Text) > 300 {
		t.Errorf("%d bytes: %.100s", len(e.Error()), e.Error())
	}
	wide := ReadBytes([]byte("a\n"+strings.Repeat("1,", 1<<20)+"\n"), "f.csv", []string{"a"}, nil)
	if got := wide.Errs.Error(); len(got) > 500 {
		t.Errorf("%d bytes", len(got))
	}
}

// No byte of a file commands a terminal through a message.
func TestMessagesArePlain(t *testing.T) {
	const evil = "\x1b[31mred\x1b]0;title\x07\u009b31m\u202e"
	for _, e := range []*Error{
		{File: evil, Line: 1, Field: evil, Text: evil, Want: evil},
		ReadBytes([]byte(evil+","+evil+"\n1,2\n"), evil, []string{"a"}, nil).Errs[0],
	} {
		for _, c := range e.Error() {
			if unicode.IsControl(c) || c == '\u202e' {
				t.Errorf("%U in %q", c, e.Error())
			}
		}
	}
	if got := Plain("a\tb\nc ä\x7f"); got != "a\tb\nc ä\\u007f" {
		t.Errorf("%q", got)
	}
}

func TestFormulas(t *testing.T) {
	for s, want := range map[string]bool{"=1+1": true, "@SUM(A1)": true, "-2+3": true, "+B": true, "\t=1": true, "-0.3": false, "+5": false, "": false, "a=1": false, "−3": false} {
		if got := Formula(s); got != want {
			t.Errorf("%q: %v", s, got)
		}
		if got := Defused(s); Formula(got) || !strings.HasSuffix(got, s) {
			t.Errorf("%q becomes %q", s, got)
		}
	}
}

// The cell above the limit is refused in its line, and the last below it is not.
func TestMostCells(t *testing.T) {
	defer func(n int) { mostCells = n }(mostCells)
	mostCells = 6
	const six = "a,b\n1,2\n3,4\n5,6\n"
	if tab := ReadBytes([]byte(six), "f.csv", []string{"a", "b"}, nil); len(tab.Errs) != 0 || len(tab.Rows) != 3 {
		t.Errorf("six cells: %d rows, %v", len(tab.Rows), tab.Errs)
	}
	tab := ReadBytes([]byte(six+"7,8\n9,10\n"), "f.csv", []string{"a", "b"}, nil)
	if got := tab.Errs.Error(); got != "f.csv:5: want at most 6 cells" {
		t.Error(got)
	}
}
