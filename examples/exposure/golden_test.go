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
	golden.Run(t, "json", run, "-name", "swift", "-process", "tarren", "-camera", "bothy", "-ev", "4", "-json")
	golden.Run(t, "listed", run, "-list")
	golden.Run(t, "help", run, "-h")
}

// The README shows what the program draws.
func TestPicture(t *testing.T) {
	golden.Picture(t, "card", "card.png", run, "-card", "-name", "swift", "-process", "tarren", "-camera", "bothy")
}

// Without a place for it a card goes to out/card.
func TestHome(t *testing.T) {
	golden.Home(t, run, "-card -name swift -process tarren")
	golden.Home(t, run, "-card -name swift -process tarren -json")
}

// What cannot be done is refused with a sentence, and nothing is written.
func TestRefusesLines(t *testing.T) {
	golden.Refuses(t, run, map[string]string{
		"camera.json":              "{\"shutters\": \"x\"}",
		"broken.json":              "{",
		"package/datapackage.json": "{}",
	},
		"-ev x", "-ev 4 -name nobody", "-ev 99", "-ev -40 -name swift",
		"-ev 4 -name swift -process nothing", "-camera nothing -ev 4", "-camera IN/camera.json -ev 4",
		"-camera IN/broken.json -ev 4", "-camera IN/nothing.json -ev 4", "-film IN/package -ev 4",
		"-film IN/nothing -ev 4", "-film IN/FILE -ev 4", "-ev 4 -index 0", "-ev 4 -index -3",
		"-ev 4 -index x", "-ev 4 -aperture 0", "-ev 4 -aperture f/x", "-ev 4 -filter", "-ev 4 -filter 999",
		"-ev 4 -nd -1", "-ev 4 -nd x", "-ev 4 -meter nowhere", "-ev 4 -longest 0", "-ev 4 -longest x",
		"-ev 4 -handheld 0", "-ev 4 -aperture f/4 -shutter 1/60", "-ev 4 more", "-card -name nobody",
		"-card -name swift -out FILE/x", "-card -name swift -process tarren -out FILE/x", "-card -ev 4", "-nothing", "-ev 4 -name swift -process tarren -meter feet",
		"-ev 4 -name swift -process tarren -filter ND", "-ev 4 -name swift -process tarren -filter 103",
		"-ev 4 -name swift -process tarren -out OUT", "-ev 4 -film Swift", "-film swift -list",
		"-ev 4 -name swift -process tarren -aperture f/8 -start f/4", "-ev 4 -name swift -process tarren -start x",
		"-card -aperture f/8 -name swift -process tarren")
}

// A file that cannot be read is an error, whichever it is and whenever; so is a disk or an output that is full.
func TestFaults(t *testing.T) {
	golden.FullDisk(t, run, []uint64{0, 300}, "-card -name swift -process tarren -out OUT")
	golden.FullOutput(t, run, "-name swift -process tarren -ev 4 -json", "-card -name swift -process tarren -json")
	golden.Faults(t, run, golden.Package(t, "Swift"), "-film IN/package -process tarren -ev 4 -json")
}

// A film that cannot be, in a package whose sizes and hashes are right, is told with its place.
func TestBadFilm(t *testing.T) {
	files := golden.BadFilm(t)
	golden.Lines(t, "", run, files, "-film IN/package -name Tomen -ev 4", "-card -film IN/package -name Tomen -out OUT")
}
