package factortable

import (
	"fmt"
	"strings"
	"testing"
)

func TestTablesAsTyped(t *testing.T) {
	for _, c := range []struct{ name, content, want string }{
		{"factors", "Filter,Factor\n8 yellow,2×\n#25,x8\nNo. 15,2 1/2\n25A,8-9\n", "8 yellow 2; 25 red 8; 15 deep yellow 2.5; 25A 8.5"},
		{"stops in the heading", "Filter,Increase (stops)\n8,+1\n25,+3\n15,+1⅓\n", "8 yellow 2; 25 red 8; 15 deep yellow 2.51984"},
		{"stops in the cells", "Filter,Factor\n8,+1 stop\n25,3 stops\n", "8 yellow 2; 25 red 8"},
		{"neutral", "Filter,Factor\nND 0.9,8\nND8,8\n0.9 ND,8\nND 3 stops,8\n", "ND 0.9 8; ND8 8; 0.9 ND 8; ND 3 stops 8"},
		{"not printed", "Filter,Factor\n8,2\n25,-\n", "8 yellow 2"},
	} {
		rows, err := Read(strings.NewReader(c.content), "t")
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		var out []string
		for _, r := range rows {
			out = append(out, fmt.Sprintf("%s %.6g", r.Filter.Name(), r.Factor))
		}
		if got := strings.Join(out, "; "); got != c.want {
			t.Errorf("%s: %s, want %s", c.name, got, c.want)
		}
	}
	for _, c := range []struct{ content, want string }{
		{"filter,factor\n8,+1\n25,+3\n", `"+1" may be +1 stops, a factor of 2, or a factor of 1`},
		{"filter,factor\nND3,8\n", `"ND3" may be density 3.0, or a factor of 3`},
		{"filter,factor\nyellow,2\n", "filter"},
	} {
		_, err := Read(strings.NewReader(c.content), "t")
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%q: %v, want %s", c.content, err, c.want)
		}
	}
}
