package jsonplace

import (
	"strings"
	"testing"

	"example.org/actinic/internal/held"
)

// What texts with one sign gone, doubled or exchanged are read as, and what is wrong with them, is held to what it was.
func TestDrive(t *testing.T) {
	read := func(text []byte) (all []string, at []int64) {
		root, faults := Parse(text)
		for _, f := range faults {
			all, at = append(all, f.Error(), f.Name), append(at, f.Offset)
		}
		var walk func(n *Node)
		walk = func(n *Node) {
			all, at = append(all, n.Plain(), n.Text(), strings.Join(n.Texts(), "|")), append(at, n.Offset, n.End)
			if v, ok := n.Number(); ok {
				at = append(at, int64(v*1000))
			}
			if v, ok := n.Whole(); ok {
				at = append(at, v)
			}
			if s, ok := n.IsText(); ok {
				all = append(all, s)
			}
			for _, m := range n.Members {
				all, at = append(all, m.Name), append(at, m.At)
				walk(m.Value)
			}
			for _, v := range n.Values() {
				at = append(at, v.Offset)
			}
			for _, i := range n.Items {
				walk(i)
			}
		}
		if root != nil {
			walk(root)
			at = append(at, root.Get("a").Or(root))
			if root.Has("b") {
				all = append(all, "has b")
			}
		}
		return all, at
	}
	var pool []any
	for _, text := range []string{
		` {"a": [1, -2.5e+3, true, null], "b": {"c": "x\n\u00e4\ud83d\ude00\"\\\/"}, "d": ""} `,
		`[0, 10, 0.5, 1E2, 9007199254740992, 9007199254740993, 1.0, false]`,
	} {
		for i := range len(text) + 1 {
			pool = append(pool, []byte(text[:i]))
			if i < len(text) {
				pool = append(pool, []byte(text[:i]+text[i+1:]), []byte(text[:i]+text[i:i+1]+text[i:]), []byte(text[:i]+"}"+text[i+1:]), []byte(text[:i]+"0"+text[i+1:]))
			}
		}
	}
	for _, n := range []int{Deepest - 1, Deepest, Deepest + 1} {
		pool = append(pool, []byte(strings.Repeat("[", n)+strings.Repeat("]", n)))
	}
	for _, text := range []string{"\xef\xbb\xbf{}", "\"\x1f\"", "\"\x20\"", "\"\x7f\"", `"\ud800\udc00"`, `"\udbff\udfff"`, `"\ud7ff"`, `"\udc00"`, `"\ue000"`, `"\ud800\u0041"`, `{"a":1,"A":2}`, `{"a":1,"a":2,"A":3}`, `"\u00zz"`, `"\x"`, "-", "-a", "1.", "1.e", "1e", "1e+", "01", "+1", ".5", "1e309", "-1e309", "\x00{}", "{\x00", "\xfe\xff", "\xff\xfe", "\"\xc3\"", "\"\xe4\"", "nul", "nulll", "tru e", `{"a" 1}`, `{1:2}`, `{"a":}`, `[,1]`, "\t\r\n 1", "1 1", "{} x"} {
		pool = append(pool, []byte(text))
	}
	held.New(t).Drive([]any{read}, pool...)
}
