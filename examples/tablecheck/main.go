// Command tablecheck says which entries of a printed table cannot be right, what their
// neighbours imply, and what kind of slip it looks like. It corrects nothing.
package main

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"path/filepath"
	"strings"

	"example.org/actinic/devtime/timetable"
	"example.org/actinic/examples/internal/command"
	"example.org/actinic/examples/internal/figure"
	"example.org/actinic/filters/factortable"
	"example.org/actinic/reciprocity/corrections"
	"example.org/actinic/sensito/printed"
	"example.org/actinic/spectral"
)

const usage = `Usage: tablecheck [-out DIR] [-json]
       tablecheck -kind KIND [-film F] [-light L] [-out DIR] [-json] FILE

Without FILE it runs on the tables that come with it: a reciprocity table of 1897,
tables of development in state law, a table of speed numbers of 1919, a list of
factors of 1911, and invented tables with slips of each kind.

A person's own FILE is comma-separated values with a header. Kinds and columns:
  reciprocity   metered_s,adjusted_s[,aperture_stops][,lengthening_percent]
  development   ei,dilution,temperature_c,time[,temperature_f]
                dilution as 1+31, stock or 10%; time as 7:30, 7m30s or 7.5 (minutes);
                columns other than time may be missing
  filters       filter,factor    for the film -film in the light -light
                filter as 25, 8 yellow or ND 0.9

A finding is "accused" (JSON: confidence high) where the table contradicts itself or
the entry is very likely a slip, or a "remark" (low). Findings are no failure: the
exit status is 0. It is 1 for a file that cannot be read as such a table; then file,
line, column, what was read and what was expected are printed.

Pictures of the table against the law go to -out, as PNG and SVG (out/tablecheck unless
said otherwise). With -json the report goes to standard output, and pictures are drawn
only if -out is given. The report is an object; of the tables that come with it, a list.

Example:
  go run ./examples/tablecheck -kind development -json mytimes.csv

Options:
`

func main() { command.Main("tablecheck", run) }

// job is one table with its report and what it takes to draw it.
type job struct {
	Name   string `json:"table"`
	Source string `json:"source,omitempty"`
	*printed.Report

	file    string // of the pictures
	drawing drawing
}

func run(args []string, stdout, _ io.Writer) error {
	flags := command.New("tablecheck", usage, stdout)
	kind := flags.String("kind", "", "`kind` of table: reciprocity, development or filters")
	film := flags.String("film", "panchromatic", "`film` of a table of filters: blue-sensitive, orthochromatic, panchromatic, extended red, or a file of its spectral sensitivity (wavelength_nm,name)")
	light := flags.String("light", "5500 K", "`light` of a table of filters: daylight (5500 K), tungsten (3200 K), a colour temperature, or an illuminant such as A or D65")
	out := flags.String("out", "", "`directory` for the pictures")
	asJSON := flags.Bool("json", false, "print the report as JSON")
	if err := flags.Parse(args, 1); err != nil {
		return err
	}
	own := flags.NArg() > 0
	switch {
	case own && *kind == "":
		return command.Usage(errors.New("want -kind reciprocity, development or filters before FILE"))
	case !own && *kind != "":
		return command.Usage(errors.New("want a FILE after -kind"))
	}
	var jobs []job
	var err error
	if own {
		var j job
		j, err = ownTable(*kind, flags.Arg(0), *film, *light)
		jobs = []job{j}
	} else {
		jobs, err = shippedTables()
	}
	if err != nil {
		return err
	}
	where := *out
	if where == "" && !*asJSON {
		where = filepath.Join("out", "tablecheck")
	}
	if where != "" {
		files := figure.Files{}
		for _, j := range jobs {
			if err := draw(files, j); err != nil {
				return fmt.Errorf("drawing %s: %w", j.Name, err)
			}
		}
		if err := files.Write(where); err != nil {
			return fmt.Errorf("writing the pictures: %w", err)
		}
	}
	if *asJSON {
		if own {
			return command.JSON(stdout, jobs[0].Report)
		}
		return command.JSON(stdout, jobs)
	}
	var caution string
	accused, remarks := 0, 0
	for _, j := range jobs {
		print(stdout, j)
		if j.Caution != "" {
			caution = j.Caution
		}
		accused += j.Accused()
		remarks += len(j.Findings) - j.Accused()
	}
	if len(jobs) > 1 {
		fmt.Fprintf(stdout, "%d tables: %s, %s.\n", len(jobs), count(accused, "entry accused", "entries accused"), count(remarks, "remark", "remarks"))
	}
	fmt.Fprintf(stdout, "Pictures: %s\n", filepath.ToSlash(where))
	if caution != "" {
		fmt.Fprintln(stdout)
		paragraph(stdout, "", caution)
	}
	return nil
}

func count(n int, one, more string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, more)
}

// print writes what was found in words.
func print(w io.Writer, j job) {
	fmt.Fprintln(w, j.Name)
	if j.Source != "" {
		paragraph(w, "  ", j.Source)
	}
	paragraph(w, "  ", "Held against: "+strings.TrimSuffix(j.Law, ".")+".")
	for _, f := range j.Findings {
		lead := "  remark   "
		if f.Confidence == printed.High {
			lead = "  ACCUSED  "
		}
		paragraph(w, lead, f.String())
	}
	if n := j.Accused(); n > 0 {
		fmt.Fprintf(w, "  %s: %s, %s. Check them against the source.\n\n", count(j.Rows, "row", "rows"), count(n, "entry accused", "entries accused"), count(len(j.Findings)-n, "remark", "remarks"))
	} else {
		fmt.Fprintf(w, "  %s: nothing accused, %s.\n\n", count(j.Rows, "row", "rows"), count(len(j.Findings), "remark", "remarks"))
	}
}

// paragraph prints a sentence folded at 84 characters, further lines set in.
func paragraph(w io.Writer, lead, s string) { command.Paragraph(w, lead, s, 84, len(lead)) }

// ownTable checks a person's own file.
func ownTable(kind, path, film, light string) (job, error) {
	j := job{Name: filepath.Base(path), file: strings.TrimSuffix(filepath.Base(path), filepath.Ext(path))}
	switch kind {
	case "reciprocity", "development", "filters":
	default:
		return j, command.Usage(fmt.Errorf("-kind %q: want reciprocity, development or filters", kind))
	}
	content, err := command.ReadFile(path)
	if err != nil {
		return j, err
	}
	var f spectral.Sensitivity
	var l spectral.Light
	if kind == "filters" {
		if f, err = findFilm(film); err != nil {
			return j, err
		}
		if l, err = findLight(light); err != nil {
			return j, err
		}
	}
	return j, j.check(kind, content, path, f, l)
}

// check reads and checks a table, and prepares its drawing.
func (j *job) check(kind string, content []byte, file string, film spectral.Sensitivity, light spectral.Light) error {
	switch kind {
	case "development":
		rows, err := timetable.Read(bytes.NewReader(content), file)
		if err != nil {
			return err
		}
		if j.Report, err = timetable.Check(rows); err != nil {
			return err
		}
		j.drawing = developmentDrawing(rows)
	case "reciprocity":
		rows, err := corrections.Read(bytes.NewReader(content), file)
		if err != nil {
			return err
		}
		if j.Report, err = corrections.Check(rows); err != nil {
			return err
		}
		j.drawing = reciprocityDrawing(rows)
	case "filters":
		rows, err := factortable.Read(bytes.NewReader(content), file)
		if err != nil {
			return err
		}
		if j.Report, err = factortable.Check(film, light, rows); err != nil {
			return err
		}
		j.drawing = filterDrawing(rows)
	}
	return nil
}

func findFilm(name string) (spectral.Sensitivity, error) {
	var names []string
	for c := spectral.BlueSensitive; c <= spectral.ExtendedRed; c++ {
		if strings.EqualFold(strings.TrimSpace(name), c.String()) {
			return spectral.Generic(c), nil
		}
		names = append(names, c.String())
	}
	content, err := command.ReadFile(name)
	if err != nil {
		return spectral.Sensitivity{}, fmt.Errorf("-film: want %s, or a file: %w", strings.Join(names, ", "), err)
	}
	columns, err := spectral.ReadCSV(bytes.NewReader(content), name, spectral.Zero)
	if err != nil {
		return spectral.Sensitivity{}, err
	}
	return columns[0].Sensitivity()
}

func findLight(name string) (spectral.Light, error) {
	switch strings.ToLower(strings.TrimSpace(name)) {
	case "daylight":
		name = "5500 K"
	case "tungsten":
		name = "3200 K"
	}
	l, _, err := command.Light(name)
	if err != nil {
		return l, fmt.Errorf("-light: daylight, tungsten, or: %w", err)
	}
	return l, nil
}
