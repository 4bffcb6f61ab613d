// Command datacheck holds a data package of films to the rules: the built-in one, or
// the one in a directory. It prints everything it finds with file, line and column,
// and exits 1 if there is anything.
package main

import (
	"errors"
	"fmt"
	"io"
	"io/fs"

	"example.org/actinic"
	"example.org/actinic/examples/internal/command"
	"example.org/actinic/sensito/datafile"
)

const usage = `Usage: datacheck [-write NEW] [DIR]

Holds a data package of films to the rules: descriptor, sizes and hashes, types,
bounds, units, keys, order, and what a film can be. Without DIR it checks the
package that comes with the library. It exits 1 if it finds anything.

A table that was edited, in a spreadsheet or by hand, no longer has the size and
hash that datapackage.json says. Once the rest is right, -write puts them right in a
copy, the new directory NEW. Everything else is taken along byte for byte: columns,
tables, files and members of the descriptor that are nobody's business here. What it
finds wrong it lists, and writes nothing. (Points beside constants that were edited
are not made anew: take the rows of that curve out of curve_points.csv.)

Example:
  go run ./examples/datacheck out/testroll/package

Options:
`

func main() { command.Main("datacheck", run) }

// run prints what it finds; command.ErrFindings says that there was something.
func run(args []string, stdout, _ io.Writer) error {
	flags := command.New("datacheck", usage, stdout)
	write := flags.String("write", "", "write the package to a `new` directory with sizes and hashes put right")
	if err := flags.Parse(args, 1); err != nil {
		return err
	}
	var fsys fs.FS = actinic.Data()
	name := "the built-in package"
	if flags.NArg() == 1 {
		name = flags.Arg(0)
		folder, closed, err := command.Package(name)
		if err != nil {
			return fmt.Errorf("want a directory with datapackage.json: %w", err)
		}
		defer closed()
		fsys = folder
	}
	if *write != "" {
		return rewrite(stdout, fsys, name, *write)
	}
	err := actinic.CheckPackage(fsys)
	var errs datafile.Errors
	if errors.As(err, &errs) {
		return findings(stdout, name, errs)
	}
	if err != nil {
		return err
	}
	remarks, err := actinic.PackageRemarks(fsys)
	if err != nil {
		return err
	}
	for _, r := range remarks {
		fmt.Fprintln(stdout, "Remark:", r)
	}
	p, err := actinic.ReadPackage(fsys, actinic.Verify)
	if err != nil {
		return err
	}
	fmt.Fprintf(stdout, "%s: %s %s, %s, nothing found\n", name, p.Info().Name, p.Info().Version, films(len(p.Films())))
	return nil
}

// most is how many findings are printed; the rest is counted.
const most = 1000

// findings prints what was found, and how much of it.
func findings(stdout io.Writer, name string, errs datafile.Errors) error {
	for _, e := range errs[:min(len(errs), most)] {
		fmt.Fprintln(stdout, e)
	}
	if rest := errs[min(len(errs), most):].Count(); rest > 0 {
		fmt.Fprintf(stdout, "and %d more, which are not printed\n", rest)
	}
	fmt.Fprintf(stdout, "%s: %d found\n", name, errs.Count())
	return command.ErrFindings
}

// rewrite seals a package anew; what cannot be is printed as findings.
func rewrite(stdout io.Writer, fsys fs.FS, name, dir string) error {
	changed, err := actinic.SealPackage(dir, fsys)
	var errs datafile.Errors
	if errors.As(err, &errs) {
		defer fmt.Fprintf(stdout, "%s is not written: put these right first\n", dir)
		return findings(stdout, name, errs)
	}
	if err != nil {
		return err
	}
	for _, file := range changed {
		fmt.Fprintf(stdout, "%s: size and hash put right\n", file)
	}
	fsys, closed, err := command.Folder(dir)
	if err != nil {
		return err
	}
	defer closed()
	p, err := actinic.ReadPackage(fsys, actinic.Verify)
	if err != nil {
		return err
	}
	fmt.Fprintf(stdout, "%s: %s written, all else byte for byte\n", dir, films(len(p.Films())))
	return nil
}

func films(n int) string {
	if n == 1 {
		return "1 film"
	}
	return fmt.Sprintf("%d films", n)
}
