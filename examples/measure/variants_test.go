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

// What is said of little, of exact and of late readings is what it was.
func TestLittle(t *testing.T) {
	golden.Lines(t, "", run, map[string]string{
		"two.csv": "temperature_c,time\n20,10:00\n24,6:30\n", "near.csv": "temperature_c,time\n20,10:00\n20.1,10:00\n22,9:59\n",
		"exact.csv":     "temperature_c,time\n18,12:00\n20,10:00\n22,8:20\n24,6:56.7\n",
		"gradients.csv": "temperature_c,time,gradient\n20,10:00,0.58\n24,6:30,0.6\n22,8:00,0.5\n",
		"times.csv":     "metered_s,adjusted_s\n1,1\n10,18\n", "none.csv": "metered_s,adjusted_s\n1,1\n2,2\n5,5\n10,10\n30,30\n",
		"stops.csv":   "time_s,density,stops\n1,0.6,0\n4,0.55,0\n16,0.5,0\n64,0.45,0\n",
		"density.csv": "time_s,density,log_h_lx_s,density_sd\n1,0.6,-1.2,0.02\n4,0.55,-1.2,0.02\n16,0.5,-1.2,0.02\n64,0.45,-1.2,0.03\n",
	}, "-kind temperature -film Swift -process Tarren -page OUT IN/two.csv",
		"-kind temperature -film Swift -process Tarren -json IN/near.csv",
		"-kind temperature -film Swift -process Tarren -json IN/exact.csv",
		"-kind temperature -film Swift -process Tarren -json IN/gradients.csv",
		"-kind temperature -film Swift -process Merllyn -json IN/gradients.csv",
		"-kind reciprocity -film Swift -json IN/times.csv", "-kind reciprocity -film Swift -json IN/none.csv",
		"-kind reciprocity -film Swift -process Tarren -json IN/stops.csv",
		"-kind reciprocity -film Swift -process Tarren -json IN/density.csv", "-kind reciprocity -film Ortho -json IN/stops.csv")
}
