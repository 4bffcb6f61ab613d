package main

import (
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"

	"example.org/actinic/examples/internal/command"
	"example.org/actinic/sensito/printed/columns"
	"example.org/actinic/sensito/printed/forms"
)

const usage = `Usage: tablecheck [-json] [-out DIR]
       tablecheck [options] FILE|FOLDER ...
       tablecheck [options] -compare OTHER FILE

Without FILE it runs on the tables that come with it: published ones, some with real
faults, and invented tables with slips of each kind.

A FILE is a table as it stands in a manuscript: comma, semicolon or tab separated,
Markdown, LaTeX tabular, HTML, or a workbook (.xlsx, each sheet a table); - is standard
input. A FOLDER is all such files in it. Cells are read as they are printed: 6 1/2, 6½,
6'30", 1/125, 20 min, 8-10, +1/3, ISO 400/27°, 20°C/68°F, 1+31, 2×, ND 0.9, N/A, footnote
marks. What is ambiguous, as 1:31, is asked: -colon and -plus answer. Kinds and columns, by
these names or as headed in print ("Metered (s)", "Time (min)"), in any order, others being
kept as context:
  reciprocity   metered_s,adjusted_s[,aperture_stops][,lengthening_percent] or factor
  development   ei,dilution,temperature_c,time[,temperature_f], long or as a matrix
  filters       filter,factor    for the film -film in the light -light, or the usual ones
  speed         speed,degrees                 nd        density,factor,stops,transmittance
  shutter       time                          exposure  ev,aperture,time[,index], or matrix
  aperture      aperture                      contrast  time,contrast
  tablet        step,density                  xy        any two columns, with -law
The kind is that of -kind, of a line "# kind: reciprocity" above the table, of its headings,
or of the file's name.

A finding is "accused" (JSON: confidence high) where the table contradicts itself or
the entry is very likely a slip, or a "remark" (low). Findings are no failure: the
exit status is 0, or 3 where -fail-on is met. It is 1 where a file cannot be read as such a
table; then file, line, column, what was read and what was expected are printed, and the
others are checked.

With -json each table is an object on a line of its own, with the library's version and
the hash of its file; -sarif is for code hosts. Pictures
of the tables against what is implied are drawn with -out, as PNG and SVG. Accepted
findings stand in a CSV file,row,column,printed,reason; one expires when its cell changes.
-suggest prints the table mended and completed, changed cells as new «old»; nothing is ever
written over a file.

-compare holds a table against another printing of it, or against a film's record: film:NAME of
a film that comes with the library, or the directory of a package (reciprocity, and
development with -process).

Example:
  go run ./examples/tablecheck -kind development -json mytimes.csv
  go run ./examples/tablecheck -fail-on accused -accepted known.csv book/

Options:
`

// options are the command line.
type options struct {
	kind, film, light, law string
	colon, plus            string
	out, accepted, failOn  string
	compare, process       string
	asJSON, sarif, suggest bool
	args                   []string
	films                  conditions
}

func parse(args []string, stdout io.Writer) (*options, error) {
	o := &options{}
	flags := command.New("tablecheck", usage, stdout)
	flags.StringVar(&o.kind, "kind", "", "`kind` of table: "+strings.Join(kinds(), ", "))
	flags.StringVar(&o.film, "film", "",
		"`film` of a table of filters: blue-sensitive, orthochromatic, panchromatic, extended red, or a file of its spectral sensitivity (wavelength_nm,name); all generic ones are tried where it is not given")
	flags.StringVar(&o.light, "light", "",
		"`light` of a table of filters: daylight (5500 K), tungsten (3200 K), a colour temperature, or an illuminant such as A or D65; daylight and tungsten are tried where it is not given")
	flags.StringVar(&o.law, "law", "", "`law` of a table of kind xy: linear, power, log, free, or a formula in x such as 6.4*sqrt(x)")
	flags.StringVar(&o.colon, "colon", "", "what a dilution 1:31 `means`: water (1+31) or all (1 part in 31)")
	flags.StringVar(&o.plus, "plus", "", "what +1 in a column of factors `means`: stops or factor")
	flags.StringVar(&o.out, "out", "", "`directory` for pictures")
	flags.StringVar(&o.accepted, "accepted", "", "`file` of findings that are known and accepted")
	flags.StringVar(&o.failOn, "fail-on", "", "end with status 3 where there is an entry `accused`, or a remark")
	flags.StringVar(&o.compare, "compare", "", "`other` printing of the same table, or the record of a film: film:NAME, or the directory of its package")
	flags.StringVar(&o.process, "process", "", "`process` of the film whose record is compared with, or a part of its name")
	flags.BoolVar(&o.asJSON, "json", false, "print JSON")
	flags.BoolVar(&o.sarif, "sarif", false, "print SARIF 2.1.0")
	flags.BoolVar(&o.suggest, "suggest", false, "print the tables mended and completed")
	if err := flags.Parse(args, 1<<30); err != nil {
		return nil, err
	}
	o.args = flags.Args()
	return o, o.check()
}

func (o *options) check() error {
	for _, a := range o.args {
		if len(a) > 1 && a[0] == '-' {
			return command.Usagef("unexpected %q; options come before FILE", a)
		}
	}
	modes := 0
	for _, m := range []bool{o.asJSON, o.sarif, o.suggest} {
		if m {
			modes++
		}
	}
	switch {
	case modes > 1:
		return command.Usage(errors.New("want one of -json, -sarif and -suggest"))
	case o.kind != "" && !slices.Contains(kinds(), o.kind):
		return command.Usagef("-kind %q: want %s", o.kind, strings.Join(kinds(), ", "))
	case len(o.args) == 0 && o.kind != "":
		return command.Usage(errors.New("want a FILE after -kind"))
	case len(o.args) == 0 && (o.sarif || o.suggest || o.compare != ""):
		return command.Usage(errors.New("want a FILE"))
	case o.compare != "" && len(o.args) != 1:
		return command.Usage(errors.New("-compare: want one FILE"))
	case o.failOn != "" && o.failOn != "accused" && o.failOn != "remark":
		return command.Usagef("-fail-on %q: want accused or remark", o.failOn)
	case o.colon != "" && o.colon != "water" && o.colon != "all":
		return command.Usagef("-colon %q: want water or all", o.colon)
	case o.plus != "" && o.plus != "stops" && o.plus != "factor":
		return command.Usagef("-plus %q: want stops or factor", o.plus)
	}
	var err error
	if o.films, err = findConditions(o.film, o.light); err != nil {
		return err
	}
	return nil
}

func (o *options) readsColon() forms.Colon {
	return map[string]forms.Colon{"water": forms.PartsOfWater, "all": forms.PartsInAll}[o.colon]
}

func (o *options) readsPlus() forms.Plus {
	return map[string]forms.Plus{"stops": forms.PlusIsStops, "factor": forms.PlusIsPlain}[o.plus]
}

// kinds are the kinds of tables by name.
func kinds() []string {
	out := []string{"reciprocity", "development", "filters"}
	for _, k := range columns.Kinds() {
		out = append(out, string(k))
	}
	return out
}

func count(n int, one, more string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, more)
}
