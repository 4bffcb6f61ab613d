package actinic

import (
	"errors"
	"fmt"
	"io/fs"
	"math"

	"example.org/actinic/internal/datapackage"
	"example.org/actinic/internal/figures"
	"example.org/actinic/sensito"
	"example.org/actinic/sensito/datafile"
)

// CheckPackage holds a data package to the rules: ours, or anybody's. It looks at
//
//   - the descriptor: its shape, a version, licences, sources, and for each table
//     a CSV file with its size and hash, fields of known types and units, keys that
//     name fields that are there;
//   - every cell: type, bounds, allowed words, nothing missing that must be there;
//   - the keys: primary ones unique, foreign ones leading somewhere;
//   - the order that a field promises, of wavelengths and exposures above all;
//   - the films: curves that rise and agree with their points, speeds that agree with
//     their curves and are called ISO speeds only where they are, laws whose
//     constants are possible and whose range is that of their tests.
//
// What is found is returned as [datafile.Errors], all of it, sorted, with file, line and
// column; what cannot be opened as the error of fsys. nil means that nothing was
// found.
func CheckPackage(fsys fs.FS) error {
	c, err := datapackage.Check(fsys, filmTable)
	if err != nil {
		return err
	}
	checkFilms(c)
	c.Errs.Sort()
	return c.Errs.Err()
}

// PackageRemarks says what [CheckPackage] does not find fault with and whoever uses the
// package should know, a sentence each: texts that a spreadsheet would run as formulas, and
// a format that is newer or older than this library's. The errors are those of
// [CheckPackage], but for the films; with faults in the package there are the remarks besides.
func PackageRemarks(fsys fs.FS) ([]string, error) {
	c, err := datapackage.Check(fsys, filmTable)
	if err != nil {
		return nil, err
	}
	c.Errs.Sort()
	return c.Remarks, c.Errs.Err()
}

// rowOf is a row by its file and line.
type rowOf struct {
	file string
	line int
}

// checkFilms holds the films of a package to the laws. What another check has found in a
// row is not said again, and a film with a bad row is not looked at further: what follows
// from its cells would only confuse.
func checkFilms(c *datapackage.Checker) {
	if c.Table("films") == nil {
		return
	}
	for _, name := range c.Names {
		if filmTable(name) != nil && len(c.Table(name).Rows) == 0 {
			return // a table that cannot be read: nothing to hold the films to
		}
	}
	opened, err := c.Opened()
	if err != nil {
		return // said above, of the member that is of another kind
	}
	// One message a row: the first that looked says it.
	said := map[rowOf]bool{}
	for _, e := range c.Errs {
		said[rowOf{e.File, e.Line}] = true
	}
	add := func(errs datafile.Errors) {
		for _, e := range errs {
			if !said[rowOf{e.File, e.Line}] && e.File != datapackage.DescriptorFile { // the descriptor has been looked at
				c.Errs = append(c.Errs, e)
			}
		}
	}
	r := newReader(opened)
	films := r.films()
	bad := badFilms(c, said)
	for _, t := range r.tables {
		add(t.Errs)
		for _, e := range t.Errs {
			said[rowOf{e.File, e.Line}] = true
		}
	}
	for name := range badFilms(c, said) {
		bad[name] = true
	}
	for _, f := range films {
		if bad[f.data.Name] {
			continue
		}
		// The same rules as NewFilm's, so that what passes here can be loaded.
		made := &Film{data: *f.data}
		for _, x := range made.build() {
			failRow(c, x)
		}
		checkDerived(c, f.data)
		for _, p := range made.processes {
			for i := range p.data.Curves {
				if p.curves[i] != nil {
					pointsAgree(c, place{f.data.Name, p.data.Name, p.data.Curves[i].Name}, &p.data.Curves[i], p.curves[i])
				}
			}
		}
	}
	for _, name := range c.Names {
		add(c.Table(name).Errs)
	}
}

// failRow reports a fault at the row of its part.
func failRow(c *datapackage.Checker, x fault) {
	t := c.Table(x.table)
	if t == nil {
		return
	}
	rows := t.With(x.key()...)
	if len(rows) == 0 {
		return
	}
	// A table may lack a column that a fault is about; its key is always there.
	field := x.field
	if !t.Has(field) {
		field = t.Spec.Key[0]
	}
	var cell *columnError
	if errors.As(x.err, &cell) && t.Has(cell.column) {
		t.FailAt(rows[0], cell.column, cell.want)
		return
	}
	t.FailAt(rows[0], field, "what can be: "+x.err.Error())
}

// badFilms returns the films that rows with errors belong to.
func badFilms(c *datapackage.Checker, said map[rowOf]bool) map[string]bool {
	bad := map[string]bool{}
	for _, name := range c.Names {
		t := c.Table(name)
		if filmTable(name) == nil || !t.Has("film") {
			continue
		}
		for _, r := range t.Rows {
			if said[rowOf{t.File, r.Line}] {
				bad[t.Text(r, "film")] = true
			}
		}
	}
	return bad
}

// checkDerived holds the cells that follow from a part to the part.
func checkDerived(c *datapackage.Checker, d *FilmData) {
	if d.Sensitivity != nil {
		derivedAgree(c, &sensitivitiesTable, d.Sensitivity, d.Name)
	}
}

// derivedAgree compares the cells of derived columns, which are not read, with what the part
// says.
func derivedAgree[T any](c *datapackage.Checker, t *table[T], part *T, key ...string) {
	in := c.Table(t.Name)
	if in == nil {
		return
	}
	for _, r := range in.With(key...) {
		for i := range t.columns {
			col := &t.columns[i]
			if !col.derived || !in.Has(col.Name) {
				continue
			}
			want, _ := col.number(part)
			if v, ok := datafile.ParseNumber(in.Text(r, col.Name)); ok && v != want {
				in.FailAt(r, col.Name, figures.Numeral(want)+", as its points have it")
			}
		}
	}
}

// pointsAgree holds the points beside constants to the curve.
func pointsAgree(c *datapackage.Checker, at place, q *CurveData, curve sensito.Curve) {
	t := c.Table("curve_points")
	if t == nil || q.Shape == nil {
		return
	}
	for _, r := range t.With(at.film, at.process, at.curve) {
		x, ok1 := datafile.ParseNumber(t.Text(r, "log_h_lx_s"))
		d, ok2 := datafile.ParseNumber(t.Text(r, "density"))
		if !ok1 || !ok2 {
			continue
		}
		switch v, err := curve.Density(sensito.LogH(x)); {
		case err != nil:
			t.FailAt(
				r,
				"log_h_lx_s",
				"an exposure within the bounds of its curve, "+figures.Numeral(
					float64(q.Shape.From),
				)+" to "+figures.Numeral(float64(q.Shape.To)),
			)
		case math.Abs(float64(v)-d) > 1e-3:
			t.FailAt(r, "density", fmt.Sprintf("%.4f, as the constants of its curve give", float64(v)))
		}
	}
}
