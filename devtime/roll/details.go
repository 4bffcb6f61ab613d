package roll

import (
	"encoding/json"
	"fmt"
	"maps"
	"slices"
	"strings"

	"example.org/actinic/internal/plausible"
	"example.org/actinic/sensito/datafile"
)

// aboutNames are the members of test.json that say who tested, when and with what, in the
// order of a page.
var aboutNames = []string{"tester", "date", "format", "batch", "camera", "meter", "instrument", "temperature_c", "agitation", "notes"}

// headNames are the other members.
var headNames = []string{"film", "process", "light", "target_average_gradient", "shadow_stops_below_meter", "criterion", "bracket_development",
	"exposure", "metered_at_ei", "metered_step", "raw"}

// failing makes an error about a place of test.json.
type failing func(at int64, field, text, want string) datafile.Errors

// readAbout takes what is said about the test, and refuses members that nothing reads.
func (roll *Roll) readAbout(content []byte, want string, fail failing, at func(string) int64) datafile.Errors {
	var all map[string]json.RawMessage
	if err := json.Unmarshal(content, &all); err != nil {
		return nil // said already
	}
	var errs datafile.Errors
	for _, name := range slices.Sorted(maps.Keys(all)) {
		switch {
		case slices.ContainsFunc(headNames, func(n string) bool { return strings.EqualFold(n, name) }):
		case slices.Contains(aboutNames, name) || strings.HasPrefix(name, "x-"):
			text, what := aboutText(name, all[name])
			if what != "" {
				errs = append(errs, fail(at(name), name, string(all[name]), what)...)
				continue
			}
			if roll.Details == nil {
				roll.Details = map[string]string{}
			}
			roll.Details[name] = text
		default:
			errs = append(errs, fail(at(name), "member", name, want+", what says who tested and with what ("+strings.Join(aboutNames, ", ")+"), or a name that begins with x-")...)
		}
	}
	return errs
}

// aboutText is a text, or a number as it is written; want says what is wrong otherwise.
func aboutText(name string, value json.RawMessage) (text, want string) {
	if name == "temperature_c" {
		var v float64
		if err := json.Unmarshal(value, &v); err != nil || !(v >= 0 && v <= 60) {
			return "", "degrees Celsius of the developer as a number, 0 to 60"
		}
		return string(value), ""
	}
	if err := json.Unmarshal(value, &text); err == nil {
		if text != "" && plausible.Name(text) != nil {
			return "", wantName
		}
		return text, ""
	}
	var v float64
	if err := json.Unmarshal(value, &v); err == nil {
		return string(value), ""
	}
	return "", "text or a number"
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
