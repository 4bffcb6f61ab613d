package actinic

import (
	"os"
	"regexp"
	"strings"
	"testing"
)

// figured are the pages and comments whose figures are measured or counted, from and to these
// words, all of it where there are none.
var figured = []struct{ document, from, to string }{
	{"README.md", "", ""},
	{"examples/README.md", "", ""},
	{"sensito/fit.go", "// Measured on simulated strips", "// Errors wrap"},
	{"devtime/roll/characterise.go", "// Measured on 4000 random rolls", "// A strip or a bracket that gives"},
	{"devtime/roll/plan/plan.go", "// Measured (TestPromises", "type Expectation"},
	{"internal/bracketfit/bracketfit.go", "// Measured (TestStudy", "// Errors wrap"},
	{"filters/factortable/check.go", "// The study (go test", "// Errors"},
	{"filters/recover.go", "// Measured on simulated films", "// Errors wrap"},
	{"reciprocity/corrections/doc.go", "// The study (go test", "package corrections"},
	{"devtime/timetable/check.go", "// The study (go test", "// Errors"},
}

var (
	codeOf = regexp.MustCompile("(?s)```.*?```|`[^`]*`|\\]\\([^)]*\\)|go test [^)]*\\)")
	// A figure does not begin within a name such as D55, ISO6 or log10.
	figureOf  = regexp.MustCompile(`(?:^|[^\pL\d._/-])(\d[\d.,/:]*\d|\d)`)
	commentOf = regexp.MustCompile(`(?m)^[ \t]*// ?`)
	spaceOf   = regexp.MustCompile(`\s+`)
)

// numberRows are the words of the rows of .ci/numbers.txt by document.
func numberRows(t *testing.T) map[string][]string {
	t.Helper()
	list, err := os.ReadFile(".ci/numbers.txt")
	if err != nil {
		t.Fatal(err)
	}
	out := map[string][]string{}
	for row := range strings.Lines(string(list)) {
		f := strings.SplitN(strings.TrimSuffix(row, "\n"), "|", 5)
		switch {
		case strings.HasPrefix(row, "#"):
			continue
		case len(f) == 4 && f[0] == "said" && f[3] != "":
		case len(f) == 5 && (f[0] == "quick" || f[0] == "long") && f[3] != "":
		default:
			t.Errorf("not a row: %s", row)
			continue
		}
		out[f[1]] = append(out[f[1]], f[2])
	}
	return out
}

// Each figure in the prose of the pages, and in the comments that say what a study found, is in
// a row of .ci/numbers.txt: a command prints it, or it is said why none does.
func TestEveryFigureHasARow(t *testing.T) {
	rows := numberRows(t)
	for _, f := range figured {
		content, err := os.ReadFile(f.document)
		if err != nil {
			t.Fatal(err)
		}
		text := string(content)
		if f.from != "" {
			_, rest, begins := strings.Cut(text, f.from)
			part, _, ends := strings.Cut(rest, f.to)
			if !begins || !ends {
				t.Errorf("%s: no words from %q to %q", f.document, f.from, f.to)
				continue
			}
			text = commentOf.ReplaceAllString(f.from+part, "")
		}
		for _, bare := range unlisted(text, rows[f.document]) {
			t.Errorf("%s: no row of .ci/numbers.txt holds %s", f.document, bare)
		}
	}
	// The check itself: a figure is found, a listed one and those of names and code are not.
	for text, want := range map[string]int{"held 97 % of 40": 2, "D55 and `12` in ISO6, 1/x²": 1, "none": 0, "x\n95 %\nof it": 0, "95 % of them": 1} {
		if got := unlisted(text, []string{"95 % of it"}); len(got) != want {
			t.Errorf("%q has %d figures without a row: %q", text, want, got)
		}
	}
}

// unlisted are the figures of a text that are neither code nor within words that are listed, each with what
// stands about it.
func unlisted(text string, words []string) (out []string) {
	text = codeOf.ReplaceAllStringFunc(text, func(s string) string { return "`" + regexp.MustCompile(`\d`).ReplaceAllString(s, "_") + "`" })
	text = spaceOf.ReplaceAllString(text, " ")
	listed := make([]bool, len(text))
	for _, w := range words {
		w = codeOf.ReplaceAllStringFunc(w, func(s string) string { return "`" + regexp.MustCompile(`\d`).ReplaceAllString(s, "_") + "`" })
		for at := 0; ; {
			i := strings.Index(text[at:], w)
			if i < 0 {
				break
			}
			for k := range w {
				listed[at+i+k] = true
			}
			at += i + len(w)
		}
	}
	for _, m := range figureOf.FindAllStringSubmatchIndex(text, -1) {
		if !listed[m[2]] {
			out = append(out, text[m[2]:m[3]]+" in: "+text[max(0, m[2]-40):min(len(text), m[3]+40)])
		}
	}
	return out
}
