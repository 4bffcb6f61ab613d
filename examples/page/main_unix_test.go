//go:build unix

package main

import (
	"bytes"
	"compress/gzip"
	"encoding/base64"
	"errors"
	"fmt"
	"io"
	"net"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"example.org/actinic"
	"example.org/actinic/examples/internal/golden"
	"example.org/actinic/internal/held"
	"example.org/actinic/internal/wholedir"
)

// goCommand puts a go command of the test's first on the path: it has a root, and builds what it is told to
// into small files.
func goCommand(t *testing.T) (root string) {
	t.Helper()
	root, bin := t.TempDir(), t.TempDir()
	script := `#!/bin/sh
case "$1" in
env) [ "$2" = GOROOT ] || exit 3; echo "` + root + `" ;;
build)
	[ "$GOOS/$GOARCH" = js/wasm ] || { echo "for $GOOS/$GOARCH"; exit 3; }
	[ -f main.go ] || { echo "not in the program's folder"; exit 3; }
	case "$8" in */engines/rolls|*/engines/tables) ;; *) echo "no engine $8"; exit 3 ;; esac
	echo "engine $8 $2 $3 $4 $5" > "$7" ;;
esac
`
	if err := os.WriteFile(filepath.Join(bin, "go"), []byte(script), 0o755); err != nil {
		t.Fatal(err)
	}
	t.Setenv("PATH", bin+":"+os.Getenv("PATH"))
	put(t, filepath.Join(root, "lib", "wasm", "wasm_exec.js"), "support of the language\n")
	return root
}

func put(t *testing.T, name, content string) {
	t.Helper()
	if err := os.MkdirAll(filepath.Dir(name), 0o755); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(name, []byte(content), 0o644); err != nil {
		t.Fatal(err)
	}
}

// What is said, refused and written is what it was, by a go command that builds small engines.
func TestPrints(t *testing.T) {
	goCommand(t)
	golden.Refuses(t, run, map[string]string{"other/note.txt": "mine"}, "-out FILE/x", "-out IN/other", "more", "-nothing",
		"-out OUT/x -serve")
	golden.Run(t, "help", run, "-h")
	dir := filepath.Join(t.TempDir(), "page")
	var out strings.Builder
	if err := run([]string{"-out", dir + "/"}, &out, io.Discard); err != nil { // a bar at the end is no part of the name
		t.Fatal(err)
	}
	size := func(name string) string {
		content, err := os.ReadFile(filepath.Join(dir, name))
		if err != nil {
			t.Fatal(err)
		}
		return fmt.Sprintf("%d bytes with gzip (%d on the disk)", len(packed(content)), len(content))
	}
	want := "Building the engines; the first time takes a minute.\nPage: " + dir + "/index.html\nLibrary " + actinic.Version +
		", engine for rolls " + size("rolls.js") + ", engine for tables " + size("tables.js") + ".\n"
	if out.String() != want {
		t.Errorf("%q, want %q", out.String(), want)
	}
}

// An address that cannot be is an error, after the page was written; a listener that fails ends the serving.
func TestServing(t *testing.T) {
	goCommand(t)
	dir := filepath.Join(t.TempDir(), "page")
	if err := run([]string{"-out", dir, "-serve", "localhost:none"}, io.Discard, io.Discard); err == nil {
		t.Fatal("served at a port that is no number")
	}
	listener, err := net.Listen("tcp", "localhost:0")
	if err != nil {
		t.Skip(err)
	}
	var said bytes.Buffer
	ended := make(chan error)
	go func() { ended <- serving(listener, dir, &said) }()
	answer, err := http.Get("http://" + listener.Addr().String() + "/sample.js")
	if err != nil {
		t.Fatal(err)
	}
	got, err := io.ReadAll(answer.Body)
	answer.Body.Close()
	if want := sample("x"); err != nil || !strings.HasPrefix(string(got), string(want[:100])) {
		t.Errorf("%.100s, %v", got, err)
	}
	listener.Close()
	if err := <-ended; !errors.Is(err, net.ErrClosed) {
		t.Errorf("a listener that is closed: %v", err)
	}
	if want := "Serving http://" + listener.Addr().String() + "\n"; said.String() != want {
		t.Errorf("%q, want %q", &said, want)
	}
}

// The page has all its files, whole: the site's, the support, the engines as they were built.
func TestFiles(t *testing.T) {
	goCommand(t)
	files, about, err := build()
	if err != nil {
		t.Fatal(err)
	}
	if len(files) != 7 || string(files["wasm_exec.js"]) != "support of the language\n" {
		t.Errorf("%d files, support %q", len(files), files["wasm_exec.js"])
	}
	for name, content := range files {
		if !ours(name) || len(content) == 0 {
			t.Errorf("%s: ours %v, %d bytes", name, ours(name), len(content))
		}
	}
	if ours("note.txt") || ours("sub/index.html") {
		t.Error("another's file is ours")
	}
	for _, e := range engines {
		script, found := strings.CutPrefix(string(files[e+".js"]), "window.engine_"+e+` = "`)
		packed, err := base64.StdEncoding.DecodeString(strings.TrimSuffix(script, "\";\n"))
		if err != nil || !found {
			t.Fatalf("%s: %q, %v", e, files[e+".js"], err)
		}
		r, err := gzip.NewReader(bytes.NewReader(packed))
		if err != nil {
			t.Fatal(err)
		}
		code, err := io.ReadAll(r)
		if want := "engine example.org/actinic/examples/page/engines/" + e + " -trimpath -buildvcs=false -ldflags=-s -w -gcflags=all=-l\n"; err != nil || string(code) != want {
			t.Errorf("%s: %q, want %q, %v", e, code, want, err)
		}
	}
	if want := []byte("const about = \"" + strings.ReplaceAll(about, `"`, `\"`) + "\";\n"); !bytes.HasSuffix(files["sample.js"], want) {
		t.Errorf("sample.js ends %q, want %q", files["sample.js"][len(files["sample.js"])-len(want):], want)
	}
}

// What is missing to build a page is said, and nothing is written.
func TestWhatIsMissing(t *testing.T) {
	said := held.New(t)
	root := goCommand(t)
	dir := filepath.Join(t.TempDir(), "page")
	tried := func(name string) {
		t.Helper()
		if err := run([]string{"-out", dir}, io.Discard, io.Discard); !said.Refused(name, err) || errors.Is(err, wholedir.ErrOther) {
			t.Errorf("%s: %v", name, err)
		}
		if _, err := os.Lstat(dir); err == nil {
			t.Errorf("%s: something is written", name)
		}
	}
	script := filepath.Join(root, "lib", "wasm", "wasm_exec.js")
	if err := os.Remove(script); err != nil {
		t.Fatal(err)
	}
	put(t, filepath.Join(root, "misc", "wasm", "wasm_exec.js"), "where it was\n") // in older releases
	if text, err := support(); err != nil || string(text) != "where it was\n" {
		t.Errorf("%q, %v", text, err)
	}
	if err := os.RemoveAll(filepath.Join(root, "misc")); err != nil {
		t.Fatal(err)
	}
	tried("no support for browsers")
	if err := os.Mkdir(script, 0o755); err != nil {
		t.Fatal(err)
	}
	_, err := support()
	said.Refused("support that cannot be read", err)
	if err := os.Remove(script); err != nil {
		t.Fatal(err)
	}
	put(t, script, "support\n")
	_, err = compile("nothing")
	said.Refused("no such engine", err)
	t.Setenv("TMPDIR", filepath.Join(root, "nowhere"))
	_, err = compile("rolls")
	if err == nil {
		t.Error("compiled nowhere")
	}
	tried("nowhere to build")
	t.Setenv("PATH", t.TempDir())
	tried("no go command")
}
