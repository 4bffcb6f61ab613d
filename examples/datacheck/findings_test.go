package main

import (
	"bytes"
	"errors"
	"fmt"
	"strings"
	"testing"

	"example.org/actinic/examples/internal/command"
	"example.org/actinic/internal/held"
	"example.org/actinic/sensito/datafile"
)

// A thousand findings are printed, of more the number.
func TestManyFindings(t *testing.T) {
	said := held.New(t)
	for _, n := range []int{0, 1, most, most + 1, most + 2} {
		var errs datafile.Errors
		for i := range n {
			errs = append(errs, &datafile.Error{File: "a.csv", Line: i + 1, Want: "a number"})
		}
		var out bytes.Buffer
		if err := findings(&out, "name", errs); !errors.Is(err, command.ErrFindings) {
			t.Errorf("%d: %v", n, err)
		}
		lines := strings.Split(strings.TrimSpace(out.String()), "\n")
		said.Values(fmt.Sprint(n), len(lines), strings.Join(lines[max(0, len(lines)-3):], "; "))
	}
	said.Values("films", films(0), films(1), films(2))
}
