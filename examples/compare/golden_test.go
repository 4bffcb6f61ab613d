package main

import (
	"testing"

	"example.org/actinic/examples/internal/golden"
)

// What the program prints and writes is what it was.
func TestPrints(t *testing.T) {
	golden.Run(t, "films", run, "-out", "OUT")
	golden.Run(t, "all", run, "-all", "-by", "shadow=2,base_fog", "-out", "OUT")
	golden.Run(t, "help", run, "-h")
}
