package layout

import (
	"strings"

	"example.org/actinic/sensito/datafile"
)

// rule tells whether a line is the rule of a Markdown table: |---|:--:|.
func rule(line string) bool {
	line = strings.TrimSpace(line)
	return strings.Contains(line, "--") && strings.Contains(line, "|") && strings.Trim(line, "|-: \t") == ""
}

func isMarkdown(text string) bool {
	for _, line := range strings.Split(text, "\n") {
		if rule(line) {
			return true
		}
	}
	return false
}

// readMarkdown reads the tables of a Markdown text. The heading or line above a table is
// its name; HTML comments such as <!-- kind: reciprocity --> are remarks.
func readMarkdown(text, file string) ([]*Table, datafile.Errors) {
	lines := strings.Split(text, "\n")
	var tables []*Table
	var remarks []string
	name := ""
	for i := 0; i < len(lines); i++ {
		line := strings.TrimSpace(lines[i])
		if comment, ok := strings.CutPrefix(line, "<!--"); ok {
			remarks = append(remarks, strings.TrimSpace(strings.TrimSuffix(comment, "-->")))
			continue
		}
		if i+1 >= len(lines) || !strings.Contains(line, "|") || !rule(lines[i+1]) {
			if line != "" {
				name = strings.TrimSpace(strings.Trim(line, "#*_ "))
				if strings.Contains(name, ":") {
					remarks = append(remarks, name)
				}
			}
			continue
		}
		t := &Table{File: file, Format: Markdown, Name: name, Remarks: remarks, Head: pipes(lines[i], i+1)}
		for i += 2; i < len(lines) && strings.Contains(lines[i], "|"); i++ {
			cells := pipes(lines[i], i+1)
			if !blank(cells) {
				t.Rows = append(t.Rows, Row{i + 1, cells})
			}
		}
		i--
		tables = append(tables, t)
		remarks, name = nil, ""
	}
	return tables, nil
}

// pipes cuts a row at its bars.
func pipes(line string, number int) []Cell {
	line = strings.TrimRight(line, " \t\r")
	start := len(line) - len(strings.TrimLeft(line, " \t"))
	if start < len(line) && line[start] == '|' {
		start++
	}
	end := len(line)
	if end > start && line[end-1] == '|' && !strings.HasSuffix(line, `\|`) {
		end--
	}
	var out []Cell
	from := start
	for i := start; i <= end; i++ {
		if i < end && (line[i] != '|' || i > 0 && line[i-1] == '\\') {
			continue
		}
		raw := line[from:i]
		text := strings.TrimSpace(raw)
		lead := len(raw) - len(strings.TrimLeft(raw, " \t"))
		text = strings.ReplaceAll(text, `\|`, "|")
		if len(text) > 4 && strings.HasPrefix(text, "**") && strings.HasSuffix(text, "**") {
			text = text[2 : len(text)-2]
		}
		text = strings.ReplaceAll(text, `\*`, "*")
		out = append(out, Cell{text, number, from + lead + 1})
		from = i + 1
	}
	return out
}
