package main

import (
	"testing"

	"example.org/actinic/examples/internal/golden"
)

// What the program prints and writes is what it was.
func TestPrints(t *testing.T) {
	golden.Run(t, "shipped", run)
	golden.Run(t, "written", run, "-write", "OUT/package")
	golden.Run(t, "here", run, "../../data")
	golden.Run(t, "help", run, "-h")
}

// What cannot be done is refused with a sentence, and nothing is written.
func TestRefusesLines(t *testing.T) {
	golden.Refuses(t, run, map[string]string{
		"package/datapackage.json": "{}",
		"broken/datapackage.json":  "{\"name\": 1,",
		"empty/x":                  "",
	},
		"-write FILE/x IN/empty", "-write IN/empty IN/package", "IN/nothing", "IN/FILE", "IN/package", "IN/broken", "IN/empty", "-write OUT IN/package",
		"-write OUT IN/broken", "-write FILE/x", "a b", "-nothing")
}

// A file that cannot be read is an error, whichever it is and whenever; so is a disk that is full.
func TestFaults(t *testing.T) {
	golden.FullDisk(t, run, []uint64{0, 300}, "-write OUT")
	golden.Faults(t, run, golden.Package(t, "Swift"), "IN/package", "-write OUT IN/package")
}
