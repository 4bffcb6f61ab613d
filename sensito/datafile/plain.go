package datafile

import (
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"
)

// longest is how many bytes of what was read a message repeats.
const longest = 200

// short cuts a text that is too long to be repeated, and says how long it was. The text
// that it returns holds on to nothing else.
func short(s string) string {
	if len(s) <= longest+40 { // what was cut once is not cut again
		return strings.Clone(s)
	}
	cut := longest
	for cut > 0 && !utf8.RuneStart(s[cut]) {
		cut--
	}
	return fmt.Sprintf("%s… (%d bytes)", s[:cut], len(s))
}

// Plain returns a text in which nothing commands a terminal: control characters but for
// tab and line feed, and signs that turn the direction of writing or are not seen, are
// written as \u and four digits, as JSON reads them.
func Plain(s string) string {
	if strings.IndexFunc(s, commands) < 0 {
		return s
	}
	var b strings.Builder
	for i, c := range s {
		if commands(c) {
			fmt.Fprintf(&b, `\u%04x`, c)
			continue
		}
		_, size := utf8.DecodeRuneInString(s[i:]) // bytes that are no text stay as they are
		b.WriteString(s[i : i+size])
	}
	return b.String()
}

func commands(c rune) bool {
	return unicode.IsControl(c) && c != '\t' && c != '\n' ||
		c == '\u2028' || c == '\u2029' || c >= '\u200e' && c <= '\u200f' || c >= '\u202a' && c <= '\u202e' || c >= '\u2066' && c <= '\u2069'
}

// Formula reports whether a spreadsheet would run a text as a formula: it begins with one
// of = + - @, or with a tab or a carriage return, and is no number.
func Formula(s string) bool {
	if s == "" || strings.IndexByte("=+-@\t\r", s[0]) < 0 {
		return false
	}
	_, number := ParseNumber(s)
	return !number
}

// Defused returns a text that no spreadsheet runs: an apostrophe goes before one that
// [Formula] reports. It is for tables that people open; data that programs read stay as
// they are.
func Defused(s string) string {
	if Formula(s) {
		return "'" + s
	}
	return s
}
