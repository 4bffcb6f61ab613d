package main

import (
	"testing"

	"example.org/actinic/examples/internal/golden"
)

// What the program prints and writes is what it was.
func TestPrints(t *testing.T) {
	golden.Run(t, "quarry", run)
	golden.Run(t, "plan", run, "-camera", "adit", "-index", "400", "-ev", "12", "-half-width", "0.25", "-strips", "4", "-out", "OUT")
	golden.Run(t, "help", run, "-h")
}
