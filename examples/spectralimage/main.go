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
	"math"
	"os"
	"os/signal"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"time"

	"example.org/actinic/examples/internal/command"
	"example.org/actinic/filters"
	"example.org/actinic/filters/cube"
	"example.org/actinic/internal/npy"
	"example.org/actinic/sensito"
	"example.org/actinic/spectral"
)

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	command.Main("spectralimage", func(args []string, stdout, stderr io.Writer) error { return run(ctx, args, stdout, stderr) })
}

const usage = `Usage: spectralimage -demo [flags]
       spectralimage -cube FILE.npy -from NM -to NM [flags]

Turns a spectral image into the densities of a negative behind each of several
filters, and into pictures side by side.

  spectralimage -demo
  spectralimage -cube scene.npy -from 400 -to 700 -light D55 -filters none,8,25
  spectralimage -cube scene.npy -wavelengths bands.txt -film film.csv -curve curve.csv

The cube is a NumPy array of little-endian float32 in C order, rows × columns ×
bands, values as fractions of a white surface: numpy.save("scene.npy",
numpy.ascontiguousarray(cube, "<f4")). NaN marks pixels without data.

Written to -out, all or nothing:
  densities.npy     rows × columns × filters, float32; NaN where there are none
  side-by-side.png  the pictures in the order of the filters
  1-none.png ...    each by itself
Pictures are positives: light where the negative is dense, on one scale for all.

Options:
`

type job struct {
	cube, out      string
	rows, columns  int // of the demonstration
	demo           bool
	lo, hi         float64
	wavelengths    string
	film           spectral.Sensitivity
	light          spectral.Light
	filters        []filters.Filter
	curve          sensito.Curve
	grey           sensito.LogH
	same           bool
	refuse         bool
	workers        int
	memory         int // bytes of the cube held at once
	stdout, stderr io.Writer
}

func run(ctx context.Context, args []string, stdout, stderr io.Writer) error {
	j := job{stdout: stdout, stderr: stderr}
	flags := command.New("spectralimage", usage, stdout)
	flags.StringVar(&j.cube, "cube", "", "`FILE.npy` with the spectral image")
	flags.BoolVar(&j.demo, "demo", false, "make a cube of an invented quarry at dusk first, in -out")
	flags.IntVar(&j.rows, "rows", 480, "rows of the -demo cube")
	flags.IntVar(&j.columns, "columns", 720, "columns of the -demo cube")
	flags.Float64Var(&j.lo, "from", 0, "wavelength of the first band in `NM`")
	flags.Float64Var(&j.hi, "to", 0, "wavelength of the last band in `NM`, the others in equal steps")
	flags.StringVar(&j.wavelengths, "wavelengths", "", "`FILE` with the wavelength of each band in nm, one a line")
	film := flags.String("film", "", "`FILE.csv` with the film's relative sensitivity, linear and per energy, headed wavelength_nm,value; default a generic panchromatic film")
	light := flags.String("light", "", "`NAME` of an illuminant or a colour temperature such as 3200K; default D55, for -demo 10000K")
	names := flags.String("filters", "none,8,25", "`NAME,NAME,...` of the filters: none, and numbers or names of the catalogue")
	curve := flags.String("curve", "", "`FILE.csv` with the film's characteristic curve, headed log_h_lx_s,density; default an invented one")
	grey := flags.Float64("grey", -1.2, "log10 of the exposure in lux seconds that a grey card of 18 % gets on the film")
	flags.BoolVar(&j.same, "same-exposure", false, "give every filter the exposure without one, instead of lengthening it for the grey card")
	flags.BoolVar(&j.refuse, "refuse", false, "NaN and an error for exposures that the curve does not reach, instead of the density of its end")
	flags.StringVar(&j.out, "out", "out/spectralimage", "`DIR` for what is written")
	flags.IntVar(&j.workers, "workers", 0, "goroutines, 0 for one a processor")
	if err := flags.Parse(args, 0); err != nil {
		return err
	}
	set := flags.Given()
	switch {
	case j.demo == (j.cube != ""):
		return command.Usagef("say -demo, or -cube FILE.npy with -from and -to; -h explains")
	case j.demo && (set["from"] || set["to"] || set["wavelengths"]):
		return command.Usagef("-demo chooses its own wavelengths; leave out -from, -to and -wavelengths")
	case j.demo && !(j.rows >= 1 && j.rows <= 1e6 && j.columns >= 1 && j.columns <= 1e6):
		return command.Usagef("a cube of %d rows and %d columns: each from 1 to a million", j.rows, j.columns)
	case !j.demo && (set["rows"] || set["columns"]):
		return command.Usagef("-rows and -columns are for -demo; a cube has its own")
	case !j.demo && (set["wavelengths"] == (set["from"] || set["to"]) || set["from"] != set["to"]):
		return command.Usagef("what are the bands' wavelengths? Give -from NM -to NM for equal steps, or -wavelengths FILE")
	case j.workers < 0:
		return command.Usagef("%d workers; 0 takes one a processor", j.workers)
	}
	if *light == "" {
		if *light = "D55"; j.demo {
			*light = "10000K"
		}
	}
	j.grey = sensito.LogH(*grey)
	j.memory = 32 << 20
	if err := j.load(*film, *light, *names, *curve); err != nil {
		return err
	}
	return j.work(ctx)
}

func (j *job) load(film, light, names, curve string) (err error) {
	j.film = spectral.Generic(spectral.Panchromatic)
	if film != "" {
		if j.film, err = readFilm(film); err != nil {
			return err
		}
	}
	if j.light, _, err = command.Light(light); err != nil {
		return err
	}
	j.light = j.light.WithOutside(spectral.Zero)
	for _, name := range strings.Split(names, ",") {
		f := filters.Clear().Named("none")
		if name = strings.TrimSpace(name); name != "none" {
			e, err := filters.Find(name)
			if err != nil {
				return fmt.Errorf("%w, none", err)
			}
			f = e.Filter
		}
		j.filters = append(j.filters, f)
	}
	if curve != "" {
		j.curve, err = readCurve(curve)
		return err
	}
	j.curve, err = sensito.NewClosedForm(sensito.Constants{BaseFog: 0.22, Gamma: 0.66, Toe: -2.35, ToeWidth: 0.16, Shoulder: 2.3, Sharpness: 3, From: -3.6, To: 1.5})
	return err
}

func readFilm(name string) (spectral.Sensitivity, error) {
	f, err := os.Open(name)
	if err != nil {
		return spectral.Sensitivity{}, err
	}
	defer f.Close()
	c, err := spectral.ReadCSV(f, name, spectral.Zero)
	if err != nil {
		return spectral.Sensitivity{}, err
	}
	if len(c) != 1 {
		return spectral.Sensitivity{}, fmt.Errorf("%s: %d columns of values where one is wanted: wavelength_nm,value", name, len(c))
	}
	s, err := c[0].Sensitivity()
	if err != nil {
		return spectral.Sensitivity{}, fmt.Errorf("%s: %w", name, err)
	}
	return s, nil
}

func readCurve(name string) (sensito.Curve, error) {
	f, err := os.Open(name)
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
			return nil, fmt.Errorf("%s:1: the heading is %q, wanted log_h_lx_s,density", name, text)
		case n == 1 || text == "":
			continue
		}
		x, y, ok := strings.Cut(text, ",")
		h, e1 := strconv.ParseFloat(strings.TrimSpace(x), 64)
		d, e2 := strconv.ParseFloat(strings.TrimSpace(y), 64)
		if !ok || e1 != nil || e2 != nil {
			return nil, fmt.Errorf("%s:%d: %q, wanted two numbers: log10 of the exposure in lux seconds, and the density", name, n, text)
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
	c, err := sensito.Interpolate(readings, sensito.StatedBase(base), sensito.Refuse)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", name, err)
	}
	return c, nil
}

// bands returns the wavelengths of n bands.
func (j *job) bands(n int) ([]float64, error) {
	if j.wavelengths == "" {
		if n < 2 {
			return nil, fmt.Errorf("the cube has %d bands, a spectrum needs two at least", n)
		}
		nm := make([]float64, n)
		for i := range nm {
			nm[i] = j.lo + (j.hi-j.lo)*float64(i)/float64(n-1)
		}
		return nm, nil
	}
	text, err := os.ReadFile(j.wavelengths)
	if err != nil {
		return nil, err
	}
	var nm []float64
	for i, line := range strings.Split(string(text), "\n") {
		if line, _, _ = strings.Cut(line, "#"); strings.TrimSpace(line) == "" {
			continue
		}
		v, err := strconv.ParseFloat(strings.TrimSpace(line), 64)
		if err != nil {
			return nil, fmt.Errorf("%s:%d: %q, wanted a wavelength in nm", j.wavelengths, i+1, strings.TrimSpace(line))
		}
		nm = append(nm, v)
	}
	if len(nm) != n {
		return nil, fmt.Errorf("%s has %d wavelengths and the cube %d bands", j.wavelengths, len(nm), n)
	}
	return nm, nil
}

// prepare readies a channel for each filter.
func (j *job) prepare(bands []float64) (*cube.Renderer, error) {
	white := j.grey - sensito.LogH(math.Log10(filters.Grey))
	beyond := cube.ClampToCurve
	if j.refuse {
		beyond = cube.RefuseOffCurve
	}
	var channels []cube.Channel
	for _, f := range j.filters {
		factor, err := filters.Factor(j.film, j.light, f)
		if err != nil {
			return nil, err
		}
		c := cube.Channel{Film: j.film, Light: j.light, Filter: f, Curve: j.curve, White: white}
		note := "exposure lengthened by it"
		if j.same {
			c.White -= sensito.LogH(math.Log10(factor))
			note = "exposure as without it"
		}
		fmt.Fprintf(j.stdout, "%-20s factor %6.2f, %s\n", f.Name(), factor, note)
		channels = append(channels, c)
	}
	return cube.Prepare(bands, spectral.Hold, beyond, channels...)
}

func (j *job) work(ctx context.Context) (err error) {
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
		j.lo, j.hi = 400, 700
		if err := j.makeCube(ctx, 31); err != nil {
			return err
		}
	}
	names, err := j.negatives(ctx, tmp)
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
	bands, err := j.bands(n)
	if err != nil {
		return err
	}
	f, err := os.Create(j.cube)
	if err != nil {
		return err
	}
	w := bufio.NewWriterSize(f, 1<<20)
	tell := j.progress("making the cube", j.rows)
	err = writeQuarry(ctx, w, j.rows, j.columns, bands, tell)
	return errors.Join(err, w.Flush(), f.Close())
}

// progress returns a function that says on standard error how far the work is, when
// it takes longer than two seconds and then every two.
func (j *job) progress(what string, all int) func(done int) {
	start := time.Now()
	last := start
	return func(done int) {
		now := time.Now()
		if now.Sub(last) < 2*time.Second {
			return
		}
		last = now
		share := float64(done) / float64(all)
		left := time.Duration(float64(now.Sub(start)) * (1/share - 1)).Round(time.Second)
		fmt.Fprintf(j.stderr, "%s: %.0f %%, about %v left\n", what, 100*share, left)
	}
}

// negatives writes everything into dir and returns the names of the files.
func (j *job) negatives(ctx context.Context, dir string) (names []string, err error) {
	f, err := os.Open(j.cube)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	fail := func(err error) ([]string, error) { return nil, fmt.Errorf("%s: %w", j.cube, err) }
	descr, shape, err := npy.ReadHeader(f)
	if err != nil {
		return fail(err)
	}
	if descr != npy.Float32 {
		return fail(fmt.Errorf("the numbers are of type %q, wanted little-endian float32: numpy.save(name, cube.astype('<f4'))", descr))
	}
	if len(shape) != 3 || shape[0] < 1 || shape[1] < 1 {
		return fail(fmt.Errorf("an array of shape %v, wanted rows × columns × bands", shape))
	}
	rows, columns, B := shape[0], shape[1], shape[2]
	at, err := f.Seek(0, io.SeekCurrent)
	if err != nil {
		return fail(err)
	}
	n, err := npy.Elements(shape)
	if err != nil {
		return fail(err)
	}
	if info, err := f.Stat(); err != nil {
		return fail(err)
	} else if have, want := info.Size(), at+4*int64(n); have != want {
		return fail(fmt.Errorf("%d bytes where an array of %d × %d × %d has %d: the file is cut short or has something behind it", have, rows, columns, B, want))
	}
	bands, err := j.bands(B)
	if err != nil {
		return nil, err
	}
	p, err := j.prepare(bands)
	if err != nil {
		return nil, err
	}
	K := p.Channels()
	out, err := os.Create(filepath.Join(dir, "densities.npy"))
	if err != nil {
		return nil, err
	}
	defer func() { err = errors.Join(err, out.Close()) }()
	if _, err := out.Write(npy.Header(npy.Float32, rows, columns, K)); err != nil {
		return nil, err
	}
	// As many pixels at a time as memory allows: some rows, or part of one.
	part := min(max(j.memory/(4*B), 1), rows*columns)
	scene, density := make([]float32, part*B), make([]float32, part*K)
	raw := make([]byte, 4*max(len(scene), len(density)))
	pics := newPictures(rows, columns, K)
	tell := j.progress("densities", rows*columns)
	var tally cube.Counts
	var outside error
	for done := 0; done < rows*columns; {
		m := min(part, rows*columns-done)
		if err := npy.ReadFloats(f, scene[:m*B], raw); err != nil {
			return fail(err)
		}
		t, err := p.Densities(ctx, density[:m*K], scene[:m*B], cube.Options{Workers: j.workers})
		tally = tally.Plus(t)
		if errors.Is(err, sensito.ErrOutside) {
			outside = sensito.ErrOutside
		} else if err != nil {
			return nil, err
		}
		if err := npy.WriteFloats(out, density[:m*K], raw); err != nil {
			return nil, err
		}
		pics.add(done, density[:m*K])
		done += m
		tell(done)
	}
	if all := float64(rows) * float64(columns) * float64(K) / 100; tally != (cube.Counts{}) {
		fmt.Fprintf(j.stderr, "of the densities %.2f %% are below the curve, %.2f %% above it, %.2f %% of negative exposure, %.2f %% without data\n",
			float64(tally.Below)/all, float64(tally.Above)/all, float64(tally.Negative)/all, float64(tally.Invalid)/all)
	}
	if outside != nil {
		return nil, fmt.Errorf("%w: change -grey, bring a longer -curve, or leave out -refuse", outside)
	}
	names = []string{"densities.npy"}
	more, err := pics.write(dir, j.filters)
	return append(names, more...), err
}
