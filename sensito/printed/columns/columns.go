// Package columns checks printed tables that are one column against another, by the name of
// their kind: scales of speed, marks of shutters and apertures, step tablets, neutral
// densities, exposure tables, contrast against time, and any y against x by a stated law or
// none. It reads them as they are typed (packages layout and forms) and holds them against
// their law with [printed.CheckSeries] or [printed.CheckFree]. What adds (densities, exposure
// values, degrees, stops) is judged by differences.
package columns

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"example.org/actinic/sensito/datafile"
	"example.org/actinic/sensito/printed"
	"example.org/actinic/sensito/printed/forms"
	"example.org/actinic/sensito/printed/layout"
)

// Kind is a kind of table.
type Kind string

// The kinds.
const (
	Speed    Kind = "speed"    // arithmetic speeds against degrees
	Shutter  Kind = "shutter"  // marks of times
	Aperture Kind = "aperture" // marks of f-numbers
	Tablet   Kind = "tablet"   // densities of a step tablet
	Neutral  Kind = "nd"       // density, factor, stops, transmittance of neutral filters
	Exposure Kind = "exposure" // exposure value, f-number, time and index, long or as a matrix
	Contrast Kind = "contrast" // contrast against time of development
	XY       Kind = "xy"       // any y against x
)

// Kinds are all of them.
func Kinds() []Kind {
	return []Kind{Speed, Shutter, Aperture, Tablet, Neutral, Exposure, Contrast, XY}
}

// Options say what a table cannot say itself.
type Options struct {
	// Law is the law of a table of kind XY: "linear", "power", "free", or a formula in x
	// such as "34/x" or "6.4*sqrt(x)". Empty is that of the comment line "law:", or free.
	Law string
}

// Checked is a checked column.
type Checked struct {
	Column string // as headed in the table
	X, Y   []float64
	At     []int // rows of the sheet, from 0, of the values
	Report *printed.Report
	Sheet  *layout.Sheet
	// Name is the column's name in the sheet.
	Name string
}

// Check reads and checks a table of a kind: a column each that it holds against another.
//
// Errors: [datafile.Errors] for what cannot be read; [datafile.ErrData] for what cannot be
// checked.
func Check(t *layout.Table, kind Kind, o Options) ([]Checked, error) {
	switch kind {
	case Speed:
		return checkPairs(t, speedColumns, "speed",
			[]pair{{"degrees", "degrees are 1 + 10 log10 of the speed",
				func(x float64) float64 { return 1 + 10*math.Log10(x) }, true, 1, 0}})
	case Neutral:
		return checkPairs(t, neutralColumns, "density", []pair{
			{"factor", "a factor is 10 to the power of the density", func(x float64) float64 { return math.Pow(10, x) }, false, 0, 0.05},
			{"stops", "stops are the density over 0.30103", func(x float64) float64 { return x / math.Log10(2) }, true, 1. / 3, 0},
			{"transmittance", "percent of light are 100 times 10 to the power of minus the density",
				func(x float64) float64 { return 100 * math.Pow(10, -x) }, false, 0, 0.02},
		})
	case Shutter:
		return checkMarks(t, shutterColumns, "time", 1, 0.16)
	case Aperture:
		return checkMarks(t, apertureColumns, "aperture", 2, 0.08)
	case Tablet:
		return checkTablet(t)
	case Exposure:
		return checkExposure(t)
	case Contrast:
		return checkContrast(t)
	case XY:
		return checkXY(t, o)
	}
	return nil, fmt.Errorf("%w: kind %q, want one of %v", datafile.ErrData, kind, Kinds())
}

var (
	speedColumns = []layout.Column{
		{Name: "speed", Words: []string{"speed", "arithmetic", "asa", "iso", "ei", "iso arithmetic"}, Want: "arithmetic speeds"},
		{Name: "degrees", Words: []string{"degrees", "din", "degree", "iso degrees", "°"}, Want: "their degrees"},
	}
	neutralColumns = []layout.Column{
		{Name: "density", Words: []string{"density", "nd", "optical density"}, Want: "densities"},
		{Name: "factor", Words: []string{"factor", "filter factor", "exposure factor"}, Want: "factors"},
		{Name: "stops", Words: []string{"stops", "stop", "stop reduction", "f stop reduction"}, Want: "stops"},
		{Name: "transmittance", Words: []string{"transmittance", "transmission", "percent", "% transmittance", "(%)"}, Want: "percent"},
	}
	shutterColumns = []layout.Column{{Name: "time", Words: []string{"time", "shutter", "shutter speed", "exposure",
		"speed", "(s)"}, Want: "times of the shutter"}}
	apertureColumns = []layout.Column{{Name: "aperture", Words: []string{"aperture", "f number", "f stop", "stop", "f",
		"n"}, Want: "f-numbers"}}
	tabletColumns = []layout.Column{
		{Name: "step", Words: []string{"step", "no", "field", "patch"}},
		{Name: "density", Words: []string{"density", "d", "visual density"}, Want: "densities"},
	}
	contrastColumns = []layout.Column{
		{Name: "time", Words: []string{"time", "development time", "developing time", "(min)", "minutes"}, Want: "times of development"},
		{Name: "contrast", Words: []string{"contrast", "gamma", "contrast index", "average gradient", "ci", "gradient",
			"g"}, Want: "the contrast reached"},
	}
)

// values reads two columns of a sheet as numbers; rows in which either is blank are passed
// over. y has the unit of its last printed place in step.
type values struct {
	x, y, step []float64
	text       []string
	at         []int
}

func read(s *layout.Sheet, x, y string) (v values, err error) {
	var errs datafile.Errors
	for i := range s.Rows {
		b, errY := number(s, i, y)
		a, errX := forms.Cell{}, error(nil)
		if x != "" {
			a, errX = number(s, i, x)
		}
		if errX != nil || a.Blank && !b.Blank && x != "" {
			errs = append(errs, s.Fail(i, x, want(x)))
		}
		if errY != nil {
			errs = append(errs, s.Fail(i, y, want(y)))
		}
		if errX != nil || errY != nil || a.Blank || b.Blank {
			continue
		}
		if x == "" {
			a.Value = float64(i)
		}
		v.x, v.y, v.text, v.at = append(v.x, a.Value), append(v.y, b.Value), append(v.text, s.Cell(i, y).Text), append(v.at, i)
		v.step = append(v.step, lastPlace(b.Text, b.Value))
	}
	if len(errs) > 0 {
		return v, errs
	}
	if len(v.y) == 0 {
		return v, datafile.Errors{{File: s.File, Line: s.Head[0].Line, Want: "rows with numbers below the header"}}
	}
	return v, nil
}

func want(column string) string {
	switch column {
	case "time":
		return "a time such as 1/125 or 30 s"
	case "aperture":
		return "an f-number such as f/5.6"
	case "index":
		return "an index such as ISO 400"
	}
	return "a number"
}

func number(s *layout.Sheet, row int, column string) (forms.Cell, error) {
	text := s.Cell(row, column).Text
	switch column {
	case "time":
		unit := 1.0
		if u := forms.SecondsOf(s.Unit(column)); u > 0 {
			unit = u
		}
		c, err := forms.Time(text, unit)
		if err == nil && !c.Blank && !(c.Value >= 1e-9 && c.Value <= 3e9) {
			err = forms.ErrForm
		}
		return c, err
	case "aperture":
		lower := strings.ToLower(strings.TrimSpace(text))
		for _, lead := range []string{"f/", "f:", "f", "1:"} {
			if rest, ok := strings.CutPrefix(lower, lead); ok {
				text = rest
				break
			}
		}
	case "degrees":
		text = strings.TrimSuffix(strings.TrimSpace(text), "°")
	case "ev":
		lower := strings.ToLower(strings.TrimSpace(text))
		for _, lead := range []string{"ev", "lv"} {
			if rest, ok := strings.CutPrefix(lower, lead); ok {
				text = rest
			}
		}
	case "speed", "index":
		return forms.Index(text, forms.AskPlus)
	case "factor":
		return forms.Factor(text, forms.AskPlus)
	case "stops":
		return forms.Stops(text)
	case "transmittance":
		text = strings.TrimSuffix(strings.TrimSpace(text), "%")
	case "density":
		if f, err := forms.Filter(text); err == nil && f.Neutral {
			c, _ := forms.Number(fmt.Sprint(f.Density))
			c.Text = text
			return c, nil
		}
	}
	c, err := forms.Number(text)
	if err == nil && !c.Blank && math.Abs(c.Value) > 1e12 {
		err = forms.ErrForm
	}
	return c, err
}

// lastPlace is the unit of the last place of a printed decimal; of other forms that of the
// second digit.
func lastPlace(text string, v float64) float64 {
	second := math.Pow(10, math.Floor(math.Log10(max(math.Abs(v), 1e-9)))-1)
	text = strings.Map(func(r rune) rune {
		if r == ',' {
			return '.'
		}
		return r
	}, strings.TrimSpace(text))
	_, frac, point := strings.Cut(text, ".")
	n := 0
	for n < len(frac) && frac[n] >= '0' && frac[n] <= '9' {
		n++
	}
	if point && n > 0 && n < 12 {
		return math.Pow(10, -float64(n))
	}
	return max(min(second, 1), 1e-9)
}

// uniform takes the finest step of a column for all its rows: an additive column is printed
// to one.
func uniform(step []float64) []float64 { return []float64{slices.Min(step)} }

func (v values) checked(s *layout.Sheet, name string, series printed.Series, free bool) (Checked, error) {
	series.X, series.Y, series.Text = v.x, v.y, v.text
	series.Column = s.Title(name)
	check := printed.CheckSeries
	if free {
		check = printed.CheckFree
	}
	rep, err := check(series)
	if err != nil {
		return Checked{}, fmt.Errorf("%s: %w", s.File, err)
	}
	return Checked{s.Title(name), v.x, v.y, v.at, rep, s, name}, nil
}
