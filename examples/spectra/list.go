package main

import (
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"
	"time"

	"example.org/actinic/examples/internal/command"
	"example.org/actinic/examples/internal/spectrafile"
	"example.org/actinic/filters"
	"example.org/actinic/sensito"
	"example.org/actinic/spectral"
)

// listing is the tidy table of all combinations of some films, lights and filters.
type listing struct {
	kit                                *spectrafile.Kit
	filmNames, lightNames, filterNames []string
	meterName                          string
	stderr                             io.Writer

	films   []spectrafile.Film
	lights  []spectrafile.Light
	filters []spectrafile.Filter
	meter   spectral.Sensitivity
}

// row is one combination. What there is not is nil: no factor behind a filter that lets
// nothing through, no interval where no deviations are given.
type row struct {
	Film       string   `json:"film"`
	Light      string   `json:"light"`
	Filter     string   `json:"filter"`
	Factor     *float64 `json:"factor"`
	Low        *float64 `json:"factor_low"`
	High       *float64 `json:"factor_high"`
	Stops      *float64 `json:"stops"`
	Mark       string   `json:"mark"` // as the trade prints it, in stops
	MeterError *float64 `json:"meter_error_stops"`
	Centroid   *float64 `json:"centroid_nm"` // of the response behind the filter
	Notes      string   `json:"notes"`
}

var columns = []string{"film", "light", "filter", "factor", "factor_low", "factor_high", "stops", "mark",
	"meter_error_stops", "centroid_nm", "notes"}

func (r row) cells() []string {
	n := func(x *float64) string {
		if x == nil {
			return ""
		}
		return strconv.FormatFloat(*x, 'g', 10, 64)
	}
	return []string{r.Film, r.Light, r.Filter, n(r.Factor), n(r.Low), n(r.High), n(r.Stops), r.Mark, n(r.MeterError),
		n(r.Centroid), r.Notes}
}

func (t *listing) load() error {
	t.kit.Outside = spectral.Hold
	for _, name := range t.filmNames {
		f, err := t.kit.Film(name)
		if err != nil {
			return err
		}
		t.films = append(t.films, f)
	}
	for _, name := range t.lightNames {
		l, err := t.kit.Light(name)
		if err != nil {
			return err
		}
		l.Light = l.Light.WithOutside(spectral.Zero)
		t.lights = append(t.lights, l)
	}
	for _, name := range t.filterNames {
		f, err := t.kit.Filter(name)
		if err != nil {
			return err
		}
		t.filters = append(t.filters, f)
	}
	var err error
	t.meter, t.meterName, err = readMeter(t.kit, t.meterName)
	return err
}

// print works through the table, a film and a light at a time, and prints it when all of
// it is there.
// patience is how long nothing is said of how far the work is.
var patience = 2 * time.Second

func (t *listing) print(w io.Writer, asJSON bool) error {
	if err := t.load(); err != nil {
		return err
	}
	set := make([]filters.Filter, len(t.filters))
	for i, f := range t.filters {
		set[i] = f.Filter
	}
	bare := make([]spectral.Light, len(t.lights))
	mlo, mhi := reach(t.meter.Spectra())
	for i, l := range t.lights {
		bare[i] = l.Light
		if a, b := reach(l.Light.Spectra()); !(a < mhi && b > mlo) {
			return fmt.Errorf("meter %s has %g to %g nm and light %s %g to %g nm: they do not overlap", t.meterName, mlo, mhi, l.Name, a, b)
		}
	}
	meters, err := filters.Factors([]spectral.Sensitivity{t.meter}, bare, set)
	if err != nil {
		return fmt.Errorf("meter %s: %w", t.meterName, err)
	}
	rows := []row{}
	start := time.Now()
	last := start
	for i, f := range t.films {
		for k, l := range t.lights {
			if rows, err = t.pair(rows, f, l, set, meters[0][k]); err != nil {
				return fmt.Errorf("film %s in light %s: %w", f.Name, l.Name, err)
			}
			if now := time.Now(); now.Sub(last) > patience {
				last = now
				fmt.Fprintf(t.stderr, "%d of %d combinations\n", (i*len(t.lights)+k+1)*len(set), len(t.films)*len(t.lights)*len(set))
			}
		}
	}
	if asJSON {
		return t.kit.Made().Print(w, struct {
			Version string              `json:"actinic_version"`
			Meter   string              `json:"meter"`
			Inputs  []spectrafile.Input `json:"inputs"`
			Rows    []row               `json:"rows"`
		}{command.Version(), t.meterName, t.kit.Inputs, rows})
	}
	c := csv.NewWriter(w)
	_ = c.Write(columns) // Error has it
	for _, r := range rows {
		_ = c.Write(r.cells())
	}
	c.Flush()
	return c.Error()
}

// doubtful reports whether the tables of a film or a filter need a word: whether a film
// ends while it is high, or one of both has a gap. What it may do is said for each factor.
func doubtful(f spectrafile.Film, l spectrafile.Light) (bool, error) {
	d, err := filters.Doubts(f.Sensitivity, l.Light, filters.Clear())
	return len(d) > 0, err
}

func gappy(g spectrafile.Filter) bool {
	for _, p := range g.Parts {
		if !p.Own {
			continue
		}
		for _, s := range p.Filter.Spectra() {
			nm := s.Wavelengths()
			for i := 1; i < len(nm); i++ {
				if nm[i]-nm[i-1] >= 60 { // as the library has it
					return true
				}
			}
		}
	}
	return false
}

// worthSaying is an effect in stops from which a doubt is a note, our choice.
const worthSaying = 0.02

func doubts(film spectral.Sensitivity, light spectral.Light, f filters.Filter) (notes []string, err error) {
	all, err := filters.Doubts(film, light, f)
	for _, d := range all {
		if math.Max(math.Abs(float64(d.Least)), math.Abs(float64(d.Most))) >= worthSaying {
			notes = append(notes, d.String())
		}
	}
	return notes, err
}

// pair adds the rows of a film in a light.
func (t *listing) pair(rows []row, f spectrafile.Film, l spectrafile.Light, set []filters.Filter, meter []float64) ([]row, error) {
	found, err := filters.Factors([]spectral.Sensitivity{f.Sensitivity}, []spectral.Light{l.Light}, set)
	if err != nil {
		return nil, err
	}
	lo, hi := reach(f.Sensitivity.Spectra())
	a, b := reach(l.Light.Spectra())
	doubted, err := doubtful(f, l)
	if err != nil {
		return nil, err
	}
	var said []string
	if a > lo || b < hi {
		said = append(said[:len(said):len(said)],
			fmt.Sprintf("the light has %g to %g nm, the film %g to %g nm: nothing is counted outside the light's table", a,
				b, lo, hi))
	}
	lo, hi = max(lo, a), min(hi, b)
	bare := append(f.Sensitivity.Spectra(), l.Light.Spectra()...)
	for i, g := range t.filters {
		notes := said[:len(said):len(said)]
		for _, p := range g.Parts {
			if a, b := reach(p.Filter.Spectra()); p.Own && (a > lo || b < hi) {
				if !(a < hi && b > lo) {
					return nil, fmt.Errorf("filter %s has %g to %g nm, film and light share %g to %g nm: they do not overlap; check the units",
						p.Filter.Name(), a, b, lo, hi)
				}
				notes = append(notes, fmt.Sprintf("filter %s has %g to %g nm, film and light share %g to %g nm: its end values are held beyond",
					p.Filter.Name(), a, b, lo, hi))
			}
		}
		r := row{Film: f.Name, Light: l.Name, Filter: g.Name}
		factor := found[0][0][i]
		if math.IsInf(factor, 1) {
			r.Notes = strings.Join(append(notes, "nothing gets through the filter"), "; ")
			rows = append(rows, r)
			continue
		}
		if doubted || gappy(g) {
			d, err := doubts(f.Sensitivity, l.Light, g.Filter)
			if err != nil {
				return nil, err
			}
			notes = append(notes, d...)
		}
		stops := math.Log2(factor)
		r.Factor, r.Stops = &factor, &stops
		if m, err := filters.FactorMarkOf(factor); err == nil {
			r.Mark = m.String()
		}
		if m := math.Log2(meter[i]) - stops; !math.IsInf(m, 0) {
			r.MeterError = &m
		} else {
			notes = append(notes, "the meter sees nothing behind the filter")
		}
		c, err := spectral.Centroid(append(bare[:len(bare):len(bare)], g.Filter.Spectra()...)...)
		if err != nil {
			return nil, err
		}
		r.Centroid = &c
		e, err := within(f, l, g)
		if err != nil {
			return nil, fmt.Errorf("filter %s: %w", g.Name, err)
		}
		if e != nil {
			r.Low, r.High = &e.Low, &e.High
		}
		r.Notes = strings.Join(notes, "; ")
		rows = append(rows, r)
	}
	return rows, nil
}

// within is the 95 % interval of a factor where deviations are given, and nil where not.
// The errors of the filters of a stack do not depend on each other: each is carried by
// itself, in the light that the others let through, and the variances of ln F add up.
func within(f spectrafile.Film, l spectrafile.Light, g spectrafile.Filter) (*sensito.Estimate, error) {
	if !f.Known && !l.Known && !g.Known() {
		return nil, nil
	}
	e, err := filters.FactorWithin(f.Sensitivity, l.Light, g.Filter, filters.Deviations{Film: f.SD, Light: l.SD})
	if errors.Is(err, filters.ErrOpaque) {
		return nil, nil
	}
	if err != nil {
		return nil, err
	}
	half := math.Log(e.High / e.Value)
	squares := half * half
	for i, p := range g.Parts {
		if !p.Known {
			continue
		}
		light := l.Light
		for k, other := range g.Parts {
			if k == i {
				continue
			}
			if light, err = light.Through(other.Filter.Spectra()...); err != nil {
				return nil, err
			}
		}
		one, err := filters.FactorWithin(f.Sensitivity, light, p.Filter, filters.Deviations{Filter: p.SD})
		if err != nil {
			return nil, err
		}
		half := math.Log(one.High / one.Value)
		squares += half * half
	}
	by := math.Exp(math.Sqrt(squares))
	return &sensito.Estimate{Value: e.Value, Low: e.Value / by, High: e.Value * by}, nil
}
