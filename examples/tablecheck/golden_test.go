package main

import (
	"testing"

	"example.org/actinic/examples/internal/golden"
)

// What the program prints and writes is what it was.
func TestPrints(t *testing.T) {
	golden.Run(t, "shipped", run, "-out", "OUT")
	golden.Run(t, "help", run, "-h")
}

// The README shows what the program draws.
func TestPicture(t *testing.T) {
	golden.Picture(t, "finding", "times.png", run, "-kind", "reciprocity", "testdata/times.csv")
}
