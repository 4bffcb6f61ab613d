package main

import (
	"testing"

	"example.org/actinic/examples/internal/golden"
)

// What the program prints and writes is what it was.
func TestPrints(t *testing.T) {
	golden.Run(t, "quarry", run)
	golden.Run(t, "filters", run, "-name", "swift", "-process", "tarren", "-camera", "bothy", "-ev", "4", "-filter", "21", "-nd", "0.6", "-meter", "through")
	golden.Run(t, "push", run, "-name", "swift", "-process", "tarren", "-ev", "8", "-index", "2000", "-aperture", "f/4", "-handheld", "1/60")
	golden.Run(t, "dusk", run, "-name", "ortho", "-ev", "-4", "-aperture", "f/8", "-longest", "10s")
	golden.Run(t, "card", run, "-card", "-name", "swift", "-process", "tarren", "-camera", "incline", "-out", "OUT")
	golden.Run(t, "help", run, "-h")
}

// The README shows what the program draws.
func TestPicture(t *testing.T) {
	golden.Picture(t, "card", "card.png", run, "-card", "-name", "swift", "-process", "tarren", "-camera", "bothy")
}
