package roll

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"example.org/actinic/internal/jsonplace"
	"example.org/actinic/internal/plausible"
)

// aboutNames are the members of test.json that say who tested, when and with what, in the
// order of a page.
var aboutNames = []string{"tester", "date", "format", "batch", "camera", "meter", "instrument", "temperature_c", "agitation", "notes"}

// headNames are the other members.
var headNames = []string{"film", "process", "light", "target_average_gradient", "shadow_stops_below_meter", "criterion",
	"bracket_development",
	"exposure", "metered_at_ei", "metered_step", "raw"}

// readAbout takes what is said about the test, and refuses members that nothing reads.
func (roll *Roll) readAbout(h *head) {
	for _, m := range h.root.Members {
		switch {
		case slices.Contains(headNames, m.Name):
		case slices.Contains(aboutNames, m.Name) || strings.HasPrefix(m.Name, "x-"):
			text, want := h.aboutText(m.Name, m.Value)
			if want != "" {
				h.fail(m.At, m.Name, m.Value.Plain(), want)
				continue
			}
			if roll.Details == nil {
				roll.Details = map[string]string{}
			}
			roll.Details[m.Name] = text
		default:
			h.fail(m.At, "member", m.Name, wantHead+", what says who tested and with what ("+strings.Join(aboutNames,
				", ")+"), or a name that begins with x-")
		}
	}
}

// aboutText is a text, or a number as it is written; want says what is wrong otherwise.
func (h *head) aboutText(name string, n *jsonplace.Node) (text, want string) {
	v, isNumber := n.Number()
	s, isText := n.IsText()
	switch {
	case name == "temperature_c" && !(isNumber && v >= 0 && v <= 60):
		return "", "degrees Celsius of the developer as a number, 0 to 60"
	case isNumber:
		return string(h.content[n.Offset:n.End]), ""
	case !isText:
		return "", "text or a number"
	case s != "" && plausible.Name(s) != nil:
		return "", wantName
	}
	return s, ""
}

// DetailLines are the lines about a test in the order of a page, those that begin with x- at
// the end; lines without text are left out.
func (r *Record) DetailLines() []Line {
	var out []Line
	names := slices.Clone(aboutNames)
	for _, n := range slices.Sorted(maps.Keys(r.Details)) {
		if !slices.Contains(names, n) {
			names = append(names, n)
		}
	}
	for _, n := range names {
		if t := r.Details[n]; t != "" {
			title := strings.TrimPrefix(n, "x-")
			if n == "temperature_c" {
				title, t = "temperature", t+" °C"
			}
			out = append(out, Line{strings.ToUpper(title[:min(1, len(title))]) + title[min(1, len(title)):], t})
		}
	}
	return out
}

// unsigned says that nobody put a name or a date to a test, "" where both are there.
func (r *Record) unsigned() string {
	var lack []string
	for _, n := range []string{"tester", "date"} {
		if r.Details[n] == "" {
			lack = append(lack, n)
		}
	}
	if len(lack) == 0 {
		return ""
	}
	return fmt.Sprintf("The test does not say its %s: test.json takes tester and date.", strings.Join(lack, " and "))
}
