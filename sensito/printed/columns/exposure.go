package columns

import (
	"math"
	"slices"
	"strings"

	"example.org/actinic/internal/check"
	"example.org/actinic/internal/robust"
	"example.org/actinic/sensito/datafile"
	"example.org/actinic/sensito/printed"
	"example.org/actinic/sensito/printed/forms"
	"example.org/actinic/sensito/printed/layout"
)

// exposureColumns are the quantities of an exposure.
var exposureColumns = []layout.Column{
	{Name: "ev", Words: []string{"ev", "exposure value", "lv", "light value"}, Want: "exposure values"},
	{Name: "aperture", Words: []string{"aperture", "f number", "f stop", "f", "n"}, Want: "f-numbers"},
	{Name: "time", Words: []string{"time", "shutter", "shutter speed", "speed", "exposure time", "(s)"}, Want: "times"},
	{Name: "index", Words: []string{"index", "ei", "iso", "asa", "film speed", "exposure index"}, Want: "indexes"},
}

// How coarsely exposures are printed: exposure values to thirds of a stop at the finest, times
// and f-numbers by marks, whose names are off by up to a sixth of a stop together.
const evStep, timeStep, apertureStep = 1. / 3, 0.25, 0.12

// checkExposure checks exposure tables, a row for each exposure or as a matrix, by
//
//	EV + log2(S/100) = 2 log2 N - log2 t
//
// A quantity that a table has no column of is the same in all its rows.
//
// Source: the definition of the exposure value, see package exposure; an index of S raises it
// by log2(S/100).
func checkExposure(t *layout.Table) ([]Checked, error) {
	judged, must := "ev", []string{"ev", "aperture", "time"}
	if m, of := unfoldExposure(t); m != nil {
		t, judged, must = m, of, []string{of}
	}
	s, err := sheetOf(t, exposureColumns, must...)
	if err != nil {
		return nil, err
	}
	v, err := read(s, "", judged)
	if err != nil {
		return nil, err
	}
	for k := range v.x {
		v.x[k] = float64(k)
	}
	words := "EV is 2 log2 of the f-number less log2 of the time"
	is, err := v.exposures(s, judged, false)
	if err != nil {
		return nil, err
	}
	if s.Has("index") {
		with, err := v.exposures(s, judged, true)
		if err != nil {
			return nil, err
		}
		// EV of the light at 100, or that set on the camera.
		_, one := offset(v.y, with, judged)
		if _, other := offset(v.y, is, judged); one <= other {
			is, words = with, "EV and the stops of the index over 100 are 2 log2 of the f-number less log2 of the time"
		}
	}
	// A quantity that the table does not give is the same in all rows, the index too.
	if all, _ := offset(v.y, is, judged); math.Abs(all) > 0.5 {
		for k := range is {
			is[k] += all
		}
	}
	series := printed.Series{Words: words, Law: func(x float64) float64 { return judgedOf(judged, is[int(x)]) }}
	switch judged {
	case "ev":
		series.Additive, series.Step = true, []float64{max(evStep, slices.Min(v.step))}
	case "time":
		series.Step = rounded(series, v, timeStep)
	case "aperture":
		series.Step = rounded(series, v, apertureStep)
	}
	c, err := v.checked(s, judged, series, false)
	return []Checked{c}, err
}

// exposures are what the exposure values are but for the judged column.
func (v values) exposures(s *layout.Sheet, judged string, index bool) ([]float64, error) {
	out := make([]float64, len(v.at))
	var errs datafile.Errors
	for _, c := range exposureColumns {
		if c.Name == judged || !s.Has(c.Name) || c.Name == "index" && !index {
			continue
		}
		for k, i := range v.at {
			x, err := number(s, i, c.Name)
			ev := evOf(c.Name, x.Value)
			if err != nil || x.Blank || !check.Finite(ev) {
				errs = append(errs, s.Fail(i, c.Name, want(c.Name)))
			}
			out[k] += ev
		}
	}
	return out, errs.Err()
}

// judgedOf is what the judged column should be, of what the others make.
func judgedOf(judged string, ev float64) float64 {
	switch judged {
	case "time":
		return math.Exp2(ev)
	case "aperture":
		return math.Exp2(-ev / 2)
	}
	return ev
}

// offset is by how many stops most rows differ from what they should be, and spread how far
// they differ from that.
func offset(y, ev []float64, judged string) (middle, spread float64) {
	off := make([]float64, len(y))
	for k, v := range y {
		if off[k] = v - ev[k]; judged != "ev" {
			off[k] = -evOf(judged, v) - ev[k]
		}
	}
	middle = robust.Median(off)
	for k := range off {
		off[k] = math.Abs(off[k] - middle)
	}
	return middle, robust.Median(off)
}

// evOf is what a quantity adds to the exposure value that the others make.
func evOf(column string, v float64) float64 {
	switch column {
	case "aperture":
		return 2 * math.Log2(v)
	case "time":
		return -math.Log2(v)
	case "index":
		return -math.Log2(v / 100)
	}
	return -v
}

// rounded are the steps of a rounding that is a share of what each value should be: of what is printed they would grow with a
// slip.
func rounded(s printed.Series, v values, share float64) (out []float64) {
	for _, x := range v.x {
		out = append(out, share*s.Law(x))
	}
	return out
}

// IsExposure tells whether the headings of a table are those of an exposure table, long or as
// a matrix.
func IsExposure(t *layout.Table) bool {
	if m, _ := unfoldExposure(t); m != nil {
		return true
	}
	_, ok := t.Sheet(exposureColumns, "ev", "aperture", "time")
	return ok
}

// unfoldExposure turns a matrix, headed by f-numbers, times, indexes or exposure values, whose
// rows go by another of them, into the long form, and says what its cells are; nil where the
// table is none. Each cell keeps its place.
//
// Headings say what they are by their form (f/8, 1/125, ISO 400, EV 12), or by the corner of
// the table or its title: "EV \ aperture".
func unfoldExposure(t *layout.Table) (long *layout.Table, judged string) {
	if len(t.Head) < 3 || len(t.Rows) == 0 {
		return nil, ""
	}
	corner := strings.ToLower(t.Head[0].Text)
	side, across, named := corner, strings.ToLower(t.Name), false
	for _, sign := range []string{`\`, "|", " / ", " by "} {
		if a, b, ok := strings.Cut(corner, sign); ok {
			side, across, named = a, b, true
			break
		}
	}
	left := exposureWord(side)
	heads := ""
	for _, h := range t.Head[1:] {
		kind := exposureKind(h.Text)
		if kind == "" {
			kind = exposureWord(across)
			if !named && left == "index" {
				return nil, "" // of a table of development
			}
			if c, err := forms.Number(h.Text); err != nil || c.Blank {
				return nil, ""
			}
		}
		if heads != "" && kind != heads {
			return nil, ""
		}
		heads = kind
	}
	if left == "" || heads == "" || left == heads {
		return nil, ""
	}
	judged = exposureCells(t, left, heads)
	at := t.Head[1]
	long = &layout.Table{File: t.File, Format: t.Format, Name: t.Name, Remarks: t.Remarks}
	for _, text := range []string{left, heads, judged} {
		long.Head = append(long.Head, layout.Cell{Text: text, Line: at.Line, Column: at.Column})
	}
	for _, r := range t.Rows {
		for k := 1; k < len(t.Head); k++ {
			long.Rows = append(long.Rows, layout.Row{Line: r.Line, Cells: []layout.Cell{r.Cells[0], t.Head[k], r.Cells[k]}})
		}
	}
	return long, judged
}

// exposureKind is what a heading is by its form; "" for a bare number and anything else.
func exposureKind(text string) string {
	lower := strings.ToLower(strings.TrimSpace(text))
	digit := func(s string) bool {
		s = strings.TrimSpace(s)
		return s != "" && (s[0] >= '0' && s[0] <= '9' || s[0] == '-')
	}
	for lead, kind := range map[string]string{"f/": "aperture", "f:": "aperture", "f": "aperture", "1:": "aperture",
		"ev": "ev", "lv": "ev", "iso": "index", "asa": "index", "ei": "index"} {
		if rest, ok := strings.CutPrefix(lower, lead); ok && digit(rest) {
			return kind
		}
	}
	if c, err := forms.Time(text, 1); err == nil && !c.Blank && digit(lower) && (strings.Contains(lower, "1/") ||
		strings.ContainsAny(lower, `s"m`)) {
		return "time"
	}
	return ""
}

// exposureWord is the quantity that a word names.
func exposureWord(text string) string {
	words, unit := layout.Heading(text)
	words = " " + words + " " + unit + " "
	best, longest := "", 0
	for _, c := range exposureColumns {
		for _, w := range c.Words {
			if len(w) == 1 && len(words) > 6 {
				continue // a letter of a title
			}
			if len(w) > longest && strings.Contains(words, " "+w+" ") {
				best, longest = c.Name, len(w)
			}
		}
	}
	return best
}

// exposureCells is what the cells of a matrix are: the quantity that is neither at the side
// nor above, told by their form where two are left.
func exposureCells(t *layout.Table, left, heads string) string {
	var open []string
	for _, name := range []string{"time", "aperture", "ev"} {
		if name != left && name != heads {
			open = append(open, name)
		}
	}
	if len(open) == 1 {
		return open[0]
	}
	count := map[string]int{}
	for _, r := range t.Rows {
		for _, c := range r.Cells[1:] {
			count[exposureKind(c.Text)]++
		}
	}
	slices.SortStableFunc(open, func(a, b string) int { return count[b] - count[a] })
	return open[0]
}
