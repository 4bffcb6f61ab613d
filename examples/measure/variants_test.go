package main

import (
	"os"
	"testing"

	"example.org/actinic/examples/internal/golden"
)

// What is said of the example's tables with one cell changed is what it was.
func TestVariants(t *testing.T) {
	for kind, line := range map[string]string{
		"reciprocity": "-kind reciprocity -film Swift -json IN/table.csv",
		"temperature": "-kind temperature -film Swift -process Tarren -json IN/table.csv",
		"filters":     "-kind filters -film Swift -json IN/table.csv",
	} {
		table, err := os.ReadFile("quarry/" + kind + ".csv")
		if err != nil {
			t.Fatal(err)
		}
		golden.Variants(t, kind, run, string(table), map[string]int{"reciprocity": 7, "temperature": 3, "filters": 13}[kind], line)
	}
	golden.Lines(t, "laws", run, nil,
		"-kind reciprocity -film Swift -json -law power quarry/reciprocity.csv", "-kind reciprocity -film Swift -json -law additive -sd 0.1 quarry/reciprocity.csv", "-kind temperature -film Swift -process Tarren -json -law arrhenius quarry/temperature.csv",
		"-kind temperature -film Swift -process Tarren -out OUT/new -page OUT/page -source x quarry/temperature.csv", "-kind filters -film Swift -out OUT/new -page OUT/page -source x -lose quarry/filters.csv", "-kind filters -film Swift -light A -json quarry/filters.csv")
}
