package main

import (
	"testing"

	"example.org/actinic/examples/internal/golden"
)

// What is said of filters and films with one cell changed is what it was.
func TestVariants(t *testing.T) {
	golden.Variants(t, "filter", run, "wavelength_nm,transmittance\n380,0.05\n450,0.1\n500,0.5\n550,0.8\n600,0.9\n700,0.9\n", 4, "-json -film panchromatic -light D55 -filter IN/table.csv")
	golden.Variants(t, "film", run, "wavelength_nm,sensitivity,sd\n380,0.5,0.02\n450,1,0.02\n550,0.8,0.02\n650,0.3,0.02\n", 4, "-json -film IN/table.csv -light A -filter 8")
	golden.Lines(t, "lines", run, nil, "-film panchromatic -light D55 -filter 25 -json", "-film orthochromatic -light 2856K -filter 8+ND 0.9 -meter eye -json", "-film panchromatic -light A -filter none -json", "-films panchromatic,orthochromatic -lights A -filters 8,25 -out OUT", "-films extended red -lights D55 -filters 58 -json")
}
