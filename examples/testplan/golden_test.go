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
		"camera.json": "{\"shutters\": \"x\"}",
		"broken.json": "{",
	},
		"-index x", "-index 0", "-index -3", "-index 400 -camera nothing",
		"-index 400 -camera IN/camera.json", "-index 400 -camera IN/broken.json", "-index 400 -ev x",
		"-index 400 -ev 99", "-index 400 -ev -30", "-index 400 -sure 0", "-index 400 -sure 99",
		"-index 400 -half-width 0", "-index 400 -half-width NaN", "-index 400 -density-sd 0",
		"-index 400 -density-sd -1", "-index 400 -frames -1", "-index 400 -frames 1",
		"-index 400 -strips 99",
		"-dir IN/nothing", "-dir IN", "-dir IN -index 400", "more", "-nothing")
}

// A file that cannot be read is an error, whichever it is and whenever; so is a disk or an output that is full.
func TestFaults(t *testing.T) {
	golden.FullDisk(t, run, []uint64{300}, "-camera adit -index 400 -ev 12 -half-width 0.25 -strips 4 -json -out OUT")
}
