package main

import (
	"fmt"
	"testing"

	"example.org/actinic/examples/internal/golden"
)

// What is advised over the range of light, index, filter and meter is what it was.
func TestLines(t *testing.T) {
	var lines []string
	for _, ev := range []int{-6, -2, 1, 4, 9, 13, 16} {
		for i, more := range []string{"-name swift -process tarren", "-name ortho -aperture f/5.6", "-name swift -process tarren -camera adit -filter 25 -nd 0.9", "-name swift -process tarren -camera bothy -index 1600 -handheld 1/30", "-name swift -process tarren -shutter 1/60 -json", "-name swift -process tarren -meter through -filter 8 -longest 30s"} {
			if (ev+i)%2 == 0 {
				lines = append(lines, fmt.Sprintf("-ev %d %s", ev, more))
			}
		}
	}
	lines = append(lines, "-card -name ortho -out OUT", "-card -name swift -process tarren -camera adit -out OUT", "-list -json", "-ev 4 -name swift", "-ev 12.4 -name swift -process tarren -light A", "-ev 12 -name swift -process tarren -filter 8+25", "-ev 12 -name lantern")
	golden.Lines(t, "", run, nil, lines...)
}
