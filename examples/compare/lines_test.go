package main

import (
	"testing"

	"example.org/actinic/examples/internal/golden"
)

// How films are told apart, by each of what they are compared by, is what it was.
func TestLines(t *testing.T) {
	golden.Lines(t, "", run, nil, "-by speed -json", "-by base_fog -json Swift Lantern", "-by shadow=1 -json",
		"-by contrast -json", "-by grain -json", "-by speed=2,base_fog=1 -json Swift", "-all -json Swift",
		"-by speed -out OUT Swift Lantern", "-list", "-by", "-merge OUT/m -json Swift Tomen", "-merge OUT/m -json Swift Lantern",
		"-json Lantern", "-json Lantern Swift", "-by shadow,highlight,response -json", "-by speed -all -out OUT Swift")
}
