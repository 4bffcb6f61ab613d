package main

import (
	"testing"

	"example.org/actinic/examples/internal/golden"
)

// What the program prints and writes is what it was.
func TestPrints(t *testing.T) {
	golden.Run(t, "catalogue", run, "-out", "OUT")
	golden.Run(t, "list", run, "-films", "panchromatic,Garnedd Swift", "-lights", "D55,A,3200K", "-filters", "none,8,25,47,25+ND 0.9", "-csv")
	golden.Run(t, "help", run, "-h")
}

// The README shows what the program draws.
func TestPicture(t *testing.T) {
	golden.Picture(t, "filters", "spectra-tones.png", run)
}
