package main

import (
	"strings"
	"testing"

	"example.org/actinic/examples/internal/golden"
)

// What the program prints and writes is what it was.
func TestPrints(t *testing.T) {
	golden.Run(t, "quarry", run, "-page", "OUT")
	golden.Run(t, "times", run, "-kind", "reciprocity", "-film", "Swift", "-out", "OUT/new", "-page", "OUT/page", "-lose", "-source", "a test", "quarry/reciprocity.csv")
	golden.Run(t, "baths", run, "-kind", "temperature", "-film", "Swift", "-process", "Tarren", "-json", "quarry/temperature.csv")
	golden.Run(t, "filters", run, "-kind", "filters", "-film", "Swift", "-json", "quarry/filters.csv")
	golden.Run(t, "help", run, "-h")
}

// What cannot be done is refused with a sentence, and nothing is written.
func TestRefusesLines(t *testing.T) {
	golden.Refuses(t, run, map[string]string{
		"head.csv":                 "a,b\n1,2\n",
		"one.csv":                  "metered_s,adjusted_s\n1,1\n",
		"bad.csv":                  "metered_s,adjusted_s\n1,x\n-2,4\n4,2\n",
		"order.csv":                "metered_s,adjusted_s,sd_stops\n1,1.2,0\n2,3,NaN\n4,7,0.1\n",
		"temp.csv":                 "celsius,minutes\n20,8\n",
		"empty.csv":                "",
		"long.csv":                 "metered_s,adjusted_s\n1,1\n1e8,2e8\n1e-7,1\n",
		"shorter.csv":              "metered_s,adjusted_s,sd_stops\n1,1,0.1\n10,5,0.05\n20,8,0.05\n",
		"both.csv":                 "time_s,density,log_h_lx_s,stops\n1,0.5,-2,0\n2,0.4,-2,0\n",
		"neither.csv":              "time_s,density\n1,0.5\n2,0.4\n",
		"density.csv":              "time_s,density,log_h_lx_s\n1,9,-2\n2,0.4,x\n4,0.01,-2\n",
		"stops.csv":                "time_s,density,stops\n1,0.5,31\n2,0.4,x\n4,0.01,+1/3\n",
		"baths.csv":                "temperature_c,time\n20,soon\n24,7:30\n",
		"gradients.csv":            "temperature_c,time,gradient\n20,7:30,x\n24,6:00,9\n",
		"filters.csv":              "filter,stops\nnone,x\nnobody,1\n8,40\n",
		"many.csv":                 "metered_s,adjusted_s\n" + strings.Repeat("1,1\n", 3000),
		"package/datapackage.json": "{}",
		"steep.csv":                "temperature_c,time,gradient\n20,7:30,3\n24,6:00,0.55\n",
		"sd.csv":                   "metered_s,adjusted_s,sd_stops\n1,1,3\n10,15,3.01\n20,40,0\n",
		"rows.csv":                 "metered_s,adjusted_s\n" + strings.Repeat("1,1\n", mostRows+1),
	},
		"-kind reciprocity -film Swift IN/head.csv", "-kind reciprocity -film Swift IN/one.csv",
		"-kind reciprocity -film Swift IN/bad.csv", "-kind reciprocity -film Swift IN/order.csv",
		"-kind reciprocity -film Swift IN/empty.csv", "-kind reciprocity -film Swift IN/nothing.csv",
		"-kind reciprocity -film Swift IN", "-kind reciprocity -film nobody IN/one.csv",
		"-kind reciprocity -film IN/package IN/one.csv", "-kind reciprocity IN/one.csv",
		"-kind reciprocity -film Swift", "-kind nothing -film Swift IN/one.csv", "IN/one.csv",
		"-film Swift", "-kind temperature -film Swift IN/temp.csv",
		"-kind temperature -film Swift IN/one.csv", "-kind filters -film Swift IN/one.csv",
		"-kind filters -film Swift -light x quarry/filters.csv",
		"-kind reciprocity -film Swift -law x quarry/reciprocity.csv",
		"-kind temperature -film Swift -law x quarry/temperature.csv",
		"-kind reciprocity -film Swift -sd 0 quarry/reciprocity.csv",
		"-kind reciprocity -film Swift -sd -1 quarry/reciprocity.csv",
		"-kind reciprocity -film Swift -sd NaN quarry/reciprocity.csv",
		"-kind reciprocity -film Swift -process x quarry/temperature.csv",

		"-kind reciprocity -film Swift -out FILE/x -source t quarry/reciprocity.csv",
		"-page FILE/x",
		"-kind reciprocity -film Swift -page FILE/x quarry/reciprocity.csv", "-nothing",
		"-kind reciprocity -film Swift IN/long.csv", "-kind reciprocity -film Swift IN/shorter.csv",
		"-kind reciprocity -film Swift IN/both.csv", "-kind reciprocity -film Swift IN/neither.csv",
		"-kind reciprocity -film Swift -process Tarren IN/density.csv",
		"-kind reciprocity -film Swift -process Tarren IN/stops.csv", "-kind reciprocity -film Lantern IN/stops.csv",
		"-kind temperature -film Swift -process Tarren IN/baths.csv",
		"-kind temperature -film Swift -process Tarren IN/gradients.csv", "-kind filters -film Swift IN/filters.csv",
		"-kind reciprocity -film Swift -sd 3.1 quarry/reciprocity.csv", "-kind temperature -film Lantern IN/gradients.csv",
		"-kind reciprocity -film Swift IN/many.csv", "-kind temperature -film Swift -process Tarren IN/steep.csv",
		"-kind reciprocity -film Swift IN/sd.csv", "-kind reciprocity -film Swift IN/rows.csv", "-kind filters -film Swift quarry/reciprocity.csv",
		"-kind reciprocity -film Swift -json -out FILE/x quarry/reciprocity.csv")
}

// A file that cannot be read is an error, whichever it is and whenever; so is a disk or an output that is full.
func TestFaults(t *testing.T) {
	golden.FullDisk(t, run, []uint64{0, 300}, "-kind temperature -film Swift -process Tarren -json -page OUT quarry/temperature.csv",
		"-kind temperature -film Swift -process Tarren -json -out OUT quarry/temperature.csv")
	golden.FullOutput(t, run, "-kind temperature -film Swift -process Tarren -json quarry/temperature.csv")
	golden.Faults(t, run, golden.Package(t, "Swift"),
		"-kind temperature -film IN/package -process Tarren -json -out OUT quarry/temperature.csv")
}

// Without a place for it the page goes to out/measure.
func TestHome(t *testing.T) {
	golden.Home(t, run, "")
}

// A film that cannot be, in a package whose sizes and hashes are right, is told with its place.
func TestBadFilm(t *testing.T) {
	files := golden.BadFilm(t)
	golden.Lines(t, "", run, files, "-kind temperature -film IN/package -name Tomen -json quarry/temperature.csv", "-kind temperature -film IN/package -name Swift -process Tarren -json -out OUT quarry/temperature.csv")
}
