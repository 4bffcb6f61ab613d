package main

import (
	"context"
	"errors"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"runtime"
	"sync"

	"example.org/actinic/examples/internal/command"
	"example.org/actinic/examples/internal/spectrafile"
	"example.org/actinic/filters"
	"example.org/actinic/filters/cube"
	"example.org/actinic/internal/npy"
	"example.org/actinic/sensito"
	"example.org/actinic/spectral"
)

// negligible is the share of a response that may lie beyond a table without a word.
const negligible = 1e-4

// covered holds the bands, the light and the filters of files against the film: what
// ends inside its range would have to be made up. It returns what is to be noted.
func (j *job) covered(bands []float64) (notes []string, err error) {
	for _, film := range j.films {
		for _, light := range j.lights {
			more, err := j.pairCovered(film, light, bands)
			if err != nil {
				return nil, err
			}
			for _, n := range more {
				if len(j.films)*len(j.lights) > 1 {
					n = "film " + film.Name + ", light " + light.Name + ": " + n
				}
				notes = append(notes, n)
			}
		}
	}
	return notes, nil
}

func (j *job) pairCovered(f spectrafile.Film, l spectrafile.Light, bands []float64) (notes []string, err error) {
	film := f.Sensitivity.Spectra()
	lo, hi := reach(film)
	light := l.Light.WithOutside(spectral.Zero)
	a, b := reach(light.Spectra())
	if !(a < hi && b > lo) {
		return nil, fmt.Errorf("film %s has %g to %g nm and light %s %g to %g nm: they do not overlap", f.Name, lo, hi, l.Name, a, b)
	}
	if from, to := bands[0], bands[len(bands)-1]; from < to && !(from < hi && to > lo) {
		return nil, fmt.Errorf("film %s has %g to %g nm and the bands %g to %g nm: they do not overlap; check the units, which must be nm",
			f.Name, lo, hi, from, to)
	}
	var made []string
	say := func(what string, from, to, share float64, of string) {
		if share > negligible {
			made = append(made, fmt.Sprintf("%s end%s at %g and %g nm, inside the film's %g to %g nm: %.3g %% of %s lies beyond",
				what, s(what), from, to, lo, hi, 100*share, of))
		}
	}
	share, err := beyond(a, b, film)
	if err != nil {
		return nil, err
	}
	say("the light", a, b, share, "the film's sensitivity")
	response := append(film, light.Spectra()...)
	most, behind := 0.0, ""
	for _, f := range j.filters {
		r := append(response[:len(response):len(response)], f.Filter.Spectra()...)
		share, err := beyond(bands[0], bands[len(bands)-1], r)
		if err != nil {
			return nil, err
		}
		if share > most {
			most, behind = share, f.Name
		}
		for _, p := range f.Parts {
			if a, b := reach(p.Filter.Spectra()); p.Own && (a > lo || b < hi) {
				if share, err = beyond(a, b, response); err != nil {
					return nil, err
				}
				say("the table of filter "+p.Filter.Name(), a, b, share, "the film's response")
			}
		}
	}
	say("the bands", bands[0], bands[len(bands)-1], most, "the film's response, with the filter "+behind+",")
	if len(made) == 0 {
		return nil, nil
	}
	if !j.outsideSaid {
		return nil, fmt.Errorf("%s; say -outside hold to take the end values on, or -outside zero to count nothing there", made[0])
	}
	for _, m := range made {
		notes = append(notes, m+", "+map[spectral.Outside]string{spectral.Hold: "where the end values are held",
			spectral.Zero: "where nothing is counted"}[j.outside])
	}
	return notes, nil
}

func s(what string) string {
	if what == "the bands" {
		return ""
	}
	return "s"
}

// reach returns the range that spectra have in common.
func reach(spectra []spectral.Spectrum) (lo, hi float64) {
	hi = math.Inf(1)
	for _, s := range spectra {
		a, b := s.Range()
		lo, hi = max(lo, a), min(hi, b)
	}
	return lo, hi
}

// beyond is the share of a response outside a range.
func beyond(from, to float64, response []spectral.Spectrum) (float64, error) {
	all, err := spectral.Integral(response...)
	if err != nil {
		return 0, err
	}
	if !(all > 0) || !(from < to) {
		return 0, nil
	}
	window, err := spectral.New([]float64{from, to}, []float64{1, 1}, spectral.Zero)
	if err != nil {
		return 0, err
	}
	in, err := spectral.Integral(append(response[:len(response):len(response)], window)...)
	if errors.Is(err, spectral.ErrDisjoint) {
		return 1, nil
	}
	return max(1-in/all, 0), err
}

// prepare readies a channel for each filter.
func (j *job) prepare(bands []float64) (*cube.Renderer, error) {
	white := j.grey - sensito.LogH(math.Log10(filters.Grey))
	beyond := cube.ClampToCurve
	if j.refuse {
		beyond = cube.RefuseOffCurve
	}
	var channels []cube.Channel
	var said []string
	for _, film := range j.films {
		for _, light := range j.lights {
			for _, f := range j.filters {
				factor, err := filters.Factor(film.Sensitivity, light.Light, f.Filter)
				if err != nil {
					return nil, fmt.Errorf("film %s, light %s, filter %s: %w", film.Name, light.Name, f.Name, spectrafile.Plain(err))
				}
				c := cube.Channel{Film: film.Sensitivity, Light: light.Light, Filter: f.Filter, Curve: j.curve, White: white}
				note := "exposure lengthened by it"
				if j.same {
					c.White -= sensito.LogH(math.Log10(factor))
					note = "exposure as without it"
				}
				d := channel{j.channelName(film, light, f), film.Name, light.Name, f.Name, factor, float64(c.White)}
				said = append(said, fmt.Sprintf("%-20s factor %6.2f, %s\n", d.Name, factor, note))
				channels = append(channels, c)
				j.side.Channels = append(j.side.Channels, d)
			}
		}
	}
	p, err := cube.Prepare(bands, j.outside, beyond, channels...)
	if err != nil {
		return nil, err
	}
	for _, line := range said {
		fmt.Fprint(j.stdout, line)
	}
	return p, nil
}

// open opens the cube, says what it is, and refuses what does not fit.
func (j *job) open() (c *cubeFile, p *cube.Renderer, err error) {
	f, err := command.Open(j.cube)
	if err != nil {
		return nil, nil, err
	}
	fail := func(err error) (*cubeFile, *cube.Renderer, error) {
		return nil, nil, errors.Join(fmt.Errorf("%s: %w", j.cube, err), f.Close())
	}
	if c, err = openCube(f, j.header, j.interleave, j.interleaveSaid, j.bandsWanted > 0 || j.wavelengths != ""); err != nil {
		return fail(err)
	}
	bands, err := j.bands(c)
	if err != nil {
		return fail(err)
	}
	fmt.Fprintf(j.stdout, "%d × %d pixels, %d bands from %g to %g nm %s, %s in %s order\n", c.rows, c.columns, c.bands,
		bands[0], bands[len(bands)-1], spacing(bands), c.number.Name, c.interleave)
	for _, film := range j.films {
		lo, hi := reach(film.Sensitivity.Spectra())
		fmt.Fprintf(j.stdout, "film %s, %g to %g nm\n", film.Name, lo, hi)
	}
	for _, light := range j.lights {
		lo, hi := reach(light.Light.Spectra())
		fmt.Fprintf(j.stdout, "light %s, %g to %g nm\n", light.Name, lo, hi)
	}
	if j.scaleSaid {
		c.scale = j.scale
	}
	notes, err := j.covered(bands)
	if err != nil {
		return fail(err)
	}
	if !j.demo { // its lamps are brighter than white
		odd, err := c.checkScale(j.scaleSaid || c.scale > 0)
		if err != nil {
			return fail(err)
		}
		notes = append(notes, odd...)
	}
	for _, n := range notes {
		fmt.Fprintln(j.stderr, "note:", n)
	}
	for i := range j.lights {
		j.lights[i].Light = j.lights[i].Light.WithOutside(j.lightOutside())
	}
	if err := j.describe(c, bands, notes); err != nil {
		return fail(err)
	}
	if p, err = j.prepare(bands); err != nil {
		return fail(err)
	}
	return c, p, nil
}

func (j *job) lightOutside() spectral.Outside {
	if j.outsideSaid {
		return j.outside
	}
	return spectral.Zero
}

func spacing(bands []float64) string {
	least, most := math.Inf(1), 0.0
	for i := 1; i < len(bands); i++ {
		least, most = min(least, bands[i]-bands[i-1]), max(most, bands[i]-bands[i-1])
	}
	if most-least < 1e-6 {
		return fmt.Sprintf("every %.4g nm", least)
	}
	return fmt.Sprintf("%.4g to %.4g nm apart", least, most)
}

// A piece is a run of pixels of one row that is always done by one call: a row, or a
// fixed part of one. Cube's sums differ by rounding where a call begins and ends, so this
// is what makes the densities the same whatever the split.
type piece struct{ row, column, n int }

// negatives writes everything into dir and returns the names of the files.
func (j *job) negatives(ctx context.Context, dir string) (names []string, err error) {
	c, p, err := j.open()
	if err != nil {
		return nil, err
	}
	defer c.r.(*os.File).Close()
	from, to := 0, c.rows
	if j.part {
		if from, to = j.from, j.to; to > c.rows {
			return nil, fmt.Errorf("-rows %d:%d, and the cube has %d rows", from, to, c.rows)
		}
	}
	K := p.Channels()
	out, err := os.Create(filepath.Join(dir, "densities.npy"))
	if err != nil {
		return nil, err
	}
	defer func() { err = errors.Join(err, out.Close()) }()
	if _, err := out.Write(npy.Header(npy.Float32, to-from, c.columns, K)); err != nil {
		return nil, err
	}
	pics := newPictures(to-from, c.columns, K)
	tell := j.progress("densities", (to-from)*c.columns)
	done := 0
	w := &worker{job: j, cube: c, p: p}
	outside, err := w.rows(ctx, from, to, func(density []float32, raw []byte) error {
		pics.add(done, density)
		done += len(density) / K
		tell(done)
		return npy.WriteFloats(out, density, raw)
	})
	if err != nil {
		return nil, err
	}
	j.tell(w.tally, (to-from)*c.columns*K, w.first)
	if outside {
		return nil, fmt.Errorf("%w: change -grey, bring a longer -curve, or leave out -refuse", sensito.ErrOutside)
	}
	j.side.Rows = [2]int{from, to}
	j.side.Bad = badOf(w.tally, w.first)
	if err := j.side.write(dir); err != nil {
		return nil, err
	}
	names = []string{"densities.npy", "densities.json"}
	if j.part {
		return names, nil
	}
	more, err := pics.write(dir, j.side.names())
	return append(names, more...), err
}

// A worker does rows and keeps what became of them.
type worker struct {
	job   *job
	cube  *cubeFile
	p     *cube.Renderer
	tally cube.Counts
	first [4]*place // the first pixel of each kind: below, above, negative, invalid
}

// rows does rows from..to and gives their densities to emit in order. outside says that
// -refuse had something to refuse.
func (w *worker) rows(ctx context.Context, from, to int, emit func(density []float32, raw []byte) error) (outside bool, err error) {
	c, B, K := w.cube, w.p.Bands(), w.p.Channels()
	most := max(w.job.memory/(4*B)&^7, 8)
	var pieces []piece
	var row, column int
	scene := make([]float32, max(most, min(c.columns, most))*B)
	density := make([]float32, max(most, min(c.columns, most))*K)
	raw := make([]byte, 4*len(density))
	for row = from; row < to; {
		pieces = pieces[:0]
		for n := 0; row < to; {
			m := min(c.columns-column, most)
			if n+m > most {
				break
			}
			if err := c.read(scene[n*B:], row, column, m); err != nil {
				return false, fmt.Errorf("%s: %w", w.job.cube, err)
			}
			pieces = append(pieces, piece{row, column, m})
			n += m
			if column += m; column == c.columns {
				row, column = row+1, 0
			}
		}
		off, n, err := w.pieces(ctx, pieces, scene, density)
		if err != nil {
			return false, err
		}
		outside = outside || off
		if err := emit(density[:n*K], raw); err != nil {
			return false, err
		}
	}
	return outside, nil
}

// pieces does some pieces, several at once.
func (w *worker) pieces(ctx context.Context, pieces []piece, scene, density []float32) (outside bool, n int, err error) {
	B, K := w.p.Bands(), w.p.Channels()
	workers := w.job.workers
	if workers == 0 {
		workers = runtime.GOMAXPROCS(0)
	}
	inner := cube.Options{Workers: 1}
	if len(pieces) == 1 {
		inner.Workers = workers
	}
	starts := make([]int, len(pieces))
	for i, p := range pieces {
		starts[i] = n
		n += p.n
	}
	tallies, errs := make([]cube.Counts, len(pieces)), make([]error, len(pieces))
	var wg sync.WaitGroup
	for first := range min(workers, len(pieces)) {
		wg.Add(1)
		go func() {
			defer wg.Done()
			for i := first; i < len(pieces); i += workers {
				a, b := starts[i], starts[i]+pieces[i].n
				tallies[i], errs[i] = w.p.Densities(ctx, density[a*K:b*K], scene[a*B:b*B], inner)
			}
		}()
	}
	wg.Wait()
	for i, p := range pieces {
		if errors.Is(errs[i], sensito.ErrOutside) {
			outside = true
		} else if errs[i] != nil {
			return false, 0, errs[i]
		}
		w.tally = w.tally.Plus(tallies[i])
		w.place(ctx, p, tallies[i], scene[starts[i]*B:(starts[i]+p.n)*B])
	}
	return outside, n, nil
}

func kindsOf(t cube.Counts) [4]int { return [4]int{t.Below, t.Above, t.Negative, t.Invalid} }

// place finds the first pixel of each kind that has none yet.
func (w *worker) place(ctx context.Context, p piece, t cube.Counts, scene []float32) {
	want := false
	for k, n := range kindsOf(t) {
		want = want || n > 0 && w.first[k] == nil
	}
	if !want {
		return
	}
	B := w.p.Bands()
	one := make([]float32, w.p.Channels())
	for i := range p.n {
		here, _ := w.p.Densities(ctx, one, scene[i*B:(i+1)*B], cube.Options{Workers: 1}) // outside the curve is what is sought
		for k, n := range kindsOf(here) {
			if n > 0 && w.first[k] == nil {
				w.first[k] = &place{p.row, p.column + i}
			}
		}
	}
}

// tell says how many densities are not what the curve says, and where the first is.
func (j *job) tell(t cube.Counts, all int, first [4]*place) {
	for k, what := range []string{"below the curve", "above the curve", "of negative exposure", "without data"} {
		n := kindsOf(t)[k]
		if n == 0 {
			continue
		}
		at := ""
		if first[k] != nil {
			at = fmt.Sprintf(", the first at row %d, column %d", first[k].Row, first[k].Column)
		}
		fmt.Fprintf(j.stderr, "of %d densities %d are %s%s (counted from 0)\n", all, n, what, at)
	}
}
