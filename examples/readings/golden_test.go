package main

import (
	"testing"

	"example.org/actinic/examples/internal/golden"
)

// What the program prints and writes is what it was.
func TestPrints(t *testing.T) {
	golden.Run(t, "quarry", run, "-out", "OUT")
	golden.Run(t, "json", run, "-json")
	golden.Run(t, "help", run, "-h")
}

// What cannot be done is refused with a sentence, and nothing is written.
func TestRefusesLines(t *testing.T) {
	golden.Refuses(t, run, map[string]string{
		"empty/readings.json":   "{}",
		"broken/readings.json":  "{\"channel\":",
		"kinds/readings.json":   "{\"channel\": \"green\", \"pixel_um\": 6.0, \"light\": {\"file\": \"light.npy\", \"shutter\": \"1/60\"}}",
		"unknown/readings.json": "{\"chanel\": \"green\"}",
	},
		"-dir IN/nothing", "-dir IN/FILE", "-dir IN", "-dir IN/empty", "-dir IN/broken", "-dir IN/kinds",
		"-dir IN/unknown", "-out FILE/x", "more", "-nothing")
}

// A file that cannot be read is an error, whichever it is and whenever; so is a disk or an output that is full.
func TestFaults(t *testing.T) {
	golden.FullDisk(t, run, []uint64{300}, "-json -out OUT")
	golden.FullOutput(t, run, "-json")
}
