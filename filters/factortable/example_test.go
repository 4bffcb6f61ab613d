package factortable_test

import (
	"fmt"
	"log"
	"strings"

	"example.org/actinic/filters/factortable"
	"example.org/actinic/spectral"
)

// An invented table of factors for a panchromatic film in daylight: the red filter has
// its stops in place of its factor.
func ExampleCheck() {
	rows, err := factortable.Read(strings.NewReader("filter,factor\n8,1.5\n15,2\n25,3\n21,2.5\n29,13\n"), "factors.csv")
	if err != nil {
		log.Fatal(err)
	}
	report, err := factortable.Check(spectral.Generic(spectral.Panchromatic), spectral.D55.Light(), rows)
	if err != nil {
		log.Fatal(err)
	}
	for _, f := range report.Findings {
		fmt.Println(f.Confidence, "row", f.Row, f.Printed, f.Slip)
	}
	// Output:
	// high row 3 3 stops for a factor
	// low row 4 2.5
}
