package command

import (
	"bytes"
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"testing/fstest"

	"example.org/actinic/internal/held"
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
	if n, err := fmt.Fprintln(w, "one"); n != 0 || err == nil {
		t.Errorf("%d, %v", n, err)
	}
	w.w = io.Discard
	if n, err := fmt.Fprintln(w, "two"); n != 0 || err == nil || w.err == nil {
		t.Errorf("%d, %v, %v", n, err, w.err)
	}
}

func TestFlags(t *testing.T) {
	said := held.New(t)
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
	if err := line().Parse([]string{"-h"}, 0); !said.Is("", err, flag.ErrHelp) || !strings.Contains(out.String(), "Usage: name") || !strings.Contains(out.String(), "how many") {
		t.Error(err, out.String())
	}
}

func TestParagraph(t *testing.T) {
	var b strings.Builder
	Paragraph(&b, "Note: ", "dark mills and bright tips against the sky", 20, 6)
	if want := "Note: dark mills and\n      bright tips\n      against the\n      sky\n"; b.String() != want {
		t.Errorf("%q, want %q", b.String(), want)
	}
	for sentence, want := range map[string]string{
		"": "ä: \n", "eighty": "ä: eighty\n", "abc éfg": "ä: abc éfg\n", "abc éfgh": "ä: abc\n    éfgh\n", "abcdefghijkl mn": "ä: abcdefghijkl\n    mn\n",
		"a b\n c  d ": "ä: a b c d\n",
	} {
		b.Reset()
		if Paragraph(&b, "ä: ", sentence, 10, 4); b.String() != want {
			t.Errorf("%q: %q, want %q", sentence, b.String(), want)
		}
	}
}

func TestLight(t *testing.T) {
	said := held.New(t)
	for _, c := range []struct{ name, called string }{{"d55", "D55"}, {"A", "A"}, {"7500K", "7500 K"}} {
		if _, called, err := Light(c.name); err != nil || called != c.called {
			t.Errorf("%s: %q, %v", c.name, called, err)
		}
	}
	if _, _, err := Light("noon"); !said.Refused("", err) || !strings.Contains(err.Error(), "noon") {
		t.Error(err)
	}
}

// No name from a file commands a terminal: what is printed has no control characters but
// line feeds and tabs.
func TestNothingCommandsTheTerminal(t *testing.T) {
	said := held.New(t)
	var b bytes.Buffer
	fmt.Fprint(plainWriter{&b}, "\x1b[31mred\x1b]0;title\x07\ttab\nä\u009b\n")
	if got, want := b.String(), `\u001b[31mred\u001b]0;title\u0007`+"\ttab\nä"+`\u009b`+"\n"; got != want {
		t.Errorf("%q, want %q", got, want)
	}
	if n, err := (plainWriter{full{}}).Write([]byte("x")); !said.Refused("", err) || n != 0 {
		t.Errorf("a failed write is lost, or %d bytes of it are said to be written", n)
	}
}

// An output names the library and the hashes of its inputs.
func TestMade(t *testing.T) {
	said := held.New(t)
	m, err := MadeOf(fstest.MapFS{"a.csv": {Data: []byte("abc")}}, "a.csv", "absent.csv")
	if err != nil {
		t.Fatal(err)
	}
	// SHA-256 of "abc": FIPS 180-2, appendix B.1.
	const abc = "sha256:ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
	if len(m.Inputs) != 1 || m.Inputs["a.csv"] != abc || m.Version == "" {
		t.Errorf("%+v", m)
	}
	for v, want := range map[any]string{struct {
		A int `json:"a"`
	}{1}: `{"a":1,"made":{"library":`, struct{}{}: `{"made":{"library":`} {
		text, err := m.With(v)
		var c bytes.Buffer
		if err != nil || json.Compact(&c, text) != nil || !strings.HasPrefix(c.String(), want) {
			t.Errorf("%s, %v", text, err)
		}
	}
	if _, err := m.With(5); !said.Refused("", err) {
		t.Error("a number has a member")
	}
}

// A report is as good as the package in it.
func TestPackage(t *testing.T) {
	dir := t.TempDir()
	inner := filepath.Join(dir, "report", "package")
	if err := os.MkdirAll(inner, 0o755); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(inner, "datapackage.json"), []byte("{}"), 0o644); err != nil {
		t.Fatal(err)
	}
	for _, name := range []string{inner, filepath.Dir(inner)} {
		folder, closed, err := Package(name)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := fs.Stat(folder, "datapackage.json"); err != nil {
			t.Errorf("%s: %v", name, err)
		}
		closed()
	}
	if _, _, err := Package(filepath.Join(dir, "absent")); !errors.Is(err, fs.ErrNotExist) {
		t.Error(err)
	}
}
