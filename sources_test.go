package actinic

import (
	"go/parser"
	"go/token"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

// Every formula that a comment sets out has its source in the same comment: a text or a
// standard, a definition, common practice, or that it was worked out here.
func TestEveryFormulaHasItsSource(t *testing.T) {
	formulas := 0
	for _, dir := range libraryFolders(t) {
		files, err := filepath.Glob(filepath.Join(dir, "*.go"))
		if err != nil {
			t.Fatal(err)
		}
		for _, file := range files {
			if strings.HasSuffix(file, "_test.go") {
				continue
			}
			text, err := os.ReadFile(file)
			if err != nil {
				t.Fatal(err)
			}
			fset := token.NewFileSet()
			tree, err := parser.ParseFile(fset, file, text, parser.ParseComments|parser.SkipObjectResolution)
			if err != nil {
				t.Fatal(err)
			}
			for _, c := range tree.Comments {
				if !formula.MatchString(c.Text()) {
					continue
				}
				if formulas++; !hasSource(c.Text()) {
					t.Errorf("%s: a formula without its source:\n%s", fset.Position(c.Pos()), c.Text())
				}
			}
		}
	}
	if formulas < 120 {
		t.Fatalf("only %d formulas seen", formulas)
	}
	t.Logf("%d formulas", formulas)
}

var (
	formula = regexp.MustCompile(`(?m)^\t.*[^=!<>:]=[^=].*$`)
	origin  = regexp.MustCompile(`\b[Ss]ources?\b|\bfrom memory\b|common practice|[Dd]efinition|[Dd]erived|worked out|ours\b|\b(ISO|CIE|ANSI|JCGM|NIST|IEC)\b|\b1[89]\d\d\b|\b20[0-2]\d\b`)
	spaces  = regexp.MustCompile(`\s+`)
)

// hasSource looks at the comment in one line.
func hasSource(comment string) bool {
	return origin.MatchString(spaces.ReplaceAllString(comment, " "))
}

func TestHasSource(t *testing.T) {
	for text, want := range map[string]bool{
		"Density is\n\n\tD = -log10 T\n": false, "Density is\n\n\tD = -log10 T\n\nby ISO\n5-1.": true,
		"a rule\n\n\ty = 2 x\n\nfrom\nmemory": true,
	} {
		if !formula.MatchString(text) || hasSource(text) != want {
			t.Errorf("%q: formula %t, source %t", text, formula.MatchString(text), hasSource(text))
		}
	}
}
