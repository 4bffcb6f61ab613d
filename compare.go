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
	// The order of the parts is that of a data sheet: curves first, then what they rest on.
	c := comparison{films: [2]*Film{a, b}}
	for i, name := range []string{processA, processB} {
		// A film without processes is compared by its other parts.
		p, err := c.films[i].Process(name)
		if err != nil && !errors.Is(err, ErrMissing) {
			return nil, err
		}
		c.processes[i] = p
	}
	c.curves()
	compareColumns(&c, &processesTable, func(_ *Film, p *Process) *ProcessData {
		if p == nil {
			return nil
		}
		return p.data
	})
	compareColumns(&c, &indexesTable, func(_ *Film, p *Process) *IndexData {
		if p == nil {
			return nil
		}
		return p.data.Index
	})
	compareColumns(&c, &familiesTable, func(_ *Film, p *Process) *GrowthData {
		if p == nil {
			return nil
		}
		return p.data.Growth
	})
	c.growth()
	c.structure()
	c.sensitivity()
	c.reciprocity()
	return c.out, nil
}

// comparison collects the differences of two films in a process each; a process is nil
// for a film without one.
type comparison struct {
	films     [2]*Film
	processes [2]*Process
	out       []Difference
}

// add adds a difference; what is missing on both sides is left out.
func (c *comparison) add(d Difference, get func(f *Film, p *Process) (float64, error)) {
	for i, to := range []**float64{&d.A, &d.B} {
		if v, err := get(c.films[i], c.processes[i]); err == nil {
			*to = figures.Known(v)
		}
	}
	if d.A == nil && d.B == nil {
		return
	}
	if d.A != nil && d.B != nil {
		// Speeds, factors and times differ by a ratio, which photographers count in stops.
		v := *d.B - *d.A
		if d.Stops {
			v = math.Log2(*d.B / *d.A)
		}
		d.Delta = figures.Known(v)
	}
	c.out = append(c.out, d)
}

// compareColumns compares the columns of a table that say what they are called there.
func compareColumns[T any](c *comparison, t *table[T], part func(*Film, *Process) *T) {
	for i := range t.columns {
		col := &t.columns[i]
		if col.compared == "" {
			continue
		}
		// 1 is the unit of pure numbers in the tables, and none in words.
		unit := col.Unit
		if unit == "1" {
			unit = ""
		}
		c.add(
			Difference{Part: col.part, Quantity: col.compared, Unit: unit, Stops: col.stops},
			func(f *Film, p *Process) (float64, error) {
				if of := part(f, p); of != nil {
					if v, known := col.number(of); known {
						return v, nil
					}
				}
				return 0, f.missing(col.part)
			},
		)
	}
}

// ofProcess is a number of a process; a film without one lacks it.
func ofProcess(get func(p *Process) (float64, error)) func(*Film, *Process) (float64, error) {
	return func(f *Film, p *Process) (float64, error) {
		if p == nil {
			return 0, f.missing("process")
		}
		return get(p)
	}
}

// curves compares measures of the curves.
func (c *comparison) curves() {
	measure := func(m sensito.Measure) func(*Film, *Process) (float64, error) {
		return ofProcess(func(p *Process) (float64, error) {
			curve, err := p.Curve(0)
			if err != nil {
				return 0, err
			}
			return m(curve)
		})
	}
	c.add(Difference{Part: "base and fog", Quantity: "base plus fog"},
		measure(func(c sensito.Curve) (float64, error) { return float64(c.BaseFog()), nil }))
	c.add(Difference{Part: "curves", Quantity: "average gradient"}, measure(sensito.AverageGradient))
	c.add(Difference{Part: "curves", Quantity: "contrast index"}, measure(sensito.ContrastIndex))
	c.add(Difference{Part: "speed", Quantity: "index by the fixed density", Stops: true},
		measure(func(c sensito.Curve) (float64, error) {
			s, err := sensito.Index(c, sensito.FixedDensity)
			return s.Value, err
		}))
}

// growth compares the time for a usual contrast.
func (c *comparison) growth() {
	c.add(
		Difference{
			Part:     "development family",
			Quantity: "development for an average gradient of 0.55",
			Unit:     "min",
			Stops:    true,
		},
		ofProcess(func(p *Process) (float64, error) {
			g, err := p.Growth()
			if err != nil {
				return 0, err
			}
			// 0.55 is a normal negative for a diffusion enlarger (common practice, no source).
			t, err := g.TimeFor(0.55)
			return t.Value.Minutes(), err
		}),
	)
}

// structure compares grain and sharpness where both were measured alike.
func (c *comparison) structure() {
	c.add(Difference{Part: "granularity", Quantity: "granularity in 48 µm at a density of 1.0"},
		ofProcess(func(p *Process) (float64, error) {
			g, err := p.Granularity()
			if err != nil {
				return 0, err
			}
			if g.Aperture != 48 {
				return 0, p.missing("granularity in 48 µm")
			}
			return g.SD(1)
		}))
	for _, of := range []string{filmAlone, lensAndFilm} {
		c.add(Difference{Part: "response", Quantity: "frequency at which the response of " + of + " is 0.5", Unit: "cycles/mm"},
			ofProcess(func(p *Process) (float64, error) {
				r, err := p.Response()
				if err != nil {
					return 0, err
				}
				if r.Of != of {
					return 0, p.missing("response of " + of)
				}
				return r.Frequency(0.5)
			}))
	}
}

// sensitivity compares what the spectral sensitivities do.
func (c *comparison) sensitivity() {
	of := func(get func(s spectral.Sensitivity) (float64, error)) func(*Film, *Process) (float64, error) {
		return func(f *Film, _ *Process) (float64, error) {
			s, err := f.Sensitivity()
			if err != nil {
				return 0, err
			}
			return get(s)
		}
	}
	const part = "spectral sensitivity"
	// One light for both: a factor is of a film in a light.
	light := spectral.D55.Light()
	c.add(Difference{Part: part, Quantity: "longest wavelength with a tenth of the peak", Unit: "nm"},
		of(func(s spectral.Sensitivity) (float64, error) { return s.CutOff(0.1) }))
	c.add(Difference{Part: part, Quantity: "flatness in D55"},
		of(func(s spectral.Sensitivity) (float64, error) { return s.Flatness(light) }))
	// A yellow and a red filter: how far the film sees into either.
	for _, name := range []string{"8", "25"} {
		c.add(Difference{Part: part, Quantity: "factor of the filter " + name + " in D55", Stops: true},
			of(func(s spectral.Sensitivity) (float64, error) {
				e, err := filters.Find(name)
				if err != nil {
					return 0, err
				}
				return filters.Factor(s, light, e.Filter)
			}))
	}
}

// reciprocity compares corrected times, where both films were tested.
func (c *comparison) reciprocity() {
	// Times on either side of what needs no correction on most films.
	for _, metered := range []float64{1e-4, 1, 10, 30} {
		c.add(
			Difference{
				Part:     "reciprocity law",
				Quantity: "time for a metered " + figures.About(figures.Seconds(metered)),
				Unit:     "s",
				Stops:    true,
			},
			func(f *Film, _ *Process) (float64, error) {
				law, err := f.Reciprocity()
				if err != nil {
					return 0, err
				}
				if lo, hi := law.Domain(); metered < lo || metered > hi {
					return 0, f.missing("law that reaches so far")
				}
				return law.Adjusted(metered)
			},
		)
	}
}
