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

// A file that cannot be read is an error, whichever it is and whenever; so is a disk or an output that is full.
func TestFaults(t *testing.T) {
	golden.FullDisk(t, run, []uint64{0, 300}, "-film panchromatic -out OUT")
	golden.FullOutput(t, run, "-json", "-films panchromatic -lights A -csv", "-films panchromatic -lights A -json")
	golden.Faults(t, run, map[string]string{
		"film.csv":    "wavelength_nm,sensitivity\n380,0.5\n450,1\n550,0.8\n650,0.3\n",
		"light.csv":   "wavelength_nm,radiance\n380,0.5\n450,1\n550,0.8\n700,0.3\n",
		"filter.csv":  "wavelength_nm,transmittance\n380,0.5\n450,0.1\n550,0.8\n700,0.9\n",
		"meter.csv":   "wavelength_nm,response\n380,0.5\n450,1\n550,0.8\n700,0.3\n",
		"patches.csv": "wavelength_nm,slate,rust\n380,0.1,0.05\n550,0.12,0.1\n700,0.11,0.3\n",
	}, "-json -film IN/film.csv -light IN/light.csv -filter IN/filter.csv -meter IN/meter.csv -patches IN/patches.csv",
		"-films IN/film.csv -lights IN/light.csv -filters none,IN/filter.csv -meter IN/meter.csv -csv")
}

// A film that cannot be, in a package whose sizes and hashes are right, is told with its place.
func TestBadFilm(t *testing.T) {
	files := golden.BadFilm(t)
	golden.Lines(t, "", run, files, "-package IN/package -film Tomen -json")
}
