package datafile

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"example.org/actinic/internal/check"
)

// ErrData is wrapped by every error about the content of a file.
var ErrData = check.Sentinel("actinic: unusable data")

// Error says where in a file something cannot be used.
type Error struct {
	File   string
	Line   int    // from 1; 0 where the whole file is meant
	Column int    // in bytes of the line, from 1; 0 where the whole line is meant
	Field  string // name of the column or member; may be empty
	Text   string // what was read
	Want   string // what was expected, or what to do

	more int // of one that stands for others: how many
}

// Error prints "file:line:column: field: read "text", want …". A long text is cut, and
// what could command a terminal is written as \u and four digits.
func (e *Error) Error() string {
	if e.more > 0 {
		return fmt.Sprintf("%s: and %d more, which are not listed", Plain(e.File), e.more)
	}
	var b strings.Builder
	b.WriteString(Plain(e.File))
	if e.Line > 0 {
		fmt.Fprintf(&b, ":%d", e.Line)
		if e.Column > 0 {
			fmt.Fprintf(&b, ":%d", e.Column)
		}
	}
	b.WriteString(": ")
	if e.Field != "" {
		b.WriteString(Plain(short(e.Field)) + ": ")
	}
	if e.Text != "" || e.Field != "" {
		fmt.Fprintf(&b, "read %q, ", short(e.Text))
	}
	b.WriteString("want " + Plain(e.Want))
	return b.String()
}

// Unwrap returns [ErrData].
func (e *Error) Unwrap() error { return ErrData }

// Errors are all that was found wrong, in order of file, line and column.
type Errors []*Error

// Count returns how many there are, those included that are not listed.
func (es Errors) Count() int {
	n := 0
	for _, e := range es {
		n += max(e.more, 1)
	}
	return n
}

// Error prints one error a line; after the tenth only their number.
func (es Errors) Error() string {
	var b strings.Builder
	for i, e := range es {
		if i == 10 {
			fmt.Fprintf(&b, "\nand %d more", es[10:].Count())
			break
		}
		if i > 0 {
			b.WriteByte('\n')
		}
		b.WriteString(e.Error())
	}
	return b.String()
}

// Unwrap returns the errors.
func (es Errors) Unwrap() []error {
	out := make([]error, len(es))
	for i, e := range es {
		out[i] = e
	}
	return out
}

// Err returns the errors as one, nil where there are none.
func (es Errors) Err() error {
	if len(es) == 0 {
		return nil
	}
	return es
}

// Sort puts the errors in order of file, line and column.
func (es Errors) Sort() {
	slices.SortStableFunc(es, func(a, b *Error) int {
		return cmp.Or(strings.Compare(a.File, b.File), cmp.Compare(a.more, b.more), cmp.Compare(a.Line, b.Line),
			cmp.Compare(a.Column, b.Column), strings.Compare(a.Field, b.Field))
	})
}

// Place turns an offset in bytes into line and column, both from 1. An offset outside
// the content is taken as the nearer end.
func Place(content []byte, offset int64) (line, column int) {
	before := content[:max(min(offset, int64(len(content))), 0)]
	line, column = 1, 1
	for _, c := range before {
		if column++; c == '\n' {
			line, column = line+1, 1
		}
	}
	return line, column
}
