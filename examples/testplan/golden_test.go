package main

import (
	"testing"

	"example.org/actinic/examples/internal/golden"
)

// What the program prints and writes is what it was.
func TestPrints(t *testing.T) {
	golden.Run(t, "quarry", run)
	golden.Run(t, "plan", run, "-camera", "adit", "-index", "400", "-ev", "12", "-half-width", "0.25", "-strips", "4", "-out", "OUT")
	golden.Run(t, "json", run, "-json")
	golden.Run(t, "help", run, "-h")
}

// What cannot be done is refused with a sentence, and nothing is written.
func TestRefusesLines(t *testing.T) {
	golden.Refuses(t, run, map[string]string{
		"blank/test.json": `{"film": "A (invented)", "process": "B (invented)", "light": "daylight", "target_average_gradient": 0.58}`, "blank/strips.csv": "strip,development,log_h_lx_s,density\nA,6:00,-2,\n",
		"unmetered/test.json": `{"film": "A (invented)", "process": "B (invented)", "light": "daylight", "target_average_gradient": 0.58}`, "unmetered/strips.csv": "strip,development,log_h_lx_s,density\nA,6:00,-3,0.25\nA,6:00,-2,0.5\nA,6:00,-1,0.9\n",
		"part/test.json": `{"film": "A (invented)", "process": "B (invented)", "light": "daylight", "target_average_gradient": 0.58}`, "part/strips.csv": "strip,development,log_h_lx_s,density\nA,6:00,-3,0.25\nA,6:00,-2.5,0.35\nA,6:00,-2,0.5\nA,6:00,-1.5,0.7\nA,6:00,-1,0.9\n",
		"bad/test.json": `{"film": 3}`, "bad/strips.csv": "",
		"camera.json": "{\"shutters\": \"x\"}",
		"broken.json": "{",
	},
		"-index x", "-index 0", "-index -3", "-index 400 -camera nothing",
		"-index 400 -camera IN/camera.json", "-index 400 -camera IN/broken.json", "-index 400 -ev x",
		"-index 400 -ev 99", "-index 400 -ev -30", "-index 400 -sure 0", "-index 400 -sure 99",
		"-index 400 -half-width 0", "-index 400 -half-width NaN", "-index 400 -density-sd 0",
		"-index 400 -density-sd -1", "-index 400 -frames -1", "-index 400 -frames 1",
		"-index 400 -strips 99",
		"-dir IN/nothing", "-dir IN", "-dir IN -index 400", "more", "-nothing", "-ev 12", "-json -ev 12",
		"-index 400 -development soon", "-index 400 -development 0", "-dir IN -out OUT", "-dir IN/blank",
		"-dir IN/unmetered", "-dir IN/unmetered -index 0", "-index 400 -scatter 0", "-index 400 -scatter Inf",
		"-index 400 -target 0", "-index 400 -shadow 0", "-index 400 -development-half-width 0",
		"-dir IN/part -index 1e9", "-dir IN/part -index 400 -ev 40", "-dir IN/bad -index 400")
}

// A file that cannot be read is an error, whichever it is and whenever; so is a disk or an output that is full.
func TestFaults(t *testing.T) {
	golden.FullDisk(t, run, []uint64{300}, "-camera adit -index 400 -ev 12 -half-width 0.25 -strips 4 -json -out OUT")
	golden.Faults(t, run, map[string]string{
		"part/test.json":  `{"film": "A (invented)", "process": "B (invented)", "light": "daylight", "target_average_gradient": 0.58}`,
		"part/strips.csv": "strip,development,log_h_lx_s,density\nA,6:00,-3,0.25\nA,6:00,-2.5,0.35\nA,6:00,-2,0.5\nA,6:00,-1.5,0.7\nA,6:00,-1,0.9\n",
		"camera.json":     `{"times": "third", "fastest": "1/1000", "longest": "1s", "widest": "f/2.8", "smallest": "f/22"}`,
	}, "-dir IN/part -index 400 -camera IN/camera.json -json")
}
