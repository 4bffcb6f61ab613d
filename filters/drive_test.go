package filters_test

import (
	"math"
	"testing"

	"example.org/actinic/filters"
	"example.org/actinic/internal/held"
	"example.org/actinic/sensito"
	"example.org/actinic/spectral"
)

// What the package does with typical and impossible arguments is held to what it did.
func TestDrive(t *testing.T) {
	curve, err := sensito.NewClosedForm(sensito.Constants{BaseFog: 0.2, Gamma: 0.6, Toe: -2.6, ToeWidth: 0.2, Shoulder: 2.4, Sharpness: 2, From: -3.6, To: 0})
	if err != nil {
		t.Fatal(err)
	}
	find := func(name string) filters.Filter {
		e, err := filters.Find(name)
		if err != nil {
			t.Fatal(err)
		}
		return e.Filter
	}
	pan := spectral.Generic(spectral.Panchromatic)
	yellow, red, clear := find("8"), find("25"), filters.Clear()
	nm := []float64{400, 450, 500, 550, 600, 650, 700}
	values := []float64{0.05, 0.1, 0.4, 0.8, 0.9, 0.9, 0.85}
	flat, err := spectral.Flat(0.5)
	if err != nil {
		t.Fatal(err)
	}
	glass, err := spectral.New(nm, values, spectral.Hold)
	if err != nil {
		t.Fatal(err)
	}
	subjects := filters.Subjects()
	pool := []any{
		curve, pan, spectral.Generic(spectral.Orthochromatic), spectral.Sensitivity{}, spectral.D55.Light(), spectral.A.Light(), spectral.Light{}, yellow, red, clear, filters.Filter{}, find("58"), find("47"),
		filters.SpeedReading{Filter: yellow, LogSpeed: -0.3, SD: 0.02}, filters.SpeedReading{Filter: red, LogSpeed: -0.8, SD: 0.02}, filters.SpeedReading{Filter: clear, LogSpeed: 0, SD: 0.02}, filters.SpeedReading{Filter: find("58"), LogSpeed: -0.7, SD: 0.03}, filters.SpeedReading{Filter: find("47"), LogSpeed: -0.8, SD: 0.03},
		filters.Recovery{}, filters.Recovery{Nodes: []float64{400, 450, 500, 550, 600, 650}}, filters.Design{Frames: 6, SD: 0.03}, filters.Design{Frames: 4, SD: 0.02, Average: true}, filters.Design{},
		filters.Deviation{}, filters.Deviation{Scale: 0.02}, filters.Deviation{Wavelength: 2, Zero: 0.01}, filters.Deviations{}, filters.Deviations{Filter: filters.Deviation{Wavelength: 2}, Light: filters.Deviation{Scale: 0.05}},
		subjects[0], subjects[1], filters.TestColours()[0], filters.Surface{}, flat, glass, spectral.Spectrum{}, nm, values, nm[:1], []float64(nil), []float64{500, 400},
		spectral.Kelvin(5500), spectral.Kelvin(2856), spectral.Kelvin(0), spectral.Outside(0), spectral.Outside(1), spectral.Outside(2), spectral.CIE1931, spectral.CIE1964,
		sensito.Density(0.9), sensito.Density(0.3), sensito.Density(0), sensito.Density(-1), sensito.Density(6), sensito.LogH(-1.8), sensito.LogH(-4), sensito.LogH(math.NaN()), uint64(3),
		550.0, 20.0, 0.9, 500.0, 600.0, 1.5, 2.0, 1.0, 0.0, -1.0, 45.0, 0.02, 400.0, math.NaN(), 1e4, 5,
		"8", "yellow", "25", "K2", "ND 0.9", "", "x", "no such filter", "2x", "x4", "+1 1/3", "8x", "1/2", "58",
	}
	held.New(t).Drive([]any{
		filters.Catalogue, filters.Find, filters.FindByPart, filters.Doubt.String, filters.Factor, filters.Prepare,
		filters.Prepared.Factor, filters.Prepared.Reflectance, filters.FactorMarkOf, filters.FactorMark.Stops,
		filters.FactorMark.Factor, filters.FactorMark.String, filters.New, filters.Filter.Name, filters.Filter.Named,
		filters.Filter.IsZero, filters.Filter.Same, filters.Filter.Spectra, filters.Filter.Transmittance,
		filters.Filter.XYZ, filters.Stack, filters.Clear, filters.Neutral, filters.Polarizer, filters.Malus,
		filters.LongPass, filters.ShortPass, filters.BandPass, filters.Glass, filters.SurfaceFactor, filters.Skin,
		filters.GlassSample.Filter, filters.GlassSamples, filters.MeterError, filters.Silicon,
		filters.FilteredSilicon, filters.Recovered.Sensitivity, filters.Recovered.Deviation,
		filters.Recovered.Scaled, filters.Recovered.Log, filters.Recovered.Statement,
		filters.SpeedReadingFromDensity, filters.ParseFactorMark, filters.FactorMark.MarshalText,
		filters.Filter.MarshalJSON, filters.Prepared.MarshalJSON, filters.Tone.Above, filters.Tone.DensityAbove,
		filters.TestColours, filters.Subjects,
	}, pool...)
	held.New(t).Drive([]any{
		filters.Designed.FramesFor, filters.PlanReadings, filters.Doubts, filters.FactorMonteCarlo,
		filters.FactorsByTemperature, filters.Factors, filters.Rank, filters.Recover, filters.EffectiveReflectance,
		filters.Tones, filters.FactorWithin, filters.FactorInfluence, filters.SpeedReading.Widened,
	}, append(pool, held.Few{})...)
}
