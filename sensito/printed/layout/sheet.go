package layout

import (
	"io"
	"slices"
	"strings"
	"unicode"

	"example.org/actinic/sensito/datafile"
)

// Column is a column that a checker knows.
type Column struct {
	Name  string   // as the project's own tables head it, such as metered_s
	Words []string // words and phrases of headings in print that mean it
	// Want says the column in words, for the error where it is missing.
	Want string
}

// Sheet is a table some of whose columns are known.
type Sheet struct {
	*Table
	column map[string]int // from 1
	unit   map[string]string
}

// Heading cuts a printed heading into its words and its unit: "Metered (s)", "Time [min]",
// "Time, min", metered_s.
func Heading(text string) (words, unit string) {
	s := strings.ToLower(strings.TrimSpace(text))
	for _, b := range []string{"()", "[]"} {
		if at := strings.IndexByte(s, b[0]); at > 0 {
			if end := strings.IndexByte(s[at:], b[1]); end > 0 {
				return plainWords(s[:at] + " " + s[at+end+1:]), strings.TrimSpace(s[at+1 : at+end])
			}
		}
	}
	for _, sign := range []string{",", "/", "_", " in "} {
		at := strings.LastIndex(s, sign)
		if at < 1 {
			continue
		}
		u := strings.TrimSpace(s[at+len(sign):])
		if slices.Contains([]string{"s", "sec", "secs", "seconds", "min", "mins", "minutes", "h", "hours", "c", "f", "°c",
			"°f", "stops", "percent", "%", "ev"}, strings.TrimSuffix(u, ".")) {
			return plainWords(s[:at]), strings.TrimSuffix(u, ".")
		}
	}
	return plainWords(s), ""
}

// plainWords keeps letters, digits, ° and % of a text, with one space between words.
func plainWords(s string) string {
	return strings.Join(strings.FieldsFunc(s, func(r rune) bool {
		return !unicode.IsLetter(r) && !unicode.IsDigit(r) && r != '°' && r != '%'
	}), " ")
}

// Sheet finds the columns in a table. A heading that is a column's own name is that one;
// of the others each means the column with the longest phrase that it holds, and a column
// is the first heading that means it. Further headings are kept as context. ok is false
// where one of must is missing.
func (t *Table) Sheet(known []Column, must ...string) (s *Sheet, ok bool) {
	s = &Sheet{t, map[string]int{}, map[string]string{}}
	taken := make([]bool, len(t.Head))
	for i, h := range t.Head {
		for _, c := range known {
			if strings.TrimSpace(h.Text) == c.Name && s.column[c.Name] == 0 {
				s.column[c.Name], taken[i] = i+1, true
				_, s.unit[c.Name] = Heading(h.Text)
			}
		}
	}
	for i, h := range t.Head {
		if taken[i] {
			continue
		}
		words, unit := Heading(h.Text)
		best, longest := "", 0
		for _, c := range known {
			for _, phrase := range c.Words {
				if len(phrase) > longest && holds(words, unit, phrase) {
					best, longest = c.Name, len(phrase)
				}
			}
		}
		if best != "" && s.column[best] == 0 {
			s.column[best], s.unit[best] = i+1, unit
		}
	}
	ok = true
	for _, name := range must {
		ok = ok && s.column[name] > 0
	}
	return s, ok
}

// holds tells whether a heading holds a phrase, whole words of it; one that begins with (
// is a unit.
func holds(words, unit, phrase string) bool {
	if u, ok := strings.CutPrefix(phrase, "("); ok {
		return plainWords(unit) == strings.TrimSuffix(u, ")")
	}
	return strings.Contains(" "+words+" ", " "+phrase+" ")
}

// Missing is the errors about columns that must be there and are not.
func (s *Sheet) Missing(known []Column, must ...string) (errs datafile.Errors) {
	var heads, names []string
	for _, h := range s.Head {
		heads = append(heads, h.Text)
	}
	for _, c := range known {
		names = append(names, c.Name)
	}
	line := 1
	if len(s.Head) > 0 && s.Head[0].Line > 0 {
		line = s.Head[0].Line
	}
	for _, c := range known {
		if !slices.Contains(must, c.Name) || s.Has(c.Name) {
			continue
		}
		want := "a column of this name or meaning (" + c.Want + "); the header is " + shortened(strings.Join(heads,
			", ")) + ", known are " + strings.Join(names, ",")
		if strings.Contains(strings.Join(heads, ","), ";") {
			want += "; columns are separated by commas, or all of them by semicolons"
		}
		if h, ok := s.near(c.Name); ok {
			errs = append(errs, s.Fault(h, "header", c.Name+"? "+want))
			continue
		}
		errs = append(errs, &datafile.Error{File: s.File, Line: line, Field: c.Name, Want: want})
	}
	return errs
}

// near finds a heading that is a column's name with two letters wrong at most.
func (s *Sheet) near(name string) (Cell, bool) {
	for _, h := range s.Head {
		if text := strings.ToLower(strings.TrimSpace(h.Text)); len(text) > 2 && len(text) < 40 && distance(text,
			name) <= min(2, len(name)/3) {
			return h, true
		}
	}
	return Cell{}, false
}

// distance is the number of letters to change, add or take away (V. I. Levenshtein, Soviet
// Physics Doklady 10 (1966) 707).
func distance(a, b string) int {
	row := make([]int, len(b)+1)
	for k := range row {
		row[k] = k
	}
	for i := range len(a) {
		before := row[0]
		row[0] = i + 1
		for k := range len(b) {
			d := before
			if a[i] != b[k] {
				d++
			}
			before = row[k+1]
			row[k+1] = min(d, row[k]+1, row[k+1]+1)
		}
	}
	return row[len(b)]
}

// Has tells whether the sheet has a column.
func (s *Sheet) Has(name string) bool { return s.column[name] > 0 }

// Unit is the unit in the heading of a column, in small letters; "" where there is none.
func (s *Sheet) Unit(name string) string { return s.unit[name] }

// Title is the heading of a column as it stands in the table; its name where there is none.
func (s *Sheet) Title(name string) string {
	if i := s.column[name]; i > 0 {
		return s.Head[i-1].Text
	}
	return name
}

// Cell is the cell of a row, counted from 0, in a column; without a text where the sheet
// has no such column.
func (s *Sheet) Cell(row int, name string) Cell {
	if i := s.column[name]; i > 0 && row >= 0 && row < len(s.Rows) {
		return s.Rows[row].Cells[i-1]
	}
	if row >= 0 && row < len(s.Rows) {
		return Cell{Line: s.Rows[row].Line}
	}
	return Cell{}
}

// Fail is an error about the cell of a row in a column.
func (s *Sheet) Fail(row int, name, want string) *datafile.Error {
	return s.Fault(s.Cell(row, name), name, want)
}

// First reads the first table of r, of which a printed table has no more than [MostBytes].
// The file name is for the errors, which are [datafile.Errors].
func First(r io.Reader, file string) (*Table, error) {
	content, err := io.ReadAll(io.LimitReader(r, MostBytes+1))
	if err != nil {
		return nil, datafile.Errors{{File: file, Want: "a readable file (" + err.Error() + ")"}}
	}
	tables, err := Read(content, file)
	if err != nil {
		return nil, err
	}
	return tables[0], nil
}

// RowsOf reads the rows of a sheet by read, which says of row i, from 0, what it holds, whether
// it prints nothing, and what is wrong with it. It returns the rows that print something, where
// they stand in the sheet, and all that is wrong; where no row prints anything, that is, with
// column and none as what was wanted in the first.
func RowsOf[R any](s *Sheet, column, none string, read func(i int) (R, bool, datafile.Errors)) (rows []R, at []int, errs datafile.Errors) {
	for i := range s.Rows {
		row, blank, wrong := read(i)
		errs = append(errs, wrong...)
		if len(wrong) == 0 && !blank {
			rows, at = append(rows, row), append(at, i)
		}
	}
	if len(errs) == 0 && len(rows) == 0 {
		errs = append(errs, s.Fail(0, column, none))
	}
	return rows, at, errs
}
