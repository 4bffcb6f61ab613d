// Package golden holds what a program prints, its page and its pictures to what they were. The
// files are not edited to make a change pass: run the test with -update where a change
// is meant, and read the difference.
package golden

import (
	"bytes"
	"errors"
	"flag"
	"fmt"
	"hash/fnv"
	"io"
	"io/fs"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"

	"example.org/actinic/examples/internal/command"
	"example.org/actinic/internal/held"
	"example.org/actinic/internal/npy"
)

var update = flag.Bool("update-golden", false, "write what programs print anew")

// Run runs a program with its output in a folder of the test, and holds what it prints and
// what it writes there to testdata/NAME.golden. OUT among the arguments stands for the
// folder. Numbers may differ in the seventh digit, as they do between processors; a
// picture is known by its words and by sums of the numbers of its SVG, and so is a long file or one of a package.
func Run(t *testing.T, name string, run func(args []string, stdout, stderr io.Writer) error, args ...string) {
	t.Helper()
	out := filepath.Join(t.TempDir(), "out")
	for i := range args {
		args[i] = strings.ReplaceAll(args[i], "OUT", out)
	}
	var stdout, stderr bytes.Buffer
	if err := run(args, &stdout, &stderr); err != nil {
		fmt.Fprintf(&stderr, "error: %v\n", err)
	}
	got := stdout.String()
	if stderr.Len() > 0 {
		got += "--- standard error\n" + stderr.String()
	}
	got += written(t, out, strings.NewReplacer(out, "OUT"))
	compare(t, name, strings.ReplaceAll(got, out, "OUT"))
	tidy(t)
}

// tidy is an error where a program wrote to its own out, beside the test.
func tidy(t *testing.T) {
	t.Helper()
	if _, err := os.Stat("out"); err == nil {
		os.RemoveAll("out")
		t.Error("the program wrote to out; give it a place under OUT")
	}
}

// Refuses runs a program with command lines that it must refuse, and holds the statuses and
// what is said to testdata/refuses.golden. A line is its arguments between blanks; IN among them
// stands for a folder with the files, OUT for one that is not there, FILE/x for a
// place that cannot be. A refused line writes nothing.
func Refuses(t *testing.T, run func(args []string, stdout, stderr io.Writer) error, files map[string]string, lines ...string) {
	t.Helper()
	in := t.TempDir()
	files["FILE"] = "a file"
	for name, content := range files {
		name = filepath.Join(in, filepath.FromSlash(name))
		if err := os.MkdirAll(filepath.Dir(name), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(name, []byte(content), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	got := ""
	for _, line := range lines {
		out := filepath.Join(t.TempDir(), "out")
		args := strings.Fields(line)
		for i, a := range args {
			a = strings.ReplaceAll(a, "FILE/", filepath.Join(in, "FILE")+"/")
			args[i] = strings.ReplaceAll(strings.ReplaceAll(a, "IN", in), "OUT", out)
		}
		var stdout, stderr bytes.Buffer
		since := time.Now()
		err := run(args, &stdout, &stderr)
		if took := time.Since(since); took > time.Second/2 {
			t.Logf("%s: refused after %v", line, took)
		}
		if err == nil {
			t.Errorf("%s: it runs", line)
			continue
		}
		status := 1
		if errors.As(err, new(command.UsageError)) {
			status = 2
		}
		got += fmt.Sprintf("$ %s\n%s%s%d: %v\n", line, stdout.String(), stderr.String(), status, err)
		if _, err := os.Stat(out); err == nil {
			t.Errorf("%s: something is written", line)
		}
		got = strings.ReplaceAll(strings.ReplaceAll(got, in, "IN"), out, "OUT")
	}
	compare(t, "refuses", got)
	tidy(t)
}

// compare holds a text to testdata/NAME.golden.
func compare(t *testing.T, name, got string) {
	t.Helper()
	file := filepath.Join("testdata", name+".golden")
	if *update {
		if err := os.MkdirAll("testdata", 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(file, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	want, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	if where := held.Differ(string(want), got); where != "" {
		t.Errorf("%s: %s", file, where)
	}
}

// written tells what a program wrote: pages as their text, tables and texts whole, pictures
// by their numbers. Names of folders are replaced first.
func written(t *testing.T, dir string, folders *strings.Replacer) string {
	t.Helper()
	var b strings.Builder
	err := filepath.WalkDir(dir, func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		rel, err := filepath.Rel(dir, name)
		if err != nil {
			return err
		}
		content, err := os.ReadFile(name)
		if err != nil {
			return err
		}
		if filepath.Ext(name) != ".npy" {
			content = []byte(folders.Replace(string(content)))
		}
		switch filepath.Ext(name) {
		case ".html":
			fmt.Fprintf(&b, "--- %s\n%s\n", filepath.ToSlash(rel), text(content))
		case ".txt", ".csv", ".json", ".md":
			if len(content) < 20000 && !strings.Contains(filepath.ToSlash(rel), "package/") {
				fmt.Fprintf(&b, "--- %s\n%s", filepath.ToSlash(rel), content)
			} else {
				fmt.Fprintf(&b, "--- %s: %s\n", filepath.ToSlash(rel), digest(content))
			}
		case ".svg":
			fmt.Fprintf(&b, "--- %s: %s\n", filepath.ToSlash(rel), digest(content))
			for _, word := range words.FindAllSubmatch(content, -1) {
				if !tick.Match(word[1]) {
					fmt.Fprintf(&b, "%s\n", word[1])
				}
			}
		case ".npy":
			fmt.Fprintf(&b, "--- %s: %s\n", filepath.ToSlash(rel), array(t, content))
		default:
			fmt.Fprintf(&b, "--- %s\n", filepath.ToSlash(rel))
		}
		return nil
	})
	if err != nil && !os.IsNotExist(err) {
		t.Fatal(err)
	}
	return b.String()
}

// array tells of an array of float32 its shape, and sums of its numbers as [digest] does; what is no number counts as 9.
func array(t *testing.T, content []byte) string {
	t.Helper()
	r := bytes.NewReader(content)
	kind, shape, err := npy.ReadHeader(r)
	if err != nil || kind != npy.Float32 {
		t.Fatal(kind, err)
	}
	v := make([]float32, r.Len()/4)
	if err := npy.ReadFloats(r, v, make([]byte, r.Len())); err != nil {
		t.Fatal(err)
	}
	var b strings.Builder
	fmt.Fprintf(&b, "%d,", shape)
	step := max(50, len(v)/60)
	for at := 0; at < len(v); at += step {
		sum := 0.0
		for i, x := range v[at:min(at+step, len(v))] {
			if x != x {
				x = 9
			}
			sum += float64(x) * (1 + float64(i%7)/7)
		}
		fmt.Fprintf(&b, " %.5g", sum)
	}
	return b.String()
}

var (
	hashes = regexp.MustCompile(`[0-9a-f]{64}`)
	words  = regexp.MustCompile(`>([^<>\n]+)</text>`)
	tick   = regexp.MustCompile(`^[−0-9.]+$`)
	style  = regexp.MustCompile(`(?s)<style>.*?</style>`)
	alts   = regexp.MustCompile(`alt="([^"]*)"`)
	tags   = regexp.MustCompile(`(?s)<[^<>]*>`)
	blanks = regexp.MustCompile(`\s*\n\s*`)
)

// digest tells of a long file what its words are, by a hash, and its numbers, by sums of so many in turn: each
// number with a weight of its own.
func digest(content []byte) string {
	content = hashes.ReplaceAll(content, nil)
	words := fnv.New32a()
	words.Write(held.Numbers.ReplaceAll(content, []byte("#")))
	numbers := held.Numbers.FindAll(content, -1)
	step := max(50, len(numbers)/40)
	var b strings.Builder
	fmt.Fprintf(&b, "words %x, %d numbers,", words.Sum32(), len(numbers))
	for at := 0; at < len(numbers); at += step {
		sum := 0.0
		for i, s := range numbers[at:min(at+step, len(numbers))] {
			if v, err := strconv.ParseFloat(string(s), 64); err == nil {
				sum += math.Abs(v) * (1 + float64(i%7)/7)
			}
		}
		fmt.Fprintf(&b, " %.7g", sum)
	}
	return b.String()
}

// text is a page without its tags; alternative texts stay.
func text(page []byte) string {
	s := style.ReplaceAllString(string(page), "")
	s = alts.ReplaceAllString(s, `>[$1]<x `)
	s = tags.ReplaceAllString(s, "\n")
	return strings.TrimSpace(blanks.ReplaceAllString(s, "\n"))
}
