package exposure

import "fmt"

// fault is an error of this package: its text says exposure, its kind is one of
// package sensito's sentinels.
type fault struct {
	text string
	kind error
}

func (f *fault) Error() string { return "exposure: " + f.text }

func (f *fault) Unwrap() error { return f.kind }

func wrong(kind error, format string, a ...any) error { return &fault{fmt.Sprintf(format, a...), kind} }
