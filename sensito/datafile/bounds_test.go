package datafile

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"testing"
	"testing/iotest"

	"example.org/actinic/internal/held"
)

// told is a table as it was read, every cell with its place, and what is wrong with it.
func told(t *Table) string {
	var b strings.Builder
	fmt.Fprint(&b, t.Names(), t.Ignored)
	for _, r := range t.Rows {
		fmt.Fprintf(&b, " %d:", r.Line)
		for i, c := range r.cells {
			fmt.Fprintf(&b, " %d %q", r.at[i], c)
		}
	}
	return fmt.Sprint(b.String(), " ", t.Errs.Err())
}

// Tables with one thing in them that a reader may stumble over are read, or refused, as they were: by the
// reader of data, by that of sheets, and with columns of any name. The list is ours.
func TestTablesAtTheBounds(t *testing.T) {
	said := held.New(t)
	for _, s := range []string{
		"", "\n", "#", "#\n", "# x", "# x\n\n\r\n#y\na,b\n1,2\n", "\na,b\n1,2\n", "a,b", "a,b\n", "a,b\n\n", "a,b\n1,2", "a,b\n1,2\n\n3,4\n", "a,b\n#1,2\n", "b,a\n1,2\n", "a,b,c\n1,2,3\n", "a,b,d\n1,2,3\n", "a,b,bb\n1,2,3\n", "a,b,a\n1,2,3\n", "a\n1\n", "a,\n1,2\n", "a,b,\n1,2,\n", "a,b,,\n1,2,,\n", "a,b\n1,2,\n", "a,b\n1,2,,\n", "a,b\n1,2,3\n4,5,6\n7\n", "a,b\n1\n2\n", "a,b\n,\n1,2\n", "a,b\n , \n",
		"a;b\n1;2\n", "a;b\n1,5;2\n", "a;b\n1,5;2.5\n", "a;b\n1,500;2\n", "a;b\n1,500;2,5\n", "a;b\n1,500;2.5\n", "a;b\n0,500;2\n", "a;b\n1500,000;2\n", "a;b\n-1,5;+2,5\n", "a;b\n,5;5,\n", "a;b\n1,5,5;x\n", "a;b\n\u22121,5;\u2212x\n", "a,b\n\"1,5\",2\n", "a,b\n\"1,500\",2\n", "a,b\n\"1,500\",2.5\n", "a,b\n\"1,5\",2.5\n", "a;b,c\n1;2\n", "a\tb\n1\t2\n", "a\tb;c\n1\t2\n", "a b\n1 2\n", "#a,b\n#\na;b\n1;2\n", "  \n\t\na;b\n1;2\n",
		"\"a\",\"b\"\n\"1\",\"2\"\n", "\"a\",b\n1,\"x\ny\"\n3,4\n", "a,b\n\"1,2\n", "a,b\n1\"2,3\n", "a,b\n\"1\"2,3\n", "\"a,b\n", "a,b\r\n1,2\r\n", "a,b\r1,2\r", "a\r", "\r", "a,b\n1,2\r", "\ufeffa,b\n1,2\n", "\ufeff\ufeffa,b\n1,2\n", "a,b\n1,\xff\n", "a,b\n1,\x00\n", "\x00a,b\n", "a\x00,b\n", "a,\x00b\n", "\xff\xfea", "\xfe\xffa", strings.Repeat("a", 4095) + "\x00", strings.Repeat("a", 4096) + "\x00",
		"a,b\n" + strings.Repeat("x,", 60) + "\n", "a,b\n" + strings.Repeat("x", 198) + ",y,z\n", "a,b\n" + strings.Repeat("x", 199) + ",y,z\n", "a,b\n" + strings.Repeat("x", 200) + ",y,z\n", "a,b\n" + strings.Repeat("x", 201) + ",y,z\n", "a,b\n" + strings.Repeat("é", 120) + ",y,z\n", "a,b\n" + strings.Repeat("é", 121) + ",y,z\n", "a,b\nx" + strings.Repeat("é", 121) + ",y,z\n", "ab,b\n1,2\n", "aa,b\n1,2\n", "A,b\n1,2\n", "noet,a,b\n1,2,3\n", "notes,a,b\n1,2,3\n", "ote,a,b\n1,2,3\n", "nte,a,b\n1,2,3\n", "nxte,a,b\n1,2,3\n", "nxxe,a,b\n1,2,3\n", "onte,a,b\n1,2,3\n", "noxtxe,a,b\n1,2,3\n", "other,a,b\n1,2,3\n", "a;b;c\n1;2;3\n",
	} {
		name := s[:min(len(s), 40)]
		if len(s) > 40 {
			name = fmt.Sprint(name, len(s))
		}
		name = strings.ReplaceAll(name, "\x00", "NUL")
		hold := func(how string, t *Table) {
			said.Refused(how+" "+name, errors.New(strings.ReplaceAll(told(t), "\x00", "NUL")))
		}
		hold("data", ReadBytes([]byte(s), "t", []string{"a", "b"}, []string{"c", "note"}))
		hold("sheet", ReadSheet([]byte(s), "t", []string{"a", "b"}, []string{"c", "note"}))
		hold("required", ReadSheet([]byte(s), "t", []string{"a", "b"}, nil))
		hold("any", ReadColumns(strings.NewReader(s), "t", "a"))
		hold("read", Read(strings.NewReader(s), "t", []string{"a"}, []string{"b"}))
	}
	for _, bad := range []*Table{Read(iotest.ErrReader(errors.New("gone")), "t", nil, nil), ReadColumns(iotest.ErrReader(errors.New("gone")), "t")} {
		if !said.Is("", bad.Errs.Err(), ErrData) {
			t.Error(bad)
		}
		if e := bad.Errs[0]; e.File != "t" || e.Line != 0 || e.Column != 0 {
			t.Errorf("%+v", e)
		}
	}
	for _, n := range []int{mostColumns, mostColumns + 1} {
		table := ReadColumns(strings.NewReader(names(n)+"\n"+strings.Repeat("1,", n-1)+"1\n"), "t")
		if (len(table.Rows) == 1) != (n == mostColumns) {
			t.Errorf("%d columns: %d rows, %v", n, len(table.Rows), table.Errs.Err())
		}
		said.Refused(fmt.Sprint(n, " columns"), table.Errs.Err())
	}
}

func names(n int) string {
	out := make([]string, n)
	for i := range out {
		out[i] = fmt.Sprint("c", i)
	}
	return strings.Join(out, ",")
}

// A table has as many rows as it may, and not one more.
func TestMostRows(t *testing.T) {
	rows := []byte("a\n" + strings.Repeat("1\n", MostRows))
	if table := ReadBytes(rows, "t", []string{"a"}, nil); len(table.Rows) != MostRows || table.Errs.Err() != nil {
		t.Errorf("%d rows: %v", len(table.Rows), table.Errs.Err())
	}
	table := ReadBytes(append(rows, "2\n"...), "t", []string{"a"}, nil)
	if want := fmt.Sprintf("t:%d: want at most 1000000 rows", MostRows+2); table.Errs.Err() == nil || table.Errs.Error() != want {
		t.Errorf("%v, want %s", table.Errs.Err(), want)
	}
}

// Of a thousand faults each is listed, of more the number.
func TestMostErrors(t *testing.T) {
	table := &Table{File: "t"}
	for n := 1; n <= MostErrors+3; n++ {
		table.Fail(n, 0, "", "", "x")
		if table.Errs.Count() != n || len(table.Errs) != min(n, MostErrors+1) {
			t.Fatalf("%d: %d listed, %d counted", n, len(table.Errs), table.Errs.Count())
		}
	}
	table.Errs.Sort()
	if got := table.Errs[MostErrors].Error(); got != "t: and 3 more, which are not listed" {
		t.Error(got)
	}
	for n, want := range map[int]bool{10: false, 11: true} {
		if got := table.Errs[:n].Error(); strings.Contains(got, "and 1 more") != want || strings.Count(got, "\n") != n-1 {
			t.Errorf("%d: %s", n, got)
		}
	}
}

// Errors stand in order of file, place and field.
func TestSort(t *testing.T) {
	want := Errors{{File: "a", Line: 2}, {File: "b", Line: 1, Column: 2}, {File: "b", Line: 1, Column: 3, Field: "a"}, {File: "b", Line: 1, Column: 3, Field: "b"}, {File: "b", Line: 2, Column: 1}}
	for shift := range want {
		got := append(slices.Clone(want[shift:]), want[:shift]...)
		got.Sort()
		if !slices.Equal(got, want) {
			t.Errorf("%v", got)
		}
	}
}

// A cell is found by its column's name whether there are few columns or many; a row of another table
// has none.
func TestCellsByName(t *testing.T) {
	for _, n := range []int{1, 2, fewColumns, fewColumns + 1, 40} {
		var cells []string
		for i := range n {
			cells = append(cells, fmt.Sprint(" v", i, " "))
		}
		table := ReadColumns(strings.NewReader(names(n)+"\n"+strings.Join(cells, ",")+"\n"), "t")
		if len(table.Rows) != 1 {
			t.Fatal(table.Errs)
		}
		for i := range n {
			if got := table.Text(table.Rows[0], fmt.Sprint("c", i)); got != fmt.Sprint("v", i) {
				t.Errorf("%d columns: %q in column %d", n, got, i)
			}
		}
		short := Row{Line: 7, cells: []string{"x"}, at: []int{1}}
		if got := table.Text(short, fmt.Sprint("c", n-1)); n > 1 && got != "" || n == 1 && got != "x" {
			t.Errorf("%d columns: %q of another table", n, got)
		}
		if got := table.Text(table.Rows[0], "none"); got != "" || table.Has("none") || !table.Has("c0") {
			t.Errorf("%q", got)
		}
		table.FailAt(short, fmt.Sprint("c", n-1), "y")
		table.FailAt(short, "none", "y")
		if got := table.Errs.Error(); !strings.HasPrefix(got, "t:7") || n > 1 && !strings.HasPrefix(got, "t:7: ") {
			t.Error(got)
		}
	}
}

// Signs that command a terminal or turn the writing are written as numbers, those beside them stay
// (Unicode: C0 and C1 controls, 200E-200F, 2028-2029, 202A-202E, 2066-2069).
func TestPlainAtTheBounds(t *testing.T) {
	for _, c := range []struct {
		from, to rune
		changed  bool
	}{
		{0, 8, true}, {9, 10, false}, {11, 0x1f, true}, {0x20, 0x7e, false}, {0x7f, 0x9f, true}, {0xa0, 0xff, false}, {0x200d, 0x200d, false}, {0x200e, 0x200f, true}, {0x2010, 0x2027, false}, {0x2028, 0x202e, true},
		{0x202f, 0x2065, false}, {0x2066, 0x2069, true}, {0x206a, 0x20ff, false}, {0x1f600, 0x1f600, false},
	} {
		for r := c.from; r <= c.to; r++ {
			s := "a" + string(r) + "b"
			want := s
			if c.changed {
				want = fmt.Sprintf(`a\u%04xb`, r)
			}
			if got := Plain(s); got != want {
				t.Errorf("%U: %q, want %q", r, got, want)
			}
			if got := Plain(s + "\x1b"); got != want+`\u001b` {
				t.Errorf("%U: %q", r, got)
			}
		}
	}
	if got := Plain("\xffa\x1b"); got != "\xffa\\u001b" {
		t.Errorf("%q", got)
	}
	for n := 195; n < 250; n++ {
		for _, s := range []string{strings.Repeat("x", n), strings.Repeat("é", n/2) + strings.Repeat("x", n%2)} {
			got := short(s)
			if n <= 240 && got != s || n > 240 && (got != fmt.Sprintf("%s… (%d bytes)", s[:200], n)) {
				t.Errorf("%d bytes: %q", n, got)
			}
		}
	}
	if got, want := short("x"+strings.Repeat("é", 150)), "x"+strings.Repeat("é", 99)+"… (301 bytes)"; got != want {
		t.Errorf("%q, want %q", got, want)
	}
}

// Names differ by one letter, two that are exchanged, or the case; short names are what they are.
func TestMisspelt(t *testing.T) {
	for _, c := range []struct {
		a, b string
		want bool
	}{
		{"note", "note", true}, {"note", "Note", true}, {"note", "noet", true}, {"note", "onte", true}, {"note", "nte", true}, {"note", "notes", true}, {"note", "nate", true}, {"note", "naze", false}, {"note", "nt", false}, {"note", "no", false},
		{"note", "etno", false}, {"note", "nxxte", false}, {"abc", "acb", true}, {"abc", "cba", false}, {"ab", "ac", false}, {"ab", "abc", false}, {"abc", "abcd", true}, {"a", "b", false}, {"", "a", false}, {"aaa", "aa", false}, {"aaaa", "aaa", true}, {"abab", "abba", true}, {"abcd", "badc", false}, {"abcd", "axyd", false}, {"abcd", "acxd", false},
	} {
		if got := misspelt(c.a, c.b); got != c.want || misspelt(c.b, c.a) != c.want {
			t.Errorf("%q, %q: %v, want %v", c.a, c.b, got, c.want)
		}
	}
}
