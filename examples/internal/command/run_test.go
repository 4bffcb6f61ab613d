package command

import (
	"errors"
	"flag"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"runtime/debug"
	"strings"
	"testing"

	"example.org/actinic"
)

// A program ends as it says it does, and as its output does: what could not be printed is an error of a program that has
// none besides, of help too.
func TestRun(t *testing.T) {
	for name, c := range map[string]struct {
		err    error
		stdout io.Writer
		status int
		said   string
	}{
		"well":             {nil, io.Discard, 0, ""},
		"help":             {flag.ErrHelp, io.Discard, 0, ""},
		"no room":          {nil, full{}, 1, "name: disk full\n"},
		"no room for help": {flag.ErrHelp, full{}, 1, "name: disk full\n"},
		"findings":         {ErrFindings, full{}, 1, ""},
		"bad":              {errors.New("bad\x1b"), full{}, 1, "name: bad\\u001b\n"},
		"usage":            {Usagef("no -x"), full{}, 2, "name: no -x (-h explains)\n"},
	} {
		var stderr strings.Builder
		got := Run("name", func(args []string, stdout, stderr io.Writer) error {
			if len(args) != 1 || args[0] != "arg" {
				t.Errorf("%s: %q", name, args)
			}
			fmt.Fprintln(stdout, "a line")
			return c.err
		}, []string{"arg"}, c.stdout, &stderr)
		if got != c.status || stderr.String() != c.said {
			t.Errorf("%s: %d %q, want %d %q", name, got, stderr.String(), c.status, c.said)
		}
	}
}

// A folder is written whole or not at all.
func TestWriteFolder(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "new")
	if err := WriteFolder(dir, nil, map[string][]byte{"a": []byte("1"), "b": []byte("2")}); err != nil {
		t.Fatal(err)
	}
	for name, want := range map[string]string{"a": "1", "b": "2"} {
		if got, err := os.ReadFile(filepath.Join(dir, name)); err != nil || string(got) != want {
			t.Errorf("%s: %q, %v", name, got, err)
		}
	}
	if err := WriteFolder(dir, nil, nil); !errors.Is(err, fs.ErrExist) {
		t.Errorf("written over: %v", err)
	}
	other := filepath.Join(t.TempDir(), "other")
	if err := WriteFolder(other, nil, map[string][]byte{"a": nil, "no/b": nil}); !errors.Is(err, fs.ErrNotExist) {
		t.Errorf("a file in a folder that is not there: %v", err)
	}
	if _, err := os.Stat(other); err == nil {
		t.Error("half a folder")
	}
}

// What a test has fail when it is opened, fails; files that are not there fail by themselves.
func TestOpening(t *testing.T) {
	dir := t.TempDir()
	if err := os.WriteFile(filepath.Join(dir, "a"), []byte("1"), 0o644); err != nil {
		t.Fatal(err)
	}
	var opened []string
	bad := errors.New("a fault")
	failing := ""
	was := Opening
	defer func() { Opening = was }()
	Opening = func(name string) error {
		rel, err := filepath.Rel(dir, name)
		if err != nil {
			t.Error(err)
		}
		if opened = append(opened, rel); rel == failing {
			return bad
		}
		return nil
	}
	folder, closed, err := Folder(dir)
	if err != nil {
		t.Fatal(err)
	}
	defer closed()
	for _, failing = range []string{"", "a"} {
		want := error(nil)
		if failing != "" {
			want = bad
		}
		if _, err := fs.ReadFile(folder, "a"); !errors.Is(err, want) {
			t.Errorf("in the folder: %v, want %v", err, want)
		}
		if _, err := ReadFile(filepath.Join(dir, "a")); !errors.Is(err, want) {
			t.Errorf("by its name: %v, want %v", err, want)
		}
	}
	failing = "."
	if _, _, err := Folder(dir); !errors.Is(err, bad) {
		t.Errorf("the folder: %v", err)
	}
	if _, err := fs.ReadDir(folder, "."); err != nil {
		t.Errorf("its names: %v", err)
	}
	if _, err := fs.ReadFile(folder, "b"); !errors.Is(err, fs.ErrNotExist) {
		t.Error(err)
	}
	if _, err := Open(filepath.Join(dir, "b")); !errors.Is(err, fs.ErrNotExist) {
		t.Error(err)
	}
	if got := strings.Join(opened, " "); got != ". a a a a ." {
		t.Errorf("asked about %s", got)
	}
}

// A build in a checkout has its commit, and says where that was changed since.
func TestVersion(t *testing.T) {
	set := func(of ...string) (s []debug.BuildSetting) {
		for i := 0; i < len(of); i += 2 {
			s = append(s, debug.BuildSetting{Key: of[i], Value: of[i+1]})
		}
		return s
	}
	for _, c := range []struct {
		settings []debug.BuildSetting
		want     string
	}{
		{nil, ""}, {set("vcs", "git", "vcs.modified", "true"), ""}, {set("vcs.revision", "abc", "GOOS", "linux"), " abc"},
		{set("vcs.revision", "abc", "vcs.modified", "true"), " abc, changed"}, {set("vcs.revision", "abc", "vcs.modified", "false"), " abc"},
		{set("other", "true", "vcs.revision", "abc"), " abc"},
	} {
		if got := versionOf(c.settings); got != actinic.Version+c.want {
			t.Errorf("%v: %q, want %q after the version", c.settings, got, c.want)
		}
	}
	if !strings.HasPrefix(Version(), actinic.Version) {
		t.Error(Version())
	}
}
