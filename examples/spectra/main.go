// Spectra shows what a film, a light and a filter do to each other: factors,
// the meter's error behind the filter, and the tones of a subject.
//
//	go run ./examples/spectra
//
// prints the catalogue's factors for a generic panchromatic film in three lights,
// ranks the filters for a slate quarry, and writes three pictures. With data of
// your own,
//
//	go run ./examples/spectra -film film.csv -light D55 -filter red.csv+polarizer.csv -meter silicon -patches slate.csv -json
//	go run ./examples/spectra -films film.csv,panchromatic -lights D55,A -filters "8,25,25+ND 0.9" -csv
//
// where the headings of the files say what they hold; -h explains.
//
// Never look at the sun through a filter made for photography, or through a
// viewfinder behind one, whatever its density: what it passes beyond the visible
// cannot be seen and burns the eye.
package main

import (
	"cmp"
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"example.org/actinic/examples/internal/command"
	"example.org/actinic/examples/internal/spectrafile"
	"example.org/actinic/filters"
	"example.org/actinic/sensito"
	"example.org/actinic/spectral"
)

const usage = `Usage: spectra [-film F] [-light L] [-filter T[+T...]] [-meter M] [-patches FILE] [-json] [-out DIR]
       spectra -films F,F -lights L,L -filters T,T -csv|-json

What a film, a light and a filter do to each other: factors, the meter's error behind
the filter, and the tones of a subject. Without options it tells of a generic
panchromatic film in three lights and ranks the filters for a disused slate quarry.
With lists it prints one row for each combination.

` + spectrafile.Help + `
Patches are fractions, one column a patch. Pictures go to -out (out/spectra unless said
otherwise).

Never look at the sun through a filter made for photography, or through a viewfinder
behind one.

Example: your own film behind a red filter, as numbers
  go run ./examples/spectra -film film.csv -light D55 -filter 25 -json
Example: two films in two lights behind three filters, as a table
  go run ./examples/spectra -films panchromatic,film.csv -lights D55,A -filters "none,25,25+ND 0.9" -csv

Options:
`

func main() { command.Main("spectra", run) }

// job is what the command line asks for.
type job struct {
	filmName, lightName, meterName string
	film, meter                    spectral.Sensitivity
	light                          spectral.Light
	filter                         filters.Filter
	patches                        []filters.Surface
	ownFilters                     []filters.Filter // those that came from files
	ownPatches                     bool
	notes                          []string
	kit                            *spectrafile.Kit
	interval                       *sensito.Estimate // of the factor, where deviations are given
}

func run(args []string, stdout, stderr io.Writer) error {
	flags := command.New("spectra", usage, stdout)
	kit := &spectrafile.Kit{}
	kit.Flags(flags)
	film := flags.String("film", "",
		"`NAME-or-FILE`: a film of the package, a class such as orthochromatic, or a file; default a generic panchromatic film")
	light := flags.String("light", "",
		"`NAME-or-FILE`: A, D50, D55, D65, D75, E, an ISO 7589 light, a colour temperature such as 3200K, or a file; default ISO sensitometric daylight")
	filter := flags.String("filter", "",
		"`NAME-or-FILE[+...]`, one behind the other; a catalogue number or name, ND 0.9, or a file; default none, or the best for the quarry")
	films := flags.String("films", "", "`LIST` of films, with commas: the tidy table")
	lights := flags.String("lights", "", "`LIST` of lights, with commas: the tidy table")
	list := flags.String("filters", "", "`LIST` of filters, with commas, a stack written 25+ND 0.9: the tidy table")
	meter := flags.String("meter", "eye", "`NAME-or-FILE`: eye, silicon, filtered-silicon, or a file with the meter's response")
	patches := flags.String("patches", "",
		"`FILE` with reflectances, one column a patch, whose stops are counted from an 18 % grey; default the CIE test colours")
	asJSON := flags.Bool("json", false, "print JSON and make no pictures")
	asCSV := flags.Bool("csv", false, "print the tidy table as CSV and make no pictures")
	out := flags.String("out", "out/spectra", "`DIR` for the pictures")
	if err := flags.Parse(args, 0); err != nil {
		return err
	}
	if err := kit.Check(); err != nil {
		return err
	}
	given := flags.Given()
	if given["films"] || given["lights"] || given["filters"] || *asCSV {
		t := listing{kit: kit, meterName: *meter, stderr: stderr}
		for _, l := range []struct {
			one, many *string
			name      string
			to        *[]string
		}{{film, films, "film", &t.filmNames}, {light, lights, "light", &t.lightNames}, {filter, list, "filter", &t.filterNames}} {
			switch {
			case given[l.name] && given[l.name+"s"]:
				return command.Usagef("-%s and -%ss exclude each other", l.name, l.name)
			case given[l.name+"s"]:
				if *l.to = spectrafile.List(*l.many); len(*l.to) == 0 {
					return command.Usagef("-%ss names none", l.name)
				}
			case l.name == "filter" && *l.one != "":
				*l.to = []string{strings.Join(stacked(*l.one), "+")}
			default:
				*l.to = []string{*l.one}
			}
		}
		if *asCSV && *asJSON || *patches != "" {
			return command.Usagef("the table of lists is either -csv or -json, and has no -patches")
		}
		return t.print(stdout, *asJSON)
	}
	j, err := load(kit, *film, *light, *filter, *meter, *patches)
	if err != nil {
		return err
	}
	if *film+*light+*filter+*patches == "" && !*asJSON {
		j.tour(stdout)
	} else if err := j.report(stdout, *asJSON); err != nil {
		return err
	}
	for _, n := range j.notes {
		fmt.Fprintln(stderr, "note:", n)
	}
	if *asJSON {
		return nil
	}
	files, err := j.pictures(*out)
	if err != nil {
		return err
	}
	fmt.Fprintf(stdout, "\nPictures: %s\n\n%s\n", strings.Join(files, ", "), caution)
	return nil
}

const caution = "Never look at the sun through a filter made for photography, or through a viewfinder behind one."

func load(kit *spectrafile.Kit, film, light, filter, meter, patches string) (*job, error) {
	kit.Outside = spectral.Hold
	j := &job{kit: kit}
	f, err := kit.Film(film)
	if err != nil {
		return nil, err
	}
	l, err := kit.Light(light)
	if err != nil {
		return nil, err
	}
	j.film, j.filmName, j.light, j.lightName = f.Sensitivity, f.Name, l.Light, l.Name
	if j.meter, j.meterName, err = readMeter(kit, meter); err != nil {
		return nil, err
	}
	g := spectrafile.Filter{Filter: filters.Clear()}
	if filter != "" {
		if g, err = kit.Stack(stacked(filter)...); err != nil {
			return nil, err
		}
	}
	j.filter = g.Filter
	for _, p := range g.Parts {
		if p.Own {
			j.ownFilters = append(j.ownFilters, p.Filter)
		}
	}
	j.patches = filters.TestColours()
	if patches != "" {
		if j.patches, err = readPatches(patches); err != nil {
			return nil, err
		}
		if err := kit.Note("patches", filepath.Base(patches), patches); err != nil {
			return nil, err
		}
		j.ownPatches = true
	}
	if err := j.fit(); err != nil {
		return nil, err
	}
	l.Light = j.light
	j.interval, err = within(f, l, g)
	return j, err
}

// stacked returns the filters of -filter: a file by itself, or names with + or commas
// between them.
func stacked(text string) []string {
	if _, err := os.Stat(text); err == nil {
		return []string{text}
	}
	var out []string
	for _, name := range spectrafile.List(text) {
		if _, err := os.Stat(name); err == nil {
			out = append(out, name)
			continue
		}
		out = append(out, strings.Split(name, "+")...)
	}
	return out
}

// fit checks that everything overlaps what film and light have in common, and says
// what is taken for granted where something stops short of it. The film and the
// meter are zero outside their tables.
func (j *job) fit() error {
	lo, hi := reach(j.film.Spectra())
	a, b := reach(j.light.Spectra())
	if !(a < hi && b > lo) {
		return fmt.Errorf("film %s has %g to %g nm and light %s %g to %g nm: they do not overlap; check the units, which must be nm",
			j.filmName, lo, hi, j.lightName, a, b)
	}
	if a > lo || b < hi {
		j.notes = append(j.notes, fmt.Sprintf("the light has %g to %g nm, the film %g to %g nm: nothing is counted outside the light's table", a, b, lo, hi))
	}
	j.light = j.light.WithOutside(spectral.Zero)
	lo, hi = max(lo, a), min(hi, b)
	check := func(what string, s []spectral.Spectrum) error {
		a, b := reach(s)
		if !(a < hi && b > lo) {
			return fmt.Errorf("%s has %g to %g nm, film and light share %g to %g nm: they do not overlap; check the units, which must be nm, and bring data that reach", what, a, b, lo, hi)
		}
		if a > lo || b < hi {
			j.notes = append(j.notes, fmt.Sprintf("%s has %g to %g nm, film and light share %g to %g nm: its end values are held beyond", what, a, b, lo, hi))
		}
		return nil
	}
	for _, f := range j.ownFilters {
		if err := check("filter "+f.Name(), f.Spectra()); err != nil {
			return err
		}
	}
	if j.ownPatches { // all of one file, so on one grid
		if err := check("the table of patches", []spectral.Spectrum{j.patches[0].Reflectance}); err != nil {
			return err
		}
	}
	mlo, mhi := reach(j.meter.Spectra())
	if !(a < mhi && b > mlo) {
		return fmt.Errorf("meter %s has %g to %g nm and the light %g to %g nm: they do not overlap", j.meterName, mlo, mhi, a, b)
	}
	return nil
}

// reach returns the range that spectra have in common.
func reach(spectra []spectral.Spectrum) (lo, hi float64) {
	lo, hi = 0, math.Inf(1)
	for _, s := range spectra {
		a, b := s.Range()
		lo, hi = max(lo, a), min(hi, b)
	}
	return lo, hi
}

func readMeter(kit *spectrafile.Kit, name string) (spectral.Sensitivity, string, error) {
	switch strings.ToLower(name) {
	case "", "eye":
		return spectral.Eye(), "eye", nil
	case "silicon":
		return filters.Silicon(), "silicon", nil
	case "filtered-silicon":
		return filters.FilteredSilicon(), "filtered-silicon", nil
	}
	if _, err := os.Stat(name); err != nil {
		return spectral.Sensitivity{}, "", fmt.Errorf("meter %q is neither eye, silicon, filtered-silicon nor a file", name)
	}
	m, err := kit.Meter(name)
	return m.Sensitivity, m.Name, err
}

func readPatches(name string) ([]filters.Surface, error) {
	columns, _, err := spectrafile.Columns(name, spectral.Hold)
	if err != nil {
		return nil, err
	}
	out := make([]filters.Surface, len(columns))
	for i, c := range columns {
		r, err := c.Fraction()
		if err != nil {
			return nil, fmt.Errorf("%s: %w", name, err)
		}
		out[i] = filters.Surface{Name: c.Name, Reflectance: r}
	}
	return out, nil
}

// result is the JSON of -json.
type result struct {
	Version         string              `json:"actinic_version"`
	Film            string              `json:"film"`
	Light           string              `json:"light"`
	Filter          string              `json:"filter"`
	Meter           string              `json:"meter"`
	Inputs          []spectrafile.Input `json:"inputs"`
	FactorLow       *float64            `json:"factor_low,omitempty"` // where deviations are given
	FactorHigh      *float64            `json:"factor_high,omitempty"`
	Factor          float64             `json:"factor"`
	Stops           sensito.Stops       `json:"stops"`
	MeterFactor     float64             `json:"meter_factor"`
	MeterErrorStops sensito.Stops       `json:"meter_error_stops"` // positive means overexposure
	CentroidNM      centroids           `json:"centroid_nm"`
	Patches         []filters.Tone      `json:"patches"`
	Notes           []string            `json:"notes,omitempty"`
}

type centroids struct {
	Without float64 `json:"without"`
	With    float64 `json:"with"`
}

func (j *job) result() (r result, err error) {
	if r.Factor, err = filters.Factor(j.film, j.light, j.filter); err != nil {
		return r, err
	}
	r.Version, r.Film, r.Light, r.Filter, r.Meter = command.Version(), j.filmName, j.lightName, j.filter.Name(), j.meterName
	r.Inputs = j.kit.Inputs
	if j.interval != nil {
		r.FactorLow, r.FactorHigh = &j.interval.Low, &j.interval.High
	}
	r.Stops = sensito.StopsOf(r.Factor)
	if r.MeterFactor, err = filters.Factor(j.meter, j.light, j.filter); err != nil {
		return r, fmt.Errorf("the meter: %w", err)
	}
	said, err := doubts(j.film, j.light, j.filter)
	if err != nil {
		return r, err
	}
	j.notes = append(j.notes, said...)
	r.MeterErrorStops = sensito.StopsOf(r.MeterFactor) - r.Stops
	a, b := reach(j.light.Spectra())
	mlo, mhi := reach(j.meter.Spectra())
	if a > mlo || b < mhi {
		j.notes = append(j.notes, fmt.Sprintf("the light has %g to %g nm, the meter %g to %g nm: what the meter sees beyond the light's table is not counted", a, b, mlo, mhi))
	}
	es := append(j.film.Spectra(), j.light.Spectra()...)
	var errs [3]error
	r.CentroidNM.Without, errs[0] = spectral.Centroid(es...)
	r.CentroidNM.With, errs[1] = spectral.Centroid(append(es, j.filter.Spectra()...)...)
	r.Patches, errs[2] = filters.Tones(j.film, j.light, j.filter, j.patches...)
	r.Notes = j.notes
	return r, cmp.Or(errs[:]...)
}

func (j *job) report(w io.Writer, asJSON bool) error {
	r, err := j.result()
	if err != nil {
		return err
	}
	if asJSON {
		return j.kit.Made().Print(w, r)
	}
	mark, err := filters.FactorMarkOf(r.Factor)
	bare, errBare := filters.Tones(j.film, j.light, filters.Clear(), j.patches...)
	if err := cmp.Or(err, errBare); err != nil {
		return err
	}
	fmt.Fprintf(w, "%s in %s, %s\n\n", j.filmName, j.lightName, j.filter.Name())
	fmt.Fprintf(w, "factor       %8.3f   %.3f stops, marked %v stops (x%g)\n", r.Factor, float64(r.Stops), mark, mark.Factor())
	if j.interval != nil {
		fmt.Fprintf(w, "             %8.3f   to %.3f, 95 %% interval that the deviations of the files leave\n",
			j.interval.Low, j.interval.High)
	}
	fmt.Fprintf(w, "meter factor %8.3f   %s: %+.3f stops behind the filter (+ is overexposure)\n", r.MeterFactor,
		j.meterName, float64(r.MeterErrorStops))
	fmt.Fprintf(w, "centroid     %8.1f   nm without the filter, %.1f nm with it\n\n", r.CentroidNM.Without, r.CentroidNM.With)
	fmt.Fprintf(w, "%-38s %10s %12s %12s\n", "patch", "effective", "stops from", "change by")
	fmt.Fprintf(w, "%-38s %10s %12s %12s\n", "", "reflectance", "grey", "the filter")
	for i, t := range r.Patches {
		fmt.Fprintf(w, "%-38s %10.4f %+12.2f %+12.2f\n", t.Name, t.Reflectance, float64(t.StopsFromGrey), float64(t.Above(bare[i])))
	}
	return nil
}

// lights are the three of the tour.
func lights() ([]spectral.Light, []string) {
	sun := command.Ours(spectral.Planck(5778, command.Ours(spectral.Grid(300, 830, 5))))
	sky := command.Ours(command.Ours(spectral.ClearSky(sun, 2)).Through(spectral.Lens()))
	return []spectral.Light{spectral.SensitometricDaylight.Light(), spectral.SensitometricTungsten.Light(), sky},
		[]string{"daylight", "tungsten", "blue shade"}
}

// tour shows what there is by the generic film, in lights and with subjects of ours.
func (j *job) tour(w io.Writer) {
	class, cut := command.Ours(j.film.Class()), command.Ours(j.film.CutOff(0.1))
	ls, names := lights()
	fmt.Fprintf(w, "A generic film: %v, a tenth of its peak at %.0f nm.\n\n", class, cut)
	fmt.Fprintf(w, "Daylight and tungsten are those of ISO 7589 behind its lens; blue shade is a model of clear\nsky (sunlight scattered once, two air masses) behind the same. Flatness is how evenly the\nfilm takes the light: one less it is the most that colour alone can move a tone from grey.\n\n")
	fmt.Fprintf(w, "%-18s", "")
	for _, n := range names {
		fmt.Fprintf(w, "%23s", n)
	}
	fmt.Fprintf(w, "\n%-18s", "flatness")
	for _, l := range ls {
		fmt.Fprintf(w, "%23.3f", command.Ours(j.film.Flatness(l.WithOutside(spectral.Hold))))
	}
	fmt.Fprintf(w, "\n%-18s", "speed, eye's meter")
	for _, l := range ls {
		q := command.Ours(spectral.AtEqualReading(j.film, spectral.Eye(), ls[0].WithOutside(spectral.Hold), l.WithOutside(spectral.Hold)))
		fmt.Fprintf(w, "%17.2f stops", math.Log2(q))
	}
	fmt.Fprintf(w, "\n\n%-18s", "filter")
	for range names {
		fmt.Fprintf(w, "%9s%8s%6s", "factor", "stops", "mark")
	}
	fmt.Fprintf(w, "   %s\n", "curve")
	for _, e := range filters.Catalogue() {
		fmt.Fprintf(w, "%-18s", e.Filter.Name())
		for _, l := range ls {
			f := command.Ours(filters.Factor(j.film, l, e.Filter))
			m := command.Ours(filters.FactorMarkOf(f))
			fmt.Fprintf(w, "%9.2f%8v%6g", f, m, m.Factor())
		}
		fmt.Fprintf(w, "   %v\n", e.Basis)
	}

	// The quarry: lichen and slate against the sky.
	j.patches = filters.Subjects()
	var candidates []filters.Filter
	for _, e := range filters.Catalogue() {
		candidates = append(candidates, e.Filter)
	}
	slate, sky := find(j.patches, "purple slate"), find(j.patches, "clear sky")
	best := command.Ours(filters.Rank(j.film, j.light, candidates, slate, sky))
	fmt.Fprintf(w, "\nA slate quarry (invented spectra): tips of purple slate to stand bright against a clear sky\nin %s. The best of %d, and the last:\n\n", j.lightName, len(best))
	for i, c := range best {
		if i < 4 || i == len(best)-1 {
			fmt.Fprintf(w, "  %-16s gains %+.1f stops: %s\n", c.Filter.Name(), float64(c.Gain), c.Reason)
		}
	}
	j.filter = best[0].Filter
}

// find finds one of our subjects.
func find(patches []filters.Surface, name string) filters.Surface {
	return patches[slices.IndexFunc(patches, func(p filters.Surface) bool { return p.Name == name })]
}
