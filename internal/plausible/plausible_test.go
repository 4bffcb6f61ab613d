package plausible

import (
	"fmt"
	"testing"

	"example.org/actinic/internal/held"
)

func ExampleName() {
	fmt.Println(Name("Quarry 100"), Name(" Quarry"))
	// Output: <nil> " Quarry", want text without spaces around it
}

func TestName(t *testing.T) {
	said := held.New(t)
	for _, bad := range []string{"", " ", " a", "a ", "a\nb", "a\tb", "a\x1fb", "a\x7fb", "a\xffb", "a\ufffdb", "\u00a0a"} {
		if err := Name(bad); !said.Refused("", err) {
			t.Errorf("%q is taken", bad)
		}
	}
	for _, good := range []string{"a", "a b", "Tarren 1+31", "é", "~", "a\u0080b"} {
		if err := Name(good); err != nil {
			t.Errorf("%q: %v", good, err)
		}
	}
	said.Values("bounds", LeastLogH, GreatestLogH, GreatestDensity, LeastIndex, GreatestIndex, LeastDevelopment, LongestDevelopment)
}
