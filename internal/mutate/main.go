// Command mutate asks whether the tests would notice. It changes one thing at a time in code
// that is not a test: an operator, a constant, a bound, an error that is dropped, a sentence.
// Each changed program (a mutant) is tested by the package's own tests and, where these
// pass, by those of the packages that import it; a mutant that no test notices survives and
// is listed. Files are never changed: the compiler is given others in their place.
//
//	go run ./internal/mutate -n 400 -seed 1 ./...
//	go run ./internal/mutate -again survivors.txt ./...
//
// Mutants are drawn evenly over packages. A survivor is a missing test, or a change that
// changes nothing (a constant of a step size, a sentence said twice); who reads the list
// decides. Left out are
//
//   - generated files, tests, programs without tests, and this program;
//   - packages for tests: those that import testing, and those in internal that no package but
//     tests imports. What they do is seen by whether the tests find anything;
//   - rights of files (0o644), the capacity that a slice is made with, and the width that
//     strconv.ParseFloat is told, for which any but 32 is 64: none is what a program says or computes.
//
// Tests must pass as they stand, else everything would seem noticed; a mutant whose tests do
// not is not tried.
package main

import (
	"bytes"
	"context"
	"encoding/json"
	"flag"
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"io"
	"maps"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"sync"
	"time"
)

func main() {
	n := flag.Int("n", 50, "how many mutants")
	seed := flag.Uint64("seed", 1, "seed of the draw")
	workers := flag.Int("p", 2, "mutants tested at once")
	timeout := flag.Duration("timeout", 3*time.Minute, "time for the tests of one package; longer is noticed")
	importers := flag.Bool("importers", true, "ask the tests of importers too")
	again := flag.String("again", "", "`file` with the output of a former run: try the survivors in it, however many")
	list := flag.Bool("list", false, "list the mutants and test none")
	flag.Parse()
	patterns := flag.Args()
	if len(patterns) == 0 {
		patterns = []string{"./..."}
	}
	if err := run(os.Stdout, *n, *seed, *workers, *timeout, *importers, *list, *again, patterns); err != nil {
		fmt.Fprintln(os.Stderr, "mutate:", err)
		os.Exit(1)
	}
}

// folder is a package that has tests, or whose importers have.
type folder struct {
	ImportPath, Dir, Name   string
	GoFiles                 []string
	TestGoFiles, XTestFiles []string `json:"-"`
	Imports                 []string
	mutants                 []mutant
	importers               []string
	forTests                bool
}

// mutant is one change of a file.
type mutant struct {
	pkg      *folder
	file     string
	from, to int // bytes that are replaced
	with     string
	line     int
	what     string
}

func (m mutant) String() string {
	return fmt.Sprintf("%s:%d: %s", filepath.Join(m.pkg.ImportPath, filepath.Base(m.file)), m.line, m.what)
}

func run(w io.Writer, n int, seed uint64, workers int, timeout time.Duration, importers, list bool, again string, patterns []string) error {
	all, err := folders(patterns)
	if err != nil {
		return err
	}
	for _, p := range all {
		for _, f := range p.GoFiles {
			ms, err := mutantsOf(p, filepath.Join(p.Dir, f))
			if err != nil {
				return err
			}
			p.mutants = append(p.mutants, ms...)
		}
	}
	drawn := draw(all, n, seed)
	if again != "" {
		if drawn, err = survivorsOf(again, draw(all, math.MaxInt, seed)); err != nil {
			return err
		}
	}
	if list {
		for _, m := range drawn {
			fmt.Fprintln(w, m)
		}
		return nil
	}
	counts := map[verdict]int{}
	perKind := map[string][2]int{}
	var survivors []mutant
	var lock sync.Mutex
	var wait sync.WaitGroup
	work := make(chan mutant)
	for range workers {
		wait.Add(1)
		go func() {
			defer wait.Done()
			for m := range work {
				v := try(m, timeout, importers)
				lock.Lock()
				counts[v]++
				kind, _, _ := strings.Cut(m.what, " ")
				k := perKind[kind]
				switch v {
				case survived:
					survivors = append(survivors, m)
					k[1]++
				case killed:
					k[0]++
					k[1]++
				}
				perKind[kind] = k
				done := counts[killed] + counts[survived] + counts[broken] + counts[untried]
				fmt.Fprintf(os.Stderr, "%d/%d %s %v\n", done, len(drawn), v, m)
				lock.Unlock()
			}
		}()
	}
	for _, m := range drawn {
		work <- m
	}
	close(work)
	wait.Wait()
	slices.SortFunc(survivors, func(a, b mutant) int { return strings.Compare(a.String(), b.String()) })
	for _, m := range survivors {
		fmt.Fprintln(w, "survived:", m)
	}
	for _, kind := range slices.Sorted(maps.Keys(perKind)) {
		fmt.Fprintf(w, "%s: %d of %d noticed\n", kind, perKind[kind][0], perKind[kind][1])
	}
	tried := counts[killed] + counts[survived]
	fmt.Fprintf(w, "%d mutants that compile, %d noticed (%.1f %%), %d survived; %d did not compile, %d not tried\n", tried, counts[killed],
		100*float64(counts[killed])/float64(max(tried, 1)), counts[survived], counts[broken], counts[untried])
	return nil
}

// stands reports, once for each package, whether its tests pass without any mutant.
func stands(timeout time.Duration, packages ...string) bool {
	for _, p := range packages {
		once, _ := standing.LoadOrStore(p, sync.OnceValue(func() bool { return passes("", timeout, p) }))
		if !once.(func() bool)() {
			fmt.Fprintf(os.Stderr, "the tests of %s do not pass as they stand\n", p)
			return false
		}
	}
	return true
}

var standing sync.Map

// folders lists the packages of patterns that are to be changed, with who imports them in
// the whole module.
func folders(patterns []string) ([]*folder, error) {
	all, err := listed("./...")
	if err != nil {
		return nil, err
	}
	wanted, err := listed(patterns...)
	if err != nil {
		return nil, err
	}
	for _, p := range wanted {
		imported := false
		for _, q := range all {
			if slices.Contains(q.Imports, p.ImportPath) {
				imported = true
				if hasTests(q) {
					p.importers = append(p.importers, q.ImportPath)
				}
			}
		}
		p.forTests = slices.Contains(p.Imports, "testing") || !imported && p.Name != "main" && strings.Contains(p.ImportPath, "/internal/")
	}
	return slices.DeleteFunc(wanted, func(p *folder) bool {
		return strings.HasSuffix(p.ImportPath, "/mutate") || p.forTests || !hasTests(p) && len(p.importers) == 0
	}), nil
}

// listed asks the go command for packages.
func listed(patterns ...string) ([]*folder, error) {
	text, err := exec.Command("go", append([]string{"list", "-json=ImportPath,Dir,Name,GoFiles,Imports"}, patterns...)...).Output()
	if err != nil {
		return nil, fmt.Errorf("listing packages: %w", err)
	}
	var all []*folder
	for d := json.NewDecoder(bytes.NewReader(text)); ; {
		var p folder
		if err := d.Decode(&p); err == io.EOF {
			return all, nil
		} else if err != nil {
			return nil, err
		}
		all = append(all, &p)
	}
}

func hasTests(p *folder) bool {
	tests, err := filepath.Glob(filepath.Join(p.Dir, "*_test.go"))
	return err == nil && len(tests) > 0
}

// draw takes mutants in turn from each package, those of a package in a drawn order.
func draw(all []*folder, n int, seed uint64) []mutant {
	r := rand.New(rand.NewPCG(seed, 400))
	for _, p := range all {
		r.Shuffle(len(p.mutants), func(i, j int) { p.mutants[i], p.mutants[j] = p.mutants[j], p.mutants[i] })
	}
	var out []mutant
	for round := 0; len(out) < n; round++ {
		left := false
		order := r.Perm(len(all))
		for _, k := range order {
			if p := all[k]; round < len(p.mutants) && len(out) < n {
				out, left = append(out, p.mutants[round]), true
			}
		}
		if !left {
			break
		}
	}
	return out
}

// survivorsOf takes the mutants that a former run lists as survivors.
func survivorsOf(file string, all []mutant) ([]mutant, error) {
	text, err := os.ReadFile(file)
	if err != nil {
		return nil, err
	}
	listed := map[string]bool{}
	for line := range strings.Lines(string(text)) {
		if _, m, ok := strings.Cut(strings.TrimSpace(line), string(survived)); ok {
			listed[strings.TrimLeft(m, ": ")] = true
		}
	}
	return slices.DeleteFunc(all, func(m mutant) bool { return !listed[m.String()] }), nil
}

type verdict string

const (
	killed   verdict = "noticed"
	survived verdict = "survived"
	broken   verdict = "does not compile"
	untried  verdict = "not tried"
)

// try tests one mutant.
func try(m mutant, timeout time.Duration, importers bool) verdict {
	dir, err := os.MkdirTemp("", "mutant")
	if err != nil {
		return broken
	}
	defer os.RemoveAll(dir)
	source, err := os.ReadFile(m.file)
	if err != nil {
		return broken
	}
	changed := slices.Concat(source[:m.from], []byte(m.with), source[m.to:])
	to := filepath.Join(dir, filepath.Base(m.file))
	overlay := filepath.Join(dir, "overlay.json")
	text, err := json.Marshal(map[string]map[string]string{"Replace": {m.file: to}})
	if err != nil || os.WriteFile(to, changed, 0o644) != nil || os.WriteFile(overlay, text, 0o644) != nil {
		return broken
	}
	if exec.Command("go", "build", "-overlay", overlay, m.pkg.ImportPath).Run() != nil {
		return broken
	}
	if hasTests(m.pkg) && !stands(timeout, m.pkg.ImportPath) || importers && !stands(timeout, m.pkg.importers...) {
		return untried
	}
	if hasTests(m.pkg) && !passes(overlay, timeout, m.pkg.ImportPath) {
		return killed
	}
	if importers && len(m.pkg.importers) > 0 && !passes(overlay, timeout, m.pkg.importers...) {
		return killed
	}
	return survived
}

// passes reports whether the tests of packages pass with the mutant in place of its file.
func passes(overlay string, timeout time.Duration, packages ...string) bool {
	within, cancel := context.WithTimeout(context.Background(), time.Duration(len(packages))*timeout)
	defer cancel()
	args := append([]string{"test", "-overlay=" + overlay, "-vet=off", "-failfast", "-p=1", "-timeout", timeout.String()}, packages...)
	return exec.CommandContext(within, "go", args...).Run() == nil
}

// mutantsOf finds what can be changed in a file.
func mutantsOf(p *folder, name string) ([]mutant, error) {
	source, err := os.ReadFile(name)
	if err != nil {
		return nil, err
	}
	if bytes.Contains(source[:min(len(source), 2000)], []byte("DO NOT EDIT")) {
		return nil, nil
	}
	set := token.NewFileSet()
	tree, err := parser.ParseFile(set, name, source, parser.SkipObjectResolution)
	if err != nil {
		return nil, err
	}
	var out []mutant
	add := func(from, to token.Pos, with, what string) {
		out = append(out, mutant{p, name, set.Position(from).Offset, set.Position(to).Offset, with, set.Position(from).Line, what})
	}
	var change func(node ast.Node) bool
	change = func(node ast.Node) bool {
		switch x := node.(type) {
		case *ast.ImportSpec, *ast.StructType, *ast.ArrayType:
			return false // paths, tags and lengths
		case *ast.CallExpr:
			if id, ok := x.Fun.(*ast.Ident); ok && id.Name == "make" && len(x.Args) == 3 {
				ast.Inspect(x.Args[1], change)
				return false // the capacity
			}
			if f, ok := x.Fun.(*ast.SelectorExpr); ok && f.Sel.Name == "ParseFloat" && len(x.Args) == 2 {
				ast.Inspect(x.Args[0], change)
				return false // the width
			}
		case *ast.BinaryExpr:
			for _, with := range swaps[x.Op] {
				add(x.OpPos, x.OpPos+token.Pos(len(x.Op.String())), with, fmt.Sprintf("operator %s becomes %s", x.Op, with))
			}
		case *ast.UnaryExpr:
			if x.Op == token.NOT || x.Op == token.SUB {
				add(x.OpPos, x.OpPos+1, "", fmt.Sprintf("operator %s is dropped", x.Op))
			}
		case *ast.AssignStmt:
			if with, ok := assigns[x.Tok]; ok {
				add(x.TokPos, x.TokPos+token.Pos(len(x.Tok.String())), with, fmt.Sprintf("operator %s becomes %s", x.Tok, with))
			}
		case *ast.IncDecStmt:
			with := map[token.Token]string{token.INC: "--", token.DEC: "++"}[x.Tok]
			add(x.TokPos, x.TokPos+2, with, fmt.Sprintf("operator %s becomes %s", x.Tok, with))
		case *ast.BasicLit:
			literal(x, add)
		case *ast.ReturnStmt:
			if len(x.Results) > 0 {
				last := x.Results[len(x.Results)-1]
				if id, ok := last.(*ast.Ident); ok && (id.Name == "err" || id.Name == "errs") {
					add(last.Pos(), last.End(), "nil", "error "+id.Name+" is dropped")
				}
			}
		case *ast.IfStmt:
			if c, ok := x.Cond.(*ast.BinaryExpr); ok && c.Op == token.NEQ && isErr(c.X) {
				add(c.Pos(), c.End(), "false && "+string(source[set.Position(c.Pos()).Offset:set.Position(c.End()).Offset]), "error is not looked at")
			}
		}
		return true
	}
	ast.Inspect(tree, change)
	return out, nil
}

func isErr(e ast.Expr) bool {
	id, ok := e.(*ast.Ident)
	return ok && strings.HasPrefix(strings.ToLower(id.Name), "err")
}

// literal changes a constant a little, and a sentence at its first word.
func literal(x *ast.BasicLit, add func(from, to token.Pos, with, what string)) {
	switch x.Kind {
	case token.INT:
		v, err := strconv.ParseInt(x.Value, 0, 64)
		if rights := strings.HasPrefix(x.Value, "0o"); err == nil && v < 1<<31 && !rights {
			add(x.Pos(), x.End(), strconv.FormatInt(v+1, 10), fmt.Sprintf("constant %s becomes %d", x.Value, v+1))
		}
	case token.FLOAT:
		v, err := strconv.ParseFloat(x.Value, 64)
		if err == nil {
			with := strconv.FormatFloat(v*1.1, 'g', -1, 64)
			if v == 0 {
				with = "0.1"
			}
			add(x.Pos(), x.End(), with, fmt.Sprintf("constant %s becomes %s", x.Value, with))
		}
	case token.STRING:
		text, err := strconv.Unquote(x.Value)
		if err == nil && strings.Count(text, " ") >= 2 && strings.Trim(text, " ") != "" {
			with := strconv.Quote("changed " + text)
			add(x.Pos(), x.End(), with, fmt.Sprintf("sentence %.40q gets another word", text))
		}
	}
}

// swaps are what an operator becomes.
var swaps = map[token.Token][]string{
	token.ADD: {"-"}, token.SUB: {"+"}, token.MUL: {"/"}, token.QUO: {"*"},
	token.LSS: {"<=", ">"}, token.LEQ: {"<"}, token.GTR: {">=", "<"}, token.GEQ: {">"}, token.EQL: {"!="}, token.NEQ: {"=="},
	token.LAND: {"||"}, token.LOR: {"&&"},
}

var assigns = map[token.Token]string{token.ADD_ASSIGN: "-=", token.SUB_ASSIGN: "+=", token.MUL_ASSIGN: "/=", token.QUO_ASSIGN: "*="}
