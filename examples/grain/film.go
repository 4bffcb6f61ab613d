package main

import (
	"math"
	"time"

	"example.org/actinic"
	"example.org/actinic/sensito"
	"example.org/actinic/sensito/structure"
)

// into puts granularity and response into a process of the film.
func (res *result) into(film *actinic.Film, process string, development time.Duration, p actinic.Provenance) (*actinic.Film, error) {
	var g *actinic.GranularityData
	if points := res.grainPoints(); len(points) > 0 && res.SetUp.Corrected {
		g = &actinic.GranularityData{Aperture: structure.Aperture48, Development: development, Points: points, Provenance: p}
	}
	var r *actinic.ResponseData
	if f := res.FilmResponse; f != nil && res.SetUp.Corrected {
		r = &actinic.ResponseData{Of: f.Of, Development: development, Provenance: p,
			Low: sensito.Density(math.Max(f.Sides[0], 0)), High: sensito.Density(math.Max(f.Sides[1], 0))}
		for i, at := range f.Frequency {
			r.Points = append(r.Points, actinic.ResponsePoint{Frequency: at, M: sensito.Estimate{Value: *f.M[i], Low: *f.Low[i], High: *f.High[i]}})
		}
	}
	if g == nil && r == nil {
		return nil, wrong("nothing was measured that a film's package could hold: neither granularity nor response is known with the camera's taken out")
	}
	return film.WithStructure(process, g, r)
}

// grainPoints are the granularities by rising density; of two patches of one density the better
// known stands.
func (res *result) grainPoints() []actinic.GranularityPoint {
	var out []actinic.GranularityPoint
	for _, g := range res.Granularity {
		if g.SD == nil || !(*g.Density > 0) {
			continue
		}
		p := actinic.GranularityPoint{Density: sensito.Density(math.Round(1e4**g.Density) / 1e4), SD: sensito.Estimate{Value: *g.SD, Low: *g.Low, High: *g.High}}
		at := len(out)
		for at > 0 && out[at-1].Density > p.Density {
			at--
		}
		if at > 0 && out[at-1].Density == p.Density {
			if q := out[at-1].SD; p.SD.High-p.SD.Low < q.High-q.Low {
				out[at-1] = p
			}
			continue
		}
		out = append(out[:at], append([]actinic.GranularityPoint{p}, out[at:]...)...)
	}
	return out
}
