// Package command holds how the examples end: status 0 for help and success, 2 for a
// command line that is not understood, 1 for everything else.
package command

import (
	"errors"
	"flag"
	"fmt"
	"os"
)

// UsageError marks a command line that is not understood.
type UsageError struct{ error }

// Usage wraps an error about the command line.
func Usage(err error) error { return UsageError{err} }

// Unwrap returns the error about the command line.
func (u UsageError) Unwrap() error { return u.error }

// Exit ends the program name as err says, with a line on standard error.
func Exit(name string, err error) {
	switch {
	case err == nil, errors.Is(err, flag.ErrHelp):
		return
	case errors.As(err, new(UsageError)):
		fmt.Fprintf(os.Stderr, "%s: %v (-h explains)\n", name, err)
		os.Exit(2)
	}
	fmt.Fprintln(os.Stderr, err)
	os.Exit(1)
}
