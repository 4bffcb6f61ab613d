package forms

import (
	"fmt"
	"testing"

	"example.org/actinic/internal/held"
)

// Every whole mark of a neutral density, and the tenths about the bounds, reads as it did:
// as a density, as a factor, as a question or as none.
func TestEveryNeutralMark(t *testing.T) {
	said := held.New(t)
	var marks []string
	for n := range 21 {
		marks = append(marks, fmt.Sprint("ND ", n), fmt.Sprint("ND", n, "x"))
	}
	for _, m := range append(marks, "ND 32", "ND 64", "ND 100", "ND 128", "ND 400", "ND 512", "ND 1000", "ND 1024", "ND 4000", "ND 0.0", "ND 20.0", "ND 20.1", "ND -1", "ND 3 stops", "ND 3.5 stops") {
		f, err := Filter(m)
		if err != nil {
			said.Refused(m, err)
			continue
		}
		said.Values(m, f)
	}
}
