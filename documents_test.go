package actinic

import (
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
)

// A command that a page or a comment names.
type named struct {
	where string
	words []string
}

var (
	fences   = regexp.MustCompile("(?ms)^```[a-z]*\n(.*?)^```$")
	spans    = regexp.MustCompile("`([^`]+)`")
	bracket  = regexp.MustCompile(`\((go (?:test|run|doc) [^()]*)\)`)
	shell    = regexp.MustCompile(`'([^']*)'|"([^"]*)"|([^\s'"]+)`)
	links    = regexp.MustCompile(`\]\(([^)#:]+)\)`)
	timed    = regexp.MustCompile("\\(`([a-z/]+)` ([A-Z][A-Za-z]+)(?: -([a-z]+))?\\)")
	programs = regexp.MustCompile(`^go (test|run|doc) `)
)

// Every command that a page or a comment names can be given: its package is there, each test
// that it asks for, and each of its flags. Blocks are run as they stand by .ci/readme.
func TestCommandsInDocumentsExist(t *testing.T) {
	commands := namedCommands(t)
	if len(commands) < 60 {
		t.Fatalf("only %d commands found", len(commands))
	}
	for _, c := range commands {
		for _, why := range c.faults() {
			t.Errorf("%s: %s: %s", c.where, strings.Join(c.words, " "), why)
		}
	}
}

func TestFaultsOfCommands(t *testing.T) {
	for _, c := range []struct {
		command string
		faults  int
	}{
		{"go test -run TestRollStudy -v . -args -rolls 4000", 0}, {"go test -run TestNoSuch .", 1}, {"go test -run 'TestRollStudy|TestNoSuch' .", 1},
		{"go test . -args -no-such 3", 1}, {"go test ./nosuch", 1}, {"go run ./examples/spectra -films a,b -csv", 0},
		{"go run ./examples/spectra -no-such", 1}, {"go run ./examples/nosuch", 1}, {"go test -bench NoSuch ./filters", 1},
		{"go doc ./sensito Fit", 0}, {"go doc ./sensito NoSuch", 1}, {"go doc ./examples/nosuch", 1},
	} {
		if got := (named{"here", split(c.command)}).faults(); len(got) != c.faults {
			t.Errorf("%s: %q", c.command, got)
		}
	}
}

// Links of the pages lead to files, and the benchmarks that SPEED.md names are there.
func TestLinksOfDocuments(t *testing.T) {
	seen, benchmarks := 0, 0
	for _, page := range pages(t) {
		text, err := os.ReadFile(page)
		if err != nil {
			t.Fatal(err)
		}
		for _, m := range links.FindAllStringSubmatch(fences.ReplaceAllString(string(text), ""), -1) {
			seen++
			if _, err := os.Stat(filepath.Join(filepath.Dir(page), m[1])); err != nil {
				t.Errorf("%s: %v", page, err)
			}
		}
		for _, m := range timed.FindAllStringSubmatch(string(text), -1) {
			benchmarks++
			names, flags := declared(m[1])
			// Fit and the like name the whole or the beginning of a benchmark's name.
			if !slices.ContainsFunc(names, func(n string) bool { return strings.HasPrefix(n, "Benchmark"+m[2]) }) {
				t.Errorf("%s: %s has no benchmark of %s", page, m[1], m[2])
			}
			if m[3] != "" && !flags[m[3]] {
				t.Errorf("%s: %s has no flag -%s", page, m[1], m[3])
			}
		}
	}
	if seen < 8 || benchmarks < 10 {
		t.Fatalf("only %d links and %d benchmarks seen", seen, benchmarks)
	}
}

func pages(t *testing.T) []string {
	t.Helper()
	var out []string
	err := filepath.WalkDir(".", func(name string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		if d.IsDir() && strings.HasPrefix(d.Name(), ".") && name != "." || name == "out" {
			return filepath.SkipDir
		}
		if strings.HasSuffix(name, ".md") && name != "CHANGELOG.md" {
			out = append(out, name)
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	return out
}

// namedCommands are those of all pages, and of the comments of all code.
func namedCommands(t *testing.T) []named {
	t.Helper()
	var out []named
	add := func(where, text string) {
		if text = strings.Join(strings.Fields(text), " "); programs.MatchString(text) {
			out = append(out, named{where, split(text)})
		}
	}
	for _, page := range pages(t) {
		text, err := os.ReadFile(page)
		if err != nil {
			t.Fatal(err)
		}
		for _, m := range fences.FindAllStringSubmatch(string(text), -1) {
			for line := range strings.Lines(strings.ReplaceAll(m[1], "\\\n", " ")) {
				add(page, line)
			}
		}
		for _, m := range spans.FindAllStringSubmatch(fences.ReplaceAllString(string(text), ""), -1) {
			add(page, m[1])
		}
	}
	err := filepath.WalkDir(".", func(name string, d fs.DirEntry, err error) error {
		if err != nil || !strings.HasSuffix(name, ".go") || name == "documents_test.go" {
			return err
		}
		f, err := parser.ParseFile(token.NewFileSet(), name, nil, parser.ParseComments)
		if err != nil {
			return err
		}
		for _, g := range f.Comments {
			text := g.Text()
			for _, m := range bracket.FindAllStringSubmatch(text, -1) {
				add(name, m[1])
			}
			for line := range strings.Lines(text) {
				if strings.HasPrefix(line, "\tgo ") {
					add(name, line)
				}
			}
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	return out
}

// split cuts a line into words as a shell does where nothing is nested.
func split(line string) []string {
	var out []string
	for _, m := range shell.FindAllStringSubmatch(line, -1) {
		out = append(out, m[1]+m[2]+m[3])
	}
	return out
}

// ofGo are flags of go test itself.
var ofGo = []string{"run", "bench", "benchmem", "fuzz", "fuzztime", "fuzzminimizetime", "v", "short", "race", "shuffle", "timeout", "count", "args", "c", "exec"}

func (c named) faults() []string {
	var dirs, out []string
	var flags []string
	for i, w := range c.words[2:] {
		switch {
		case strings.HasPrefix(w, "-") && len(w) > 1 && !strings.ContainsAny(w[1:2], "0123456789"):
			name, _, _ := strings.Cut(w[1:], "=")
			flags = append(flags, name)
		case w == "." || strings.HasPrefix(w, "./") && (c.words[1] == "test" || i == 0):
			dirs = append(dirs, strings.TrimSuffix(strings.TrimSuffix(w, "..."), "/"))
		}
	}
	if len(dirs) == 0 {
		return nil // of another module, or a form such as "go test -bench ." of any package
	}
	for _, dir := range dirs {
		if dir == "." && strings.HasSuffix(c.where, ".go") {
			dir = filepath.ToSlash(filepath.Dir(c.where)) // in a comment, the folder of the file
		}
		if info, err := os.Stat(dir); err != nil || !info.IsDir() {
			out = append(out, dir+" is no folder")
			continue
		}
		names, has := declared(dir)
		if len(names) == 0 && dir != "." {
			continue // a tree of packages
		}
		for _, f := range flags {
			if !(has[f] || c.words[1] == "test" && slices.Contains(ofGo, f)) {
				out = append(out, "no flag -"+f+" in "+dir)
			}
		}
		out = append(out, c.missing(dir, names)...)
	}
	return out
}

// missing tells which test or name that a command asks for is not in a package.
func (c named) missing(dir string, names []string) []string {
	var out []string
	if c.words[1] == "doc" && len(c.words) > 3 {
		if !slices.Contains(names, c.words[3]) {
			out = append(out, dir+" has no "+c.words[3])
		}
		return out
	}
	for i, w := range c.words[:len(c.words)-1] {
		prefix := map[string]string{"-run": "Test", "-bench": "Benchmark", "-fuzz": "Fuzz"}[w]
		if c.words[1] != "test" || prefix == "" || c.words[i+1] == "^$" {
			continue
		}
		for _, part := range strings.Split(c.words[i+1], "|") {
			re, err := regexp.Compile(part)
			if err != nil || !slices.ContainsFunc(names, func(n string) bool { return strings.HasPrefix(n, prefix) && re.MatchString(n) }) {
				out = append(out, dir+" has nothing for "+w+" "+part)
			}
		}
	}
	return out
}

// declared are the names of functions, types and the like of a folder's files, tests and all, and
// the flags: what is the name in a call such as Int("rolls", …), there or in what
// examples share.
func declared(dir string) (names []string, flags map[string]bool) {
	flags = map[string]bool{}
	files, _ := filepath.Glob(filepath.Join(dir, "*.go"))
	own := len(files)
	if strings.HasPrefix(path.Clean(filepath.ToSlash(dir)), "examples/") {
		shared, _ := filepath.Glob("examples/internal/*/*.go")
		files = append(files, shared...)
	}
	for i, file := range files {
		f, err := parser.ParseFile(token.NewFileSet(), file, nil, parser.SkipObjectResolution)
		if err != nil {
			continue
		}
		ast.Inspect(f, func(n ast.Node) bool {
			call, ok := n.(*ast.CallExpr)
			if !ok {
				return true
			}
			if fun, ok := call.Fun.(*ast.SelectorExpr); ok && flagVerb.MatchString(fun.Sel.Name) {
				for _, a := range call.Args[:min(2, len(call.Args))] {
					if lit, ok := a.(*ast.BasicLit); ok && lit.Kind == token.STRING {
						s, _ := strconv.Unquote(lit.Value)
						flags[s] = true
					}
				}
			}
			return true
		})
		if i >= own {
			continue
		}
		for _, d := range f.Decls {
			switch d := d.(type) {
			case *ast.FuncDecl:
				names = append(names, d.Name.Name)
			case *ast.GenDecl:
				for _, s := range d.Specs {
					if s, ok := s.(*ast.TypeSpec); ok {
						names = append(names, s.Name.Name)
					}
				}
			}
		}
	}
	return names, flags
}

var flagVerb = regexp.MustCompile(`^(Bool|String|Int|Int64|Uint|Uint64|Float64|Duration|Func|BoolFunc|Text)?(Var)?$`)
