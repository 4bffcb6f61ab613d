package actinic

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"example.org/actinic/internal/check"
)

// ErrData is wrapped by every error about a file's content.
var ErrData = check.Sentinel("actinic: unusable data")

// DataError says where in a file something cannot be used.
type DataError struct {
	File   string
	Line   int    // from 1; 0 where the whole file is meant
	Column int    // in bytes, from 1; 0 where the whole line is meant
	Field  string // name of the column or member; may be empty
	Text   string // what was read
	Want   string // what was expected, or what to do
}

// Error prints "file:line:column: field: read "text", want …".
func (e *DataError) Error() string {
	var b strings.Builder
	b.WriteString(e.File)
	if e.Line > 0 {
		fmt.Fprintf(&b, ":%d", e.Line)
		if e.Column > 0 {
			fmt.Fprintf(&b, ":%d", e.Column)
		}
	}
	b.WriteString(": ")
	if e.Field != "" {
		b.WriteString(e.Field + ": ")
	}
	if e.Text != "" || e.Field != "" {
		fmt.Fprintf(&b, "read %q, ", e.Text)
	}
	b.WriteString("want " + e.Want)
	return b.String()
}

// Unwrap returns ErrData.
func (e *DataError) Unwrap() error { return ErrData }

// DataErrors are all that was found wrong, in order of file, line and column.
type DataErrors []*DataError

// Error prints one error a line; after the tenth only their number.
func (es DataErrors) Error() string {
	var b strings.Builder
	for i, e := range es {
		if i == 10 {
			fmt.Fprintf(&b, "\nand %d more", len(es)-10)
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
func (es DataErrors) Unwrap() []error {
	out := make([]error, len(es))
	for i, e := range es {
		out[i] = e
	}
	return out
}

func (es DataErrors) err() error {
	if len(es) == 0 {
		return nil
	}
	return es
}

// sort puts the errors in order of file, line and column.
func (es DataErrors) sort() {
	slices.SortStableFunc(es, func(a, b *DataError) int {
		return cmp.Or(strings.Compare(a.File, b.File), cmp.Compare(a.Line, b.Line), cmp.Compare(a.Column, b.Column), strings.Compare(a.Field, b.Field))
	})
}
