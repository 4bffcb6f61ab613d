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
		"good.csv":    "metered_s,adjusted_s\n1,1\n2,2.4\n5,7.5\n10,17\n20,42\n50,130\n100,320\n",
		"filters.csv": "filter,factor\n8,2\n15,2.5\n25,8\n", "kind.csv": "# kind: nonsense\na,b\n1,2\n",
		"accepted.csv": "file,row,column,printed,reason\ngood.csv,0,adjusted_s,1,known\n",
		"empty.csv":    "",
		"head.csv":     "a,b\n1,2\n",
		"words.md":     "Nothing here\n",
		"x.tex":        "\\begin{tabular}\n1 & 2\n",
		"bad.csv":      "Film,20 °C,24 °C\nA,x,y\n",
		"none/x":       "",
		"times.csv":    "Metered,Adjusted\n1 s,1 s\n2 s,x\n",
	},
		"IN/nothing", "IN/empty.csv", "IN/head.csv", "IN/words.md", "IN/x.tex", "IN/none",
		"-kind x IN/head.csv", "-kind reciprocity IN/head.csv", "-colon x IN/head.csv",
		"-plus x IN/head.csv", "-out FILE/x", "-compare IN/nothing IN/head.csv",
		"-compare IN/head.csv IN/times.csv", "-compare IN/head.csv", "-columns x IN/head.csv",
		"-columns 1=x IN/head.csv", "-light x IN/head.csv", "-film x IN/head.csv", "-nothing", "-json -sarif IN/good.csv",
		"-sarif -suggest IN/good.csv", "-kind reciprocity", "-sarif", "-suggest", "-compare IN/good.csv",
		"-compare IN/good.csv IN/good.csv IN/times.csv", "-fail-on x IN/good.csv", "IN/good.csv -json", "-json - -x",
		"-kind filters -compare IN/good.csv IN/filters.csv", "-kind filters -compare film:Swift IN/filters.csv",
		"-kind reciprocity -compare film:Nobody IN/good.csv",
		"-kind reciprocity -accepted IN/accepted.csv IN/good.csv", "-kind reciprocity -accepted IN/nothing.csv IN/good.csv",
		"IN/kind.csv", "-kind development -compare film:Swift IN/good.csv", "-kind xy -law x^ IN/good.csv",
		"-kind xy -law cubic IN/good.csv")
}

// A file that cannot be read is an error, whichever it is and whenever; so is a disk or an output that is full.
func TestFaults(t *testing.T) {
	golden.FullDisk(t, run, []uint64{0, 300}, "-kind reciprocity -json -out OUT testdata/times.csv")
	golden.FullOutput(t, run, "-kind reciprocity -json testdata/times.csv", "-kind reciprocity -sarif testdata/times.csv")
	files := golden.Package(t, "Swift")
	files["film.csv"] = "wavelength_nm,sensitivity\n380,0.5\n450,1\n550,0.8\n650,0.3\n"
	files["filters.csv"] = "filter,factor\n8,2\n15,2.5\n21,3\n25,8\n"
	files["times.csv"] = "metered_s,adjusted_s\n1,1\n2,2.4\n5,7.5\n10,17\n20,42\n50,130\n100,320\n"
	files["known.csv"] = "file,row,column,printed,reason\ntimes.csv,4,adjusted_s,17,known\n"
	golden.Faults(t, run, files, "-kind filters -film IN/film.csv -json IN/filters.csv",
		"-kind reciprocity -accepted IN/known.csv IN/times.csv",
		"-kind reciprocity -compare IN/package IN/times.csv", "-kind reciprocity -compare testdata/times.csv IN/times.csv")
}

// A film that cannot be, in a package whose sizes and hashes are right, is told with its place.
func TestBadFilm(t *testing.T) {
	files := golden.BadFilm(t)
	golden.Lines(t, "", run, files, "-kind reciprocity -compare IN/package testdata/times.csv")
}
