package corrections_test

import (
	"fmt"
	"log"
	"strings"

	"example.org/actinic/reciprocity/corrections"
)

// An invented film's table of corrections; the row of 60 s has lost a digit.
func ExampleCheck() {
	rows, err := corrections.Read(strings.NewReader("metered_s,adjusted_s\n1,1\n2,2.4\n4,5.9\n8,14\n15,31\n30,74\n60,18\n120,430\n"), "slate.csv")
	if err != nil {
		log.Fatal(err)
	}
	report, err := corrections.Check(rows)
	if err != nil {
		log.Fatal(err)
	}
	for _, f := range report.Findings {
		fmt.Println(f.Confidence, "row", f.Row, f.Column, f.Printed)
	}
	// Output:
	// high row 7 adjusted_s 18
}
