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

// The README shows what the program draws.
func TestPicture(t *testing.T) {
	golden.Picture(t, "curves", "curves.png", run)
}

// What cannot be done is refused with a sentence, and nothing is written.
func TestRefusesLines(t *testing.T) {
	golden.Refuses(t, run, map[string]string{
		"empty/test.json":     "{}",
		"broken/test.json":    "{\"film\":",
		"only/test.json":      "{\"film\": \"A\", \"process\": \"B\"}",
		"bad/test.json":       "{\"film\": \"A\", \"process\": \"B\", \"light\": \"D55\"}",
		"bad/strips.csv":      "strip,time,log_h,density\nA,x,1,2\n",
		"unknown/test.json":   "{\"flim\": \"A\"}",
		"gradient/test.json":  "{\"film\": \"A\", \"process\": \"B\", \"target_average_gradient\": -1}",
		"gradient/strips.csv": "",
	},
		"-dir IN/nothing", "-dir IN/FILE", "-dir IN", "-dir IN/empty", "-dir IN/broken", "-dir IN/only",
		"-dir IN/bad", "-dir IN/unknown", "-dir IN/gradient", "-out FILE/x", "-seed x", "-licence",
		"-version x", "-flare x", "-flare -9", "-flare NaN", "-paper x", "-paper 0",
		"-sensor NaN", "-author", "-nothing", "more", "-licence no/licence", "-version 1", "-paper R0", "-paper R", "-sensor -1",
		"-out OUT -dir IN/nothing -json")
}

// A file that cannot be read is an error, whichever it is and whenever; so is a disk or an output that is full.
func TestFaults(t *testing.T) {
	golden.FullDisk(t, run, []uint64{0, 300}, "-dir quarry -json -out OUT")
	golden.FullOutput(t, run, "-dir quarry -json")
	golden.Faults(t, run, nil, "-dir quarry -json -out OUT")
}
