package actinic

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"slices"
	"strings"
	"testing"
	"testing/fstest"
)

// An end of an interval that stands without the value that it belongs to is refused, or passed over where the whole may be missing: both ends
// alike, and what is read then is what is read without either.
func TestEndsGoWithTheirValues(t *testing.T) {
	const ways = 3
	tried := 0
	small := smallFS()
	for _, name := range sortedNames(small) {
		if !strings.HasSuffix(name, ".csv") {
			continue
		}
		rows := must(csv.NewReader(bytes.NewReader(small[name].Data)).ReadAll())
		for k, head := range rows[0] {
			low, high := slices.Index(rows[0], head+"_low"), slices.Index(rows[0], head+"_high")
			if low < 0 || high < 0 {
				continue
			}
			at := slices.IndexFunc(rows[1:], func(r []string) bool { return r[k] != "" && r[low] != "" }) + 1
			if at == 0 {
				continue
			}
			var told []string
			for _, end := range []int{-1, low, high} {
				changed := slices.Clone(rows)
				changed[at] = slices.Clone(rows[at])
				for _, i := range []int{k, low, high} {
					if i != end {
						changed[at][i] = ""
					}
				}
				var b bytes.Buffer
				if err := csv.NewWriter(&b).WriteAll(changed); err != nil {
					t.Fatal(err)
				}
				m := smallFS()
				m[name] = &fstest.MapFile{Data: b.Bytes()}
				seal(m)
				err := CheckPackage(m)
				if err != nil {
					told = append(told, "refused")
				} else {
					p := must(ReadPackage(m))
					told = append(told, string(must(json.Marshal(must(p.Film("Aber"))))))
				}
				tried++
			}
			if told[1] != told[2] || told[1] != "refused" && told[1] != told[0] {
				t.Errorf("%s: ends of %s without it: %.80s, %.80s; without either %.80s", name, head, told[1], told[2], told[0])
			}
		}
	}
	if tried < 3*ways {
		t.Errorf("only %d ways tried", tried)
	}
}
