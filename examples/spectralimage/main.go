// Spectralimage turns a spectral image into black-and-white negatives: what a film
// makes of it behind one filter and another.
//
//	go run ./examples/spectralimage -demo
//
// makes a cube of an invented slate quarry at dusk, and from it the densities behind
// three filters and their pictures side by side. With a cube of your own,
//
//	go run ./examples/spectralimage -cube scene.npy -from 400 -to 700 -filters none,8,25
//
// where the cube is a NumPy array of float32, rows × columns × bands, with
// reflectances as fractions. It is read a few rows at a time and may be far larger
// than memory.
package main

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"math"
	"os"
	"os/signal"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"syscall"
	"time"

	"example.org/actinic/examples/internal/command"
	"example.org/actinic/examples/internal/spectrafile"
	"example.org/actinic/sensito"
	"example.org/actinic/sensito/datafile"
	"example.org/actinic/spectral"
)

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	command.Main("spectralimage", func(args []string, stdout, stderr io.Writer) error { return run(ctx, args, stdout, stderr) })
}

const usage = `Usage: spectralimage -demo [flags]
       spectralimage -cube FILE.npy -from NM -to NM [flags]
       spectralimage -cube FILE -header FILE.hdr [flags]
       spectralimage -join DIR... -out DIR

Turns a spectral image into the densities of a negative behind each of several
filters, and into pictures side by side.

  spectralimage -demo
  spectralimage -cube scene.npy -from 380 -to 700 -light D55 -filters none,8,25
  spectralimage -cube scene.npy -wavelengths bands.txt -film film.csv -curve curve.csv
  spectralimage -cube scene.img -header scene.hdr -filters "none,own.csv,25+ND 0.9"

The cube is a NumPy array of little-endian float32, float64 or uint16 in C order, or raw
with an ENVI text header; it is read row by row. Values times -scale are fractions of a
white surface; NaN marks pixels without data. Integers and percent are refused without
-scale, and bands, light or files that end inside the film's range without -outside.

` + spectrafile.Help + `
Written to -out, all or nothing:
  densities.npy     rows × columns × channels, float32; NaN where there are none. A channel is
                    a film in a light behind a filter, the filters running fastest
  densities.json    all that is needed to make it again
  side-by-side.png  the pictures in the order of the filters
  1-none.png ...    each by itself
Pictures are positives: light where the negative is dense, on one scale for all.

With -rows A:B only these rows are done, without pictures; -join puts such parts together,
byte for byte what one run would have made on the same kind of processor. README.md beside
the program has recipes for other files and for many machines.

Options:
`

type job struct {
	kit                       *spectrafile.Kit
	cube, header, out         string
	demoRows, demoColumns     int
	demo                      bool
	lo, hi                    float64
	equal                     bool // bands from lo to hi in equal steps
	wavelengths               string
	bandsWanted               int
	interleave                string
	interleaveSaid, scaleSaid bool
	scale                     float64
	outside                   spectral.Outside // the bands, and what else ends early
	outsideSaid               bool
	part                      bool // rows from..to only
	from, to                  int
	dirs                      []string // of parts to join
	films                     []spectrafile.Film
	lights                    []spectrafile.Light
	filters                   []spectrafile.Filter
	curve                     sensito.Curve
	curveName                 string
	grey                      sensito.LogH
	same                      bool
	refuse                    bool
	workers                   int
	memory                    int // bytes of the cube held at once
	side                      sidecar
	stdout, stderr            io.Writer
}

// takeJoin takes -join DIR... out of the arguments: all up to the next flag.
func takeJoin(args []string) (rest, dirs []string, said bool) {
	i := slices.IndexFunc(args, func(a string) bool { return a == "-join" || a == "--join" })
	if i < 0 {
		return args, nil, false
	}
	k := i + 1
	for k < len(args) && !strings.HasPrefix(args[k], "-") {
		k++
	}
	return slices.Concat(args[:i], args[k:]), args[i+1 : k], true
}

func run(ctx context.Context, args []string, stdout, stderr io.Writer) error {
	j := job{stdout: stdout, stderr: stderr, kit: &spectrafile.Kit{}, memory: 32 << 20}
	flags := command.New("spectralimage", usage, stdout)
	flags.StringVar(&j.cube, "cube", "", "`FILE` with the spectral image: .npy, or raw with -header")
	flags.StringVar(&j.header, "header", "", "`FILE.hdr`, the ENVI text header of a raw cube")
	flags.StringVar(&j.interleave, "interleave", "bip",
		"`ORDER` of the axes of an array: bip rows × columns × bands, bil rows × bands × columns, bsq bands × rows × columns")
	flags.Float64Var(&j.scale, "scale", 1, "`S` by which the values are multiplied to be fractions of a white surface: 0.01 for percent")
	outside := flags.String("outside", "",
		"`hold|zero`: what bands, light and files are where they end inside the film's range; without it that is refused")
	rows := flags.String("rows", "", "`A:B`, do these rows only, from 0, B excluded")
	flags.Bool("join", false, "with directories after it: join what was made with -rows into -out")
	flags.BoolVar(&j.demo, "demo", false, "make a cube of an invented quarry at dusk first, in -out")
	flags.IntVar(&j.demoRows, "demo-rows", 480, "rows of the -demo cube")
	flags.IntVar(&j.demoColumns, "demo-columns", 720, "columns of the -demo cube")
	flags.Float64Var(&j.lo, "from", 0, "wavelength of the first band in `NM`")
	flags.Float64Var(&j.hi, "to", 0, "wavelength of the last band in `NM`, the others in equal steps")
	flags.IntVar(&j.bandsWanted, "bands", 0, "`N` bands that the cube must have")
	flags.StringVar(&j.wavelengths, "wavelengths", "", "`FILE` with the wavelength of each band in nm, one a line")
	film := flags.String("film", "",
		"`NAME-or-FILE`: a film of the package, a class such as orthochromatic, or a file; default a generic panchromatic film")
	light := flags.String("light", "",
		"`NAME-or-FILE`: an illuminant, a colour temperature such as 3200K, or a file; default D55, for -demo 10000K")
	films := flags.String("films", "", "`LIST` of films, with commas: a channel for each film, light and filter")
	lights := flags.String("lights", "", "`LIST` of lights, with commas")
	names := flags.String("filters", "none,8,25",
		"`LIST` of filters, with commas: none, numbers or names of the catalogue, ND 0.9, files, stacks such as 25+ND 0.9")
	one := flags.String("filter", "", "`NAME-or-FILE[+...]`: one filter")
	j.kit.Flags(flags)
	curve := flags.String("curve", "",
		"`FILE.csv` with the film's characteristic curve, headed log_h_lx_s,density; default an invented one")
	grey := flags.Float64("grey", -1.2, "log10 of the exposure in lux seconds that a grey card of 18 % gets on the film")
	flags.BoolVar(&j.same, "same-exposure", false,
		"give every filter the exposure without one, instead of lengthening it for the grey card")
	flags.BoolVar(&j.refuse, "refuse", false,
		"NaN and an error for exposures that the curve does not reach, instead of the density of its end")
	flags.StringVar(&j.out, "out", "out/spectralimage", "`DIR` for what is written")
	flags.IntVar(&j.workers, "workers", 0, "goroutines, 0 for one a processor")
	args, dirs, join := takeJoin(args)
	if err := flags.Parse(args, 0); err != nil {
		return err
	}
	set := flags.Given()
	if join {
		delete(set, "out")
		if len(set) > 0 || len(dirs) == 0 {
			return command.Usagef("-join wants the directories of the parts and -out DIR, and nothing else")
		}
		j.dirs = dirs
		return j.work(ctx)
	}
	if err := j.check(set, *outside, *rows); err != nil {
		return err
	}
	if *light == "" {
		if *light = "D55"; j.demo {
			*light = "10000K"
		}
	}
	if set["filter"] {
		*names = *one
	}
	j.grey = sensito.LogH(*grey)
	filmNames, lightNames := []string{*film}, []string{*light}
	if set["films"] {
		filmNames = spectrafile.List(*films)
	}
	if set["lights"] {
		lightNames = spectrafile.List(*lights)
	}
	if len(filmNames) == 0 || len(lightNames) == 0 {
		return command.Usagef("-films and -lights must name something")
	}
	if err := j.load(filmNames, lightNames, *names, *curve); err != nil {
		return err
	}
	return j.work(ctx)
}

// check holds the flags against each other.
func (j *job) check(set map[string]bool, outside, rows string) error {
	j.equal, j.interleaveSaid, j.scaleSaid, j.outside = set["from"], set["interleave"], set["scale"], spectral.Hold
	switch {
	case j.demo == (j.cube != ""):
		return command.Usagef("say -demo, or -cube FILE.npy with -from and -to")
	case j.demo && (set["from"] || set["to"] || set["wavelengths"] || set["header"] || set["rows"] || set["scale"] || set["interleave"] || set["bands"]):
		return command.Usagef("-demo makes its own cube; leave out -from, -to, -wavelengths, -header, -rows, -scale, -bands and -interleave")
	case j.demo && !(j.demoRows >= 1 && j.demoRows <= 1e6 && j.demoColumns >= 1 && j.demoColumns <= 1e6):
		return command.Usagef("a cube of %d rows and %d columns: each from 1 to a million", j.demoRows, j.demoColumns)
	case !j.demo && (set["demo-rows"] || set["demo-columns"]):
		return command.Usagef("-demo-rows and -demo-columns are for -demo; a cube has its own")
	case !j.demo && (set["from"] != set["to"] || set["from"] && set["wavelengths"] || j.header == "" && !set["from"] && !set["wavelengths"]):
		return command.Usagef("what are the bands' wavelengths? Give -from NM -to NM for equal steps, or -wavelengths FILE")
	case !known(j.interleave):
		return command.Usagef("-interleave %q; there are bip, bil, bsq", j.interleave)
	case !(math.Abs(j.scale) > 0) || math.IsInf(j.scale, 0):
		return command.Usagef("-scale %g; want a number that is not 0, and finite", j.scale)
	case set["bands"] && j.bandsWanted < 2:
		return command.Usagef("-bands %d; two at least", j.bandsWanted)
	case set["filter"] && set["filters"] || set["film"] && set["films"] || set["light"] && set["lights"]:
		return command.Usagef("-film and -films exclude each other, and so do -light and -lights, -filter and -filters")
	case j.workers < 0:
		return command.Usagef("%d workers; 0 takes one a processor", j.workers)
	}
	if set["outside"] {
		o, err := spectral.ParseOutside(outside)
		if err != nil || o == spectral.Refuse {
			return command.Usagef("-outside %q; there are hold and zero", outside)
		}
		j.outside, j.outsideSaid = o, true
	}
	if set["rows"] {
		a, b, ok := strings.Cut(rows, ":")
		from, e1 := strconv.Atoi(a)
		to, e2 := strconv.Atoi(b)
		if !ok || e1 != nil || e2 != nil || !(from >= 0 && to > from) {
			return command.Usagef("-rows %q; wanted A:B such as 0:128, from 0, B excluded and after A", rows)
		}
		j.part, j.from, j.to = true, from, to
	}
	return j.kit.Check()
}

func (j *job) load(films, lights []string, names, curve string) (err error) {
	j.kit.Outside = j.outside
	for _, name := range films {
		f, err := j.kit.Film(name)
		if err != nil {
			return err
		}
		j.films = append(j.films, f)
	}
	for _, name := range lights {
		l, err := j.kit.Light(name)
		if err != nil {
			return err
		}
		j.lights = append(j.lights, l)
	}
	for _, name := range spectrafile.List(names) {
		f, err := j.kit.Filter(name)
		if err != nil {
			return err
		}
		j.filters = append(j.filters, f)
	}
	if len(j.filters) == 0 {
		return command.Usagef("-filters names none; no filter at all is called none")
	}
	if curve != "" {
		j.curveName = filepath.Base(curve)
		if j.curve, err = readCurve(curve); err != nil {
			return err
		}
		return j.kit.Note("curve", j.curveName, curve)
	}
	c := sensito.Constants{BaseFog: 0.22, Gamma: 0.66, Toe: -2.35, ToeWidth: 0.16, Shoulder: 2.3, Sharpness: 3, From: -3.6, To: 1.5}
	j.curveName = fmt.Sprintf("invented, %+v", c)
	j.curve, err = sensito.NewClosedForm(c)
	return err
}

func readCurve(name string) (sensito.Curve, error) {
	f, err := command.Open(name)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	var readings []sensito.Reading
	lines := bufio.NewScanner(f)
	for n := 1; lines.Scan(); n++ {
		text := strings.TrimSpace(lines.Text())
		switch {
		case n == 1 && text != "log_h_lx_s,density":
			return nil, datafile.Errors{{File: name, Line: 1, Column: 1, Field: "header", Text: text, Want: "log_h_lx_s,density"}}
		case n == 1 || text == "":
			continue
		}
		x, y, ok := strings.Cut(text, ",")
		h, ok1 := datafile.ParseNumber(strings.TrimSpace(x))
		d, ok2 := datafile.ParseNumber(strings.TrimSpace(y))
		if !ok || !ok1 || !ok2 {
			return nil, datafile.Errors{{File: name, Line: n, Column: 1, Field: "reading", Text: text,
				Want: "two numbers: log10 of the exposure in lux seconds, and the density"}}
		}
		readings = append(readings, sensito.Reading{LogH: sensito.LogH(h), Density: sensito.Density(d)})
	}
	if err := lines.Err(); err != nil {
		return nil, fmt.Errorf("%s: %w", name, err)
	}
	if len(readings) == 0 {
		return nil, fmt.Errorf("%s: no readings", name)
	}
	base := readings[0].Density
	for _, r := range readings {
		base = min(base, r.Density)
	}
	c, err := sensito.Interpolate(readings, sensito.StatedBase(base), sensito.RefuseFalling)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", name, err)
	}
	return c, nil
}

// bands returns the wavelengths of the bands of a cube.
func (j *job) bands(c *cubeFile) ([]float64, error) {
	n := c.bands
	if n < 2 {
		return nil, fmt.Errorf("the cube has %d bands, a spectrum needs two at least", n)
	}
	if j.bandsWanted > 0 && n != j.bandsWanted {
		return nil, fmt.Errorf("-bands %d, and the cube has %d in %s order: is another -interleave meant?", j.bandsWanted, n, c.interleave)
	}
	nm := c.nm
	switch {
	case j.wavelengths != "":
		var err error
		if nm, err = readWavelengths(j.wavelengths); err != nil {
			return nil, err
		}
		if len(nm) != n {
			return nil, fmt.Errorf("%s has %d wavelengths and the cube %d bands in %s order: is another -interleave meant?",
				j.wavelengths, len(nm), n, c.interleave)
		}
	case j.equal:
		nm = make([]float64, n)
		for i := range nm {
			nm[i] = j.lo + (j.hi-j.lo)*float64(i)/float64(n-1)
		}
	case nm == nil:
		return nil, errors.New("what are the bands' wavelengths? The header has none: give -from NM -to NM for equal steps, or -wavelengths FILE")
	}
	switch {
	case !slices.IsSorted(nm) || nm[0] == nm[n-1]:
		return nil, fmt.Errorf("the bands go from %g to %g nm and do not rise throughout: sort the cube by wavelength", nm[0], nm[n-1])
	case nm[0] < 50:
		return nil, fmt.Errorf("the bands begin at %g nm; are these micrometres? Wanted are nm", nm[0])
	}
	return nm, nil
}

func readWavelengths(file string) ([]float64, error) {
	text, err := command.ReadFile(file)
	if err != nil {
		return nil, err
	}
	var nm []float64
	for i, line := range strings.Split(string(text), "\n") {
		if line, _, _ = strings.Cut(line, "#"); strings.TrimSpace(line) == "" {
			continue
		}
		v, ok := datafile.ParseNumber(strings.TrimSpace(line))
		if !ok {
			return nil, datafile.Errors{{File: file, Line: i + 1, Column: 1, Field: "wavelength", Text: strings.TrimSpace(line),
				Want: "a number of nm"}}
		}
		nm = append(nm, v)
	}
	return nm, nil
}

func (j *job) work(ctx context.Context) (err error) {
	if _, there := os.Lstat(j.out); errors.Is(there, fs.ErrNotExist) {
		defer func() {
			if err != nil {
				os.Remove(j.out) // it is empty
			}
		}()
	}
	if err := os.MkdirAll(j.out, 0o755); err != nil {
		return err
	}
	// All is written beside its place and moved there when it is complete.
	tmp, err := os.MkdirTemp(j.out, ".writing-")
	if err != nil {
		return err
	}
	defer os.RemoveAll(tmp)
	defer func() {
		if err != nil && ctx.Err() != nil {
			err = errors.New("interrupted; nothing has been written")
		}
	}()
	if j.demo {
		j.cube = filepath.Join(tmp, "quarry.npy")
		j.lo, j.hi, j.equal = 380, 700, true // the whole range of the generic film
		if err := j.makeCube(ctx, 33); err != nil {
			return err
		}
	}
	var names []string
	if j.dirs != nil {
		names, err = j.join(tmp)
	} else {
		names, err = j.negatives(ctx, tmp)
	}
	if err != nil {
		return err
	}
	if j.demo {
		names = append(names, "quarry.npy")
	}
	if err := context.Cause(ctx); err != nil {
		return err
	}
	for i, name := range names {
		names[i] = filepath.Join(j.out, name)
		if err := os.Rename(filepath.Join(tmp, name), names[i]); err != nil {
			return err
		}
	}
	fmt.Fprintf(j.stdout, "Written: %s\n", strings.Join(names, ", "))
	return nil
}

func (j *job) makeCube(ctx context.Context, n int) (err error) {
	bands, err := j.bands(&cubeFile{bands: n})
	if err != nil {
		return err
	}
	f, err := os.Create(j.cube)
	if err != nil {
		return err
	}
	w := bufio.NewWriterSize(f, 1<<20)
	tell := j.progress("making the cube", j.demoRows)
	err = writeQuarry(ctx, w, j.demoRows, j.demoColumns, bands, tell)
	return errors.Join(err, w.Flush(), f.Close())
}

// patience is how long nothing is said of how far the work is.
var patience = 2 * time.Second

// progress returns a function that says on standard error how far the work is, when
// it takes longer than patience, and then as often.
func (j *job) progress(what string, all int) func(done int) {
	start := time.Now()
	last := start
	return func(done int) {
		now := time.Now()
		if now.Sub(last) < patience {
			return
		}
		last = now
		share := float64(done) / float64(all)
		left := time.Duration(float64(now.Sub(start)) * (1/share - 1)).Round(time.Second)
		fmt.Fprintf(j.stderr, "%s: %.0f %%, about %v left\n", what, 100*share, left)
	}
}
