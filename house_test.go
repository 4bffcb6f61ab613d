package actinic

import (
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"os/exec"
	"path"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
)

const module = "example.org/actinic"

// floor gives the height of a folder: imports point only to lower floors, and no
// two folders of one floor know each other, save a part its parent. datafile reads
// tables and knows no film, so it lies below all that have tables to read; so do the
// layouts and forms of printed ones.
func floor(dir string) int {
	switch dir {
	case "sensito/datafile", "sensito/provenance":
		return 1
	case "sensito/printed/layout", "sensito/printed/forms":
		return 2
	case "internal/datapackage": // what reads and writes such tables, for the root
		return 4
	}
	switch top, _, _ := strings.Cut(dir, "/"); top {
	case "internal", "testdata":
		return 0
	case "sensito", "spectral":
		return 3
	case "filters", "reciprocity", "devtime":
		return 4
	case ".":
		return 5
	case "examples":
		return examplesFloor
	}
	return -1
}

const examplesFloor = 6

// May a file in folder from import folder to?
func allowed(from, to string) bool {
	a, b := floor(from), floor(to)
	switch {
	case a < 0 || b < 0:
		return false
	case from == to:
		return true // a test of the package seen from outside
	case a == b && strings.HasPrefix(from, to+"/"):
		return true // a part of a subject builds on it, and not the other way
	case strings.HasPrefix(to, from+"/") && strings.HasSuffix(to, "test"):
		return true // what only its tests use
	case a == 0 || a == examplesFloor: // helpers use helpers, examples their own parts
		return b <= a
	}
	return b < a
}

func TestImportsPointDownwards(t *testing.T) {
	files := 0
	err := filepath.WalkDir(".", func(name string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		if d.IsDir() && (strings.HasPrefix(d.Name(), ".") && name != "." || d.Name() == "testdata" || name == "out") {
			return filepath.SkipDir
		}
		if !strings.HasSuffix(name, ".go") {
			return nil
		}
		files++
		f, err := parser.ParseFile(token.NewFileSet(), name, nil, parser.ImportsOnly)
		if err != nil {
			return err
		}
		from := path.Dir(filepath.ToSlash(name))
		if floor(from) < 0 {
			t.Errorf("%s: no floor for this folder; give it one here or move the file", name)
		}
		for _, spec := range f.Imports {
			imp, err := strconv.Unquote(spec.Path.Value)
			if err != nil {
				return err
			}
			to, ours := strings.CutPrefix(imp, module)
			switch {
			case ours && (to == "" || to[0] == '/'):
				if to = strings.TrimPrefix(to, "/"); to == "" {
					to = "."
				}
				if !allowed(from, to) {
					t.Errorf("%s imports %s: imports point only downwards", name, imp)
				}
			case strings.HasPrefix(imp, "gonum.org/v1/plot") && floor(from) != examplesFloor:
				t.Errorf("%s imports %s: plotting belongs to examples", name, imp)
			case strings.HasPrefix(imp, "golang.org/x/image") && from != "sensito/scan":
				t.Errorf("%s imports %s: pictures are read by sensito/scan", name, imp)
			}
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	if files < 10 {
		t.Fatalf("only %d files seen", files)
	}
}

func TestFloors(t *testing.T) {
	for _, c := range []struct {
		from, to string
		want     bool
	}{
		{".", "sensito", true}, {"devtime", "sensito", true}, {"filters", "spectral", true}, {"sensito", "internal/lsq", true},
		{"examples/testroll", ".", true}, {"examples/testroll", "examples/testroll/quarry", true}, {"internal/lsq", "internal/root", true},
		{"sensito/exposure", "sensito", true}, {"sensito", "sensito/exposure", false}, {".", "sensito/exposure", true},
		{"spectral", "sensito/datafile", true}, {"sensito", "sensito/datafile", true}, {"sensito/datafile", "sensito", false}, {"internal/figures", "sensito/datafile", false},
		{"sensito/structure", "sensito", true}, {"sensito/structure/view", "sensito/structure", true}, {"sensito/structure", "sensito/scan", false}, {"sensito/structure", "sensito/structure/view", false},
		{"sensito/exposure/camera", "sensito/exposure", true}, {"sensito/exposure/camera", "sensito", true}, {"sensito/exposure", "sensito/exposure/camera", false},
		{"sensito/printed", "sensito/exposure", false}, {"devtime/timetable", "sensito/printed", true}, {"devtime/roll", "devtime", true}, {"devtime/roll", "devtime/timetable", false},
		{"devtime/roll", "filters", false}, {"reciprocity/corrections", "devtime/timetable", false},
		{"internal/datapackage", "internal/jsonplace", true}, {"devtime/roll", "internal/jsonplace", true}, {"internal/jsonplace", "sensito/datafile", false},
		{"sensito/datafile", "internal/rooted", true}, {"sensito", "spectral", false}, {"devtime", "reciprocity", false}, {"sensito", ".", false}, {"internal/lsq", "sensito", false},
		{"sensito", "devtime", false}, {"examples/tablecheck", "testdata/tables", true}, {"testdata/tables", "sensito", false}, {".", "examples/testroll", false}, {".", "util", false},
	} {
		if got := allowed(c.from, c.to); got != c.want {
			t.Errorf("%s importing %s: %v, want %v", c.from, c.to, got, c.want)
		}
	}
}

// An importer of a law's folder compiles neither the root nor any plotting, and
// one of the root no plotting.
func TestWhatAnImporterCompiles(t *testing.T) {
	out, err := exec.Command("go", "list", "-deps", "-f", "{{if .DepOnly}}{{else}}{{.ImportPath}}: {{join .Deps \" \"}}{{end}}", "./...").CombinedOutput()
	if err != nil {
		t.Fatalf("go list: %v\n%s", err, out)
	}
	seen := 0
	for _, line := range strings.Split(string(out), "\n") {
		pkg, deps, ok := strings.Cut(line, ": ")
		if !ok || strings.HasPrefix(pkg, module+"/examples") || strings.HasPrefix(pkg, module+"/internal") {
			continue
		}
		seen++
		for _, d := range strings.Fields(deps) {
			if strings.HasPrefix(d, "gonum.org/v1/plot") {
				t.Errorf("%s compiles %s", pkg, d)
			}
			if strings.HasPrefix(d, "golang.org/x/image") && pkg != module+"/sensito/scan" {
				t.Errorf("%s compiles %s, which only sensito/scan needs", pkg, d)
			}
			if d == module {
				t.Errorf("%s compiles the root", pkg)
			}
		}
	}
	if seen < 3 {
		t.Fatalf("only %d packages seen in:\n%s", seen, out)
	}
}

// The README shows the lines of the script that goes the whole way, as they are run.
func TestReadmeShowsTheWay(t *testing.T) {
	script, err := os.ReadFile("examples/way.sh")
	if err != nil {
		t.Fatal(err)
	}
	readme, err := os.ReadFile("README.md")
	if err != nil {
		t.Fatal(err)
	}
	lines := 0
	for line := range strings.Lines(string(script)) {
		if !strings.HasPrefix(line, "go run ") {
			continue
		}
		lines++
		line = regexp.MustCompile(`"\$way(/[a-z.]+)?"`).ReplaceAllString(line, "way$1")
		if !strings.Contains(string(readme), line) {
			t.Errorf("README lacks the line %s", line)
		}
	}
	if lines != 8 {
		t.Errorf("the way has %d lines, want 8", lines)
	}
}
