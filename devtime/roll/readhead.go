package roll

import (
	"strings"

	"example.org/actinic/devtime"
	"example.org/actinic/internal/jsonplace"
	"example.org/actinic/internal/plausible"
	"example.org/actinic/sensito"
	"example.org/actinic/sensito/datafile"
)

// wantHead is what test.json is to be.
const wantHead = "an object with film, process, light, target_average_gradient, and where wanted shadow_stops_below_meter, bracket_development, criterion"

// head reads the members of test.json, and collects what cannot be.
type head struct {
	content []byte
	root    *jsonplace.Node
	errs    datafile.Errors
}

// fail reports something about a place of the file.
func (h *head) fail(offset int64, field, text, want string) {
	line, column := datafile.Place(h.content, offset)
	h.errs = append(h.errs, &datafile.Error{File: headFile, Line: line, Column: column, Field: field, Text: text, Want: want})
}

// bad reports a member's value at its name; a member that is not there at the file.
func (h *head) bad(name, want string) {
	for _, m := range h.root.Members {
		if m.Name == name {
			h.fail(m.At, name, m.Value.Plain(), want)
			return
		}
	}
	h.errs = append(h.errs, &datafile.Error{File: headFile, Field: name, Want: want})
}

// text returns a member's text; false where it is not there, or is no text, which is
// then reported.
func (h *head) text(name string) (string, bool) {
	v := h.root.Get(name)
	if v == nil {
		return "", false
	}
	s, ok := v.IsText()
	if !ok {
		h.bad(name, "text in quotation marks")
	}
	return s, ok
}

// number is text of a number.
func (h *head) number(name string) (float64, bool) {
	v := h.root.Get(name)
	if v == nil {
		return 0, false
	}
	x, ok := v.Number()
	if !ok {
		h.bad(name, "a number, without quotation marks")
	}
	return x, ok
}

// readHead reads test.json, member by member as it is written: a name that stands twice,
// or in other capitals, is an error like one that nobody knows.
func (roll *Roll) readHead(content []byte) datafile.Errors {
	h := &head{content: content}
	root, faults := jsonplace.Parse(content)
	if root == nil {
		want := wantHead
		if strings.Contains(faults[0].What, "UTF-") {
			want = "UTF-8 text"
		}
		h.fail(faults[0].Offset, "", "", want+" ("+faults[0].What+")")
		return h.errs
	}
	if root.Kind != '{' {
		h.fail(root.Offset, "", root.Plain(), wantHead)
		return h.errs
	}
	h.root = root
	for _, f := range faults {
		h.fail(f.Offset, "member", f.Name, f.What)
	}
	roll.readAbout(h)
	if len(h.errs) > 0 {
		return h.errs
	}
	roll.readScale(h)
	roll.readNames(h)
	roll.readAims(h)
	return h.errs
}

// readNames reads what a speed belongs to.
func (roll *Roll) readNames(h *head) {
	for _, m := range []struct {
		name string
		to   *string
	}{{"film", &roll.Film}, {"process", &roll.Process}, {"light", &roll.Light}} {
		s, ok := h.text(m.name)
		switch {
		case !ok && h.root.Has(m.name): // said
		case strings.TrimSpace(s) == "":
			h.bad(m.name, "a name: a speed belongs to a film, a process and a light together")
		case plausible.Name(s) != nil:
			h.bad(m.name, wantName)
		default:
			*m.to = s
		}
	}
}

// readAims reads what the test is for: the contrast that is wanted, and how the index is
// found.
func (roll *Roll) readAims(h *head) {
	target, ok := h.number("target_average_gradient")
	switch {
	case !ok && !h.root.Has("target_average_gradient"):
		h.bad("target_average_gradient", "the contrast the negatives should have, usually 0.5 to 0.7")
	case ok && !(target > 0.1 && target < 3):
		h.bad("target_average_gradient", "a gradient between 0.1 and 3, usually 0.5 to 0.7")
	case ok:
		roll.TargetAverageGradient = target
	}
	if v, ok := h.number("shadow_stops_below_meter"); ok {
		if !(v > 0 && v <= 10) {
			h.bad("shadow_stops_below_meter", "stops above 0 and up to 10, usually 4")
		}
		roll.ShadowStopsBelowMeter = sensito.Stops(v)
	}
	if s, ok := h.text("bracket_development"); ok {
		d, err := devtime.ParseTime(s)
		if err != nil || d < plausible.LeastDevelopment || d > plausible.LongestDevelopment {
			h.bad("bracket_development", "a time like 7:30, 7m30s or 7.5 (minutes)")
		}
		roll.BracketDevelopment = d
	}
	if s, ok := h.text("criterion"); ok {
		err := roll.Criterion.UnmarshalText([]byte(s))
		if err != nil || roll.Criterion != sensito.FixedDensity && roll.Criterion != sensito.FractionalGradient && roll.Criterion != sensito.DeltaX {
			h.bad("criterion", "fixed-density, fractional-gradient or delta-x")
		}
	}
}
