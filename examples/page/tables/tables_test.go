package tables_test

import (
	"encoding/json"
	"strings"
	"testing"

	"example.org/actinic/examples/page/tables"
	"example.org/actinic/internal/held"
)

func TestTables(t *testing.T) {
	said := held.New(t)
	for name, tc := range map[string]struct{ text, want string }{
		"reciprocity": {"metered_s,adjusted_s\n1,1\n2,2.4\n5,7.5\n10,28\n20,42\n50,130\n100,320\n", "Accused: row 4"},
		"development": {"| °C | Time (min) |\n|---|---|\n| 18 | 9½ |\n| 19 | 8¾ |\n| 20 | 8 |\n| 21 | 7¼ |\n| 22 | 6½ |\n| 23 | 6 |\n| 24 | 15½ |\n| 25 | 5 |\n", "row 7"},
		"filters":     {"filter,factor\n8,2\n15,2.5\n21,3\n25,8\n29,160\n", "Kind: filters"},
		"kind":        {"# kind: tablet\nstep,density\n1,0.05\n", "this page checks"},
		"nothing":     {"", "nothing.csv"},
	} {
		a := tables.Answer(map[string][]byte{name + ".csv": []byte(tc.text)})
		b := string(a.JSON())
		said.Values(name, b)
		if !json.Valid([]byte(b)) || !strings.Contains(b, tc.want) {
			t.Errorf("%s lacks %q: %s", name, tc.want, b)
		}
	}
}

func FuzzAnswer(f *testing.F) {
	f.Add("metered_s,adjusted_s\n1,1\n2,2.4\n5,7.5\n10,28\n")
	f.Add("filter,factor\n8,2\n25,8\n")
	f.Fuzz(func(t *testing.T, text string) {
		a := tables.Answer(map[string][]byte{"a.csv": []byte(text)})
		if b := a.JSON(); !json.Valid(b) || strings.Contains(string(b), "cannot be written") {
			t.Errorf("%s", b)
		}
	})
}
