package main

import (
	"testing"

	"example.org/actinic/examples/internal/golden"
)

// What the program prints and writes is what it was.
func TestPrints(t *testing.T) {
	golden.Run(t, "quarry", run, "-page", "OUT")
	golden.Run(t, "json", run, "-json")
	golden.Run(t, "help", run, "-h")
}

// What cannot be done is refused with a sentence, and nothing is written.
func TestRefusesLines(t *testing.T) {
	golden.Refuses(t, run, map[string]string{
		"empty/structure.json":   "{}",
		"broken/structure.json":  "{\"channel\":",
		"kinds/structure.json":   "{\"channel\": \"green\", \"pixel_um\": 4.0, \"light\": {\"file\": \"light.npy\", \"shutter\": \"1/60\"}}",
		"size/structure.json":    "{\"channel\": \"green\", \"pixel_um\": -4}",
		"unknown/structure.json": "{\"chanel\": \"green\"}",
	},
		"-dir IN/nothing", "-dir IN/FILE", "-dir IN", "-dir IN/empty", "-dir IN/broken", "-dir IN/kinds",
		"-dir IN/size", "-dir IN/unknown", "-print x", "-print 0x10", "-print 10", "-distance 0",
		"-distance -1", "-distance NaN", "-gradient 0", "-lens -1", "-lens x", "-film nobody",
		"-out OUT", "more", "-nothing",
	)
}
