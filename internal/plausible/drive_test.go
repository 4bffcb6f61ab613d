package plausible_test

import (
	"strings"
	"testing"

	"example.org/actinic/internal/held"
	"example.org/actinic/internal/plausible"
)

// Which names are taken is held to what it was.
func TestDrive(t *testing.T) {
	pool := []any{"a name", "", " ", " a", "a ", "a\tb", "a\nb", "\xff", "\ufffd", "é", "𝒳"}
	for _, r := range []rune{0x1f, 0x20, 0x21, 0x7e, 0x7f, 0x80, 0x81, 0x9e, 0x9f, 0xa0, 0xa1, 0xad, 0x200b, 0x200e, 0x200f, 0x2027, 0x2028, 0x2029, 0x202a, 0x202e, 0x202f, 0x2065, 0x2066, 0x2069, 0x206a, 0xfeff, 0xe000, 0x10ffff} {
		pool = append(pool, "x"+string(r)+"y")
	}
	for _, n := range []int{63, 64, 65, 79, 80, 81, 99, 100, 101, 119, 120, 121, 127, 128, 129, 199, 200, 201, 255, 256, 257, 299, 300, 301, 499, 500, 501, 999, 1000, 1001} {
		pool = append(pool, strings.Repeat("x", n), strings.Repeat("é", n))
	}
	held.New(t).Drive([]any{plausible.Name}, pool...)
}

// The bounds themselves; they are ours, judged by what no tester can have meant.
func TestBounds(t *testing.T) {
	held.New(t).Values("bounds", plausible.LeastLogH, plausible.GreatestLogH, plausible.GreatestDensity, plausible.LeastIndex, plausible.GreatestIndex,
		plausible.LeastDevelopment, plausible.LongestDevelopment)
}
