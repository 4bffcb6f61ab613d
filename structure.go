package actinic

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"time"

	"example.org/actinic/internal/figures"
	"example.org/actinic/sensito"
)

// GranularityData is the standard deviation of density in a round aperture, at densities
// of one development, as package structure measures it.
type GranularityData struct {
	Aperture    float64            `json:"aperture_um"` // diameter on the film
	Development time.Duration      `json:"-"`           // of the film that was measured; 0: not known
	Points      []GranularityPoint `json:"points"`      // by rising density
	Provenance  Provenance         `json:"provenance"`
}

// GranularityPoint is the granularity at a density.
type GranularityPoint struct {
	Density sensito.Density  `json:"density"` // base plus fog included
	SD      sensito.Estimate `json:"sd"`      // of density; 0.010 is called RMS 10 at 48 µm
}

// ResponseData is the response of a film to sines of exposure by frequency, 1 where it is
// whole; above 1 where development sharpens edges.
type ResponseData struct {
	Of          string          `json:"of"`  // "film", or "lens and film"
	Development time.Duration   `json:"-"`   // of the film that was measured; 0: not known
	Low         sensito.Density `json:"low"` // on the two sides of the edge that it was measured on; 0: not known
	High        sensito.Density `json:"high"`
	Points      []ResponsePoint `json:"points"` // by rising frequency
	Provenance  Provenance      `json:"provenance"`
}

// ResponsePoint is the response at a frequency.
type ResponsePoint struct {
	Frequency float64          `json:"cycles_per_mm"` // on the film
	M         sensito.Estimate `json:"m"`
}

// What [ResponseData] may be of.
const (
	filmAlone   = "film"
	lensAndFilm = "lens and film"
)

// SD returns the granularity at a density, straight between the logarithms of neighbouring
// points. The error wraps [ErrInput] outside them.
func (d GranularityData) SD(at sensito.Density) (float64, error) {
	for i, p := range d.Points {
		if p.Density == at {
			return p.SD.Value, nil
		}
		if i > 0 && d.Points[i-1].Density < at && at < p.Density {
			low := d.Points[i-1]
			x := float64((at - low.Density) / (p.Density - low.Density))
			return math.Exp((1-x)*math.Log(low.SD.Value) + x*math.Log(p.SD.Value)), nil
		}
	}
	return 0, inputf("no granularity at a density of %.3g; it was measured at %s", float64(at), spanOf(d.Points,
		func(p GranularityPoint) float64 { return float64(p.Density) }, ""))
}

// Frequency returns the lowest frequency, in cycles/mm, at which the response falls to m,
// straight between neighbouring points. The error wraps [ErrInput] where it does not.
func (d ResponseData) Frequency(m float64) (float64, error) {
	for i, p := range d.Points {
		if i > 0 && d.Points[i-1].M.Value >= m && p.M.Value < m {
			low := d.Points[i-1]
			x := (low.M.Value - m) / (low.M.Value - p.M.Value)
			return (1-x)*low.Frequency + x*p.Frequency, nil
		}
	}
	return 0, inputf("the response does not fall to %v; it was measured at %s", m,
		spanOf(d.Points, func(p ResponsePoint) float64 { return p.Frequency }, " cycles/mm"))
}

// spanOf says from where to where points go.
func spanOf[P any](points []P, at func(P) float64, unit string) string {
	if len(points) == 0 {
		return "no point"
	}
	return fmt.Sprintf("%.3g to %.3g%s", at(points[0]), at(points[len(points)-1]), unit)
}

// WithStructure returns the film with granularity and response in one of its processes,
// which is named as for [Film.Process], in place of what that has; nil leaves it. Numbers
// are stored to five digits.
//
// The error wraps [ErrUnknown] for a process that there is not, and
// [datafile.ErrData] for parts that cannot be.
func (f *Film) WithStructure(process string, g *GranularityData, r *ResponseData) (*Film, error) {
	p, err := f.Process(process)
	if err != nil {
		return nil, err
	}
	d := f.Data()
	to := &d.Processes[slices.Index(f.processes, p)]
	short := func(e sensito.Estimate) sensito.Estimate {
		return e.Map(func(v float64) float64 { return figures.Digits(v, recordDigits) })
	}
	if g != nil {
		to.Granularity = g.clone()
		for i := range to.Granularity.Points {
			q := &to.Granularity.Points[i]
			q.SD, q.Density = short(q.SD), sensito.Density(figures.Round(float64(q.Density), pointDigits))
		}
	}
	if r != nil {
		to.Response = r.clone()
		for i := range to.Response.Points {
			q := &to.Response.Points[i]
			q.M, q.Frequency = short(q.M), figures.Digits(q.Frequency, recordDigits)
		}
	}
	return NewFilm(d)
}

// Granularity returns how much the density of even patches scatters. The error wraps
// [ErrMissing].
func (p *Process) Granularity() (GranularityData, error) {
	p = p.orEmpty()
	if p.data.Granularity == nil {
		return GranularityData{}, p.missing("granularity")
	}
	return *p.data.Granularity.clone(), nil
}

// Response returns how much of a sine of exposure the film keeps, by frequency. The error
// wraps [ErrMissing].
func (p *Process) Response() (ResponseData, error) {
	p = p.orEmpty()
	if p.data.Response == nil {
		return ResponseData{}, p.missing("response")
	}
	return *p.data.Response.clone(), nil
}

func (d *GranularityData) clone() *GranularityData {
	if d = clonePtr(d); d != nil {
		d.Points = slices.Clone(d.Points)
	}
	return d
}

func (d *ResponseData) clone() *ResponseData {
	if d = clonePtr(d); d != nil {
		d.Points = slices.Clone(d.Points)
	}
	return d
}

// check holds a granularity to what an aperture and a film can have.
func (d *GranularityData) check() error {
	errs := []error{d.Provenance.check()}
	if len(d.Points) == 0 {
		errs = append(errs, errors.New("no points"))
	}
	for i, p := range d.Points {
		if i > 0 && !(p.Density > d.Points[i-1].Density) {
			errs = append(errs, fmt.Errorf("density %v after %v; densities rise", float64(p.Density), float64(d.Points[i-1].Density)))
		}
		if !(p.SD.Value > 0) {
			errs = append(errs, fmt.Errorf("standard deviation of %v", p.SD.Value))
		}
		errs = append(errs, checkInterval("standard deviation", p.SD))
	}
	return errors.Join(errs...)
}

// check holds a response to what a film can have.
func (d *ResponseData) check() error {
	errs := []error{d.Provenance.check()}
	if len(d.Points) == 0 {
		errs = append(errs, errors.New("no points"))
	}
	if !(d.Low <= d.High) {
		errs = append(errs, fmt.Errorf("an edge between densities of %v and %v", float64(d.Low), float64(d.High)))
	}
	for i, p := range d.Points {
		if i > 0 && !(p.Frequency > d.Points[i-1].Frequency) {
			errs = append(errs, fmt.Errorf("frequency %v after %v; frequencies rise", p.Frequency, d.Points[i-1].Frequency))
		}
		errs = append(errs, checkInterval("response", p.M))
	}
	return errors.Join(errs...)
}
