package jsonplace

import (
	"encoding/json"
	"fmt"
	"reflect"
	"strings"
	"testing"
)

// plain is a node as encoding/json would have it.
func plain(n *Node) any {
	switch n.Kind {
	case '{':
		m := map[string]any{}
		for _, x := range n.Members {
			m[x.Name] = plain(x.Value)
		}
		return m
	case '[':
		out := []any{}
		for _, x := range n.Items {
			out = append(out, plain(x))
		}
		return out
	}
	return n.Scalar
}

func TestFaults(t *testing.T) {
	for _, c := range []struct {
		name, content string
		at            int64
		want          string
	}{
		{"a name twice", `{"a":1,"a":2}`, 7, "each member once"},
		{"a name in two spellings", `{"path":1,"Path":2}`, 10, `no name that differs from "path" in capitals only`},
		{"spelt with a sign that folds to a letter", `{"k":1,"` + "\u212a" + `":2}`, 7, `no name that differs from "k" in capitals only`},
		{"twice further down", `[{"x":{"a":1,"b":2,"a":3}}]`, 19, "each member once"},
		{"bytes that are no text", "{\"a\":\"Fil\xffms\"}", 9, "not UTF-8 text; save the file in UTF-8"},
		{"UTF-16", "\xff\xfe{\x00}\x00", 0, "UTF-16; save the file in UTF-8"},
		{"UTF-16 without a mark", "{\x00}\x00", 0, "UTF-16; save the file in UTF-8"},
		{"half a character", `["\ud800"]`, 2, "half a character (a lone surrogate)"},
		{"the other half", `["\udc00"]`, 2, "half a character (a lone surrogate)"},
		{"two first halves", `["\ud800\ud800"]`, 2, "half a character (a lone surrogate)"},
		{"nothing", "", 0, "the file ends too soon"},
		{"cut off", `{"a":[1,`, 8, "the file ends too soon"},
		{"cut off in a text", `{"a`, 3, "the file ends too soon"},
		{"cut off in an escape", `"\`, 2, "the file ends too soon"},
		{"two values", "{} {}", 3, "something follows the value"},
		{"a comma too many", "[1,]", 3, "']' where a value is expected"},
		{"a comma too few", "[1 2]", 3, "'2' where a comma or ] is expected"},
		{"a control character", "[\"\x1b\"]", 2, `a control character in a text; write it as \u001b`},
		{"a name without marks", "{film:1}", 1, "'f' where a name in quotation marks is expected"},
		{"a leading zero", "[01]", 2, "'1' where a comma or ] is expected"},
		{"a hexadecimal number", "[0x10]", 2, "'x' where a comma or ] is expected"},
		{"no number", "[-]", 2, "']' where a digit is expected"},
		{"NaN", "[NaN]", 1, "'N' where a value is expected"},
		{"too large", "[1e400]", 1, "a number beyond all measure"},
		{"too deep", strings.Repeat("[", 200), 101, "nested too deep, more than 100"},
		{"objects too deep", strings.Repeat(`{"a":`, 200), 505, "nested too deep, more than 100"},
		{"both too deep", strings.Repeat(`[{"a":`, 200), 301, "nested too deep, more than 100"},
		{"too many", "[" + strings.Repeat("1,", Most) + "1]", 2*Most - 1, "more than 1000000 values"},
	} {
		_, faults := Parse([]byte(c.content))
		if len(faults) != 1 || faults[0].Offset != c.at || faults[0].What != c.want || faults[0].Error() != c.want {
			t.Errorf("%s: %d faults", c.name, len(faults))
			for _, f := range faults {
				t.Errorf("  at %d: %s; want at %d: %s", f.Offset, f.What, c.at, c.want)
			}
		}
	}
}

func TestWholeNumbers(t *testing.T) {
	for text, want := range map[string]int64{"97": 97, "97.0": 97, "9.7e1": 97, "-0": 0, "9007199254740992": 1 << 53, "-9007199254740992": -1 << 53} {
		n, _ := Parse([]byte(text))
		if v, ok := n.Whole(); !ok || v != want {
			t.Errorf("%s: %d, %v", text, v, ok)
		}
	}
	for _, text := range []string{"97.5", "1e25", `"97"`, "null", "{}", "9007199254740994", "-9007199254740994"} {
		n, _ := Parse([]byte(text))
		if v, ok := n.Whole(); ok || v != 0 {
			t.Errorf("%s is taken as %d", text, v)
		}
	}
}

func TestPlaces(t *testing.T) {
	content := "\ufeff { \"a\" : [ 1 , \"x\\u00e9\\ud83d\\ude00\" ] , \"b\":{} }"
	n, faults := Parse([]byte(content))
	if len(faults) > 0 {
		t.Fatal(faults[0])
	}
	list := n.Get("a")
	for _, c := range []struct {
		n    *Node
		want string
	}{{list, `[ 1 , "x\u00e9\ud83d\ude00" ]`}, {list.Items[0], "1"}, {n.Get("b"), "{}"}} {
		if got := content[c.n.Offset:c.n.End]; got != c.want {
			t.Errorf("%q, want %q", got, c.want)
		}
	}
	if got := list.Items[1].Text(); got != "xé😀" {
		t.Errorf("%q", got)
	}
	if n.Get("c").Text() != "" || n.Get("c").Values() != nil || n.Get("c").Has("d") || n.Get("c").Plain() != "" {
		t.Error("what is not there is something")
	}
}

// What is read without a fault, encoding/json reads as the same.
func FuzzParse(f *testing.F) {
	f.Add(`{"a":[1,-2.5e3,true,null,"x\u00e9\\"],"b":{}}`)
	f.Add("\ufeff[ ]")
	f.Add(`{"a":1,"A":2}`)
	f.Fuzz(func(t *testing.T, content string) {
		n, faults := Parse([]byte(content))
		if len(faults) > 0 {
			for _, x := range faults {
				if x.Offset < 0 || x.Offset > int64(len(content)) {
					t.Fatalf("a fault at %d of %d", x.Offset, len(content))
				}
			}
			return
		}
		var want any
		if err := json.Unmarshal([]byte(strings.TrimPrefix(content, "\ufeff")), &want); err != nil {
			t.Fatalf("read %q, which encoding/json refuses: %v", content, err)
		}
		if got := plain(n); !reflect.DeepEqual(got, want) {
			t.Fatalf("%q is %v, want %v", content, got, want)
		}
	})
}

// What a value is asked for that it is not, or that is not there, is nothing.
func TestWhatItIsNot(t *testing.T) {
	for text, want := range map[string]struct {
		plain, texts string
		number, text bool
		values       int
	}{
		"": {"", "[]", false, false, 0}, "null": {"null", "[]", false, false, 0}, "true": {"true", "[]", false, false, 0}, "1.5": {"1.5", "[]", true, false, 0}, `"x"`: {"x", "[x]", false, true, 0}, `""`: {"", "[]", false, true, 0},
		"{}": {"{…}", "[]", false, false, 0}, `{"a": 1}`: {"{…}", "[]", false, false, 0}, `["x", 1, "y"]`: {"[…]", "[x  y]", false, false, 3}, "[]": {"[…]", "[]", false, false, 0},
	} {
		n, _ := Parse([]byte(text)) // nil for nothing
		v, number := n.Number()
		_, isText := n.IsText()
		if n.Plain() != want.plain || fmt.Sprint(n.Texts()) != want.texts || number != want.number || (v == v) != number || isText != want.text || len(n.Values()) != want.values {
			t.Errorf("%q: %q %v %v %v %v", text, n.Plain(), n.Texts(), v, isText, n.Values())
		}
		if n.Text() != "" && !isText || n.Has("b") || n.Get("b") != nil || n.Has("a") != (text == `{"a": 1}`) {
			t.Errorf("%q: %q", text, n.Text())
		}
		at := &Node{Offset: 7}
		if got := n.Or(at); n == nil && got != 7 || n != nil && got != n.Offset {
			t.Errorf("%q is at %d", text, got)
		}
	}
	for _, open := range []string{"[", `{"a":`} {
		closing := map[string]string{"[": "]", `{"a":`: "}"}[open]
		deepest := strings.Repeat(open, Deepest+1)
		if _, faults := Parse([]byte(deepest + "1" + strings.Repeat(closing, Deepest+1))); len(faults) > 0 {
			t.Errorf("%s: %v", open, faults)
		}
	}
}
