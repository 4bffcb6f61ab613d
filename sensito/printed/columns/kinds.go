package columns

import (
	"math"
	"slices"

	"example.org/actinic/internal/check"
	"example.org/actinic/internal/robust"
	"example.org/actinic/sensito/datafile"
	"example.org/actinic/sensito/printed"
	"example.org/actinic/sensito/printed/layout"
)

// pair is a column with its law against the first one.
type pair struct {
	column, words string
	law           func(x float64) float64
	additive      bool
	// step is the least step of the column, and relative a share of the value that makers
	// round by: 8 for 7.94.
	step, relative float64
}

func sheetOf(t *layout.Table, known []layout.Column, must ...string) (*layout.Sheet, error) {
	s, ok := t.Sheet(known, must...)
	if !ok && len(t.Rows) > 0 {
		if turned, fits := t.Turned().Sheet(known, must...); fits {
			s = turned
		}
	}
	if errs := s.Missing(known, must...); len(errs) > 0 {
		return nil, errs
	}
	if len(s.Rows) == 0 {
		return nil, datafile.Errors{{File: t.File, Line: s.Head[0].Line, Want: "rows below the header"}}
	}
	return s, nil
}

func checkPairs(t *layout.Table, known []layout.Column, x string, pairs []pair) ([]Checked, error) {
	s, err := sheetOf(t, known, x)
	if err != nil {
		return nil, err
	}
	var out []Checked
	for _, p := range pairs {
		if !s.Has(p.column) {
			continue
		}
		v, err := read(s, x, p.column)
		if err != nil {
			return nil, err
		}
		series := printed.Series{Words: p.words, Law: p.law, Additive: p.additive, Step: uniform(v.step)}
		if p.step > 0 {
			series.Step = []float64{max(p.step, slices.Min(v.step))}
		}
		if p.relative > 0 {
			series.Step = rounded(series, v, p.relative)
			for i, step := range v.step {
				series.Step[i] = max(step, series.Step[i])
			}
		}
		c, err := v.checked(s, p.column, series, false)
		if err != nil {
			return nil, err
		}
		out = append(out, c)
	}
	if len(out) == 0 {
		return nil, datafile.Errors{{File: t.File, Line: s.Head[0].Line,
			Want: "a column to hold against " + x + ", such as " + pairs[0].column}}
	}
	return out, nil
}

// checkMarks checks marks that go up or down by equal steps of a whole, half or third stop.
// power is 2 for f-numbers, whose squares count, and relative how coarsely marks are named:
// 1/60 for 1/64, f/11 for 11.3.
func checkMarks(t *layout.Table, known []layout.Column, name string, power, relative float64) ([]Checked, error) {
	s, err := sheetOf(t, known, name)
	if err != nil {
		return nil, err
	}
	v, err := read(s, "", name)
	if err != nil {
		return nil, err
	}
	n := len(v.y)
	stops, steps, anchors := make([]float64, n), make([]float64, max(n-1, 1)), make([]float64, n)
	for i, y := range v.y {
		v.x[i] = float64(i)
		if stops[i] = power * math.Log2(y); !check.Finite(stops[i]) {
			return nil, datafile.Errors{s.Fail(v.at[i], name, want(name))}
		}
		if i > 0 {
			steps[i-1] = stops[i] - stops[i-1]
		}
	}
	step := math.Round(6*robust.Median(steps)) / 6
	for i := range anchors {
		anchors[i] = stops[i] - step*float64(i)
	}
	from := robust.Median(anchors)
	series := printed.Series{Words: "the marks are equal steps of a stop or a part of it",
		Law: func(x float64) float64 { return math.Exp2((from + step*x) / power) }}
	if series.Order = 1; step < 0 {
		series.Order = -1
	}
	series.Step = rounded(series, v, relative)
	c, err := v.checked(s, name, series, false)
	return []Checked{c}, err
}

// checkTablet checks the densities of a step tablet: a straight line against the number of
// the step, the one that most rows follow.
func checkTablet(t *layout.Table) ([]Checked, error) {
	s, err := sheetOf(t, tabletColumns, "density")
	if err != nil {
		return nil, err
	}
	x := ""
	if s.Has("step") {
		x = "step"
	}
	v, err := read(s, x, "density")
	if err != nil {
		return nil, err
	}
	series := printed.Series{Words: "each step adds the same density", Additive: true, Step: uniform(v.step)}
	r := make([]float64, len(v.y))
	if _, ok := robust.Bisquare(r, v.x, v.y, series.Step[0]/4); ok && len(v.y) > 2 {
		series.Law = lineThrough(v.x, v.y, r)
		series.Order = 1
		if series.Law(slices.Max(v.x)) < series.Law(slices.Min(v.x)) {
			series.Order = -1
		}
	}
	c, err := v.checked(s, "density", series, false)
	return []Checked{c}, err
}

// lineThrough is the straight line from which y is off by r.
func lineThrough(x, y, r []float64) func(x float64) float64 {
	low, high := 0, 0
	for i := range x {
		if x[i] < x[low] {
			low = i
		}
		if x[i] > x[high] {
			high = i
		}
	}
	a, b := y[low]-r[low], y[high]-r[high]
	slope := 0.0
	if x[high] > x[low] {
		slope = (b - a) / (x[high] - x[low])
	}
	return func(at float64) float64 { return a + slope*(at-x[low]) }
}

func checkContrast(t *layout.Table) ([]Checked, error) {
	s, err := sheetOf(t, contrastColumns, "time", "contrast")
	if err != nil {
		return nil, err
	}
	v, err := read(s, "time", "contrast")
	if err != nil {
		return nil, err
	}
	c, err := v.checked(s, "contrast", printed.Series{Words: "contrast grows with time", Additive: true,
		Step: uniform(v.step), Order: 1}, len(v.y) >= 5)
	return []Checked{c}, err
}

// checkXY checks the second column of numbers against the first.
func checkXY(t *layout.Table, o Options) ([]Checked, error) {
	known := []layout.Column{{Name: "x", Want: "the column that the other depends on"}, {Name: "y", Want: "the column to check"}}
	if len(t.Head) < 2 {
		return nil, datafile.Errors{{File: t.File, Line: 1, Want: "two columns, x and y"}}
	}
	if s, ok := t.Sheet(known, "x", "y"); !ok || s == nil {
		known[0].Name, known[1].Name = t.Head[0].Text, t.Head[1].Text
	}
	s, err := sheetOf(t, known, known[0].Name, known[1].Name)
	if err != nil {
		return nil, err
	}
	v, err := read(s, known[0].Name, known[1].Name)
	if err != nil {
		return nil, err
	}
	law := o.Law
	if law == "" {
		law = t.Remark("law")
	}
	positive := slices.Min(v.y) > 0 && slices.Min(v.x) > 0
	series := printed.Series{Words: law, Additive: true, Step: uniform(v.step)}
	switch law {
	case "", "free":
		series.Words, series.Additive = "a smooth curve", !positive || slices.Max(v.y) < 8*slices.Min(v.y)
		if !series.Additive {
			series.Step = v.step
		}
		c, err := v.checked(s, known[1].Name, series, true)
		return []Checked{c}, err
	case "linear", "power", "log":
		if series, err = fitted(v, series, law, t); err != nil {
			return nil, err
		}
	default:
		f, err := Formula(law)
		if err != nil {
			return nil, err
		}
		series.Law, series.Additive = f, !positive
		if positive {
			series.Step = v.step
		}
	}
	c, err := v.checked(s, known[1].Name, series, false)
	return []Checked{c}, err
}

// fitted is a series whose law is the line that most rows follow, of the numbers or of
// their logarithms.
func fitted(v values, s printed.Series, law string, t *layout.Table) (printed.Series, error) {
	x, y := slices.Clone(v.x), slices.Clone(v.y)
	for i := range x {
		if law != "linear" {
			x[i] = math.Log(x[i])
		}
		if law == "power" {
			y[i] = math.Log(y[i])
		}
		if !check.Finite(x[i] + y[i]) {
			return s, datafile.Errors{{File: t.File, Want: "positive numbers for a law that is " + law}}
		}
	}
	r := make([]float64, len(x))
	if _, ok := robust.Bisquare(r, x, y, 1e-9); !ok {
		return s, datafile.Errors{{File: t.File, Want: "three different x and more"}}
	}
	line := lineThrough(x, y, r)
	s.Words = map[string]string{"linear": "a straight line through most rows",
		"log": "a straight line against the logarithm of x", "power": "a power of x"}[law]
	switch law {
	case "linear":
		s.Law = line
	case "log":
		s.Law = func(x float64) float64 { return line(math.Log(x)) }
	default:
		s.Additive, s.Step = false, v.step
		s.Law = func(x float64) float64 { return math.Exp(line(math.Log(x))) }
	}
	return s, nil
}
