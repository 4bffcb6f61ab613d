// Command page makes a page that needs no Go: the library in a browser. Files of a test, a
// printed table or a film package are dropped on it, and nothing leaves the browser. It is
// also the example of embedding the library where a program cannot be installed.
package main

import (
	"bytes"
	"compress/gzip"
	"embed"
	"encoding/base64"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"net"
	"net/http"
	"os"
	"os/exec"
	"path"
	"path/filepath"
	"runtime"
	"slices"
	"strings"

	"example.org/actinic"
	"example.org/actinic/examples/internal/command"
	"example.org/actinic/examples/testroll/quarry"
)

const usage = `Usage: page [-out DIR] [-serve ADDRESS]

Builds the library for the browser and writes a page to a folder: open index.html in it.
Whoever has the folder drops the files of a test (test.json, strips.csv, bracket.csv), a
printed table (corrections for long exposures, development times, filter factors; CSV,
Markdown, LaTeX, HTML) or the folder of a film package on it, and reads the answer.
Nothing leaves the browser, the page asks the net for nothing, and it works from a folder,
from a stick, or from any server of files.

It needs the go command, which builds the two engines: one for tests and packages, one
for printed tables; each is loaded when it is needed.

Example:
  go run ./examples/page -out mypage -serve localhost:8000

Options:
`

//go:embed site
var site embed.FS

func main() { command.Main("page", run) }

func run(args []string, stdout, _ io.Writer) error {
	flags := command.New("page", usage, stdout)
	out := flags.String("out", "out/page", "`directory` for the page")
	serve := flags.String("serve", "", "`address` to serve the page at when it is made, such as localhost:8000")
	if err := flags.Parse(args, 0); err != nil {
		return err
	}
	fmt.Fprintln(stdout, "Building the engines; the first time takes a minute.")
	files, sizes, err := build()
	if err != nil {
		return err
	}
	where := strings.TrimSuffix(*out, "/")
	if err := command.WriteFolder(where, ours, files); err != nil {
		return fmt.Errorf("writing the page: %w", err)
	}
	fmt.Fprintf(stdout, "Page: %s/index.html\n%s\n", where, sizes)
	if *serve == "" {
		return nil
	}
	listener, err := net.Listen("tcp", *serve)
	if err != nil {
		return err
	}
	return serving(listener, where, stdout)
}

// serving serves a folder until the listener fails.
func serving(listener net.Listener, where string, stdout io.Writer) error {
	fmt.Fprintf(stdout, "Serving http://%s\n", listener.Addr())
	return http.Serve(listener, http.FileServer(http.Dir(where)))
}

// engines are the programs of the page.
var engines = []string{"rolls", "tables"}

// ours reports whether a file is one of a page; a folder with any other is left.
func ours(name string) bool {
	return slices.Contains([]string{"index.html", "page.css", "page.js", "sample.js", "rolls.js", "tables.js", "wasm_exec.js"}, name)
}

// build makes all files of the page, and says what a browser loads.
func build() (files map[string][]byte, sizes string, err error) {
	files = embedded(site, "site")
	if files["wasm_exec.js"], err = support(); err != nil {
		return nil, "", err
	}
	said := []string{}
	for _, e := range engines {
		code, err := compile(e)
		if err != nil {
			return nil, "", err
		}
		script := fmt.Appendf(nil, "window.engine_%s = %q;\n", e, base64.StdEncoding.EncodeToString(packed(code)))
		files[e+".js"] = script
		said = append(said, fmt.Sprintf("engine for %s %d bytes with gzip (%d on the disk)", e, len(packed(script)), len(script)))
	}
	about := "Library " + actinic.Version + ", " + strings.Join(said, ", ") + "."
	files["sample.js"] = sample(about)
	return files, about, nil
}

// embedded are the files of a folder that was compiled in, so that there is nothing to fail.
func embedded(fsys fs.FS, dir string) map[string][]byte {
	files := map[string][]byte{}
	entries, _ := fs.ReadDir(fsys, dir)
	for _, e := range entries {
		files[e.Name()], _ = fs.ReadFile(fsys, path.Join(dir, e.Name()))
	}
	return files
}

// sample is the invented test roll that the page shows without files, and what it says of
// itself.
func sample(about string) []byte {
	test := map[string]string{}
	for name, content := range embedded(quarry.Files, ".") {
		test[name] = string(content)
	}
	text, _ := json.Marshal(test) // texts always can be
	said, _ := json.Marshal(about)
	return fmt.Appendf(nil, "const sample = %s;\nconst about = %s;\n", text, said)
}

// support finds what the language ships for programs in a browser.
func support() ([]byte, error) {
	root, err := exec.Command("go", "env", "GOROOT").Output()
	if err != nil {
		return nil, fmt.Errorf("the go command is needed: %w", err)
	}
	for _, below := range []string{"lib/wasm", "misc/wasm"} {
		text, err := os.ReadFile(filepath.Join(strings.TrimSpace(string(root)), filepath.FromSlash(below), "wasm_exec.js"))
		if err == nil {
			return text, nil
		}
		if !errors.Is(err, fs.ErrNotExist) {
			return nil, err
		}
	}
	return nil, errors.New("wasm_exec.js is not where the go command has it")
}

// compile builds an engine. Nothing is inlined: that is a tenth less to load, and a roll
// takes a tenth longer.
func compile(engine string) ([]byte, error) {
	dir, err := os.MkdirTemp("", "page")
	if err != nil {
		return nil, err
	}
	defer os.RemoveAll(dir)
	to := filepath.Join(dir, engine+".wasm")
	build := exec.Command("go", "build", "-trimpath", "-buildvcs=false", "-ldflags=-s -w", "-gcflags=all=-l", "-o", to, "example.org/actinic/examples/page/engines/"+engine)
	build.Env = append(os.Environ(), "GOOS=js", "GOARCH=wasm")
	if _, here, _, ok := runtime.Caller(0); ok { // in a checkout from anywhere, in a module of one's own from there
		if _, err := os.Stat(here); err == nil {
			build.Dir = filepath.Dir(here)
		}
	}
	if said, err := build.CombinedOutput(); err != nil {
		return nil, fmt.Errorf("building the engine: %w: %s", err, said)
	}
	return os.ReadFile(to)
}

// packed is a file as a server sends it. In memory nothing can fail.
func packed(content []byte) []byte {
	var b bytes.Buffer
	w, _ := gzip.NewWriterLevel(&b, gzip.BestCompression)
	w.Write(content)
	w.Close()
	return b.Bytes()
}
