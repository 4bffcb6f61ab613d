// Command measure fits a film's other laws to readings, by a person's own tests, and puts
// them into the film's package: reciprocity, filter factors with the sensitivity behind
// them, and the temperature coefficient of development.
package main

import (
	"cmp"
	"fmt"
	"io"
	"strings"

	"example.org/actinic"
	"example.org/actinic/examples/internal/command"
	"example.org/actinic/examples/internal/filmfile"
	"example.org/actinic/examples/internal/page"
	"example.org/actinic/examples/internal/spectrafile"
	"example.org/actinic/sensito"
)

const usage = `Usage: measure -kind reciprocity|filters|temperature -film DIR|NAME [-name FILM]
               [-process NAME] [-light NAME] [-law NAME] [-sd STOPS] [-source TEXT]
               [-out NEW] [-page DIR] [-json] FILE

Fits a law to readings and puts it into the film's package. Without arguments it shows
all three kinds on invented readings of an invented film.

reciprocity  FILE has pairs of times that came out at equal density,
               metered_s,adjusted_s[,sd_stops]
             or the densities of frames at rising times, held against the film's curve,
               time_s,log_h_lx_s,density[,density_sd]
             where log_h_lx_s is the exposure without failure (intensity times time), or
             stops instead of it: from the metered tone, at the film's index.
             All laws are tried and one is chosen; -law names one instead.
filters      FILE has the stops more than without a filter, for equal density of an
             evenly lit grey card,
               filter,stops[,sd_stops]
             in the light -light. A filter is named as in the catalogue (25, 8+ND 0.9),
             or is a file of its spectrum. The film's sensitivity is recovered as far as
             the filters reach, and it is the sensitivity that goes into the film.
temperature  FILE has the times of one contrast at several temperatures,
               temperature_c,time
             or strips of any contrast, with gradient as a third column: times are then
             brought to one contrast by the film's own development family.

Times are seconds, or as people write them: 1/60, 2m17s, 8 min; development 7:30 or
minutes. Stops may be +1/3 or 1⅔. Tables come from spreadsheets too: semicolons, tabs,
decimal commas. Where no deviation is given it is -sd for all readings.

With -out the package is written to the new directory NEW, the film with the law in it,
and what the fit is from. The page with the picture goes to -page (out/measure unless
said otherwise, or -json is given).

Example:
  go run ./examples/measure -kind reciprocity -film mytest/report/package -out myfilm \
    -source "A. Tester, 2026" times.csv

` + spectrafile.Help + `
Options:
`

func main() { command.Main("measure", run) }

// job is what the command line asks for.
type job struct {
	kind, law, process, light string
	sd                        sensito.Stops
	provenance                actinic.Provenance
	kit                       spectrafile.Kit
	film                      *actinic.Film
}

// result is what a fit found.
type result struct {
	Kind       string      `json:"kind"`
	Law        string      `json:"law"`
	Parameters []parameter `json:"parameters"`
	Film       string      `json:"film"`
	Process    string      `json:"process,omitempty"`
	Light      string      `json:"light,omitempty"`
	Notes      []string    `json:"notes"`
	Details    any         `json:"details,omitempty"`

	film     *actinic.Film // with the law
	invented bool
	table    page.Table
	draw     []drawing
	from     string
}

// parameter is a number of the law with its 95 % interval; an end that is not known is
// null.
type parameter struct {
	Name  string   `json:"name"`
	Value *float64 `json:"value"`
	Low   *float64 `json:"low"`
	High  *float64 `json:"high"`
	Unit  string   `json:"unit,omitempty"`
}

// kinds are what can be measured.
var kinds = map[string]func(j *job, file string, content []byte) (*result, error){
	"reciprocity": reciprocityOf, "filters": filtersOf, "temperature": temperatureOf,
}

func run(args []string, stdout, stderr io.Writer) error {
	flags := command.New("measure", usage, stdout)
	var j job
	flags.StringVar(&j.kind, "kind", "", "`what` was measured: reciprocity, filters or temperature")
	film := flags.String("film", "", "`directory` with the film's package, or the name of a film that comes with the library")
	name := flags.String("name", "", "name of the film in a package of several, or a part of it")
	flags.StringVar(&j.process, "process", "", "name of the process, or a part of it")
	flags.StringVar(&j.light, "light", "D55", "`light` of the frames behind the filters")
	flags.StringVar(&j.law, "law", "", "`law` of reciprocity to fit, instead of a choice: "+lawNames())
	sd := flags.Float64("sd", 0.1, "standard deviation of readings that state none, in `stops`")
	source := flags.String("source", "", "`text` that says who measured and when, for the package")
	out := flags.String("out", "", "`new` directory for the film's package with the law")
	lose := flags.Bool("lose", false, "write the package without what of it the library does not know")
	where := flags.String("page", "", "`directory` for the page and its pictures")
	asJSON := flags.Bool("json", false, "print the fit as JSON")
	j.kit.Flags(flags)
	if err := flags.Parse(args, 1); err != nil {
		return err
	}
	if !(*sd > 0 && *sd <= 3) {
		return command.Usagef("-sd %v: want stops above 0, up to 3", *sd)
	}
	j.sd = sensito.Stops(*sd)
	if *where == "" && !*asJSON {
		*where = "out/measure"
	}
	if flags.NArg() == 0 && j.kind == "" && *film == "" {
		return demonstrate(stdout, *where, *asJSON)
	}
	switch {
	case kinds[j.kind] == nil:
		return command.Usagef("-kind %q: want reciprocity, filters or temperature", j.kind)
	case *film == "":
		return command.Usagef("-film is missing: a directory with the film's package, or the name of a film that comes with the library")
	case flags.NArg() == 0:
		return command.Usagef("the file with the readings is missing")
	}
	file, err := filmfile.Open(*film, *name)
	if err != nil {
		return err
	}
	content, err := command.ReadFile(flags.Arg(0))
	if err != nil {
		return err
	}
	j.film = file.Film
	j.provenance = actinic.Provenance{Basis: actinic.Measured, Source: cmp.Or(*source, "readings of a test; who made it was not said")}
	r, err := kinds[j.kind](&j, flags.Arg(0), content)
	if err != nil {
		return err
	}
	made := file.Made
	made.Inputs[flags.Arg(0)] = command.MadeFrom("readings", content).Inputs["readings"]
	if *asJSON {
		err = made.Print(stdout, r)
	} else {
		err = r.print(stdout)
	}
	if err != nil {
		return err
	}
	if *out != "" {
		if err := file.Write(*out, r.film, *lose); err != nil {
			return fmt.Errorf("writing the package: %w", err)
		}
	}
	if err := writePage(*where, made, stderr, r); err != nil {
		return err
	}
	if !*asJSON {
		fmt.Fprintf(stdout, "\nPage: %s/%s\n", strings.TrimSuffix(*where, "/"), pageFile)
		if *out == "" {
			fmt.Fprintln(stdout, "The film was not written; -out NEW writes its package with the law.")
		} else {
			fmt.Fprintf(stdout, "Film: %s\n", *out)
		}
	}
	return nil
}

// writePage draws and writes the page of results; "" writes none.
func writePage(where string, made command.Made, notes io.Writer, of ...*result) error {
	if where == "" {
		return nil
	}
	files, lacks := drawPage(made, of)
	if err := files.Write(strings.TrimSuffix(where, "/")); err != nil {
		return fmt.Errorf("writing the page: %w", err)
	}
	page.Notes(notes, lacks)
	return nil
}
