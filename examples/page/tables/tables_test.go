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

// Tables that are too short or too odd to be held against anything, each kind, and many faults at once.
func TestOddTables(t *testing.T) {
	said := held.New(t)
	many := "metered_s,adjusted_s\n" + strings.Repeat("x,y\n", 15)
	for name, text := range map[string]string{
		"one correction": "metered_s,adjusted_s\n1,1\n", "two corrections": "metered_s,adjusted_s\n1,1\n2,3\n",
		"corrections at one time":  "metered_s,adjusted_s\n1,1\n1,2\n1,3\n",
		"one time":                 "# kind: development\nTemperature,Time\n20 °C,8\n",
		"two times":                "# kind: development\nTemperature,Time\n20 °C,8\n24 °C,5\n",
		"times of one temperature": "# kind: development\nTemperature,Time\n20 °C,8\n20 °C,9\n20 °C,8\n",
		"one filter":               "filter,factor\n8,2\n", "unknown filters": "filter,factor\nq,2\nw,3\n",
		"the same filter": "filter,factor\n8,2\n8,90\n", "filters by kind": "# kind: filters\nname,factor\n8,2\n25,8\n",
		"no factor":         "filter,colour\n8,yellow\n",
		"wrong reciprocity": "# kind: reciprocity\na,b\n1,2\n", "wrong development": "# kind: development\na,b\n1,2\n",
		"wrong filters": "# kind: filters\na,b\n1,2\n", "many faults": many,
		"two of one row": "metered_s,adjusted_s\n1,1\n2,2.4\n5,7.5\n10,2.8\n20,42\n50,130\n100,320\n",
	} {
		a := tables.Answer(map[string][]byte{"folder/" + name + ".csv": []byte(text)})
		said.Values(name, string(a.JSON()))
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
