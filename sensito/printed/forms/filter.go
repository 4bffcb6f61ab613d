package forms

import (
	"fmt"
	"math"
	"strings"
)

// FilterName is how a table names a filter: by a name or number of a catalogue, or as
// neutral with a density.
type FilterName struct {
	Text    string
	Name    string  // number, letter and colour without No. and #; "" for a neutral one
	Density float64 // of a neutral one: -log10 of its transmittance
	Neutral bool
	Blank   bool
}

// Filter reads the name of a filter: 25, 25A, No. 25, #25, 8 yellow, Yellow; and neutral
// ones by density (ND 0.9, 0.9 ND, ND 3.0), by factor (ND8, ND 1000: whole numbers), or in
// stops (ND 3 stops). The density of a factor F is log10 F; the marks 8, 64 and the like
// stand for powers of 2 as they are.
//
// Errors: [ErrForm]; a [Question] for ND 1, 3, 5 and 6, which makers use for densities
// and nobody for factors.
func Filter(text string) (FilterName, error) {
	c, body, err := open(text)
	if err != nil || c.Blank {
		return FilterName{Text: c.Text, Blank: c.Blank}, err
	}
	f := FilterName{Text: c.Text}
	mark, neutral := cutLead(body, "ND×", "NDx", "ND", "neutral density", "neutral")
	if !neutral {
		mark, neutral = cutWord(body, " ND", "ND")
		neutral = neutral && mark != "" && (digits(mark, 0) > 0 || mark[0] == '.')
	}
	if !neutral {
		f.Name, _ = cutLead(body, "No. ", "No.", "no ", "nr. ", "nr ", "№ ", "№", "# ", "#", "filter ")
		if f.Name == "" {
			return f, bad(c.Text, "a filter such as 25, 8 yellow, ND 0.9 or ND8")
		}
		return f, nil
	}
	mark = strings.TrimSpace(strings.TrimLeft(mark, "-. "))
	if strings.HasPrefix(strings.TrimSpace(body[min(2, len(body)):]), ".") {
		mark = "0." + mark
	}
	f.Neutral = true
	if stops, ok := cutWord(mark, stopWords...); ok {
		v, ok := bare(stops)
		if !ok || !(v > 0 && v <= 30) {
			return f, bad(c.Text, "stops such as ND 3 stops")
		}
		f.Density = v * math.Log10(2)
		return f, nil
	}
	mark, times := cutWord(mark, "×", "x")
	v, rest, whole, ok := cutDecimal(mark)
	if !ok || rest != "" || !(v >= 0) {
		return f, bad(c.Text, "a neutral density such as ND 0.9, or a factor such as ND8")
	}
	switch {
	case !whole && v <= 20 || v == 0:
		f.Density = v
	case whole && !times && (v == 1 || v == 3 || v == 5 || v == 6):
		return f, &Question{c.Text, []string{fmt.Sprintf("density %.1f", v), fmt.Sprintf("a factor of %g", v)},
			fmt.Sprintf("write ND %.1f or ND%gx", v, v)}
	case whole && factorMark(v):
		f.Density = math.Log10(v)
	default:
		return f, bad(c.Text, "a neutral density such as ND 0.9, or a factor such as ND8")
	}
	return f, nil
}

// factorMark tells whether neutral filters are marked by a whole number as a factor:
// powers of 2, and 10, 100, 400, 500 and the like.
func factorMark(v float64) bool {
	if !(v >= 2 && v <= 1e12) {
		return false
	}
	k := math.Log2(v)
	decade := math.Pow(10, math.Floor(math.Log10(v)+1e-12))
	return k == math.Round(k) || v >= 10 && math.Abs(v/decade-math.Round(v/decade)) < 1e-9
}
