// Command grain measures grain and sharpness of a film in pictures of its negatives on a
// light table, within what the camera can see, and says what they become on prints. It puts
// them into the film's package.
package main

import (
	"cmp"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"runtime/debug"
	"strings"
	"time"

	"example.org/actinic"
	"example.org/actinic/devtime"
	"example.org/actinic/examples/internal/command"
	"example.org/actinic/examples/internal/filmfile"
	"example.org/actinic/internal/rooted"
	"example.org/actinic/sensito"
)

const usage = `Usage: grain [-dir DIR] [-film DIR|NAME [-name FILM] [-process NAME]
             [-development TIME] [-out NEW] [-source TEXT]] [-print 254x203]
             [-distance 300] [-gradient 1.6] [-lens 60] [-page DIR] [-json]

Measures granularity, noise power and response by frequency in pictures of negatives on
a light table, and what they become on a print from each format. Without -dir it runs
on small pictures that it makes itself: an invented film, tested before recording a
disused quarry.

A person's own DIR holds the pictures and structure.json:
  {"channel": "green", "pixel_um": 4.0,
   "light": {"file": "light.npy", "shutter": "1/60"},
   "dark": {"file": "dark.npy", "shutter": "1/60"},               or a list of them
   "flare": {"file": "opaque.npy", "shutter": "1/60", "box": […]} or {"fraction": 0.006}
   "camera_edge": {"file": "razor.npy", "shutter": "1/60", "box": [x, y, width, height]},
   "patches": [{"step": 8, "files": ["a1.npy", "a2.npy"], "shutter": "1/60",
                "box": […], "gradient": 0.6}],
   "film_edge": {"file": "edge.npy", "shutter": "1/60", "box": […],
                 "contrast_density": [0.4, 1.2], "through": "contact"}}
pixel_um is from pixel to pixel on the film. Files of a patch are frames of the same
place, not moved between: what they share is film, the rest the camera's noise.
camera_edge is a razor's edge on the light table, film_edge one that was printed on the
film by contact (or photographed: "lens"), both slanted by about 5°. gradient is the
curve's at that density; without any, and without -film, the film's response in
exposure is not known. Pictures are linear, as those of readings: 16-bit TIFF and PNG,
PGM, PPM, NumPy. What cannot be measured is null, and limits says why.

With -film the signal to noise over the curve and the separation of tones are shown,
and -out NEW writes the film's package with granularity and response in it. The page
goes to -page (out/grain unless said otherwise, or -json is given).

Example: measure, and put it into the film's package
  go run ./examples/grain -dir copies -film mytest/report -out myfilm

Options:
`

func main() {
	debug.SetMemoryLimit(380 << 20) // soft: large pictures are let go sooner
	command.Main("grain", run)
}

// options are what the command line says besides files.
type options struct {
	process     string
	development time.Duration
	paper       paper
}

func run(args []string, stdout, stderr io.Writer) error {
	flags := command.New("grain", usage, stdout)
	dir := flags.String("dir", "", "`directory` with structure.json and the pictures")
	film := flags.String("film", "", "`directory` with the film's package, or the name of a film that comes with the library")
	name := flags.String("name", "", "name of the film in a package of several, or a part of it")
	process := flags.String("process", "", "name of the process, or a part of it")
	development := flags.String("development", "", "development `time` of the film that was photographed, such as 7:30")
	out := flags.String("out", "", "`new` directory for the film's package")
	source := flags.String("source", "", "`text` that says who measured and when, for the package")
	lose := flags.Bool("lose", false, "write the package without what of it the library does not know")
	size := flags.String("print", "254x203", "`size` of the print in mm")
	distance := flags.Float64("distance", 300, "`mm` from eye to print")
	gradient := flags.Float64("gradient", 1.6, "gradient of the paper in the middle tones")
	lens := flags.Float64("lens", 0, "`cycles/mm` at which the camera's lens keeps half, by a Gaussian; 0 leaves lenses out")
	where := flags.String("page", "", "`directory` for the page and its pictures")
	asJSON := flags.Bool("json", false, "print everything as JSON")
	if err := flags.Parse(args, 0); err != nil {
		return err
	}
	o := options{process: *process, paper: paper{distance: *distance, gradient: *gradient, lens: *lens}}
	if err := o.read(*size, *development); err != nil {
		return err
	}
	if *out != "" && *film == "" {
		return command.Usagef("-out needs -film: the package that granularity and response go into")
	}
	job, err := open(*dir, *film, *name, &o)
	if err != nil {
		return err
	}
	defer job.closed()
	res, err := job.measure(&o)
	if err != nil {
		return err
	}
	var with *actinic.Film
	if *out != "" {
		p := actinic.Provenance{Basis: actinic.Measured, Source: cmp.Or(*source, "copies of negatives; who made them was not said")}
		if res.Invented {
			p = actinic.Provenance{Basis: actinic.Invented, Source: "the pictures that grain makes, of known grain and sharpness"}
		}
		if with, err = res.into(job.file.Film, o.process, o.development, p); err != nil {
			return err
		}
	}
	if !*asJSON {
		res.print(stdout)
	} else if err := job.made.Print(stdout, res); err != nil {
		return err
	}
	if with != nil {
		if err := job.file.Write(*out, with, *lose); err != nil {
			return fmt.Errorf("writing the package: %w", err)
		}
	}
	if *where == "" && !*asJSON {
		*where = "out/grain"
	}
	if err := writePage(*where, job.made, stderr, res); err != nil {
		return err
	}
	if !*asJSON {
		fmt.Fprintf(stdout, "\nPage: %s/%s\n", strings.TrimSuffix(*where, "/"), pageFile)
		if *out != "" {
			fmt.Fprintf(stdout, "Film: %s\n", *out)
		}
	}
	return nil
}

// read reads size and time.
func (o *options) read(size, development string) error {
	if _, err := fmt.Sscanf(size, "%gx%g", &o.paper.width, &o.paper.height); err != nil ||
		!(o.paper.width >= 10 && o.paper.width <= 10000 && o.paper.height >= 10 && o.paper.height <= 10000) {
		return command.Usagef("-print %q: want width and height in mm, such as 254x203", size)
	}
	if !(o.paper.distance >= 10 && o.paper.distance <= 100000) {
		return command.Usagef("-distance %v: want mm, 10 or more", o.paper.distance)
	}
	if !(o.paper.lens == 0 || o.paper.lens >= 1 && o.paper.lens < 10000) {
		return command.Usagef("-lens %v: want cycles/mm on the film, 1 or more", o.paper.lens)
	}
	if !(o.paper.gradient > 0 && o.paper.gradient < 20) {
		return command.Usagef("-gradient %v: want that of a paper, above 0", o.paper.gradient)
	}
	if development == "" {
		return nil
	}
	d, err := devtime.ParseTime(development)
	if err != nil {
		return command.Usagef("-development %q: want a time like 7:30 or 7m30s", development)
	}
	o.development = d
	return nil
}

// work is what is to be measured, and the film that it is of.
type work struct {
	fsys   fs.FS
	closed func()
	job    *job
	film   *actinic.Film // nil where none was given
	file   *filmfile.File
	made   command.Made
	own    bool // pictures of the program
}

// open reads the job and the film's package.
func open(dir, film, name string, o *options) (*work, error) {
	w := &work{closed: func() {}, own: dir == ""}
	if film != "" {
		file, err := filmfile.Open(film, name)
		if err != nil {
			return nil, err
		}
		w.file, w.film = file, file.Film
	}
	if w.own {
		made, of := quarry(shippedSeed)
		w.fsys = made
		if w.film == nil {
			w.film = of
			o.process = cmp.Or(o.process, madeProcess)
		}
	} else {
		folder, closed, err := command.Folder(dir)
		if err != nil {
			return nil, fmt.Errorf("want a directory with %s: %w", jobFile, err)
		}
		w.fsys, w.closed = folder, closed
	}
	text, err := rooted.ReadFile(w.fsys, jobFile)
	if err == nil {
		w.job, err = parse(text)
	}
	if err != nil {
		w.closed()
	}
	return w, err
}

// measure measures, and says what it is worth with the film's curve.
func (w *work) measure(o *options) (*result, error) {
	var process *actinic.Process
	var curve sensito.Curve
	var notes []string
	if w.film != nil {
		p, err := w.film.Process(o.process)
		if err != nil {
			return nil, err
		}
		process = p
		curve, err = p.Curve(o.development)
		switch {
		case errors.Is(err, actinic.ErrMissing):
			notes = []string{err.Error() + "; without it there is no signal to noise"}
		case err != nil:
			return nil, err
		}
	}
	res, err := measure(w.fsys, w.job, curve)
	if err != nil {
		return nil, err
	}
	res.Warnings = append(res.Warnings, notes...)
	res.Invented = w.own
	if w.film != nil {
		res.film = w.film.Name() + " in " + process.Name()
	}
	res.sharpness(o.paper)
	if res.SetUp.CanMeasure {
		res.prints(o.paper, w.film, process, curve)
	}
	if curve != nil {
		res.signals(process, curve)
	}
	made, err := command.MadeOf(w.fsys, append(append([]string(nil), res.Pictures...), jobFile)...)
	if err != nil {
		return nil, err
	}
	if w.file != nil {
		for k, v := range w.file.Made.Inputs {
			made.Inputs[k] = v
		}
	}
	w.made = made
	return res, nil
}
