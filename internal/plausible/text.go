package plausible

import (
	"fmt"
	"strings"
)

// Name refuses what would not survive a table: nothing, spaces around it, more than
// one line, other control characters, what was no UTF-8.
func Name(s string) error {
	switch {
	case strings.TrimSpace(s) != s || s == "":
		return fmt.Errorf("%q, want text without spaces around it", s)
	case strings.ContainsFunc(s, func(r rune) bool { return r < ' ' || r == 0x7f || r == '\ufffd' }):
		return fmt.Errorf("%q, want plain text on one line", s)
	}
	return nil
}
