// Command testroll characterises a film from a test roll: strips exposed through a
// step tablet and developed for several times, and perhaps frames bracketed over
// exposure indexes. It prints a table and a recommendation, and writes a report
// that can be published.
package main

import (
	"cmp"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"path"
	"path/filepath"
	"slices"
	"strings"

	"example.org/actinic"
	"example.org/actinic/devtime/roll"
	"example.org/actinic/examples/internal/command"
	"example.org/actinic/examples/testroll/quarry"
	"example.org/actinic/internal/wholedir"
	"example.org/actinic/sensito"
	"example.org/actinic/sensito/datafile"
	"example.org/actinic/sensito/tone"
)

const usage = `Usage: testroll [-dir DIR] [-out DIR] [-json] [-seed N] [-source TEXT]
                [-licence ID] [-author NAME] [-title TEXT] [-version X.Y.Z]
                [-flare LOG] [-paper RANGE] [-sensor STOPS]

Characterises a film from a test roll. Without -dir it runs on an invented roll
that comes with it: a very fast film, tested before recording a disused quarry.

A person's own DIR holds
  test.json    {"film": "…", "process": "…", "light": "…",
                "target_average_gradient": 0.58,
                "shadow_stops_below_meter": 4, "bracket_development": "14:00",
                "criterion": "fixed-density"}       (the last three are optional)
               "exposure": "relative" for a tablet under a light that is not known,
               tied by "metered_at_ei": 400 and "metered_step": 11 where they are;
               "raw": {"light": 52000, "dark": 210, "flare": 0.012} for camera values;
               tester, date, format, batch, camera, meter, instrument, temperature_c,
               agitation, notes, and names that begin with x-
  strips.csv   strip,development,log_h_lx_s,density[,density_sd]
               development as 7:30, 7m30s or minutes; nothing under log_h_lx_s
               for a patch that got no light. Instead of log_h_lx_s it may have
               stops (from the metered tone) or ei (at which it was metered), and
               instead of density the camera's value[,value_sd]
               Tables may come from a spreadsheet: semicolons, tabs, decimal commas.
  bracket.csv  frame,ei,patch,density[,density_sd]   (optional, or without strips)
               patch is shadow, midtone, highlight or unexposed

Tones of the subject are worked out for the index and development found: which density
and which grey each gets, and whether the negative suits a -paper (its ISO range, such
as R110; without it the numbered grades) and a -sensor (the useful range of the scanner
or camera that copies it, in stops).

The report goes to -out (out/testroll unless said otherwise): report.html, the
figures as PNG and SVG, strips as table.csv, record.json, and the directory package:
the film as a data package that others can load. The folder is exchanged as a whole:
after a kill or on a full disk the old report is there or the new one; a folder with
files of other kinds is left alone. Without -licence the package of your roll says that
no licence was stated: nobody may use it without asking you. With -json the record goes to
standard output, and a report is written only if -out is given.

Example: from the readings to a published film and its use
  go run ./examples/testroll -dir mytest -out mytest/report -source "A. Tester, 2026" \
    -licence CC-BY-4.0 -author "A. Tester"
  go run ./examples/datacheck mytest/report/package
  go run ./examples/exposure -film mytest/report/package -ev 12 -aperture f/8

Options:
`

func main() { command.Main("testroll", run) }

func run(args []string, stdout, stderr io.Writer) error {
	flags := command.New("testroll", usage, stdout)
	dir := flags.String("dir", "", "`directory` with the files of a test")
	out := flags.String("out", "", "`directory` for the report")
	asJSON := flags.Bool("json", false, "print the record as JSON")
	source := flags.String("source", "", "`text` that says who measured the roll and when, for the package")
	var about about
	flags.StringVar(&about.licence, "licence", "", "`identifier` of the licence of the package, such as CC-BY-4.0 or CC0-1.0")
	flags.StringVar(&about.author, "author", "", "`name` of who made the package")
	flags.StringVar(&about.title, "title", "", "`title` of the package; the film's name unless given")
	flags.StringVar(&about.version, "version", "", "`version` of the package, such as 1.0.0; 0.1.0 unless given")
	seed := flags.Uint64("seed", 0, "seed of the drawn intervals")
	flare := flags.Float64("flare", 0, "flare factor of the camera as log10, 0 for none; that of the bracket, or 0.40, unless given")
	paper := flags.String("paper", "", "ISO `range` of the paper, such as R110")
	sensor := flags.Float64("sensor", 0, "useful range of the scanner or camera that copies the negative, in `stops`")
	if err := flags.Parse(args, 0); err != nil {
		return err
	}
	subject, err := asked(flags.Given()["flare"], *flare, *paper, *sensor)
	if err != nil {
		return command.Usage(err)
	}
	var fsys fs.FS = quarry.Files
	if *dir != "" {
		folder, closed, err := command.Folder(*dir)
		if err != nil {
			return fmt.Errorf("want a directory with test.json and strips.csv: %w", err)
		}
		defer closed()
		fsys = folder
	}
	about.shipped = *dir == ""
	test, err := roll.Read(fsys)
	if err != nil {
		return err
	}
	if about.made, err = command.MadeOf(fsys, "test.json", "strips.csv", "bracket.csv"); err != nil {
		return err
	}
	if err := about.check(); err != nil {
		return err
	}
	record, err := test.Characterise(roll.Settings{Seed: *seed, Subject: subject})
	if err != nil {
		return err
	}
	// The numbers come first: what follows may cost a note, not them.
	where := *out
	if !*asJSON {
		print(stdout, record, *dir == "")
		where = cmp.Or(where, "out/testroll")
	} else if err := about.made.Print(stdout, record); err != nil {
		return err
	}
	if where == "" {
		return nil
	}
	p := actinic.Provenance{Basis: actinic.Measured, Source: cmp.Or(*source, "a test roll; who measured it was not said")}
	if *dir == "" {
		p = actinic.Provenance{Basis: actinic.Invented,
			Source: "the roll that comes with testroll, made from known curves with the noise of a densitometer"}
	}
	notes := stdout
	if *asJSON {
		notes = stderr
	}
	return write(strings.TrimSuffix(where, "/"), record, p, about, notes, !*asJSON)
}

// asked is what the tones are for.
func asked(flareGiven bool, flare float64, paper string, sensor float64) (s roll.Subject, err error) {
	if flareGiven {
		if !(flare >= 0 && flare < mostFlare) {
			return s, fmt.Errorf("-flare %v: want a flare factor as log10, 0 to %v", flare, mostFlare)
		}
		s.LogFlare = &flare
	}
	if paper != "" {
		p, err := tone.ISORange(paper)
		if err != nil {
			return s, err
		}
		s.Paper = &p
	}
	if !(sensor >= 0 && sensor <= mostSensor) {
		return s, fmt.Errorf("-sensor %v: want a range in stops, up to %v", sensor, mostSensor)
	}
	s.Sensor = sensito.Stops(sensor)
	return s, nil
}

// Beyond these a number is a slip: a flare of more leaves little of a subject, and no sensor
// has more stops.
const (
	mostFlare  = 1.5
	mostSensor = 30.0
)

// write writes report and package as one folder, whole or not at all. A figure that
// cannot be drawn and a film that cannot be published cost a note; a folder that cannot
// be written is an error, and what was there before stays.
func write(where string, record *roll.Record, p actinic.Provenance, about about, notes io.Writer, say bool) error {
	files, lacks, err := report(record, p, about)
	if err != nil {
		return err
	}
	var published error
	err = wholedir.Write(where, ours, func(dir string) error {
		if err := command.WriteFiles(dir, files); err != nil {
			return err
		}
		published = publish(filepath.Join(dir, "package"), record, p, about)
		if published != nil && !errors.Is(published, datafile.ErrData) {
			return published // a disk that is full, and the like
		}
		return nil
	})
	if err != nil {
		return fmt.Errorf("writing the report: %w", err)
	}
	if published != nil {
		lacks = append(lacks, fmt.Sprintf("The film was not published: %v.", published))
	}
	for _, s := range lacks {
		paragraph(notes, "Note: ", s)
	}
	if say {
		fmt.Fprintf(notes, "\nReport: %s/report.html\n", where)
		if published == nil {
			fmt.Fprintf(notes, "Film:   %s/package\n", where)
			for _, s := range about.assumed() {
				paragraph(notes, "        ", s)
			}
		}
	}
	return nil
}

// figureNames are the figures that a report may have.
var figureNames = [...]string{"curves", "contrast", "bracket", "residuals"}

// ours reports whether a file is one that a report has, by its path below the folder: a
// folder with any other is not written over.
func ours(name string) bool {
	switch name {
	case "report.html", "table.csv", "record.json", "package/":
		return true
	}
	if below, ok := strings.CutPrefix(name, "package/"); ok {
		return !strings.Contains(below,
			"/") && (below == "datapackage.json" || path.Ext(below) == ".csv" || strings.HasSuffix(below, ".schema.json"))
	}
	ext := path.Ext(name)
	return (ext == ".png" || ext == ".svg") && slices.Contains(figureNames[:], strings.TrimSuffix(name, ext))
}
