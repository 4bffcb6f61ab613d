// Command readings measures densities in pictures of negatives on a light table: a camera
// in place of a densitometer. It writes them as the files of a test roll, which testroll
// reads.
package main

import (
	"cmp"
	"fmt"
	"io"
	"io/fs"
	"runtime/debug"
	"strings"

	"example.org/actinic/examples/internal/command"
	"example.org/actinic/examples/internal/figure"
	"example.org/actinic/examples/internal/page"
	"example.org/actinic/internal/rooted"
)

const usage = `Usage: readings [-dir DIR] [-out DIR] [-json]

Measures the steps of tablets and patches of frames in pictures of the negatives on a
light table. Without -dir it runs on small pictures that it makes itself: an invented
film, tested before recording a disused quarry.

A person's own DIR holds the pictures and readings.json:
  {"channel": "green", "pixel_um": 6.0,
   "light": {"file": "light.npy", "shutter": "1/60"},
   "dark": {"file": "dark.npy", "shutter": "1/60"},              or a list of them
   "flare": {"file": "opaque.npy", "shutter": "1/60", "box": [x, y, width, height]}
            or {"fraction": 0.012},                              optional
   "linearity": [{"file": "light2.npy", "shutter": "1/120"}],    optional
   "known": [{"file": "a.npy", "shutter": "1/60", "box": […], "density": 0.05}], optional
   "strips": [{"strip": "A", "development": "6:00", "file": "a.npy", "shutter": "1/60",
               "box": […], "along": "x", "steps": 21,
               "log_h_lx_s": {"first": -3.67, "step": 0.15}, "unexposed": […]}],
   "frames": [{"frame": 1, "ei": 200, "file": "f1.npy", "shutter": "1/60",
               "patches": {"shadow": […], "midtone": […], "highlight": […], "unexposed": […]}}],
   "film": {the keys of test.json}}                              optional
Pictures are linear: TIFF and PNG of 16 bits, PGM, PPM, NumPy arrays. Boxes are in pixels
from the top left. Shutter times are camera marks (1/60 is 2^-6 s) or seconds with a
unit. log_h_lx_s may be a list. Entries of one strip or frame with other shutter times
are joined, for the densities that one exposure cannot hold.

-out DIR (out/readings unless said otherwise) gets strips.csv, bracket.csv, test.json
where film is given, and readings.html: the pictures with the boxes, the profiles, the
linearity and the noise. With -json all numbers go to standard output, and files are
written only if -out is given.

Example: from pictures to a characterised film
  go run ./examples/readings -dir pictures -out mytest
  go run ./examples/testroll -dir mytest -out mytest/report

Options:
`

func main() {
	debug.SetMemoryLimit(400 << 20) // soft: large pictures are let go sooner
	command.Main("readings", run)
}

func run(args []string, stdout, stderr io.Writer) error {
	flags := command.New("readings", usage, stdout)
	dir := flags.String("dir", "", "`directory` with readings.json and the pictures")
	out := flags.String("out", "", "`directory` for strips.csv, bracket.csv and the page")
	asJSON := flags.Bool("json", false, "print everything as JSON")
	if err := flags.Parse(args, 0); err != nil {
		return err
	}
	var fsys fs.FS
	if *dir == "" {
		fsys = quarry(shippedSeed)
	} else {
		folder, closed, err := command.Folder(*dir)
		if err != nil {
			return fmt.Errorf("want a directory with readings.json: %w", err)
		}
		defer closed()
		fsys = folder
	}
	text, err := rooted.ReadFile(fsys, jobFile)
	if err != nil {
		return err
	}
	j, err := parse(text)
	if err != nil {
		return err
	}
	res, err := measure(fsys, j)
	if err != nil {
		return err
	}
	res.Invented = *dir == ""
	res.film = j.filmName()
	files, err := written(res, j)
	if err != nil {
		return err
	}
	where := *out
	if *asJSON {
		made, err := command.MadeOf(fsys, append(res.files(), jobFile)...)
		if err != nil {
			return err
		}
		if err := made.Print(stdout, res); err != nil {
			return err
		}
	} else {
		print(stdout, res)
		where = cmp.Or(where, "out/readings")
	}
	if where == "" {
		return nil
	}
	return write(strings.TrimSuffix(where, "/"), res, files, stdout, stderr, !*asJSON)
}

// write writes the files of the test and the page. What cannot be drawn costs a note.
func write(where string, res *result, files figure.Files, stdout, stderr io.Writer, say bool) error {
	var lacks []string
	files["readings.html"], lacks = report(res, files)
	if err := files.Write(where); err != nil {
		return fmt.Errorf("writing the readings: %w", err)
	}
	page.Notes(stderr, lacks)
	if !say {
		return nil
	}
	fmt.Fprintf(stdout, "\nPage:  %s/readings.html\n", where)
	for _, name := range res.Written {
		fmt.Fprintf(stdout, "Test:  %s/%s\n", where, name)
	}
	switch {
	case files["test.json"] != nil:
		fmt.Fprintf(stdout, "Next:  go run ./examples/testroll -dir %s\n", where)
	case len(res.Written) > 0:
		fmt.Fprintf(stdout, "Next:  write %s/test.json (testroll -h shows it), then go run ./examples/testroll -dir %[1]s\n", where)
	}
	return nil
}
