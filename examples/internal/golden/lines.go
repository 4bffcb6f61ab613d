package golden

import (
	"bytes"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"example.org/actinic/internal/held"
)

// Lines runs a program with many command lines, and holds what it says and writes, or refuses, to the test's record
// of package held: sentences by their kinds and numbers by sums. IN and OUT among the arguments are as for [Refuses].
func Lines(t *testing.T, name string, run func(args []string, stdout, stderr io.Writer) error, files map[string]string, lines ...string) {
	t.Helper()
	in := folder(t, files)
	said := held.New(t)
	for i, line := range lines {
		one := strings.TrimSpace(fmt.Sprintf("%s %02d", name, i+1))
		said.Values(one, "$ "+line)
		said.Look(one, strings.Split(tell(t, run, in, line), "\n"))
	}
	tidy(t)
}

// Variants runs a program with a table that has one cell changed in each run (see [held.Variants]), every
// so many-th of the variants, and holds what it says as [Lines] does. The table is IN/table.csv in the line.
func Variants(t *testing.T, name string, run func(args []string, stdout, stderr io.Writer) error, table string, every int, line string) {
	t.Helper()
	var told []string
	for i, v := range held.Variants(table) {
		if i%every > 0 {
			continue
		}
		in := folder(t, map[string]string{"table.csv": string(v.([]byte))})
		told = append(told, strings.Split(tell(t, run, in, line), "\n")...)
	}
	held.New(t).Look(name, told)
	tidy(t)
}

// Home runs a program from an empty folder, with no word of where its output goes, and holds what it says and the names of
// what it writes there to the test's record of package held.
func Home(t *testing.T, run func(args []string, stdout, stderr io.Writer) error, line string) {
	t.Helper()
	said := held.New(t)
	here, err := os.Getwd()
	if err != nil {
		t.Fatal(err)
	}
	home := t.TempDir()
	if err := os.Chdir(home); err != nil {
		t.Fatal(err)
	}
	var stdout, stderr bytes.Buffer
	err = run(strings.Fields(line), &stdout, &stderr)
	if err := os.Chdir(here); err != nil {
		t.Fatal(err)
	}
	var names []string
	if err := filepath.WalkDir(home, func(name string, d fs.DirEntry, err error) error {
		if err == nil && !d.IsDir() {
			names = append(names, strings.TrimPrefix(filepath.ToSlash(name), filepath.ToSlash(home)))
		}
		return err
	}); err != nil {
		t.Fatal(err)
	}
	said.Values("$ "+line, stdout.String(), stderr.String(), names, err)
}

func folder(t *testing.T, files map[string]string) string {
	t.Helper()
	in := t.TempDir()
	for name, content := range files {
		name = filepath.Join(in, filepath.FromSlash(name))
		if err := os.MkdirAll(filepath.Dir(name), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(name, []byte(content), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	return in
}

// tell is all that a program says and writes.
func tell(t *testing.T, run func(args []string, stdout, stderr io.Writer) error, in, line string) string {
	t.Helper()
	out := filepath.Join(t.TempDir(), "out")
	args := strings.Fields(line)
	for i, a := range args {
		args[i] = strings.ReplaceAll(strings.ReplaceAll(a, "IN", in), "OUT", out)
	}
	var stdout, stderr bytes.Buffer
	if err := run(args, &stdout, &stderr); err != nil {
		fmt.Fprintf(&stderr, "error: %v\n", err)
	}
	folders := strings.NewReplacer(in, "IN", out, "OUT")
	return folders.Replace(stdout.String()+stderr.String()) + written(t, out, folders)
}
