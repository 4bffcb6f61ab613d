package datafile

import (
	"bytes"
	"regexp"
	"slices"
	"strings"
	"unicode/utf8"
)

// ReadSheet is [ReadBytes] of a table as spreadsheets write it, where what is meant is
// certain: semicolons or tabs between the cells, decimal commas, the typographic minus,
// empty columns and rows at the end, a byte order mark. A further column is passed over
// and named in Ignored, unless its name is nearly that of a known one.
//
// A file is read one way throughout. Decimal commas beside decimal points, or numbers such
// as 1,600 of which a comma may part the thousands, end in one error that says so.
func ReadSheet(content []byte, file string, required, optional []string) *Table {
	content = bytes.TrimPrefix(content, []byte("\ufeff"))
	if !utf8.Valid(content) {
		return ReadBytes(content, file, required, optional)
	}
	names := append(slices.Clone(required), optional...)
	comma, err := separator(content, file)
	if err != nil {
		return &Table{File: file, column: map[string]int{}, Errs: Errors{err}}
	}
	var ignored []string
	want := strings.Join(required, ",")
	if len(optional) > 0 {
		want += " and where known " + strings.Join(optional, ",")
	}
	t := readBy(content, file, comma, required, want, func(name string) bool {
		if slices.Contains(names, name) {
			return true
		}
		if name == "" || slices.ContainsFunc(names, func(n string) bool { return misspelt(name, n) }) {
			return false
		}
		ignored = append(ignored, name)
		return true
	})
	t.Ignored = ignored
	t.numbers(names, comma)
	t.once()
	return t
}

// separator is the character between the cells of the header.
func separator(content []byte, file string) (byte, *Error) {
	line := 1
	for {
		row, rest, more := bytes.Cut(content, []byte("\n"))
		if text := bytes.TrimSpace(row); len(text) > 0 && text[0] != '#' {
			var there []byte
			for _, c := range []byte(",;\t") {
				if bytes.IndexByte(row, c) >= 0 {
					there = append(there, c)
				}
			}
			switch len(there) {
			case 0:
				return ',', nil
			case 1:
				return there[0], nil
			}
			return 0, &Error{File: file, Line: line, Field: "header", Text: string(text),
				Want: "one character between the columns: a comma, a semicolon or a tab"}
		}
		if !more {
			return ',', nil
		}
		content = rest
		line++
	}
}

var (
	withComma = regexp.MustCompile(`^[-+]?[0-9]*,[0-9]+$`)
	thousands = regexp.MustCompile(`^[-+]?[1-9][0-9]{0,2},[0-9]{3}$`)
	withPoint = regexp.MustCompile(`^[-+]?[0-9]*\.[0-9]+$`)
	anyMinus  = regexp.MustCompile(`^\x{2212}[0-9.,]+$`)
)

// numbers writes numbers with a point and a plain minus, where the whole file has them one
// way. With commas between the cells only a number in quotes can have one of its own.
func (t *Table) numbers(names []string, comma byte) {
	var sure, unsure, point *Error
	at := func(r Row, k, i int, want string) *Error {
		return &Error{File: t.File, Line: r.Line, Column: r.at[i], Field: names[k], Text: r.cells[i], Want: want}
	}
	for _, r := range t.Rows {
		for k, name := range names {
			i := t.column[name] - 1
			if i < 0 || i >= len(r.cells) {
				continue
			}
			s := strings.TrimSpace(r.cells[i])
			if anyMinus.MatchString(s) {
				s = "-" + strings.TrimPrefix(s, "\u2212")
				r.cells[i] = s
			}
			switch {
			case thousands.MatchString(s):
				unsure = first(unsure, at(r, k, i,
					"a number that is certain: does its comma part the decimals or the thousands? write 1.600 or 1600"))
			case withComma.MatchString(s):
				sure = first(sure, at(r, k, i,
					"numbers one way throughout the file: it has decimal points elsewhere; write a decimal point, not a comma"))
			case withPoint.MatchString(s):
				point = first(point, at(r, k, i, ""))
			}
		}
	}
	switch {
	case sure != nil && point != nil, unsure != nil && point != nil && comma != ',':
		e := sure
		if e == nil {
			e = unsure
		}
		e.Want = "numbers one way throughout the file: it has decimal points elsewhere; write a decimal point, not a comma"
		t.Errs, t.Rows = append(t.Errs, e), nil
		return
	case unsure != nil && sure == nil:
		t.Errs, t.Rows = append(t.Errs, unsure), nil
		return
	}
	if sure == nil {
		return
	}
	for _, r := range t.Rows {
		for _, name := range names {
			if i := t.column[name] - 1; i >= 0 && i < len(r.cells) {
				if s := strings.TrimSpace(r.cells[i]); withComma.MatchString(s) {
					r.cells[i] = strings.Replace(s, ",", ".", 1)
				}
			}
		}
	}
}

func first(a, b *Error) *Error {
	if a != nil {
		return a
	}
	return b
}

// once leaves one error of rows that are too long by as many cells: they have one cause.
func (t *Table) once() {
	seen := map[string]*Error{}
	var kept Errors
	for _, e := range t.Errs {
		was := seen[e.Want]
		switch {
		case e.Field != "row":
			kept = append(kept, e)
		case was == nil:
			seen[e.Want] = e
			kept = append(kept, e)
		case !strings.HasSuffix(was.Want, further):
			was.Want += further
		}
	}
	t.Errs = kept
}

const further = "; so it is on further lines"

// misspelt reports whether two names differ by one letter, two exchanged, or the case.
func misspelt(a, b string) bool {
	a, b = strings.ToLower(a), strings.ToLower(b)
	if a == b {
		return true
	}
	if len(a) > len(b) {
		a, b = b, a
	}
	i, j := 0, 0
	for i < len(a) && a[i] == b[i] {
		i++
	}
	for j < len(a)-i && a[len(a)-1-j] == b[len(b)-1-j] {
		j++
	}
	left, right := len(a)-i-j, len(b)-i-j // what differs in the middle
	exchanged := left == 2 && right == 2 && a[i] == b[i+1] && a[i+1] == b[i]
	return len(a) > 2 && (left <= 1 && right <= 1 || exchanged)
}
