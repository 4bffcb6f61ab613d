package main

import (
	"testing"

	"example.org/actinic/examples/internal/golden"
)

// What the program prints and writes is what it was.
func TestPrints(t *testing.T) {
	golden.Run(t, "quarry", run, "-page", "OUT")
	golden.Run(t, "help", run, "-h")
}
