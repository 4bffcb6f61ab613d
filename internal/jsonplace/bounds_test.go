package jsonplace

import (
	"fmt"
	"strings"
	"testing"
	"unicode/utf16"
)

// Characters written as \u and four digits, two of these beyond the first plane, are themselves; half a pair
// is none (RFC 8259, section 7, and the pairs of UTF-16).
func TestEscapesAtTheBounds(t *testing.T) {
	for _, r := range []rune{0, 1, 0x1f, 0x20, 0x7f, 0x80, 0x7ff, 0x800, 0xd7ff, 0xe000, 0xfffd, 0xffff, 0x10000, 0x10001, 0x103ff, 0x10400, 0x1f600, 0x10fbff, 0x10fc00, 0x10fffe, 0x10ffff} {
		written := fmt.Sprintf(`\u%04x`, r)
		if r > 0xffff {
			high, low := utf16.EncodeRune(r)
			written = fmt.Sprintf(`\u%04x\u%04X`, high, low)
		}
		n, faults := Parse([]byte(`"a` + written + `b"`))
		if len(faults) > 0 || n.Text() != "a"+string(r)+"b" {
			t.Errorf("%U: %q, %v", r, n.Text(), faults)
		}
	}
	for _, bad := range []string{`\ud800`, `\udbff`, `\udc00`, `\udfff`, `\ud800\ud800`, `\ud800\udbff`, `\ud800\ue000`, `\ud800x`, `\ud800\n`, `\udc00\ud800`, `\udc00\udc00`, `\udfff\udfff`, `\ud83d\u`, `\ud83d\ude0`, `\u12`, `\u12g4`, `\x`, `\`} {
		if _, faults := Parse([]byte(`"` + bad + `"`)); len(faults) == 0 {
			t.Errorf("%s is taken", bad)
		}
	}
	for c := range rune(0x20) {
		if _, faults := Parse([]byte(`"` + string(c) + `"`)); len(faults) == 0 {
			t.Errorf("%U is taken as it stands", c)
		}
	}
	for _, good := range []string{" ", "!", "\x7f", "é", "\U0001f600"} {
		if n, faults := Parse([]byte(`"` + good + `"`)); len(faults) > 0 || n.Text() != good {
			t.Errorf("%q: %v", good, faults)
		}
	}
}

// A name that is there twice, or in other capitals, is found among few members and among many.
func TestNamesAmongMany(t *testing.T) {
	for n := 1; n <= 2*fewMembers+2; n++ {
		var members []string
		for i := range n {
			members = append(members, fmt.Sprintf(`"member%d": %d`, i, i))
		}
		text := func(more string) string { return "{" + strings.Join(members, ", ") + more + "}" }
		if root, faults := Parse([]byte(text(""))); len(faults) > 0 || len(root.Members) != n {
			t.Fatalf("%d members: %v", n, faults)
		}
		for _, i := range []int{0, n / 2, n - 1} {
			for _, twice := range []string{fmt.Sprintf("member%d", i), fmt.Sprintf("MEMBER%d", i)} {
				if _, faults := Parse([]byte(text(fmt.Sprintf(`, %q: 1`, twice)))); len(faults) != 1 {
					t.Errorf("%d members and %s: %v", n, twice, faults)
				}
			}
		}
		for _, once := range []string{"member", "é", "É\u017f", fmt.Sprintf("member%d", n)} {
			if _, faults := Parse([]byte(text(fmt.Sprintf(`, %q: 1`, once)))); len(faults) > 0 {
				t.Errorf("%d members and %s: %v", n, once, faults)
			}
		}
		// The long s folds to s, in another number of bytes.
		if _, faults := Parse([]byte(text(`, "stop": 1, "ſtop": 2`))); len(faults) != 1 {
			t.Errorf("%d members: %v", n, faults)
		}
	}
}

// What is no UTF-8 is told from what is UTF-16, with the byte where it begins.
func TestNotText(t *testing.T) {
	for _, c := range []struct {
		content string
		at      int64
		what    string
	}{
		{"\xff\xfe{\x00", 0, "UTF-16"}, {"\xfe\xff\x00{", 0, "UTF-16"}, {"{\x00}\x00", 0, "UTF-16"}, {"\x00{\x00}", 0, "UTF-16"}, {"\xff", 0, "not UTF-8"}, {"é\xff", 2, "not UTF-8"}, {"{\"a\": \"é\ufffd\xe9\"}", 12, "not UTF-8"}, {"é\ufffd", 0, ""}, {"", 0, ""}, {"1", 0, ""}, {"\x00", 0, ""},
	} {
		at, what := notText([]byte(c.content))
		if at != c.at || !strings.HasPrefix(what, c.what) || c.what == "" && what != "" {
			t.Errorf("%q: %d, %q", c.content, at, what)
		}
	}
}
