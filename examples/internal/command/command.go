// Package command is what all examples share: one shape of a command line, how a program
// ends, and how it prints. Help goes to standard output and ends with status 0; a command
// line that is not understood ends with 2, everything else that fails with 1, a line on
// standard error each time.
package command

import (
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"example.org/actinic/internal/rooted"
	"example.org/actinic/internal/wholedir"
	"example.org/actinic/sensito/datafile"
	"example.org/actinic/spectral"
)

// UsageError marks a command line that is not understood.
type UsageError struct{ error }

// Usage wraps an error about the command line.
func Usage(err error) error { return UsageError{err} }

// Usagef is [Usage] of a sentence.
func Usagef(format string, args ...any) error { return UsageError{fmt.Errorf(format, args...)} }

// Unwrap returns the error about the command line.
func (u UsageError) Unwrap() error { return u.error }

// ErrFindings ends a program with status 1 and no further word: what it found has been
// said.
var ErrFindings = errors.New("findings")

// ErrFailOn ends a program with status 3 and no further word: it found what it was told to
// fail on.
var ErrFailOn = errors.New("findings to fail on")

// Main runs a program with the command line and ends it.
func Main(name string, run func(args []string, stdout, stderr io.Writer) error) {
	os.Exit(Run(name, run, os.Args[1:], os.Stdout, os.Stderr))
}

// Run runs a program, and returns the status that it ends with. What it prints is buffered for nobody:
// a write that fails, on a full disk or a closed pipe, is an error like any other.
func Run(name string, run func(args []string, stdout, stderr io.Writer) error, args []string, stdout, stderr io.Writer) int {
	out := &checkedWriter{w: stdout}
	stderr = plainWriter{stderr}
	err := run(args, plainWriter{out}, stderr)
	if err == nil || errors.Is(err, flag.ErrHelp) {
		err = out.err
	}
	return status(name, stderr, err)
}

// plainWriter writes what commands a terminal as \u and four digits: names of films and
// messages come from files that somebody else made. All programs write text only.
type plainWriter struct{ w io.Writer }

func (p plainWriter) Write(b []byte) (int, error) {
	if _, err := io.WriteString(p.w, datafile.Plain(string(b))); err != nil {
		return 0, err
	}
	return len(b), nil
}

// Opening is asked before a file or folder of a user's is opened; tests put faults of a disk here.
var Opening = func(name string) error { return nil }

// Folder opens a folder of files that anybody may have made, as a root that nothing
// leaves: links, devices and pipes in it are refused.
func Folder(name string) (fs.FS, func(), error) {
	if err := Opening(name); err != nil {
		return nil, nil, err
	}
	dir, err := rooted.Open(name)
	if err != nil {
		return nil, nil, err
	}
	return folder{dir, name}, func() { dir.Close() }, nil
}

type folder struct {
	*rooted.Dir
	name string
}

// Open is the fs.FS method.
func (f folder) Open(name string) (fs.File, error) {
	file, err := f.Dir.Open(name)
	if err != nil || name == "." {
		return file, err
	}
	if err := Opening(filepath.Join(f.name, filepath.FromSlash(name))); err != nil {
		file.Close()
		return nil, &fs.PathError{Op: "open", Path: name, Err: err}
	}
	return file, nil
}

// Package opens the folder of a data package as [Folder] does; of a report's folder it is the
// one in it that is called package.
func Package(name string) (fs.FS, func(), error) {
	here := filepath.Join(name, "package")
	if _, err := os.Lstat(filepath.Join(name, "datapackage.json")); errors.Is(err, fs.ErrNotExist) {
		if _, err := os.Lstat(filepath.Join(here, "datapackage.json")); err == nil {
			return Folder(here)
		}
	}
	return Folder(name)
}

// status says why a program failed, and returns how it ends.
func status(name string, stderr io.Writer, err error) int {
	switch {
	case err == nil, errors.Is(err, flag.ErrHelp):
		return 0
	case errors.Is(err, ErrFindings):
		return 1
	case errors.Is(err, ErrFailOn):
		return 3
	case errors.As(err, new(UsageError)):
		fmt.Fprintf(stderr, "%s: %v (-h explains)\n", name, err)
		return 2
	}
	var place datafile.Errors
	if errors.As(err, &place) {
		fmt.Fprintln(stderr, err) // begins with the file and the line, as compilers do
		return 1
	}
	fmt.Fprintf(stderr, "%s: %v\n", name, err)
	return 1
}

// checkedWriter keeps the first error of a writer.
type checkedWriter struct {
	w   io.Writer
	err error
}

func (c *checkedWriter) Write(p []byte) (int, error) {
	if c.err != nil {
		return 0, c.err
	}
	n, err := c.w.Write(p)
	c.err = err
	return n, err
}

// ReadFile reads a file that the user names, up to the size that a table may have: a device
// without end does not take the memory of the machine.
func ReadFile(name string) ([]byte, error) {
	f, err := Open(name)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	content, err := rooted.Limited(f)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", name, err)
	}
	return content, nil
}

// Open opens a file that the user names, for what is too large to be read at once.
func Open(name string) (*os.File, error) {
	f, err := os.Open(name)
	if err != nil {
		return nil, err
	}
	if err := Opening(name); err != nil {
		f.Close()
		return nil, &fs.PathError{Op: "open", Path: name, Err: err}
	}
	return f, nil
}

// WriteFolder writes a folder of files whole or not at all; ours is as for [wholedir.Write].
func WriteFolder(dir string, ours func(name string) bool, files map[string][]byte) error {
	return wholedir.Write(dir, ours, func(dir string) error { return WriteFiles(dir, files) })
}

// WriteFiles writes files into a folder that is being made.
func WriteFiles(dir string, files map[string][]byte) error {
	for name, content := range files {
		if err := os.WriteFile(filepath.Join(dir, name), content, 0o644); err != nil {
			return err
		}
	}
	return nil
}

// Ours returns what is made of data that come with the program. That it can be made is for the tests to see: an error is
// a mistake in the program, as for [template.Must].
func Ours[T any](v T, err error) T {
	if err != nil {
		panic(err)
	}
	return v
}

// Flags is a command line that is being described.
type Flags struct {
	*flag.FlagSet
	usage  string
	stdout io.Writer
}

// New begins the description of a command line. The usage is printed by -h, above the
// flags.
func New(name, usage string, stdout io.Writer) *Flags {
	f := &Flags{flag.NewFlagSet(name, flag.ContinueOnError), usage, stdout}
	f.SetOutput(io.Discard)
	return f
}

// Parse reads a command line with at most so many arguments besides the flags. For -h it
// prints the help and returns [flag.ErrHelp].
func (f *Flags) Parse(args []string, most int) error {
	switch err := f.FlagSet.Parse(args); {
	case errors.Is(err, flag.ErrHelp):
		fmt.Fprint(f.stdout, f.usage)
		f.SetOutput(f.stdout)
		f.PrintDefaults()
		return err
	case err != nil:
		return Usage(err)
	case f.NArg() > most && most == 0:
		return Usagef("unknown argument %q; every file goes with a flag", f.Arg(0))
	case f.NArg() > most:
		return Usagef("unexpected %q; options come before FILE", f.Arg(most))
	}
	return nil
}

// Given returns the names of the flags that the command line has.
func (f *Flags) Given() map[string]bool {
	given := map[string]bool{}
	f.Visit(func(f *flag.Flag) { given[f.Name] = true })
	return given
}

// JSON prints a value as JSON for people and programs.
func JSON(w io.Writer, v any) error {
	e := json.NewEncoder(w)
	e.SetIndent("", "  ")
	e.SetEscapeHTML(false)
	return e.Encode(v)
}

// Paragraph prints a sentence folded at a width, further lines set in by indent columns.
func Paragraph(w io.Writer, lead, sentence string, width, indent int) {
	line, length := lead, len([]rune(lead))
	for i, word := range strings.Fields(sentence) {
		n := len([]rune(word))
		if i > 0 && length+1+n > width {
			fmt.Fprintln(w, line)
			line, length = strings.Repeat(" ", indent)+word, indent+n
			continue
		}
		if i > 0 {
			line, length = line+" ", length+1
		}
		line, length = line+word, length+n
	}
	fmt.Fprintln(w, line)
}

// Light returns a light by the name of an illuminant or a colour temperature such as
// 3200K, and what to call it.
func Light(name string) (spectral.Light, string, error) {
	i, unknown := spectral.ParseIlluminant(name)
	if unknown == nil {
		return i.Light(), i.String(), nil
	}
	t, err := spectral.ParseKelvin(name)
	if err != nil {
		return spectral.Light{}, "", fmt.Errorf("light %q: want a colour temperature such as 5500 K, or an illuminant: %w", name, unknown)
	}
	l, err := spectral.LightAt(t)
	return l, t.String(), err
}
