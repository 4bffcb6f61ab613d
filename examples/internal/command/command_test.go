package command

import (
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"strings"
	"testing"

	"example.org/actinic/sensito/datafile"
)

func TestStatus(t *testing.T) {
	for _, c := range []struct {
		err    error
		status int
		said   string
	}{
		{nil, 0, ""}, {flag.ErrHelp, 0, ""}, {ErrFindings, 1, ""}, {ErrFailOn, 3, ""},
		{Usagef("no -x"), 2, "name: no -x (-h explains)\n"},
		{fmt.Errorf("later: %w", Usage(io.EOF)), 2, "name: later: EOF (-h explains)\n"},
		{os.ErrNotExist, 1, "name: file does not exist\n"},
		{datafile.Errors{{File: "a.csv", Line: 2, Want: "more"}}, 1, "a.csv:2: want more\n"},
	} {
		var b strings.Builder
		if got := status("name", &b, c.err); got != c.status || b.String() != c.said {
			t.Errorf("%v: %d %q, want %d %q", c.err, got, b.String(), c.status, c.said)
		}
	}
}

type full struct{}

func (full) Write([]byte) (int, error) { return 0, errors.New("disk full") }

func TestAFailedWriteIsRemembered(t *testing.T) {
	w := &checkedWriter{w: full{}}
	fmt.Fprintln(w, "one")
	w.w = io.Discard
	if n, err := fmt.Fprintln(w, "two"); n != 0 || err == nil || w.err == nil {
		t.Errorf("%d, %v, %v", n, err, w.err)
	}
}

func TestFlags(t *testing.T) {
	var out strings.Builder
	line := func() *Flags {
		f := New("name", "Usage: name\n\n", &out)
		f.Int("n", 3, "how `many`")
		return f
	}
	f := line()
	if err := f.Parse([]string{"-n", "4", "file"}, 1); err != nil || !f.Given()["n"] || f.Arg(0) != "file" {
		t.Error(err, f.Given(), f.Args())
	}
	for _, args := range [][]string{{"-m"}, {"-n", "x"}, {"a"}} {
		if err := line().Parse(args, 0); !errors.As(err, new(UsageError)) {
			t.Errorf("%v: %v", args, err)
		}
	}
	if err := line().Parse([]string{"-h"}, 0); !errors.Is(err, flag.ErrHelp) || !strings.Contains(out.String(), "Usage: name") || !strings.Contains(out.String(), "how many") {
		t.Error(err, out.String())
	}
}

func TestParagraph(t *testing.T) {
	var b strings.Builder
	Paragraph(&b, "Note: ", "dark mills and bright tips against the sky", 20, 6)
	if want := "Note: dark mills and\n      bright tips\n      against the\n      sky\n"; b.String() != want {
		t.Errorf("%q, want %q", b.String(), want)
	}
}

func TestLight(t *testing.T) {
	for _, c := range []struct{ name, called string }{{"d55", "D55"}, {"A", "A"}, {"7500K", "7500 K"}} {
		if _, called, err := Light(c.name); err != nil || called != c.called {
			t.Errorf("%s: %q, %v", c.name, called, err)
		}
	}
	if _, _, err := Light("noon"); err == nil || !strings.Contains(err.Error(), "noon") {
		t.Error(err)
	}
}
