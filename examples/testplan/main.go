// Command testplan lays out a test roll before it is exposed: which strips, which frames,
// how many, for an answer as sharp as wanted. It writes the files of the test ready to be
// filled, which testroll reads, and a shooting list to print.
package main

import (
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"strings"

	"example.org/actinic/devtime"
	"example.org/actinic/devtime/roll"
	"example.org/actinic/devtime/roll/plan"
	"example.org/actinic/examples/internal/cameras"
	"example.org/actinic/examples/internal/command"
)

const usage = `Usage: testplan -index EI [-camera FILE] [-ev EV] [-sure STOPS] [-half-width STOPS]
                [-density-sd SD] [-frames N] [-out DIR] [-json] [-dir DIR] …

Says what to expose so that the answer of a test roll is as sharp as wanted: strips of
a grey card developed for several times, and a bracket of a subject, from a guess of the
film and how sure it is, the camera, the light, and the wanted half-widths. Exposures are
chosen by optimal design averaged over films that go with the guess, on the marks that the
camera has, and shown beside the even plan of as much film. Without -index it plans the
test of an invented film at a disused quarry.

` + cameras.Help + `
-out DIR gets the files of the test, ready to be filled with densities (test.json,
strips.csv, bracket.csv; readings.json for pictures of the negatives instead), plan.json,
and the shooting list as shooting-list.html and shooting-list.txt. A DIR that is there
already is left alone.

-dir DIR reads such files of which some densities are filled in, and says what to expose
next and what it would gain.

Example: from a plan to a characterised film
  go run ./examples/testplan -camera bothy -index 400 -ev 12 -half-width 0.25 -out mytest
  (expose, develop, write the densities into mytest/strips.csv and mytest/bracket.csv)
  go run ./examples/testplan -dir mytest -camera bothy -ev 12
  go run ./examples/testroll -dir mytest -out mytest/report

Developers are chemicals: gloves, goggles, fresh air, and the maker's safety data sheet.
Never look at the sun through a filter made for photography.

Options:
`

func main() { command.Main("testplan", run) }

// options are the command line.
type options struct {
	wish        plan.Wish
	names       plan.Names
	percent     float64
	development string
	out, dir    string
	json        bool
	camera      *cameras.Flag
}

func run(args []string, stdout, stderr io.Writer) error {
	o, flags := options{}, command.New("testplan", usage, stdout)
	o.camera = cameras.New(flags)
	flags.Float64Var(&o.wish.Index, "index", 0, "guess of the exposure `index`")
	flags.Float64Var((*float64)(&o.wish.Sure), "sure", 1, "standard deviation of the guess, in `stops`")
	flags.Float64Var((*float64)(&o.wish.Light), "ev", 15, "what the meter reads, `EV` at ISO 100")
	flags.Float64Var((*float64)(&o.wish.HalfWidth), "half-width", 0.17, "wanted half-width of the index, 95 %, in `stops`")
	flags.Float64Var(&o.percent, "development-half-width", 5, "wanted half-width of the development, in per `cent`")
	flags.Float64Var(&o.wish.DensitySD, "density-sd", 0.015, "standard `deviation` of a density as you read it")
	flags.Float64Var((*float64)(&o.wish.Scatter), "scatter", 0.05, "standard deviation of an exposure of the camera, in `stops`")
	flags.IntVar(&o.wish.Frames, "frames", 36, "most frames of the bracket, in `all`")
	flags.IntVar(&o.wish.Strips, "strips", 0, "`number` of strips; as many as the development needs, up to 8, unless given")
	flags.BoolVar(&o.wish.StripsFirst, "strips-first", false, "the bracket is developed when the strips have said for how long: fewer frames")
	flags.StringVar(&o.development, "development", "10:00", "guess of the development `time` for the target")
	flags.Float64Var(&o.wish.TargetAverageGradient, "target", 0.58, "average `gradient` that the negatives should have")
	flags.Float64Var((*float64)(&o.wish.ShadowStopsBelowMeter), "shadow", 4, "`stops` from the metered tone down to the shadow")
	flags.StringVar(&o.names.Film, "film", "film under test", "`name` of the film, for test.json")
	flags.StringVar(&o.names.Process, "process", "process under test", "`name` of the process, for test.json")
	flags.StringVar(&o.names.Light, "light", "daylight", "`name` of the light, for test.json")
	flags.StringVar(&o.out, "out", "", "new `directory` for the files of the test and the list")
	flags.StringVar(&o.dir, "dir", "", "`directory` with a test filled in so far")
	flags.BoolVar(&o.json, "json", false, "print the plan, or what comes next, as JSON")
	if err := flags.Parse(args, 0); err != nil {
		return err
	}
	if err := o.check(flags.Given(), stdout); err != nil {
		return err
	}
	d, content, err := o.camera.Camera()
	if err != nil {
		return err
	}
	o.wish.Camera = d
	if o.dir != "" {
		return cameras.Explain(o.next(stdout), d)
	}
	p, err := plan.New(o.wish)
	if err != nil {
		return cameras.Explain(err, d)
	}
	made := command.MadeFrom("camera.json", content)
	if content == nil {
		made.Inputs = map[string]string{}
	}
	return o.print(p, made, stdout, stderr)
}

// check reads what is no number, and refuses what a wish has other words for.
func (o *options) check(given map[string]bool, stdout io.Writer) error {
	t, err := devtime.ParseTime(o.development)
	if err != nil {
		return command.Usagef("development %q: want a time like 7:30, 7m30s or 7.5 (minutes)", o.development)
	}
	o.wish.Development, o.wish.DevelopmentHalfWidth = t, o.percent/100
	for _, f := range []struct {
		name string
		v    float64
	}{{"sure", float64(o.wish.Sure)}, {"half-width", float64(o.wish.HalfWidth)}, {"development-half-width", o.percent},
		{"density-sd", o.wish.DensitySD}, {"scatter", float64(o.wish.Scatter)}, {"target", o.wish.TargetAverageGradient},
		{"shadow", float64(o.wish.ShadowStopsBelowMeter)}, {"frames", float64(o.wish.Frames)}, {"development", t.Seconds()}} {
		if !(f.v > 0) || math.IsInf(f.v, 0) {
			return command.Usagef("-%s %v: want a number above 0", f.name, f.v)
		}
	}
	switch {
	case given["index"] && o.dir == "" && !(o.wish.Index > 0):
		return command.Usagef("-index %v: want a guess such as 400", o.wish.Index)
	case o.dir != "" && o.out != "":
		return command.Usagef("-dir reads a test and says what comes next, -out writes a new one: give one of them")
	case !given["index"] && o.dir == "":
		if len(given) > 0 && !(len(given) == 1 && given["json"]) {
			return command.Usagef("-index is missing: the guess of the film's exposure index")
		}
		o.wish.Index, o.wish.Light = 1600, 12
		if !o.json {
			fmt.Fprint(stdout, "An invented case: a very fast film for a disused slate quarry, metered at EV 12.\n\n")
		}
	}
	return nil
}

// print writes the folder where one is wanted, so that a place where none can be is refused first, and prints the plan.
func (o *options) print(p *plan.Plan, made command.Made, stdout, stderr io.Writer) error {
	text, err := made.With(p)
	if err != nil {
		return err
	}
	where := strings.TrimSuffix(o.out, "/")
	if where != "" {
		if err := o.write(where, p, text); err != nil {
			return err
		}
	}
	notes := stdout
	if o.json {
		_, err = stdout.Write(text)
		notes = stderr
	} else {
		_, err = io.WriteString(stdout, p.String())
	}
	if err == nil && where != "" {
		_, err = fmt.Fprintf(notes, "\nShooting list: %s/shooting-list.html\nTest to fill:  %[1]s\nThen:          go run ./examples/testroll -dir %[1]s\n", where)
	}
	return err
}

// write writes the folder of a test; text is the plan as JSON.
func (o *options) write(where string, p *plan.Plan, text []byte) error {
	files, err := p.Files(o.names)
	if err != nil {
		return err
	}
	files["plan.json"], files["shooting-list.html"], files["shooting-list.txt"] = text, list(p), []byte(p.String())
	err = command.WriteFolder(where, nil, files)
	if errors.Is(err, os.ErrExist) {
		return fmt.Errorf("%s is there already, and may hold readings: give -out another name: %w", where, err)
	}
	if err != nil {
		return fmt.Errorf("writing the test: %w", err)
	}
	return nil
}

// next says what to expose next.
func (o *options) next(stdout io.Writer) error {
	folder, closed, err := command.Folder(o.dir)
	if err != nil {
		return fmt.Errorf("want a directory with test.json and strips.csv: %w", err)
	}
	defer closed()
	r, err := roll.ReadPart(folder)
	if err != nil {
		return err
	}
	if len(r.Strips) == 0 && len(r.Bracket) == 0 {
		return fmt.Errorf("%s: no density is filled in yet, in strips.csv or bracket.csv: %w", o.dir, plan.ErrWish)
	}
	if !(o.wish.Index > 0) {
		o.wish.Index = r.MeteredAt()
	}
	if !(o.wish.Index > 0) {
		return command.Usagef("-index is missing: the test does not say at which index its strips were metered")
	}
	a, err := plan.Next(o.wish, r)
	if err != nil {
		return err
	}
	if o.json {
		made, err := command.MadeOf(folder, "test.json", "strips.csv", "bracket.csv")
		if err != nil {
			return err
		}
		return made.Print(stdout, a)
	}
	_, err = io.WriteString(stdout, a.String())
	return err
}
