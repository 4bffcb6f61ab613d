package actinic

import (
	"testing"

	"example.org/actinic/internal/held"
	"example.org/actinic/sensito"
)

// Each number of each part of a film has its bounds, on both sides, where they were.
func TestEdgesOfParts(t *testing.T) {
	small := smallFilm("Aber")
	process := small.Processes[0]
	film := func(change func(p *ProcessData)) error {
		d := smallFilm("Aber")
		change(&d.Processes[0])
		_, err := NewFilm(d)
		return err
	}
	withIndex := func(x IndexData) error { return film(func(p *ProcessData) { p.Index = &x }) }
	withDevelopment := func(x sensito.Estimate) error { return film(func(p *ProcessData) { p.Index.Development = &x }) }
	withGrowth := func(x GrowthData) error { return film(func(p *ProcessData) { p.Growth = &x }) }
	withCurve := func(x CurveData) error { return film(func(p *ProcessData) { p.Curves[0] = x }) }
	withShape := func(x sensito.Constants) error { return film(func(p *ProcessData) { p.Curves[0].Shape = &x }) }
	withPoint := func(x sensito.Reading) error {
		return film(func(p *ProcessData) { p.Curves[1].Points[1] = x })
	}
	withReading := func(x sensito.Reading) error {
		return film(func(p *ProcessData) { p.Curves[0].Readings[1] = x })
	}
	withProcess := func(x ProcessData) error { return film(func(p *ProcessData) { *p = x }) }
	withGranularity := func(x GranularityPoint) error {
		return film(func(p *ProcessData) {
			p.Granularity = &GranularityData{Aperture: 48, Points: []GranularityPoint{x}, Provenance: p.Provenance}
		})
	}
	withResponse := func(x ResponsePoint) error {
		return film(func(p *ProcessData) {
			p.Response = &ResponseData{Of: "film", Low: 0.5, High: 1.2, Points: []ResponsePoint{{Frequency: 1, M: sensito.Exact(1)}, x}, Provenance: p.Provenance}
		})
	}
	withSensitivity := func(x SensitivityData) error {
		d := smallFilm("Aber")
		d.Sensitivity = &x
		_, err := NewFilm(d)
		return err
	}
	withReciprocity := func(x ReciprocityData) error {
		d := smallFilm("Aber")
		d.Reciprocity = &x
		_, err := NewFilm(d)
		return err
	}
	said := held.New(t)
	said.Drive([]any{withIndex, withGrowth, withCurve, withShape, withProcess, withSensitivity, withReciprocity, withGranularity, withResponse},
		*process.Index, *process.Growth, process.Curves[0], process.Curves[1], *process.Curves[0].Shape, process, *small.Sensitivity, *small.Reciprocity,
		GranularityPoint{Density: 0.8, SD: sensito.Estimate{Value: 0.012, Low: 0.010, High: 0.014}}, ResponsePoint{Frequency: 20, M: sensito.Estimate{Value: 0.9, Low: 0.8, High: 1}})
	said.Drive([]any{withPoint, withReading}, process.Curves[1].Points[1], process.Curves[0].Readings[1])
	said.Drive([]any{withDevelopment}, *process.Index.Development)
}
