package main

import (
	"testing"

	"example.org/actinic/examples/internal/golden"
)

// What the program prints and writes is what it was.
func TestPrints(t *testing.T) {
	golden.Run(t, "films", run, "-out", "OUT")
	golden.Run(t, "all", run, "-all", "-by", "shadow=2,base_fog", "-out", "OUT")
	golden.Run(t, "json", run, "-json")
	golden.Run(t, "merged", run, "-merge", "OUT/merged", "-out", "OUT/page", "Swift")
	golden.Run(t, "help", run, "-h")
}

// What cannot be done is refused with a sentence, and nothing is written.
func TestRefusesLines(t *testing.T) {
	golden.Refuses(t, run, map[string]string{
		"roll/test.json":           "{\"film\":\"x\"",
		"roll/strips.csv":          "strip,time\n",
		"package/datapackage.json": "{}",
		"record.json":              "{\"what\":1}",
		"empty/x":                  "",
		"test/test.json":           "{}",
		"kinds.json":               "{\"film\": \"A\",\n \"strips\": 3}",
		"twice.json":               "{\"film\": \"A\",\n \"film\": \"B\"}",
		"bare.json":                "{\"film\": \"A\"}",
		"kept/record.json":         "{\"film\": 5}",
		"one/test.json":            `{"film": "A (invented)", "process": "B (invented)", "light": "daylight", "target_average_gradient": 0.58}`,
		"one/strips.csv":           "strip,development,log_h_lx_s,density\nA,6:00,-3,0.25\n",
	},
		"-by nothing", "-by speed=x", "-by speed=-1", "-by speed,speed", "-by speed=0", "Nobody",
		"IN/nothing", "IN/roll", "IN/package", "IN/record.json", "IN/empty", "IN/FILE", "-out FILE/x",
		"-merge FILE/x Swift", "-merge OUT Swift Swift", "-nothing", "-json -out OUT Nobody", "IN/test", "-by speed=1001",
		"-by speed=NaN", "-by ,", "IN/kinds.json", "IN/twice.json", "FILE/x", "IN/bare.json", "IN/kept",
		"IN/one", "-merge OUT Lantern", "-by =2", "-by speed=1000.1", "-by speed=Inf", "Lantern")
}

// A file that cannot be read is an error, whichever it is and whenever; so is a disk that is full.
func TestFaults(t *testing.T) {
	golden.FullDisk(t, run, []uint64{0, 300}, "-json -out OUT Swift", "-json -merge OUT Swift")
	golden.FullOutput(t, run, "-json")
	files := golden.Package(t, "Swift")
	_, files["roll/record.json"] = recorded(t)
	golden.Faults(t, run, files, "-json IN/package", "-json ../testroll/quarry", "-json IN/roll", "-json IN/roll/record.json", "-json IN")
}

// Without a place for it the page goes to out/compare.
func TestHome(t *testing.T) {
	golden.Home(t, run, "Swift")
	golden.Home(t, run, "-json Swift")
}

// A film that cannot be, in a package whose sizes and hashes are right, is told with its place.
func TestBadFilm(t *testing.T) {
	files := golden.BadFilm(t)
	golden.Lines(t, "", run, files, "-json IN/package")
}
