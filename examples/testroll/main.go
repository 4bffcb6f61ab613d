// Command testroll characterises a film from a test roll: strips exposed through a
// step tablet and developed for several times, and perhaps frames bracketed over
// exposure indexes. It prints a table and a recommendation, and writes a report
// that can be published.
package main

import (
	"cmp"
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"io"
	"io/fs"
	"os"
	"strings"
	"text/tabwriter"

	"example.org/actinic"
	"example.org/actinic/devtime"
	"example.org/actinic/devtime/roll"
	"example.org/actinic/examples/internal/command"
	"example.org/actinic/examples/testroll/quarry"
	"example.org/actinic/sensito"
)

const usage = `Usage: testroll [-dir DIR] [-out DIR] [-json] [-seed N] [-source TEXT]

Characterises a film from a test roll. Without -dir it runs on an invented roll
that comes with it: a very fast film, tested before recording a disused quarry.

A person's own DIR holds
  test.json    {"film": "…", "process": "…", "light": "…",
                "target_average_gradient": 0.58,
                "shadow_stops_below_meter": 4, "bracket_development": "14:00",
                "criterion": "fixed-density"}       (the last three are optional)
  strips.csv   strip,development,log_h_lx_s,density[,density_sd]
               development as 7:30, 7m30s or minutes; nothing under log_h_lx_s
               for a patch that got no light
  bracket.csv  frame,ei,patch,density[,density_sd]                   (optional)
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

func main() { command.Exit("testroll", run(os.Args[1:], os.Stdout, os.Stderr)) }

func run(args []string, stdout, stderr io.Writer) error {
	flags := flag.NewFlagSet("testroll", flag.ContinueOnError)
	flags.SetOutput(io.Discard)
	dir := flags.String("dir", "", "`directory` with the files of a test")
	out := flags.String("out", "", "`directory` for the report")
	asJSON := flags.Bool("json", false, "print the record as JSON")
	source := flags.String("source", "", "`text` that says who measured the roll and when, for the package")
	seed := flags.Uint64("seed", 0, "seed of the drawn intervals")
	if err := flags.Parse(args); err != nil {
		if errors.Is(err, flag.ErrHelp) {
			fmt.Fprint(stdout, usage)
			flags.SetOutput(stdout)
			flags.PrintDefaults()
			return err
		}
		return command.Usage(err)
	}
	if flags.NArg() > 0 {
		return command.Usage(fmt.Errorf("unexpected %q; files are given by -dir", flags.Arg(0)))
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
	where := *out
	if where == "" && !*asJSON {
		where = "out/testroll"
	}
	if where != "" {
		files, err := report(record, *dir == "")
		if err != nil {
			return err
		}
		if err := files.Write(where); err != nil {
			return fmt.Errorf("writing the report: %w", err)
		}
		p := actinic.Provenance{Basis: actinic.Measured, Source: cmp.Or(*source, "a test roll; who measured it was not said")}
		if *dir == "" {
			p = actinic.Provenance{Basis: actinic.Invented, Source: "the roll that comes with testroll, made from known curves with the noise of a densitometer"}
		}
		if err := publish(where, record, p); err != nil {
			return fmt.Errorf("publishing the film: %w", err)
		}
	}
	if *asJSON {
		e := json.NewEncoder(stdout)
		e.SetIndent("", "  ")
		e.SetEscapeHTML(false)
		return e.Encode(record)
	}
	if err := print(stdout, record, *dir == ""); err != nil {
		return err
	}
	where = strings.TrimSuffix(where, "/")
	fmt.Fprintf(stdout, "\nReport: %s/report.html\nFilm:   %s/package\n", where, where)
	return nil
}

// print writes the short table and the recommendation.
func print(w io.Writer, r *roll.Record, shipped bool) error {
	fmt.Fprintf(w, "%s\n%s\n%s\n", r.Film, r.Process, r.Light)
	if shipped {
		fmt.Fprintln(w, "An invented film, read with the noise of a densitometer.")
	}
	fmt.Fprintln(w)
	t := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	for _, row := range table(r) {
		fmt.Fprintln(t, strings.Join(row, "\t"))
	}
	if err := t.Flush(); err != nil {
		return err
	}
	fmt.Fprintln(w)
	for _, s := range r.Recommendation {
		paragraph(w, "", s)
	}
	for _, s := range r.Warnings {
		paragraph(w, "Note: ", s)
	}
	return nil
}

// table is the strips as text, header first.
func table(r *roll.Record) [][]string {
	rows := [][]string{{"Strip", "Development", "Base+fog", "log Hm", "ΔD", "Speed", "Range", "Gamma", "Average gradient", "Contrast index"}}
	for _, s := range r.Strips {
		dd, speeds := "–", "–"
		if s.DeltaD != nil {
			dd = fmt.Sprintf("%.2f", *s.DeltaD)
		}
		if s.Speed.Low != nil && s.Speed.High != nil {
			speeds = fmt.Sprintf("%.0f to %.0f", *s.Speed.Low, *s.Speed.High)
		}
		rows = append(rows, []string{s.Strip, development(s), fmt.Sprintf("%.2f", s.BaseFog), fmt.Sprintf("%.2f", s.SpeedPointLogH), dd,
			s.Speed.Speed().String(), speeds, number(s.Gamma), number(s.AverageGradient), number(s.ContrastIndex)})
	}
	return rows
}

func development(s roll.StripRecord) string {
	d, err := devtime.ParseTime(fmt.Sprintf("%.3fs", s.DevelopmentS))
	if err != nil {
		return fmt.Sprintf("%.0f s", s.DevelopmentS)
	}
	return devtime.FormatTime(d)
}

// number prints a value with half the width of its interval.
func number(e *sensito.Estimate) string {
	if e == nil {
		return "–"
	}
	if h := (e.High - e.Low) / 2; h > 0 {
		return fmt.Sprintf("%.3f ± %.3f", e.Value, h)
	}
	return fmt.Sprintf("%.3f", e.Value)
}

// paragraph prints a sentence folded at 78 characters.
func paragraph(w io.Writer, lead, s string) {
	line := lead
	for _, word := range strings.Fields(s) {
		if n := len([]rune(line)) + 1 + len([]rune(word)); n > 78 && strings.TrimSpace(line) != "" {
			fmt.Fprintln(w, strings.TrimRight(line, " "))
			line = ""
		}
		if line != "" && !strings.HasSuffix(line, " ") {
			line += " "
		}
		line += word
	}
	fmt.Fprintln(w, line)
}
