package actinic

import (
	"go/ast"
	"go/doc"
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

// Every exported name of a library package has a sentence of its own, or stands in a group that has
// one; a comment that is no sentence does not count.
func TestEveryNameHasASentence(t *testing.T) {
	packages, names := 0, 0
	for _, dir := range libraryFolders(t) {
		p := documented(t, dir)
		if p == nil {
			continue
		}
		packages++
		if !sentence.MatchString(p.Doc) {
			t.Errorf("%s: the package has no sentence", dir)
		}
		// Beside is what stands on the line of one of a list of values: two words are enough there.
		said := func(name, text string, beside ...string) {
			if names++; !sentence.MatchString(text) && len(strings.Fields(strings.Join(beside, ""))) < 2 {
				t.Errorf("%s: %s has no sentence: %q", dir, name, text)
			}
		}
		funcs := func(of string, list []*doc.Func) {
			for _, f := range list {
				said(of+f.Name, f.Doc)
			}
		}
		values := func(list []*doc.Value) {
			for _, v := range list {
				for _, s := range v.Decl.Specs {
					s := s.(*ast.ValueSpec)
					for _, n := range s.Names {
						if n.IsExported() {
							said(n.Name, v.Doc+s.Doc.Text(), s.Comment.Text())
						}
					}
				}
			}
		}
		funcs("", p.Funcs)
		values(p.Consts)
		values(p.Vars)
		for _, typ := range p.Types {
			said(typ.Name, typ.Doc)
			funcs("", typ.Funcs)
			funcs(typ.Name+".", typ.Methods)
			values(typ.Consts)
			values(typ.Vars)
		}
	}
	if packages < 20 || names < 500 {
		t.Fatalf("only %d packages and %d names seen", packages, names)
	}
}

// A sentence has two words and an end, or leads to a formula.
var sentence = regexp.MustCompile(`(?s)\S+\s+\S+.*(\.\s|[.:)]\s*$|[,:]\n\n\t\S)`)

func TestSentence(t *testing.T) {
	for text, want := range map[string]bool{"Speed is a speed.": true, "": false, "Speed.": false, "no end here": false, "A law:\n\n\tf = x\n": true, "T of it,\n\n\tT = 1\n": true, "T is\nof\n": false} {
		if got := sentence.MatchString(text); got != want {
			t.Errorf("%q: %v", text, got)
		}
	}
}

func libraryFolders(t *testing.T) []string {
	t.Helper()
	var out []string
	err := filepath.WalkDir(".", func(name string, d fs.DirEntry, err error) error {
		switch {
		case err != nil || !d.IsDir():
			return err
		case name == ".":
		case strings.HasPrefix(d.Name(), "."), d.Name() == "testdata", name == "examples", name == "internal", name == "data", name == "out":
			return filepath.SkipDir
		}
		out = append(out, name)
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	return out
}

// documented is a folder's package as go doc sees it; nil where there is none.
func documented(t *testing.T, dir string) *doc.Package {
	t.Helper()
	entries, err := os.ReadDir(dir)
	if err != nil {
		t.Fatal(err)
	}
	set := token.NewFileSet()
	var files []*ast.File
	for _, e := range entries {
		if !strings.HasSuffix(e.Name(), ".go") || strings.HasSuffix(e.Name(), "_test.go") {
			continue
		}
		f, err := parser.ParseFile(set, filepath.Join(dir, e.Name()), nil, parser.ParseComments)
		if err != nil {
			t.Fatal(err)
		}
		files = append(files, f)
	}
	if len(files) == 0 {
		return nil
	}
	p, err := doc.NewFromFiles(set, files, module+"/"+filepath.ToSlash(dir))
	if err != nil {
		t.Fatalf("%s: %v", dir, err)
	}
	return p
}
