// Command compare sets films, processes and tests beside each other: a table with
// intervals, ranked, with what the intervals do not tell apart, and a page with the curves
// over one another.
package main

import (
	"fmt"
	"io"
	"path"
	"slices"
	"strconv"
	"strings"

	"example.org/actinic"
	"example.org/actinic/examples/internal/command"
	"example.org/actinic/examples/internal/page"
)

const usage = `Usage: compare [-by NAME[=WEIGHT],…] [-all] [-out DIR] [-json] [-merge NEW] [PATH…]

Sets combinations of film, developer, dilution and time beside each other and ranks
them. Without a PATH it compares the invented films that come with the library.

PATH is a directory: a data package of films, a report of testroll, or the files of a
test (test.json, strips.csv); or record.json of a report; or the name of a film that
comes with the library. A row is a film in a process at the development of its index;
-all has every developed strip too.

What is compared, with 95 % intervals, and named so for -by:
  speed      at the fixed density
  index      exposure index to set
  gradient   average gradient
  shadow     density between tones 4 and 2 stops below the metered one, at the index:
             how much of the shadows' detail is kept
  highlight  density of a tone 3 stops above the metered one (less ranks first)
  base_fog   base plus fog (less ranks first)
  grain      standard deviation of density in 48 µm (less ranks first), where known
  response   cycles/mm at half response, where known
Several names rank by the weighted mean of the places that a row has by each:
-by speed=2,base_fog. Only the order within each counts, and rows that it does not tell
apart share their places. Rows that differ by less than their intervals allow are listed
as not told apart; a number without an interval is told apart from none.

The page goes to -out (out/compare unless said otherwise, or -json is given):
compare.html, the pictures as PNG and SVG, and compare.csv. -merge writes one film with
all processes of what was given to a new package; they must be records of one film.

Examples:
  go run ./examples/compare -by gradient
  go run ./examples/compare -by shadow -all mytest/report/package othertest
  go run ./examples/compare -merge onefilm mytest/report othertest/report

Options:
`

func main() { command.Main("compare", run) }

func run(args []string, stdout, stderr io.Writer) error {
	flags := command.New("compare", usage, stdout)
	by := flags.String("by", "speed", "`names` to rank by, with weights where there are several")
	all := flags.Bool("all", false, "a row for every developed strip too")
	out := flags.String("out", "", "`directory` for the page")
	asJSON := flags.Bool("json", false, "print the table as JSON")
	merged := flags.String("merge", "", "`new` directory for a package with all processes in one film")
	if err := flags.Parse(args, 1000); err != nil {
		return err
	}
	criteria, err := parseBy(*by)
	if err != nil {
		return err
	}
	in, err := read(flags.Args())
	if err != nil {
		return err
	}
	c, err := compare(in, *all, criteria)
	if err != nil {
		return err
	}
	if *merged != "" {
		if err := merge(*merged, in, stderr); err != nil {
			return err
		}
	}
	where := strings.TrimSuffix(*out, "/")
	if where == "" && !*asJSON {
		where = "out/compare"
	}
	if where != "" { // before anything is printed, so that a place where none can be is refused first
		lacks, err := c.write(where)
		if err != nil {
			return fmt.Errorf("writing the page: %w", err)
		}
		page.Notes(stderr, lacks)
	}
	if *asJSON {
		return in.made.Print(stdout, c.json())
	}
	c.print(stdout)
	fmt.Fprintf(stdout, "\nPage: %s/%s\n", where, pageFile)
	return nil
}

// parseBy reads what to rank by, "speed=2,base_fog".
func parseBy(text string) ([]actinic.Criterion, error) {
	var out []actinic.Criterion
	for part := range strings.SplitSeq(text, ",") {
		name, weight, weighted := strings.Cut(strings.TrimSpace(part), "=")
		c := actinic.Criterion{Trait: actinic.Trait(strings.TrimSpace(name)), Weight: 1}
		if !slices.Contains(actinic.Traits(), c.Trait) {
			return nil, command.Usagef("-by %q: want one of %s", name, traitNames())
		}
		if weighted {
			w, err := strconv.ParseFloat(strings.TrimSpace(weight), 64)
			if err != nil || !(w > 0 && w <= 1000) {
				return nil, command.Usagef("-by %s: weight %q, want a number above 0 and up to 1000", name, weight)
			}
			c.Weight = w
		}
		if slices.ContainsFunc(out, func(o actinic.Criterion) bool { return o.Trait == c.Trait }) {
			return nil, command.Usagef("-by names %s twice", c.Trait)
		}
		out = append(out, c)
	}
	return out, nil
}

func traitNames() string {
	var names []string
	for _, t := range actinic.Traits() {
		names = append(names, string(t))
	}
	return strings.Join(names, ", ")
}

// ours reports whether a file is one that a page has; a folder with any other is left.
func ours(name string) bool {
	switch name {
	case pageFile, "compare.csv":
		return true
	}
	ext := path.Ext(name)
	stem := strings.TrimSuffix(name, ext)
	return (ext == ".png" || ext == ".svg") && (slices.Contains(curveFigures, stem) || strings.HasPrefix(stem, "by-"))
}

// write writes the page with its pictures as one folder, whole or not at all.
func (c *comparison) write(where string) (lacks []string, err error) {
	files, lacks := c.page()
	return lacks, command.WriteFolder(where, ours, files)
}
