package datafile_test

import (
	"fmt"
	"strings"

	"example.org/actinic/sensito/datafile"
)

// A table of a person's own with a number that cannot be: the reader says where.
func ExampleRead() {
	t := datafile.Read(strings.NewReader("frame,density\n1,0.42\n2,\"0,47\"\n"), "frames.csv", []string{"frame", "density"}, nil)
	for _, r := range t.Rows {
		if d, ok := t.Number(r, "density", "a density"); ok {
			fmt.Println(t.Text(r, "frame"), d)
		}
	}
	fmt.Println(t.Errs.Err())
	// Output:
	// 1 0.42
	// frames.csv:3:3: density: read "0,47", want a density; write a decimal point, not a comma
}
