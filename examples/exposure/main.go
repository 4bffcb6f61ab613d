// Command exposure plans an exposure: from the light to the marks of a camera, by the
// filter and by the film's own reciprocity law. With -card it draws the field card of a
// film for a camera.
package main

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"strings"
	"time"

	"example.org/actinic"
	"example.org/actinic/examples/internal/cameras"
	"example.org/actinic/examples/internal/command"
	"example.org/actinic/sensito"
	"example.org/actinic/sensito/exposure"
	"example.org/actinic/sensito/exposure/camera"
)

const usage = `Usage: exposure [-film DIR] [-name NAME] [-process NAME] [-camera FILE] [-ev EV] …
       exposure -card [-out DIR] [-film DIR] [-name NAME] [-process NAME] [-camera FILE]

Plans an exposure and explains it. Without options it plans the two cases of a very
fast film at a disused slate quarry: outdoors with a slow shutter, for the winding
engine in motion, and at dusk on a tripod behind an orange filter.

The films are the invented ones of the library, or those of a data package: the one
that testroll writes, for example. Stops are of exposure throughout: + is more.

` + cameras.Help + `
-filter may be given several times: filters one behind the other are stacked by what
they let through. A film without a spectral sensitivity needs their -factor. -nd is a
grey filter by its density, 0.3 for a stop. -ev is the light without any filter; with
-meter through the plan says what a meter behind the filters reads, one that sees as
the eye does, and by how much to correct it.

-card makes the card of this film for this camera, on one sheet of A6: index and
development, pull and push, filter factors, long times, grey filters for wide apertures
in the sun. It writes card.html and card.png to -out (out/card unless said otherwise);
with -json it prints the figures, and writes the card only if -out is given.

Examples:
  go run ./examples/exposure -name swift -process tarren -ev 15 -time 1/15
  go run ./examples/exposure -film out/testroll/package -ev 12 -aperture f/8 -camera bothy
  go run ./examples/exposure -name swift -process tarren -ev 4 -filter 21 -nd 0.6 -meter through
  go run ./examples/exposure -card -name swift -process tarren -camera bothy -out out/card

Options:
`

func main() { command.Main("exposure", run) }

// options are what the command line says of a shot, besides its film and camera.
type options struct {
	ev, index, factor, nd    float64
	shadow, highlight        float64
	aperture, start, meter   string
	shutter, handheld, bound string
	filters                  names
	light                    string
}

// names is a flag that may be given several times.
type names []string

func (n *names) String() string { return strings.Join(*n, " + ") }

func (n *names) Set(s string) error {
	*n = append(*n, s)
	return nil
}

func (o *options) describe(flags *command.Flags) {
	flags.Float64Var(&o.ev, "ev", 15, "what a meter reads without filters, `EV` at ISO 100")
	flags.Float64Var(&o.index, "index", 0, "exposure index; that of the film unless given, another is a push or a pull")
	flags.StringVar(&o.aperture, "aperture", "", "aperture to use; free unless given")
	flags.StringVar(&o.start, "start", "", "aperture to begin with where aperture and time are free")
	flags.StringVar(&o.shutter, "time", "", "time to use; free unless given")
	flags.Var(&o.filters, "filter", "`number` or name of a contrast filter, such as 21; may be given several times")
	flags.Float64Var(&o.factor, "factor", 0, "factor of the filter or filters on this film, at least 1; computed unless given")
	flags.Float64Var(&o.nd, "nd", 0, "`density` of a grey filter before the lens, 0.3 for a stop")
	flags.StringVar(&o.meter, "meter", "hand", "where the meter is: hand, or through the filters")
	flags.StringVar(&o.light, "light", "D55", "colour of the light: the name of an illuminant, or a temperature such as 7500K")
	flags.StringVar(&o.handheld, "handheld", "", "longest `time` to hold by hand, such as 1/60")
	flags.StringVar(&o.bound, "longest", "", "longest `time` that the subject allows, such as 1/250")
	flags.Float64Var(&o.shadow, "shadow", -3, "darkest tone of the subject, in `stops` from the metered one")
	flags.Float64Var(&o.highlight, "highlight", 3, "brightest tone of the subject, in `stops` from the metered one")
}

func run(args []string, stdout, stderr io.Writer) error {
	flags := command.New("exposure", usage, stdout)
	dir := flags.String("film", "", "`directory` of a data package with films, or of a report of testroll")
	name := flags.String("name", "", "name of the film, or a part of it")
	process := flags.String("process", "", "name of the process, or a part of it")
	var o options
	o.describe(flags)
	which := cameras.New(flags)
	asCard := flags.Bool("card", false, "make the field card of the film for the camera")
	out := flags.String("out", "", "`directory` for the card")
	asJSON := flags.Bool("json", false, "print the plan, or the figures of the card, as JSON")
	list := flags.Bool("list", false, "list the films and stop")
	if err := flags.Parse(args, 0); err != nil {
		return err
	}
	if len(args) == 0 {
		return quarry(stdout)
	}
	if err := fits(flags.Given(), *asCard); err != nil {
		return err
	}
	pack, made, err := open(*dir)
	if err != nil {
		return err
	}
	if *list {
		fmt.Fprintln(stdout, strings.Join(pack.Films(), "\n"))
		return nil
	}
	film, err := pack.Film(*name)
	if err != nil {
		return err
	}
	cam, content, err := which.Camera()
	if err != nil {
		return err
	}
	if content != nil {
		for file, hash := range command.MadeFrom("camera.json", content).Inputs {
			made.Inputs[file] = hash
		}
	}
	if *asCard {
		return makeCard(film, *process, cam, made, *asJSON, *out, stdout)
	}
	shot, err := o.shot()
	if err != nil {
		return err
	}
	shot.Film, shot.Process, shot.Camera = film, *process, cam.Camera
	plan, err := actinic.PlanExposure(shot)
	switch {
	case err != nil:
		return explain(err, cam)
	case *asJSON:
		return made.Print(stdout, planned{plan, cam})
	}
	_, err = fmt.Fprintf(stdout, "%vCamera: %v\n", plan, cam)
	return err
}

// fits refuses flags of a plan with a card, and of a card with a plan.
func fits(given map[string]bool, card bool) error {
	if given["out"] && !card {
		return command.Usagef("-out is for the card: add -card")
	}
	for _, n := range plansOnly {
		if card && given[n] {
			return command.Usagef("-%s is of a plan; a card is for the film's own index in two lights", n)
		}
	}
	return nil
}

// plansOnly are the flags that a card has no part for.
var plansOnly = []string{"ev", "index", "aperture", "start", "time", "filter", "factor", "nd", "meter", "light", "handheld", "longest",
	"shadow", "highlight"}

// explain names the flag that helps.
func explain(err error, cam *camera.Described) error {
	if errors.Is(err, actinic.ErrMissing) && strings.Contains(err.Error(), "factor of the filter") {
		return fmt.Errorf("%w by -factor", err)
	}
	return cameras.Explain(err, cam)
}

// planned is a plan with the camera that it is for.
type planned struct {
	plan *actinic.Plan
	cam  *camera.Described
}

// MarshalJSON writes the plan's object with the camera in it.
func (p planned) MarshalJSON() ([]byte, error) {
	text, err := json.Marshal(p.plan)
	cam, errCam := json.Marshal(struct {
		Text    string            `json:"text"`
		Assumed bool              `json:"assumed"`
		File    *camera.Described `json:"file"`
	}{p.cam.String(), p.cam.Assumed, p.cam})
	if err := errors.Join(err, errCam); err != nil {
		return nil, err
	}
	return append(text[:len(text)-1], `,"camera":`+string(cam)+"}"...), nil
}

// open reads the package in a folder or in a report's, the built-in one without. Anybody may have made it:
// nothing leaves its folder, and the files are those of the hashes, so that the hash of
// the descriptor is one of them all.
func open(dir string) (*actinic.Package, command.Made, error) {
	fsys := actinic.Data()
	if dir != "" {
		folder, closed, err := command.Package(dir)
		if _, known := actinic.LoadFilm(dir); errors.Is(err, fs.ErrNotExist) && known == nil {
			return nil, command.Made{}, fmt.Errorf("no folder %q; the film of that name comes with the library: give -name %q", dir, dir)
		}
		if err != nil {
			return nil, command.Made{}, err
		}
		defer closed()
		fsys = folder
	}
	pack, err := actinic.ReadPackage(fsys, actinic.Verify)
	if err != nil {
		return nil, command.Made{}, err
	}
	made, err := command.MadeOf(fsys, "datapackage.json")
	return pack, made, err
}

// shot is what the options ask for; film, process and camera are filled in by the caller.
// What cannot be meant is an error of the command line.
func (o *options) shot() (s actinic.Shot, err error) {
	s = actinic.Shot{Index: o.index, Factor: o.factor, Neutral: sensito.Density(o.nd), Shadow: sensito.Stops(o.shadow),
		Highlight: sensito.Stops(o.highlight)}
	for _, a := range []struct {
		text string
		to   *exposure.FNumber
	}{{o.aperture, &s.Aperture}, {o.start, &s.Start}} {
		if a.text != "" {
			if *a.to, err = exposure.ParseFNumber(a.text); err != nil {
				return s, err
			}
		}
	}
	for _, t := range []struct {
		text string
		to   *time.Duration
	}{{o.shutter, &s.Time}, {o.handheld, &s.Handheld}, {o.bound, &s.Longest}} {
		if t.text != "" {
			if *t.to, err = exposure.ParseShutter(t.text); err != nil {
				return s, err
			}
		}
	}
	if o.start != "" && (o.aperture != "" || o.shutter != "") {
		return s, command.Usagef("-start is where aperture and time are both free; with -aperture or -time it has no part")
	}
	return s, o.glass(&s)
}
