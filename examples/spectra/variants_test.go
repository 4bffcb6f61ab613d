package main

import (
	"io"
	"strings"
	"testing"
	"time"

	"example.org/actinic/examples/internal/golden"
)

// What is said of filters and films with one cell changed is what it was.
func TestVariants(t *testing.T) {
	golden.Variants(t, "filter", run, "wavelength_nm,transmittance\n380,0.05\n450,0.1\n500,0.5\n550,0.8\n600,0.9\n700,0.9\n", 4, "-json -film panchromatic -light D55 -filter IN/table.csv")
	golden.Variants(t, "film", run, "wavelength_nm,sensitivity,sd\n380,0.5,0.02\n450,1,0.02\n550,0.8,0.02\n650,0.3,0.02\n", 4, "-json -film IN/table.csv -light A -filter 8")
	golden.Lines(t, "lines", run, nil, "-film panchromatic -light D55 -filter 25 -json", "-film orthochromatic -light 2856K -filter 8+ND 0.9 -meter eye -json", "-film panchromatic -light A -filter none -json", "-films panchromatic,orthochromatic -lights A -filters 8,25 -out OUT", "-films extended red -lights D55 -filters 58 -json")
}

// What ends early, overlaps nothing, lets nothing through or is known within deviations is said as it was.
func TestShort(t *testing.T) {
	files := map[string]string{
		"light.csv": "wavelength_nm,power\n450,1\n600,1\n", "far.csv": "wavelength_nm,power\n900,1\n1000,1\n",
		"percent.csv": "wavelength_nm,slate_percent\n380,10\n700,-5\n", "deep.csv": "wavelength_nm,sensitivity\n765,1\n820,1\n", "sd.csv": "wavelength_nm,sensitivity,sd\n380,0.5,0.02\n450,1,0.02\n550,0.8,0.02\n650,0.3,0.02\n",
		"sdfilter.csv": "# zero_sd 0.003\nwavelength_nm,transmittance\n380,0.5\n500,0.4\n740,0.9\n", "gap.csv": "wavelength_nm,transmittance\n380,0.5\n439,0.4\n498,0.9\n558,0.3\n740,0.9\n",
		"red.csv":      "wavelength_nm,transmittance\n380,0\n640,0\n650,0.9\n740,0.9\n",
		"infrared.csv": "wavelength_nm,transmittance\n900,0.5\n1000,0.5\n",
		"black.csv":    "wavelength_nm,transmittance\n380,0\n700,0\n740,0.1\n",
		"short.csv":    "wavelength_nm,transmittance\n500,0.5\n600,0.6\n",
		"blue.csv":     "wavelength_nm,response\n380,1\n450,1\n480,0\n", "meter.csv": "wavelength_nm,response\n900,1\n1000,1\n",
		"film.csv":        "wavelength_nm,sensitivity,sd\n380,0.5,0.02\n450,1,0.02\n550,0.8,0.02\n650,0.3,0.02\n",
		"patches.csv":     "wavelength_nm,slate,rust\n500,0.1,0.05\n550,0.12,0.1\n600,0.11,0.3\n",
		"far patches.csv": "wavelength_nm,slate\n900,0.1\n950,0.12\n", "over.csv": "wavelength_nm,slate\n380,0.1\n700,1.2\n",
	}
	golden.Lines(t, "", run, files, "-json -light IN/light.csv -filter 25", "-json -light IN/far.csv",
		"-json -filter IN/infrared.csv", "-json -filter IN/black.csv", "-json -filter IN/short.csv", "-json -meter IN/meter.csv",
		"-json -meter IN/blue.csv -filter IN/red.csv",
		"-film IN/film.csv -filter 8 -out OUT", "-json -patches IN/patches.csv", "-json -patches IN/over.csv", "-films , -csv",
		"-lights , -csv", "-filters , -csv", "-lights IN/light.csv,A -filters none,25 -csv",
		"-filters IN/black.csv,IN/infrared.csv -csv", "-filters IN/red.csv -meter IN/blue.csv -csv",
		"-films IN/film.csv -filters 8,IN/short.csv -lights IN/light.csv -json", "-films panchromatic -lights IN/far.csv -csv",
		"-meter nobody -csv", "-csv -patches IN/patches.csv", "-filter 25+8 -csv", "-films panchromatic -film panchromatic -json",
		"-lights A -light A -csv", "-film panchromatic -light D55 -filter IN/red.csv,8 -json", "-film IN/film.csv -meter filtered-silicon -filter 8 -json",
		"-json -patches IN/percent.csv", "-film IN/infrared.csv -light A -out OUT", "-film IN/deep.csv -light A -out OUT", "-film IN/film.csv -filter IN/black.csv -out OUT",
		"-films IN/sd.csv -filters 25+IN/sdfilter.csv,IN/gap.csv,IN/black.csv -lights A -csv")
}

// Tests say nothing of how far they are, on a slow machine either; who waits is told.
func init() { patience = time.Hour }

func TestHowFar(t *testing.T) {
	defer func(was time.Duration) { patience = was }(patience)
	patience = -1
	var said strings.Builder
	if err := run(strings.Fields("-films panchromatic,orthochromatic -lights A,D55,D65 -filters none,8 -csv"), io.Discard,
		&said); err != nil {
		t.Fatal(err)
	}
	if want := "2 of 12 combinations\n4 of 12 combinations\n6 of 12 combinations\n8 of 12 combinations\n10 of 12 combinations\n12 of 12 combinations\n"; said.String() != want {
		t.Errorf("%q, want %q", said.String(), want)
	}
}
