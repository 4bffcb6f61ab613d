package layout

import (
	"regexp"
	"strings"

	"example.org/actinic/sensito/datafile"
)

var (
	tabular   = regexp.MustCompile(`(?s)\\begin\{(tabular[x*]?|longtable)\}(.*?)\\end\{`)
	caption   = regexp.MustCompile(`\\caption\{([^{}]*)\}`)
	spec      = regexp.MustCompile(`^(\{[^{}]*\}|\[[^\]]*\])*\{(?:[^{}]|\{[^{}]*\})*\}`)
	rules     = regexp.MustCompile(`\\(hline|toprule|midrule|bottomrule|endhead|endfirsthead|endfoot|endlastfoot|cline\{[^}]*\}|cmidrule(\([^)]*\))?\{[^}]*\}|addlinespace(\[[^\]]*\])?)`)
	spanning  = regexp.MustCompile(`^\s*\\multicolumn\{(\d+)\}\{[^{}]*\}\{(.*)\}\s*$`)
	fractions = regexp.MustCompile(`\\(?:frac|tfrac|dfrac|nicefrac|sfrac)\{(\d+)\}\{(\d+)\}`)
	raised    = regexp.MustCompile(`\\textsuperscript\{([^{}]*)\}|\^\{([*\\a-z0-9]*)\}|\^(\*)`)
	wrapped   = regexp.MustCompile(`\\(?:textbf|textit|emph|text|mathrm|textrm|SI|unit|num|makecell)\{([^{}]*)\}`)
	footmarks = regexp.MustCompile(`\\(?:footnote|tablefootnote|tnote)\{[^{}]*\}|\\footnotemark(\[\d*\])?`)
	commands  = regexp.MustCompile(`\\[a-zA-Z]+\s?`)
)

var latexSigns = strings.NewReplacer(
	`^{\circ}`, "°", `^\circ`, "°", `\degree`, "°", `\textdegree`, "°", `\times`, "×", `\sim`, "~", `\approx`, "≈", `\%`, "%", `\&`, "&", `\#`, "#", `\_`, "_",
	`\,`, " ", `\;`, " ", `\ `, " ", `~`, " ", `---`, "—", `--`, "–", `\dag`, "†", `\ddag`, "‡", `''`, `"`, `^{\prime\prime}`, `"`, `^{\prime}`, "'", `\prime`, "'", `$`, "",
)

// readLaTeX reads the tabular and longtable environments of a LaTeX text.
func readLaTeX(text, file string) ([]*Table, datafile.Errors) {
	var tables []*Table
	starts := lineStarts(text)
	end := 0
	for _, at := range tabular.FindAllStringSubmatchIndex(text, -1) {
		before := text[end:at[0]]
		end = at[1]
		t := &Table{File: file, Format: LaTeX}
		for _, line := range strings.Split(before, "\n") {
			if remark, ok := strings.CutPrefix(strings.TrimSpace(line), "%"); ok {
				t.Remarks = append(t.Remarks, strings.TrimSpace(strings.TrimLeft(remark, "% ")))
			}
		}
		after := text[at[1]:min(len(text), at[1]+400)]
		if c := caption.FindStringSubmatch(before); c != nil {
			t.Name = c[1]
		} else if c := caption.FindStringSubmatch(after); c != nil && !strings.Contains(after[:strings.Index(after,
			`\caption`)], `\begin`) {
			t.Name = c[1]
		}
		body, offset := text[at[4]:at[5]], at[4]
		if s := spec.FindString(body); s != "" {
			body, offset = body[len(s):], offset+len(s)
		}
		for _, row := range latexRows(body) {
			cells := latexCells(starts, body[row[0]:row[1]], offset+row[0])
			if blank(cells) {
				continue
			}
			if t.Head == nil {
				t.Head = cells
				continue
			}
			t.Rows = append(t.Rows, Row{cells[0].Line, cells})
		}
		if t.Head != nil {
			t.joinHead()
			tables = append(tables, t)
		}
	}
	return tables, nil
}

// latexRows cuts a body at \\ , and returns where each row begins and ends.
func latexRows(body string) [][2]int {
	var out [][2]int
	from := 0
	for i := 0; i+1 < len(body); i++ {
		if body[i] == '\\' && body[i+1] == '\\' {
			out = append(out, [2]int{from, i})
			from = i + 2
			i++
			if from < len(body) && body[from] == '[' {
				if n := strings.IndexByte(body[from:], ']'); n >= 0 {
					from += n + 1
					i = from - 1
				}
			}
		}
	}
	return append(out, [2]int{from, len(body)})
}

// latexCells cuts a row at & and makes plain text of its cells. at is where the row
// begins in the text whose lines begin at starts.
func latexCells(starts []int, row string, at int) []Cell {
	var out []Cell
	from := 0
	for i := 0; i <= len(row); i++ {
		if i < len(row) && (row[i] != '&' || i > 0 && row[i-1] == '\\') {
			continue
		}
		raw := row[from:i]
		blankLines := commentless(raw)
		plain := rules.ReplaceAllStringFunc(blankLines, func(s string) string { return strings.Repeat(" ", len(s)) })
		lead := len(plain) - len(strings.TrimLeft(plain, " \t\r\n"))
		line, column := placeIn(starts, at+from+lead)
		n := 1
		if m := spanning.FindStringSubmatch(plain); m != nil {
			plain = m[2]
			n = max(1, min(MostCells, atoi(m[1])))
		}
		cell := Cell{latexText(plain), line, column}
		for range n {
			out = append(out, cell)
		}
		from = i + 1
	}
	return out
}

func atoi(s string) int {
	n := 0
	for _, c := range s {
		if n = 10*n + int(c-'0'); n > 1e6 {
			return 1e6
		}
	}
	return n
}

// commentless blanks what stands behind a % that is no sign.
func commentless(s string) string {
	b := []byte(s)
	for i := 0; i < len(b); i++ {
		if b[i] == '%' && (i == 0 || b[i-1] != '\\') {
			for ; i < len(b) && b[i] != '\n'; i++ {
				b[i] = ' '
			}
		}
	}
	return string(b)
}

func latexText(s string) string {
	s = fractions.ReplaceAllString(s, " $1/$2")
	s = footmarks.ReplaceAllString(s, "*")
	s = strings.NewReplacer(`^{\circ}`, "°", `^\circ`, "°", `{,}`, ",").Replace(s)
	s = raised.ReplaceAllStringFunc(s, func(m string) string {
		inner := strings.TrimSuffix(strings.TrimPrefix(strings.TrimPrefix(strings.TrimPrefix(m, `\textsuperscript`), "^"), "{"), "}")
		if strings.ContainsAny(m, "*") {
			return "*"
		}
		return "(" + inner + ")"
	})
	for range 3 {
		s = wrapped.ReplaceAllString(s, "$1")
	}
	s = latexSigns.Replace(s)
	s = commands.ReplaceAllString(s, "")
	s = strings.NewReplacer("{", "", "}", "").Replace(s)
	return strings.Join(strings.Fields(s), " ")
}
