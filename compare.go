package actinic

import (
	"errors"
	"fmt"
	"math"

	"example.org/actinic/filters"
	"example.org/actinic/internal/figures"
	"example.org/actinic/sensito"
	"example.org/actinic/spectral"
)

// Difference is one number of two films, or of one film in two processes.
type Difference struct {
	Part     string   // the part of the film that it belongs to
	Quantity string   // what it is, with the conditions it was taken at
	Unit     string   // of A and B
	A, B     *float64 // nil where a film lacks the part or does not reach so far
	// Delta is log2(B/A) in stops where Stops is set, and B - A in Unit otherwise; nil
	// where A or B is.
	Delta *float64
	Stops bool
}

// String prints the two numbers and the difference, "-" for what is missing.
func (d Difference) String() string {
	show := func(v *float64, format string) string {
		if v == nil {
			return "-"
		}
		return fmt.Sprintf(format, *v)
	}
	unit := ""
	if d.Unit != "" {
		unit = " " + d.Unit
	}
	delta := show(d.Delta, "%+.3g") + unit
	if d.Stops {
		delta = show(d.Delta, "%+.2f") + " stops"
	}
	if d.Delta == nil {
		delta = "-"
	}
	return fmt.Sprintf("%s: %s%s, %s%s (%s)", d.Quantity, show(d.A, "%.4g"), unit, show(d.B, "%.4g"), unit, delta)
}

// Compare sets two films in a process each beside each other, part by part, every
// process at the development of its index; give one film twice to compare its
// processes. Process names are as for [Film.Process]; a film without processes has
// only its other parts to compare. What is missing on one side is nil there, and what
// is missing on both is left out.
//
// The error wraps [ErrUnknown] for a process that a film has not got.
func Compare(a *Film, processA string, b *Film, processB string) ([]Difference, error) {
	if a == nil || b == nil {
		return nil, inputf("a comparison with a film that is nil")
	}
	films := [2]*Film{a, b}
	var processes [2]*Process
	for i, name := range []string{processA, processB} {
		p, err := films[i].Process(name)
		if err != nil && !errors.Is(err, ErrMissing) {
			return nil, err
		}
		processes[i] = p
	}
	var out []Difference
	add := func(part, quantity, unit string, stops bool, get func(f *Film, p *Process) (float64, error)) {
		d := Difference{Part: part, Quantity: quantity, Unit: unit, Stops: stops}
		for i, to := range []**float64{&d.A, &d.B} {
			if v, err := get(films[i], processes[i]); err == nil {
				*to = figures.Known(v)
			}
		}
		if d.A == nil && d.B == nil {
			return
		}
		if d.A != nil && d.B != nil {
			v := *d.B - *d.A
			if stops {
				v = math.Log2(*d.B / *d.A)
			}
			d.Delta = figures.Known(v)
		}
		out = append(out, d)
	}
	of := func(get func(p *Process) (float64, error)) func(*Film, *Process) (float64, error) {
		return func(f *Film, p *Process) (float64, error) {
			if p == nil {
				return 0, f.missing("process")
			}
			return get(p)
		}
	}
	measure := func(m sensito.Measure) func(*Film, *Process) (float64, error) {
		return of(func(p *Process) (float64, error) {
			c, err := p.Curve(0)
			if err != nil {
				return 0, err
			}
			return m(c)
		})
	}
	add("base and fog", "base plus fog", "", false, measure(func(c sensito.Curve) (float64, error) { return float64(c.BaseFog()), nil }))
	add("curves", "average gradient", "", false, measure(sensito.AverageGradient))
	add("curves", "contrast index", "", false, measure(sensito.ContrastIndex))
	add("speed", "index by the fixed density", "", true, measure(func(c sensito.Curve) (float64, error) { return sensito.Index(c, sensito.FixedDensity) }))
	add("index", "index to set", "", true, of(func(p *Process) (float64, error) { x, err := p.Index(); return x.Index.Value, err }))
	add("development family", "limit of the average gradient", "", false, of(func(p *Process) (float64, error) { g, err := p.Growth(); return g.Limit().Value, err }))
	add("development family", "development for an average gradient of 0.55", "min", true, of(func(p *Process) (float64, error) {
		g, err := p.Growth()
		if err != nil {
			return 0, err
		}
		t, err := g.TimeFor(0.55)
		return t.Value.Minutes(), err
	}))
	sensitivity := func(get func(s spectral.Sensitivity) (float64, error)) func(*Film, *Process) (float64, error) {
		return func(f *Film, _ *Process) (float64, error) {
			s, err := f.Sensitivity()
			if err != nil {
				return 0, err
			}
			return get(s)
		}
	}
	light := spectral.D55.Light()
	add("spectral sensitivity", "longest wavelength with a tenth of the peak", "nm", false, sensitivity(func(s spectral.Sensitivity) (float64, error) { return s.CutOff(0.1) }))
	add("spectral sensitivity", "flatness in D55", "", false, sensitivity(func(s spectral.Sensitivity) (float64, error) { return s.Flatness(light) }))
	for _, name := range []string{"8", "25"} {
		add("spectral sensitivity", "factor of the filter "+name+" in D55", "", true, sensitivity(func(s spectral.Sensitivity) (float64, error) {
			e, err := filters.Find(name)
			if err != nil {
				return 0, err
			}
			return filters.Factor(s, light, e.Filter)
		}))
	}
	for _, metered := range []float64{1e-4, 1, 10, 30} {
		add("reciprocity law", "time for a metered "+figures.About(figures.Seconds(metered)), "s", true, func(f *Film, _ *Process) (float64, error) {
			law, err := f.Reciprocity()
			if err != nil {
				return 0, err
			}
			if lo, hi := law.Domain(); metered < lo || metered > hi {
				return 0, f.missing("law that reaches so far")
			}
			return law.Adjusted(metered)
		})
	}
	return out, nil
}
