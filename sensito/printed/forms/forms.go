// Package forms reads cells of printed tables in the forms that authors type them: times,
// exposure times, stops, exposure indexes, temperatures, dilutions, factors and filters,
// with ranges, fractions, units, footnote marks and signs for "nothing printed".
//
// Two things are never done. A sign is never dropped: where +1 could be a push of one stop
// or the number 1, it is asked. And what has two readings in print, such as the dilution
// 1:31, is a [Question] with both of them, unless the caller says which is meant.
//
// The forms are common practice, no source.
package forms

import (
	"errors"
	"fmt"
	"math"
	"strings"
	"unicode/utf8"

	"example.org/actinic/internal/check"
)

// ErrForm is wrapped by every error about a cell.
var ErrForm = check.Sentinel("forms: a cell that cannot be read")

// ErrAmbiguous is wrapped, beside [ErrForm], by a [Question].
var ErrAmbiguous = check.Sentinel("forms: a cell with two readings")

// Cell is what a printed cell says.
type Cell struct {
	Text string // as printed, trimmed
	// Value is the number, Low and High the ends where a range is printed, and the number
	// itself otherwise. The value of a range is the middle of it.
	Value, Low, High float64
	// Unit is the unit that the cell itself names: "s", "min", "h", "stops", "factor",
	// "°C", "°F", "ISO", "°" or "".
	Unit string
	// Blank says that nothing is printed: an empty cell, a dash, N/A.
	Blank bool
	// About says that the number is marked as rough, by ~ or "about".
	About bool
	// Mark is a footnote mark, and Note a remark such as N+1.
	Mark, Note string
}

// Range tells whether the cell prints a range.
func (c Cell) Range() bool { return c.Low < c.High }

func (c *Cell) set(v float64) { c.Value, c.Low, c.High = v, v, v }

func (c *Cell) scale(k float64) { c.Value, c.Low, c.High = c.Value*k, c.Low*k, c.High*k }

// Question is a cell that has more than one reading in print.
type Question struct {
	Text     string
	Readings []string // the readings, in the order of how common they are
	How      string   // how to say which
}

// Error asks.
func (q *Question) Error() string {
	return fmt.Sprintf("%q may be %s: %s", q.Text, strings.Join(q.Readings, ", or "), q.How)
}

// Unwrap returns [ErrForm] and [ErrAmbiguous].
func (q *Question) Unwrap() []error { return []error{ErrForm, ErrAmbiguous} }

// Wanted is what an error of this package asks for, for a message that quotes the cell by
// itself. A [Question], and any other error, is given whole.
func Wanted(err error) string {
	var unread *unreadable
	if errors.As(err, &unread) {
		return unread.want
	}
	return err.Error()
}

// unreadable is a cell that has none of the forms.
type unreadable struct{ text, want string }

func (u *unreadable) Error() string {
	return fmt.Sprintf("%v: %q: want %s", ErrForm, short(u.text), u.want)
}

func (u *unreadable) Unwrap() error { return ErrForm }

func bad(text, want string) error {
	return &unreadable{text, want}
}

// short keeps an error to a line.
func short(text string) string {
	if len(text) <= 64 {
		return text
	}
	cut := 64
	for cut > 0 && !utf8.RuneStart(text[cut]) {
		cut--
	}
	return text[:cut] + "..."
}

// longest is the number of bytes that no cell of a printed table has.
const longest = 200

var plainSigns = strings.NewReplacer(
	"\u00a0", " ", "\u2009", " ", "\u202f", " ", "\u2007", " ", "\u2212", "-", "\u2044", "/", "\u2032", "'", "\u2019", "'", "\u2033", `"`, "\u201d", `"`, "''", `"`,
	"\u2010", "-", "\u2011", "-", "º", "°", "˚", "°", "℃", "°C", "℉", "°F", "−", "-", "✕", "×", "·", ".",
)

const footnotes = "*†‡§¶#¹²³⁴⁵⁶⁷⁸⁹⁰ᵃᵇᶜᵈ"

// open takes off what stands about a cell: white space, footnote marks, and what says
// "about". A cell with nothing else is blank.
func open(text string) (c Cell, body string, err error) {
	c.Text = strings.TrimSpace(text)
	if len(c.Text) > longest {
		return c, "", bad(c.Text, "a cell of a printed table, which is shorter")
	}
	if !utf8.ValidString(c.Text) {
		return c, "", bad(c.Text, "UTF-8 text")
	}
	body = strings.TrimSpace(plainSigns.Replace(c.Text))
	for body != "" {
		r, n := utf8.DecodeLastRuneInString(body)
		switch {
		case strings.ContainsRune(footnotes, r) && body != "*":
			c.Mark = string(r) + c.Mark
			body = strings.TrimSpace(body[:len(body)-n])
			continue
		case r == ')' || r == ']':
			at := strings.LastIndexAny(body, "([")
			if at >= 0 && len(body)-at == 3 && (body[at+1] >= 'a' && body[at+1] <= 'z' || r == ']' && body[at+1] >= '0' && body[at+1] <= '9') {
				c.Mark = body[at+1:at+2] + c.Mark
				body = strings.TrimSpace(body[:at])
				continue
			}
		}
		break
	}
	for _, word := range []string{"~", "≈", "about ", "approx. ", "approximately ", "approx ", "circa ", "ca. ", "ca ", "c. "} {
		if len(body) > len(word) && strings.EqualFold(body[:len(word)], word) {
			c.About = true
			body = strings.TrimSpace(body[len(word):])
			break
		}
	}
	switch strings.ToLower(body) {
	case "", "-", "--", "---", "–", "—", "n/a", "na", "n.a.", "n/r", "nr", "...", "…", "./.", "none", "nil", "?", "*":
		c.Blank = true
		c.set(math.NaN())
	}
	return c, body, nil
}

// span cuts a range into its ends: "8-10", "8–10", "8 to 10".
func span(body string) (low, high string, ok bool) {
	for _, sign := range []string{"–", "—", " to ", " - ", "...", "…"} {
		if a, b, ok := strings.Cut(body, sign); ok && strings.TrimSpace(a) != "" && strings.TrimSpace(b) != "" {
			return strings.TrimSpace(a), strings.TrimSpace(b), true
		}
	}
	at := strings.IndexByte(body[min(1, len(body)):], '-') + 1
	if at < 1 || at == len(body)-1 {
		return "", "", false
	}
	return strings.TrimSpace(body[:at]), strings.TrimSpace(body[at+1:]), true
}

// between reads a body as one value, or as a range of two. read says the value, its unit,
// and whether it could be read. The unit of the upper end holds for both where the lower
// has none.
func between(c *Cell, body string, read func(s string) (v float64, unit string, ok bool)) bool {
	if v, unit, ok := read(body); ok {
		c.Unit = unit
		c.set(v)
		return true
	}
	a, b, ok := span(body)
	if !ok {
		return false
	}
	high, unit, ok := read(b)
	if !ok {
		return false
	}
	low, lowUnit, ok := read(a)
	if ok && lowUnit != unit {
		if lowUnit != "" {
			return false
		}
		low, _, ok = read(a + " " + unit)
	}
	if !ok || !(low < high) {
		return false
	}
	c.Unit, c.Low, c.High, c.Value = unit, low, high, (low+high)/2
	return true
}
