package main

import (
	"testing"

	"example.org/actinic/examples/internal/golden"
)

// What the program prints and writes is what it was.
func TestPrints(t *testing.T) {
	golden.Run(t, "shipped", run, "-out", "OUT")
	golden.Run(t, "json", run, "-json")
	golden.Run(t, "help", run, "-h")
}

// The README shows what the program draws.
func TestPicture(t *testing.T) {
	golden.Picture(t, "finding", "times.png", run, "-kind", "reciprocity", "testdata/times.csv")
}

// What cannot be done is refused with a sentence, and nothing is written.
func TestRefusesLines(t *testing.T) {
	golden.Refuses(t, run, map[string]string{
		"empty.csv": "",
		"head.csv":  "a,b\n1,2\n",
		"words.md":  "Nothing here\n",
		"x.tex":     "\\begin{tabular}\n1 & 2\n",
		"bad.csv":   "Film,20 °C,24 °C\nA,x,y\n",
		"none/x":    "",
		"times.csv": "Metered,Adjusted\n1 s,1 s\n2 s,x\n",
	},
		"IN/nothing", "IN/empty.csv", "IN/head.csv", "IN/words.md", "IN/x.tex", "IN/none",
		"-kind x IN/head.csv", "-kind reciprocity IN/head.csv", "-colon x IN/head.csv",
		"-plus x IN/head.csv", "-out FILE/x", "-compare IN/nothing IN/head.csv",
		"-compare IN/head.csv IN/times.csv", "-compare IN/head.csv", "-columns x IN/head.csv",
		"-columns 1=x IN/head.csv", "-light x IN/head.csv", "-film x IN/head.csv", "-nothing")
}
