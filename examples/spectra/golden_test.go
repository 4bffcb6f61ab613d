package main

import (
	"testing"

	"example.org/actinic/examples/internal/golden"
)

// What the program prints and writes is what it was.
func TestPrints(t *testing.T) {
	golden.Run(t, "catalogue", run, "-out", "OUT")
	golden.Run(t, "list", run, "-films", "panchromatic,Garnedd Swift", "-lights", "D55,A,3200K", "-filters", "none,8,25,47,25+ND 0.9")
	golden.Run(t, "json", run, "-json")
	golden.Run(t, "one", run, "-film", "Garnedd Swift", "-light", "A", "-filter", "25+ND 0.9", "-meter", "silicon", "-out", "OUT")
	golden.Run(t, "help", run, "-h")
}

// The README shows what the program draws.
func TestPicture(t *testing.T) {
	golden.Picture(t, "filters", "spectra-tones.png", run)
}

// What cannot be done is refused with a sentence, and nothing is written.
func TestRefusesLines(t *testing.T) {
	golden.Refuses(t, run, map[string]string{
		"bad.csv":     "a,b\n1,x\n",
		"short.csv":   "wavelength_nm,transmittance\n400,0.5\n",
		"below.csv":   "wavelength_nm,transmittance\n380,0.5\n500,-0.4\n700,0.5\n",
		"over.csv":    "wavelength_nm,transmittance\n380,0.5\n500,1.4\n700,0.5\n",
		"order.csv":   "wavelength_nm,transmittance\n500,0.5\n400,0.4\n",
		"far.csv":     "wavelength_nm,transmittance\n5,0.5\n400,0.4\n",
		"percent.csv": "wavelength_nm,transmittance\n380,50\n500,90\n700,80\n",
		"empty.csv":   "",
		"film.csv":    "wavelength_nm,sensitivity\n800,1\n900,1\n",
		"patches.csv": "name,reflectance\nslate,2\n",
	},
		"-film nobody", "-light x", "-light 10K", "-filter 999", "-filter 25+", "-filter ND",
		"-filter IN/bad.csv", "-filter IN/short.csv", "-filter IN/below.csv", "-filter IN/over.csv",
		"-filter IN/far.csv", "-filter IN/percent.csv", "-filter IN/empty.csv",
		"-filter IN/nothing.csv", "-filter IN", "-film IN/film.csv", "-film IN/bad.csv",
		"-film IN/short.csv", "-light IN/bad.csv", "-light IN/short.csv", "-light IN/below.csv",
		"-meter x", "-patches IN/patches.csv", "-patches IN/nothing.csv", "-patches IN/empty.csv",
		"-json -csv", "-films panchromatic -lights D55 -filters x -csv",
		"-films x -lights D55 -filters none -csv", "-films panchromatic -lights x -filters none -csv",

		"-films panchromatic -film panchromatic -csv", "-out FILE/x", "more", "-nothing")
}
