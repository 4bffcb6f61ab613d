// Command testroll characterises a film from a test roll: strips exposed through a
// step tablet and developed for several times, and perhaps frames bracketed over
// exposure indexes. It prints a table and a recommendation, and writes a report
// that can be published.
package main

import (
	"cmp"
	"encoding/json"
	"fmt"
	"io"
	"io/fs"
	"os"
	"strings"

	"example.org/actinic"
	"example.org/actinic/devtime/roll"
	"example.org/actinic/examples/internal/command"
	"example.org/actinic/examples/testroll/quarry"
)

const usage = `Usage: testroll [-dir DIR] [-out DIR] [-json] [-seed N] [-source TEXT]

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

The report goes to -out (out/testroll unless said otherwise): report.html, the
figures as PNG and SVG, strips as table.csv, record.json, and the directory package:
the film as a data package that others can load. With -json the record goes to
standard output, and a report is written only if -out is given.

Example: from the readings to a published film and its use
  go run ./examples/testroll -dir mytest -out mytest/report -source "A. Tester, 2026"
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
	seed := flags.Uint64("seed", 0, "seed of the drawn intervals")
	if err := flags.Parse(args, 0); err != nil {
		return err
	}
	var fsys fs.FS = quarry.Files
	if *dir != "" {
		if st, err := os.Stat(*dir); err != nil {
			return err
		} else if !st.IsDir() {
			return fmt.Errorf("%s: want a directory with test.json and strips.csv", *dir)
		}
		fsys = os.DirFS(*dir)
	}
	test, err := roll.Read(fsys)
	if err != nil {
		return err
	}
	record, err := test.Characterise(roll.Settings{Seed: *seed})
	if err != nil {
		return err
	}
	// The numbers come first: what follows may cost a note, not them.
	if *asJSON {
		e := json.NewEncoder(stdout)
		e.SetIndent("", "  ")
		e.SetEscapeHTML(false)
		err = e.Encode(record)
	} else {
		err = print(stdout, record, *dir == "")
	}
	if err != nil {
		return err
	}
	where := *out
	if where == "" && !*asJSON {
		where = "out/testroll"
	}
	if where == "" {
		return nil
	}
	p := actinic.Provenance{Basis: actinic.Measured, Source: cmp.Or(*source, "a test roll; who measured it was not said")}
	if *dir == "" {
		p = actinic.Provenance{Basis: actinic.Invented, Source: "the roll that comes with testroll, made from known curves with the noise of a densitometer"}
	}
	notes := stdout
	if *asJSON {
		notes = stderr
	}
	return write(strings.TrimSuffix(where, "/"), record, p, notes, !*asJSON)
}

// write writes report and package. A figure that cannot be drawn and a package that
// cannot be written cost a note; a report that cannot be written is an error.
func write(where string, record *roll.Record, p actinic.Provenance, notes io.Writer, say bool) error {
	files, lacks, err := report(record, p)
	if err != nil {
		return err
	}
	if err := files.Write(where); err != nil {
		return fmt.Errorf("writing the report: %w", err)
	}
	published := publish(where, record, p)
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
		}
	}
	return nil
}
