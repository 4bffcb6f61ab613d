package main

import (
	"io"
	"strings"
	"testing"
	"time"

	"example.org/actinic/examples/internal/golden"
)

// What is said of tables of every kind with one cell changed is what it was.
func TestVariants(t *testing.T) {
	for kind, table := range map[string]string{
		"reciprocity": "metered_s,adjusted_s\n1,1\n2,2.4\n5,7.5\n10,17\n20,42\n50,130\n100,320\n",
		"development": "ei,temperature_c,time\n100,20,8\n200,20,10.5\n400,20,13.5\n100,24,5.75\n200,24,7.5\n400,24,9.75\n",
		"filters":     "filter,factor\n8,2\n15,2.5\n21,3\n25,8\n",
		"speed":       "speed,degrees\n100,21\n125,22\n160,23\n200,24\n400,27\n",
		"nd":          "Density,Factor,Stops\n0.3,2,1\n0.6,4,2\n0.9,8,3\n",
		"tablet":      "Step,Density\n1,0.05\n2,0.20\n3,0.35\n4,0.51\n5,0.65\n6,0.79\n",
	} {
		golden.Variants(t, kind, run, table, 3, "-kind "+kind+" IN/table.csv")
	}
	golden.Lines(t, "lines", run,
		map[string]string{"known.csv": "file,row,column,printed,reason\nt.csv,4,adjusted_s,28,as printed\n",
			"old.csv": "file,row,column,printed,reason\nt.csv,4,adjusted_s,27,as printed\nt.csv,5,adjusted_s,42,not found\n",
			"t.csv":   "metered_s,adjusted_s\n1,1\n2,2.4\n5,7.5\n10,28\n20,42\n50,130\n",
			"m.md":    "| °C | Time (min) |\n|---|---|\n| 18 | 9½ |\n| 20 | 8 |\n| 22 | 6½ |\n| 24 | 15½ |\n"},
		"-kind reciprocity -out OUT IN/t.csv", "-kind reciprocity -json IN/t.csv", "-kind development -out OUT IN/m.md",
		"-kind development -json IN/m.md", "IN/t.csv", "IN/t.csv IN/m.md", "-kind development IN/t.csv",
		"-kind reciprocity -accepted IN/known.csv IN/t.csv", "-kind reciprocity -accepted IN/old.csv IN/t.csv",
		"-kind reciprocity -accepted IN/known.csv -json IN/t.csv", "-kind reciprocity -accepted IN/known.csv -sarif IN/t.csv",
		"-kind reciprocity -fail-on accused IN/t.csv", "-kind reciprocity -suggest IN/t.csv",
		"-kind development -suggest IN/m.md", "-sarif IN/t.csv IN/m.md")
}

// Tests say nothing of how far they are, on a slow machine either; who waits is told.
func init() { patience = time.Hour }

func TestHowFar(t *testing.T) {
	defer func(was time.Duration) { patience = was }(patience)
	patience = -1
	var said strings.Builder
	if err := run(strings.Fields("testdata/times.csv testdata/times.csv testdata/times.csv"), io.Discard, &said); err != nil {
		t.Fatal(err)
	}
	if want := "tablecheck: 1 of 3 files\ntablecheck: 2 of 3 files\n"; said.String() != want {
		t.Errorf("%q, want %q", said.String(), want)
	}
}
