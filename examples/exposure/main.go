// Command exposure plans an exposure: from the light to the marks of a camera, by the
// filter and by the film's own reciprocity law.
package main

import (
	"fmt"
	"io"
	"strings"
	"time"

	"example.org/actinic"
	"example.org/actinic/examples/internal/command"
	"example.org/actinic/filters"
	"example.org/actinic/sensito/exposure"
	"example.org/actinic/sensito/exposure/camera"
	"example.org/actinic/spectral"
)

const usage = `Usage: exposure [-film DIR] [-name NAME] [-process NAME] [-ev EV] [-aperture f/8] [-time 1/60] …

Plans an exposure and explains it. Without options it plans the two cases of a very
fast film at a disused slate quarry: outdoors with a slow shutter, for the winding
engine in motion, and at dusk on a tripod behind an orange filter.

The films are the invented ones of the library, or those of a data package: the one
that testroll writes, for example.

Examples:
  go run ./examples/exposure -name swift -process tarren -ev 15 -time 1/15
  go run ./examples/exposure -film out/testroll/package -ev 12 -aperture f/8

Options:
`

func main() { command.Main("exposure", run) }

func run(args []string, stdout, _ io.Writer) error {
	flags := command.New("exposure", usage, stdout)
	dir := flags.String("film", "", "`directory` of a data package with films")
	name := flags.String("name", "", "name of the film, or a part of it")
	process := flags.String("process", "", "name of the process, or a part of it")
	ev := flags.Float64("ev", 15, "what the meter reads, `EV` at ISO 100")
	index := flags.Float64("index", 0, "exposure index; that of the film unless given")
	aperture := flags.String("aperture", "", "aperture to use; free unless given")
	shutter := flags.String("time", "", "time to use; free unless given")
	filter := flags.String("filter", "", "number or name of a contrast filter, such as 21")
	light := flags.String("light", "D55", "colour of the light: the name of an illuminant, or a temperature such as 7500K")
	handheld := flags.String("handheld", "", "longest time to hold by hand, such as 1/60")
	asJSON := flags.Bool("json", false, "print the plan as JSON")
	list := flags.Bool("list", false, "list the films and stop")
	if err := flags.Parse(args, 0); err != nil {
		return err
	}
	if len(args) == 0 {
		return quarry(stdout)
	}
	pack, made, err := open(*dir)
	if err != nil {
		return err
	}
	if *list {
		fmt.Fprintln(stdout, strings.Join(pack.Films(), "\n"))
		return nil
	}
	shot := actinic.Shot{Scene: actinic.MeteredScene(exposure.EV100(*ev), spectral.Light{}), Index: *index, Process: *process}
	if shot.Film, err = pack.Film(*name); err != nil {
		return err
	}
	if shot.Camera, err = thirds(); err != nil {
		return err
	}
	if *aperture != "" {
		if shot.Aperture, err = exposure.ParseFNumber(*aperture); err != nil {
			return err
		}
	}
	for _, t := range []struct {
		text string
		to   *time.Duration
	}{{*shutter, &shot.Time}, {*handheld, &shot.Handheld}} {
		if t.text != "" {
			if *t.to, err = exposure.ParseShutter(t.text); err != nil {
				return err
			}
		}
	}
	if *filter != "" {
		entry, err := filters.Find(*filter)
		if err != nil {
			return err
		}
		shot.Filter = entry.Filter
		if shot.Scene.Light, _, err = command.Light(*light); err != nil {
			return err
		}
	}
	plan, err := actinic.PlanExposure(shot)
	if err != nil {
		return err
	}
	if *asJSON {
		return made.Print(stdout, plan)
	}
	fmt.Fprint(stdout, plan)
	return nil
}

// open reads the package in a folder, the built-in one without. Anybody may have made it:
// nothing leaves its folder, and the files are those of the hashes, so that the hash of
// the descriptor is one of them all.
func open(dir string) (*actinic.Package, command.Made, error) {
	fsys := actinic.Data()
	if dir != "" {
		folder, closed, err := command.Folder(dir)
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

// thirds has third-stop marks from f/2.8 to f/22 and from 1/4000 to 30 s, and can be
// held open.
func thirds() (*camera.Camera, error) {
	return camera.OfScale(camera.ThirdStops, 2.8, 22, time.Second/4000, 0)
}

// quarry plans the two classic cases.
func quarry(w io.Writer) error {
	film, err := actinic.LoadFilm("Garnedd Swift")
	if err != nil {
		return err
	}
	cam, err := thirds()
	if err != nil {
		return err
	}
	orange, err := filters.Find("21")
	if err != nil {
		return err
	}
	dusk, err := spectral.LightAt(9000)
	if err != nil {
		return err
	}
	for _, c := range []struct {
		title string
		shot  actinic.Shot
	}{
		{"Outdoors in the sun, the winding engine blurred by a slow shutter", actinic.Shot{
			Scene: actinic.Scene{Luminance: 4000}, Time: time.Second / 15}},
		{"The bright tips at dusk, on a tripod behind an orange filter", actinic.Shot{
			Scene: actinic.Scene{Luminance: 0.4, Light: dusk}, Filter: orange.Filter, Aperture: 8}},
	} {
		c.shot.Film, c.shot.Process, c.shot.Camera = film, "Tarren", cam
		plan, err := actinic.PlanExposure(c.shot)
		if err != nil {
			return err
		}
		fmt.Fprintf(w, "%s (film, developer and place are invented)\n%v\n", c.title, plan)
	}
	return nil
}
